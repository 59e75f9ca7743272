package sheet

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// split parts what must hold from advice.
func split(all []detail.Violation) (musts, advice []detail.Violation) {
	for _, v := range all {
		if v.Severity == "must" {
			musts = append(musts, v)
		} else {
			advice = append(advice, v)
		}
	}
	return musts, advice
}

// violations are what can't be met, what is only advised, and what was left out.
func (p *page) violations(r *detail.Report) {
	musts, advice := split(r.Violations)
	p.faults("Not met", musts)
	p.faults("Advice: these should hold", advice)
	if n := r.UnlistedMust + r.UnlistedShould; n > 0 {
		p.text("", "", "%d more are counted, not listed.", n)
	}
	p.bullets("Left out", skipped(r))
	p.bullets("Bare runs: no detail is laid on them", r.Bare)
}

// faults are violations of one kind.
func (p *page) faults(title string, list []detail.Violation) {
	if len(list) == 0 {
		return
	}
	p.heading("%s", title)
	for i, v := range list {
		p.violation(i+1, v)
	}
}

// violation is one rule that isn't kept: where, what, by how much, and which rules conflict.
func (p *page) violation(n int, v detail.Violation) {
	const rest = "     "
	p.gap()
	p.text(fmt.Sprintf("%3d. ", n), rest, "%s", p.placeOf(&v))
	within := ""
	if v.Tolerated {
		within = ", within the tolerance"
	}
	p.text(rest, rest, "%s %s, but is %s: off by %s%s", v.What, p.amount(v.Required), p.amount(v.Found), p.amount(v.By), within)
	p.text(rest, rest+"  ", "rule %s, %s", v.Rule, position(v.Span))
	if len(v.Conflict) > 1 || len(v.Conflict) == 1 && v.Conflict[0].Rule != v.Rule {
		p.text(rest, rest+"  ", "%s", conflict(v))
	}
	if v.Because != "" {
		p.text(rest, rest+"  ", "because %s", v.Because)
	}
	if v.Source != "" {
		p.text(rest, rest+"  ", "source: %s", v.Source)
	}
}

// conflict names the rules that stand against each other, or the one that stands against this one.
func conflict(v detail.Violation) string {
	var refs []string
	for _, c := range v.Conflict {
		ref := c.Rule
		if c.Span.Start.Line > 0 {
			ref += " (" + position(c.Span) + ")"
		}
		refs = append(refs, ref)
	}
	if len(refs) == 1 {
		return "against " + refs[0]
	}
	text := "can't all be met: " + strings.Join(refs, "; ")
	if !v.Minimal {
		text += "; a smaller set may do"
	}
	return text
}

// amount is exact: on the tape where it is a sixteenth, else in decimals.
func (f *figures) amount(a detail.Amount) string {
	text := a.Text
	if text == "" {
		text = f.exact(a.Length)
	}
	return strings.TrimPrefix(a.Op+" "+text, " ")
}

func position(s rules.Span) string { return fmt.Sprintf("%s:%d", s.File, s.Start.Line) }

// skipped are the places where an element was left out, those of one reason together.
func skipped(r *detail.Report) (lines []string) {
	for i := 0; i < len(r.Skipped); {
		s := r.Skipped[i]
		var like []*bay
		for ; i < len(r.Skipped); i++ {
			o := r.Skipped[i]
			if o.Placement != s.Placement || o.When != s.When || o.Scope.Kind != s.Scope.Kind {
				break
			}
			like = append(like, &bay{n: o.Scope.N})
		}
		of := &r.Placements[s.Placement]
		place := "run " + of.Run.ID
		if id := of.SideID(); id != "" {
			place += ", side " + id
		}
		why := "only when " + s.When
		if strings.HasPrefix(s.When, "obstacle ") {
			why = "inside " + s.When
		}
		lines = append(lines, fmt.Sprintf("%s, %s %s: %s (%s)", place, s.Scope.Kind, numbers(like), of.Element.Name, why))
	}
	return lines
}
