package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
)

// sweep says where along a range a detail can be built.
func (h host) sweep(ctx context.Context, args []string) int {
	flags := h.flags("sweep -rules F -detail D -panel 12in..24in [-length 20ft,30ft] [-slope 3:12] [-input NAME=A..B] [-format text|svg]")
	rulesFile := flags.String("rules", "", "the rule `file`")
	format := flags.String("format", "text", "`text` or svg, a picture of the ranges")
	var axes []string // as given: the name, =, and a range or a list
	axis := func(of string) func(string) error {
		return func(text string) error {
			axes = append(axes, of+"="+text)
			return nil
		}
	}
	spec := detail.SweepSpec{}
	flags.StringVar(&spec.Detail, "detail", "", "the `name` of the detail")
	flags.StringVar(&spec.Edge, "edge", "", "the `kind` of edge; if not given, the first that the detail fits")
	flags.Func("panel", "the `widths` of whole panels, 12in..24in or 12in,18in", axis("panel"))
	flags.Func("length", "the `lengths` of the run; if not given, 40 ft, or three panels in a sweep of their width", axis("length"))
	flags.Func("slope", "the `slopes`, 1:12..3:12 or 3:12", axis("slope"))
	flags.Func("input", "an input, `NAME=A..B` or NAME=A,B", func(text string) error {
		if !strings.Contains(text, "=") {
			return fmt.Errorf("write NAME=A..B")
		}
		axes = append(axes, text)
		return nil
	})
	if status, done := h.parse(flags, args); done {
		return status
	}
	switch {
	case flags.NArg() > 0:
		return h.refuse("sweep takes no file but by its flags: what is %q?", flags.Arg(0))
	case *format != "text" && *format != "svg":
		return h.refuse("there is no -format %q: use text or svg", *format)
	case *rulesFile == "" || spec.Detail == "":
		return h.refuse("sweep needs -rules and -detail")
	}
	for _, text := range axes {
		name, values, _ := strings.Cut(text, "=")
		a := detail.SweepAxis{Of: name}
		if name != "panel" && name != "length" && name != "slope" {
			a = detail.SweepAxis{Of: "input", Input: name}
		}
		from, to, isRange := strings.Cut(values, "..")
		switch {
		case isRange && spec.Along.Of != "":
			return h.refuse("a sweep is along one range, here %s: list the values of %s, as A,B", spec.Along, a)
		case isRange:
			spec.Along, spec.From, spec.To = a, bare(from), bare(to)
		default:
			at := detail.SweepAt{SweepAxis: a}
			for v := range strings.SplitSeq(values, ",") {
				at.Values = append(at.Values, bare(v))
			}
			spec.At = append(spec.At, at)
		}
	}
	if spec.Along.Of == "" {
		return h.refuse("sweep needs a range, such as -panel 12in..24in")
	}
	book, _ := h.load(place(*rulesFile))
	if book == nil {
		return unusable
	}
	started, shown := time.Now(), false
	watched := terminal(h.stderr)
	spec.Progress = func(line, of, thousandths int) {
		if watched && time.Since(started) > time.Second {
			started, shown = time.Now(), true
			fmt.Fprintf(h.stderr, "\rline %d of %d: %d%% ", line+1, of, thousandths/10)
		}
	}
	rep, err := detail.Options{}.Sweep(ctx, book, spec)
	if shown {
		fmt.Fprint(h.stderr, "\r                          \r")
	}
	switch {
	case ctx.Err() != nil:
		return h.refuse("interrupted")
	case err != nil:
		return h.refuse("%v", err)
	}
	out := sweepTable(rep)
	if *format == "svg" {
		if out, err = sweepSVG(rep); err != nil {
			return h.refuse("%v", err)
		}
	}
	if err := h.write("-", out); err != nil {
		return h.refuse("%v", err)
	}
	return well
}

// terminal tells whether someone watches what is written.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&fs.ModeCharDevice != 0
}

// bare takes a value out of its blanks and quotes.
func bare(s string) string { return strings.Trim(strings.TrimSpace(s), `"`) }

// sweepTable writes the ranges, 80 columns wide as far as names let it.
func sweepTable(rep *detail.SweepReport) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s on %s, along %s\n", rep.Detail, rep.Edge, rep.Along)
	for _, sentence := range rep.Run {
		fmt.Fprintln(&b, sentence)
	}
	exact := true
	for _, line := range rep.Lines {
		fmt.Fprintln(&b)
		for _, at := range line.At {
			fmt.Fprintf(&b, "%s %s\n", at.SweepAxis, at.Value.In(units.In))
		}
		for _, r := range line.Ranges {
			exact = exact && r.Exact
			fmt.Fprintln(&b, strings.Join(rangeText(r), "\n    "))
		}
	}
	if !exact {
		fmt.Fprintf(&b, "\n~ tried at least every %s, and not proved in between\n", rep.Step.In(units.In))
	}
	return b.Bytes()
}

// rangeText says what a range is, and in further lines why.
func rangeText(r detail.SweepRange) []string {
	mark := " "
	if !r.Exact {
		mark = "~"
	}
	from, to := r.From.In(units.In), r.To.In(units.In)
	if r.FromOpen {
		from = "over " + from
	}
	if r.ToOpen {
		to = "under " + to
	}
	if from == to {
		to = "only"
	} else {
		to = "to " + to
	}
	lines := []string{fmt.Sprintf("%s %-22s %-24s %s", mark, from, to, r.Verdict)}
	for _, c := range r.Conflicts {
		for _, ref := range c.Rules {
			lines = append(lines, at(ref))
		}
		if !c.Smallest {
			lines = append(lines, "(none can be left out; a smaller set was not looked for)")
		}
	}
	for _, ref := range r.GivenUp {
		lines = append(lines, "gives up "+at(ref))
	}
	if r.Refused != "" {
		lines = append(lines, r.Refused)
	}
	return lines
}

// at names a rule with its place.
func at(r detail.RuleRef) string {
	if r.Span.Start.Line == 0 {
		return r.Rule
	}
	return fmt.Sprintf("%s (%s)", r.Rule, r.Span)
}
