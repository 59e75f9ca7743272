package verify

import (
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// bookwork holds what a report takes over from the book: the steps of each detail laid, in the order of its first
// run, its cautions, notes, sources and relaxations; and what it says of runs that nothing fits, and of reasons.
func (v *verifier) bookwork(plans []*plan) {
	var laid []*rules.Detail
	covered := map[string]bool{}
	for _, p := range plans {
		covered[p.run.ID] = true
		if !slices.Contains(laid, p.detail) {
			laid = append(laid, p.detail)
		}
	}
	steps := slices.Clone(v.report.Steps)
	var relaxed []rules.Relaxation
	for _, d := range laid {
		for i, s := range d.Steps {
			want := detail.Step{Detail: d.Name, N: i + 1, Text: s.Text, Hold: s.Hold}
			for _, n := range s.Sets {
				want.Sets = append(want.Sets, n.Text)
			}
			k := slices.IndexFunc(steps, func(s detail.Step) bool { return s.Detail == d.Name })
			if k < 0 {
				v.complain("step %d of %s is missing", i+1, d.Name)
				continue
			}
			if fmt.Sprint(steps[k]) != fmt.Sprint(want) {
				v.complain("step %d of %s is %v", i+1, d.Name, steps[k])
			}
			steps = slices.Delete(steps, k, k+1)
		}
		for _, c := range d.Cautions {
			if !slices.Contains(v.report.Cautions, c) {
				v.complain("a caution of %s is missing: %s", d.Name, c)
			}
		}
		for _, n := range d.Notes {
			if !slices.Contains(v.report.Notes, n) {
				v.complain("a note of %s is missing: %s", d.Name, n)
			}
		}
		v.sources(d)
		relaxed = append(relaxed, d.Relaxed...)
	}
	for _, s := range steps {
		v.complain("step %d of %s is too many", s.N, s.Detail)
	}
	if !slices.EqualFunc(relaxed, v.report.Relaxed, func(a, b rules.Relaxation) bool { return a.Rule == b.Rule && a.Because == b.Because }) {
		v.complain("relaxed: %v, not %v", v.report.Relaxed, relaxed)
	}
	for _, run := range v.report.Runs {
		if bare := slices.Contains(v.report.Bare, run.ID); bare == covered[run.ID] {
			v.complain("run %s: bare: %v, laid: %v", run.ID, bare, covered[run.ID])
		}
	}
	v.reasons()
}

func (v *verifier) sources(d *rules.Detail) {
	hold := func(id, source string) {
		if source != "" && !slices.Contains(v.report.Sources, detail.Source{Rule: id, Source: source}) {
			v.complain("the source of %s is missing", id)
		}
	}
	for _, q := range d.Requires {
		hold(q.ID, q.Source)
	}
	for _, e := range d.Elements {
		for _, r := range e.Rules {
			hold(r.ID, r.Source)
		}
	}
}

// reasons holds that each reason counts its scope's marks rightly and names a line that its element obeys.
func (v *verifier) reasons() {
	for _, y := range v.report.Why {
		s := v.report.Scopes[y.Scope]
		p := v.report.Placements[s.Placement]
		if y.Count != s.Last-s.First {
			v.complain("the reason for %s in %s %d counts %d, not %d", p.Element.Name, s.Kind, s.N, y.Count, s.Last-s.First)
		}
		lines := v.linesOf(p.Detail, detail.Violation{Element: p.Element.Name, Run: p.Run.ID})
		if y.Binding != "" && !slices.Contains(lines, y.Binding) {
			v.complain("the reason for %s in %s %d is %q", p.Element.Name, s.Kind, s.N, y.Binding)
		}
	}
}
