package detail

import (
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// finish fills in what the details say of themselves: steps, cautions, notes, sources.
func (l *layer) finish(bindings []*binding) {
	var seen []*rules.Detail
	for _, b := range bindings {
		if slices.Contains(seen, b.detail) {
			continue
		}
		seen = append(seen, b.detail)
		d := b.detail
		for i, s := range d.Steps {
			step := Step{Detail: d.Name, N: i + 1, Text: s.Text, Hold: s.Hold, Sets: []string{}}
			for _, n := range s.Sets {
				step.Sets = append(step.Sets, n.Text)
			}
			l.rep.Steps = append(l.rep.Steps, step)
		}
		for _, c := range d.Cautions {
			l.rep.Cautions = appendNew(l.rep.Cautions, c)
		}
		for _, n := range d.Notes {
			l.rep.Notes = appendNew(l.rep.Notes, n)
		}
		l.rep.Relaxed = append(l.rep.Relaxed, d.Relaxed...)
		for _, q := range d.Requires {
			l.rep.source(q.ID, q.Source)
		}
		for _, e := range d.Elements {
			for _, r := range e.Rules {
				l.rep.source(r.ID, r.Source)
			}
		}
	}
	for _, c := range standing {
		l.rep.Cautions = appendNew(l.rep.Cautions, c)
	}
}

// standing cautions come with every report; no book and no host switches them off.
var standing = []string{
	"Work 6 ft or more above a lower level needs fall protection (29 CFR 1926.501).",
	"Cut metal edges are sharp: wear gloves, and eye protection when drilling or cutting.",
	"Sweep up drill shavings at once: they rust and stain.",
	"This layout follows the firm's rule book. The panel maker's instructions, the local code and an engineer's design for wind and snow come first.",
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func (r *Report) source(rule, source string) {
	if source != "" {
		r.Sources = append(r.Sources, Source{Rule: rule, Source: source})
	}
}

// takeoff fills in the quantities and cut lists of the report.
func (l *layer) takeoff() error {
	t, err := AddUp(l.ctx, l.rep)
	if err != nil {
		return err
	}
	l.rep.Takeoff, l.rep.Cuts, l.rep.Cutting, l.rep.Leftovers = t.Lines, t.Cuts, t.Cutting, t.Leftovers
	l.rep.Shop = t.Shop
	return nil
}
