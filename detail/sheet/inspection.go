package sheet

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
)

// Inspection writes an inspection as a sheet, with the default Options.
func Inspection(w io.Writer, in *detail.Inspection) error { return Options{}.Inspection(w, in) }

// Inspection writes an inspection as a sheet: what fails, what to do about it, and what was not measured. An error is
// the writer's.
func (o Options) Inspection(w io.Writer, in *detail.Inspection) error {
	p := &page{columns: o.columns(), figures: figures{unit: o.Unit}}
	r := in.Report
	p.text("Job:     ", "         ", "%s", or(r.Job, "without a name"))
	p.book(r.Book)
	p.text("Result:  ", "         ", "%s", verdict(in))
	if !in.Tolerance.IsZero() {
		p.text("Within:  ", "         ", "%s: what is off by no more is advice",
			p.amount(detail.Amount{Length: in.Tolerance}))
	}
	p.gap()
	p.text("", "",
		`What was measured is held against the rules and not against a drawn layout. Stations are read on one tape from `+
			`the run's left end, seen from the eave looking up the slope; on a run that climbs, from its low end.`)
	musts, advice := split(r.Violations)
	p.faults("Not met", musts)
	p.mends(in.Mends, musts)
	p.faults("Advice: these should hold", advice)
	if n := r.UnlistedMust + r.UnlistedShould; n > 0 {
		p.text("", "", "%d more are counted, not listed.", n)
	}
	p.unmeasured(in.Unmeasured)
	if len(r.Bare) > 0 {
		p.bullets("Bare runs: no detail is laid on them", r.Bare)
	}
	p.bullets("Cautions", r.Cautions)
	_, err := p.buf.WriteTo(w)
	return err
}

// verdict is the inspection in one sentence.
func verdict(in *detail.Inspection) string {
	musts, advice := split(in.Report.Violations)
	bad, fine := len(musts)+in.Report.UnlistedMust, len(advice)+in.Report.UnlistedShould
	var parts []string
	switch {
	case bad > 0:
		parts = append(parts, count(bad, "rule that must hold doesn't", "rules that must hold don't")+`: see "Not met"`)
	case in.Judged == 0:
		parts = append(parts, "nothing was measured, so nothing passes")
	default:
		parts = append(parts, "every rule that must hold does, in what was measured")
	}
	if fine > 0 {
		parts = append(parts, count(fine, "piece of advice", "pieces of advice"))
	}
	parts = append(parts, count(in.Judged, "place measured", "places measured"))
	rest, unknown := 0, false
	for _, u := range in.Unmeasured {
		if u.Rule == "" {
			rest += len(u.Scopes)
			unknown = unknown || u.Scopes == nil
		}
	}
	switch {
	case unknown && rest == 0:
		parts = append(parts, `others not: see "Not measured"`)
	case unknown:
		parts = append(parts, fmt.Sprintf(`%d and more not: see "Not measured"`, rest))
	case rest > 0:
		parts = append(parts, fmt.Sprintf(`%d not: see "Not measured"`, rest))
	case len(in.Unmeasured) > 0:
		parts = append(parts, `some rules not judged: see "Not measured"`)
	}
	return strings.Join(parts, "; ")
}

// mends say what to do, scope by scope; what no mark mends is named by its number among the musts.
func (p *page) mends(list []detail.Mend, musts []detail.Violation) {
	if len(list) == 0 {
		return
	}
	p.heading("What mends it")
	for _, m := range list {
		place := "run " + m.Run
		if m.Side != "" {
			place += ", side " + m.Side
		}
		if m.Scope.Kind != "run" {
			place += fmt.Sprintf(", %s %d", m.Scope.Kind, m.Scope.N)
		}
		p.text("  - ", "    ", "%s, %s", place, m.Element)
		if len(m.Add) > 0 {
			at := make([]string, len(m.Add))
			for i, l := range m.Add {
				at[i] = p.amount(detail.Amount{Length: l})
			}
			p.text("    ", "      ", "add %s at %s", count(len(m.Add), "mark", "marks"), strings.Join(at, ", "))
		}
		var numbered, others []string
		for _, v := range m.Stuck {
			i := slices.IndexFunc(musts, func(o detail.Violation) bool {
				return o.Rule == v.Rule && o.Measure == v.Measure && o.Run == v.Run && o.Side == v.Side &&
					o.Scope == v.Scope && o.From == v.From && o.To == v.To
			})
			if i >= 0 {
				numbered = append(numbered, fmt.Sprint(i+1))
			} else {
				others = append(others, fmt.Sprintf("%s at %s", v.What, p.place(v.From, v.To)))
			}
		}
		if stuck := append(numbered, others...); len(stuck) > 0 {
			p.text("    ", "      ", "no added mark mends %s: move, take out or make anew", strings.Join(stuck, ", "))
		}
	}
}

// unmeasured lists what the measurements don't tell.
func (p *page) unmeasured(list []detail.Unmeasured) {
	if len(list) == 0 {
		return
	}
	p.heading("Not measured, and so not passed")
	for _, u := range list {
		place := "run " + u.Run
		if u.Side != "" {
			place += ", side " + u.Side
		}
		if len(u.Scopes) > 0 && u.Kind != "run" {
			bays := make([]*bay, len(u.Scopes))
			for i, n := range u.Scopes {
				bays[i] = &bay{n: n}
			}
			place += ", " + u.Kind + " " + numbers(bays)
		}
		what := u.Element
		if u.Rule != "" {
			what += ", rule " + u.Rule
		}
		p.text("  - ", "    ", "%s: %s (%s)", place, what, u.Why)
	}
}
