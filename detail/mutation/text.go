package mutation

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/lapwright/lapwright/detail"
)

// Text writes what the examples would miss, in lines of at most 80 columns as far as the book's own lines let it: the
// changes that none notices, each with an example that would, then those that don't count, and the scores.
func (r *Report) Text(w io.Writer) error {
	var b bytes.Buffer
	missed := 0
	for _, c := range r.Changes {
		if c.Verdict != Missed {
			continue
		}
		missed++
		fmt.Fprintf(&b, "%s:%d: no example notices\n  %s\n", c.Span.File, c.Span.Start.Line, c.change())
		if c.Suggestion == "" {
			fmt.Fprint(&b, "  No example that would was found.\n\n")
			continue
		}
		fmt.Fprintf(&b, "  This one would:\n\n%s\n", indented(c.Suggestion))
	}
	first := true
	for _, c := range r.Changes {
		if c.Verdict != Equivalent {
			continue
		}
		if first {
			fmt.Fprint(&b, "Changes that mean nothing, and don't count:\n")
			first = false
		}
		fmt.Fprintf(&b, "  %s:%d: %s\n    %s\n", c.Span.File, c.Span.Start.Line, c.change(), c.Proof)
	}
	if !first {
		fmt.Fprintln(&b)
	}
	parts, all := r.Scores()
	fmt.Fprintf(&b, "%-32s %8s %8s %6s\n", "Changes", "noticed", "of", "score")
	for _, s := range append(parts, all) {
		name := s.Part
		if name == "" {
			name = "all"
		}
		fmt.Fprintf(&b, "%-32s %8d %8d %6s\n", name, s.Noticed, s.Of, s.percent())
	}
	if n := r.count(NoBook); n > 0 {
		fmt.Fprintf(&b, "%d more changes give no book: the check refuses them.\n", n)
	}
	if !r.Counts() {
		fmt.Fprintf(&b, "The score doesn't count: %d of %d changes mean nothing, over 5 %%.\n",
			r.count(Equivalent), len(r.Changes))
	}
	_, err := w.Write(b.Bytes())
	return err
}

// percent is the score, rounded down: only all of them are 100 %.
func (s Score) percent() string {
	if s.Of == 0 {
		return "-"
	}
	return fmt.Sprintf("%d %%", 100*s.Noticed/s.Of)
}

func (r *Report) count(v Verdict) int {
	n := 0
	for _, c := range r.Changes {
		if c.Verdict == v {
			n++
		}
	}
	return n
}

func indented(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString("    " + line)
	}
	return b.String()
}

// CoverageText writes which lines of a book its examples never exercised, never made binding and never saw violated.
func CoverageText(w io.Writer, uses []detail.RuleUse) error {
	var b bytes.Buffer
	for _, of := range []struct {
		what string
		in   func(detail.RuleUse) bool
	}{
		{"never exercised", func(u detail.RuleUse) bool { return !u.Exercised }},
		{"never binding", func(u detail.RuleUse) bool { return u.Exercised && !u.Binding && !u.Require }},
		{"never violated", func(u detail.RuleUse) bool { return u.Exercised && !u.Violated }},
	} {
		n := 0
		for _, u := range uses {
			if of.in(u) {
				n++
			}
		}
		if n == 0 {
			continue
		}
		fmt.Fprintf(&b, "Rules %s: %d of %d\n", of.what, n, len(uses))
		for _, u := range uses {
			if of.in(u) {
				fmt.Fprintf(&b, "  %s:%d: %s\n", u.Span.File, u.Span.Start.Line, u.Rule)
			}
		}
	}
	if b.Len() == 0 {
		fmt.Fprintf(&b, "Each of %d rules is exercised, binding and violated somewhere.\n", len(uses))
	}
	_, err := w.Write(b.Bytes())
	return err
}
