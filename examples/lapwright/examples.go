package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/mutation"
	"github.com/lapwright/lapwright/rules"
)

// A suite is a rule file with what came of its worked examples.
type suite struct {
	name    string
	book    *rules.Book
	results []detail.ExampleResult
}

func (s *suite) failed() int {
	n := 0
	for i := range s.results {
		if !s.results[i].OK() {
			n++
		}
	}
	return n
}

// examples runs the worked examples of rule files.
func (h host) examples(ctx context.Context, args []string) int {
	flags := h.flags("examples [-run NAME] [-mutate] [-format text|junit] FILE...")
	run := flags.String("run", "", "only the examples whose `name` has this in it")
	format := flags.String("format", "text", "`text` for a reader, junit for a build server")
	mutate := flags.Bool("mutate", false, "say which numbers could change without any example noticing")
	if status, done := h.parse(flags, args); done {
		return status
	}
	switch {
	case *mutate && (*run != "" || *format != "text"):
		return h.refuse("-mutate goes with neither -run nor -format")
	case *format != "text" && *format != "junit":
		return h.refuse("there is no -format %q: use text or junit", *format)
	case flags.NArg() == 0:
		return h.refuse("examples needs rule files")
	}
	var suites []suite
	for _, name := range flags.Args() {
		s, status := h.suite(ctx, name, *run)
		if status != well {
			return status
		}
		suites = append(suites, s)
	}
	var out bytes.Buffer
	ran, failures := 0, 0
	for i := range suites {
		ran, failures = ran+len(suites[i].results), failures+suites[i].failed()
	}
	if ran == 0 && *run != "" {
		return h.refuse("no example has %q in its name", *run)
	}
	if *format == "junit" {
		if err := writeJUnit(&out, suites); err != nil {
			return h.refuse("%v", err)
		}
	} else {
		for i := range suites {
			suites[i].write(&out)
		}
	}
	missed := 0
	if *mutate && failures == 0 {
		for i := range suites {
			n, status := h.mutate(ctx, &out, &suites[i])
			if status != well {
				return status
			}
			missed += n
		}
	}
	if err := h.write("-", out.Bytes()); err != nil {
		return h.refuse("%v", err)
	}
	if failures+missed > 0 {
		return failed
	}
	return well
}

// mutate writes what the examples of a file would miss, and counts the changes that no example notices; where the score
// doesn't count, that is one more.
func (h host) mutate(ctx context.Context, out *bytes.Buffer, s *suite) (missed, status int) {
	p := place(s.name)
	in, err := p.open(strings.NewReader(""))
	if err != nil {
		return 0, h.refuse("%v", err)
	}
	defer in.Close()
	progress := h.progress("changes")
	rep, err := mutation.Run(ctx, in, p.base, mutation.Options{
		Progress: func(done, of int) { progress.say("%d of %d tried", done, of) },
	})
	progress.clear()
	var uses []detail.RuleUse
	if err == nil {
		uses, err = detail.Options{}.Coverage(ctx, in, s.book)
	}
	switch {
	case ctx.Err() != nil:
		return 0, h.refuse("interrupted")
	case err != nil:
		return 0, h.refuse("%v", err)
	}
	fmt.Fprintln(out)
	if err := errors.Join(mutation.CoverageText(out, uses), rep.Text(out)); err != nil {
		return 0, h.refuse("%v", err)
	}
	_, all := rep.Scores()
	if missed = all.Of - all.Noticed; !rep.Counts() {
		missed++
	}
	return missed, well
}

// suite loads a rule file and runs its examples.
func (h host) suite(ctx context.Context, name, run string) (suite, int) {
	p := place(name)
	book, _ := h.load(p)
	if book == nil {
		return suite{}, unusable
	}
	in, err := p.open(strings.NewReader(""))
	if err != nil {
		return suite{}, h.refuse("%v", err)
	}
	defer in.Close()
	progress := h.progress("examples")
	done := 0
	results := detail.Options{}.Examples(ctx, in, book, detail.ExampleSpec{
		Run: func(name string) bool { return strings.Contains(name, run) },
		Done: func(detail.ExampleResult) {
			done++
			progress.say("%d run", done)
		},
	})
	progress.clear()
	if ctx.Err() != nil {
		return suite{}, h.refuse("interrupted")
	}
	return suite{name, book, results}, well
}

// write lists the examples of a file with what doesn't hold.
func (s *suite) write(b *bytes.Buffer) {
	fmt.Fprintf(b, "%s\n", s.name)
	for i := range s.results {
		r := &s.results[i]
		if r.OK() {
			fmt.Fprintf(b, "  ok    %s\n", r.Example.Name)
			continue
		}
		fmt.Fprintf(b, "  FAIL  %s\n", r.Example.Name)
		for line := range strings.Lines(r.Text()) {
			fmt.Fprintf(b, "    %s", line)
		}
	}
	switch n := s.failed(); {
	case len(s.results) == 0:
		fmt.Fprintln(b, "  no example")
	case n > 0:
		fmt.Fprintf(b, "  %d of %d examples failed\n", n, len(s.results))
	case len(s.results) == 1:
		fmt.Fprintln(b, "  1 example holds")
	default:
		fmt.Fprintf(b, "  %d examples hold\n", len(s.results))
	}
}

// A progressLine is told on standard error while a command works, if somebody can see it.
type progressLine struct {
	h     host
	what  string
	shown int
	on    bool
}

func (h host) progress(what string) *progressLine {
	p := &progressLine{h: h, what: what}
	if f, ok := h.stderr.(*os.File); ok {
		info, err := f.Stat()
		p.on = err == nil && info.Mode()&os.ModeCharDevice != 0
	}
	return p
}

func (p *progressLine) say(format string, args ...any) {
	if !p.on {
		return
	}
	text := p.what + ": " + fmt.Sprintf(format, args...)
	fmt.Fprintf(p.h.stderr, "\r%-*s", p.shown, text)
	p.shown = len(text)
}

func (p *progressLine) clear() {
	if p.shown > 0 {
		fmt.Fprintf(p.h.stderr, "\r%*s\r", p.shown, "")
	}
}
