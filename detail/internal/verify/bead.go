package verify

import (
	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// beads holds one bead at a feature, or one along each stretch of a scope.
func (p *placement) beads(s scope, laid detail.Scope) {
	type bead struct{ at, length num }
	var want []bead
	if p.element.Scope.How == "at" {
		want = []bead{{p.station(s), whole(0)}}
	} else {
		for _, st := range p.stretches(s) {
			want = append(want, bead{st.from, st.length()})
		}
	}
	found := p.report.Beads[laid.First:laid.Last]
	if len(found) != len(want) {
		p.complain("%s: %d beads, not %d", p.at(s.ScopeRef), len(found), len(want))
		return
	}
	used := p.used(s)
	for i, b := range found {
		if used != nil {
			want[i].length = used
		}
		if !equal(ticks(b.At), want[i].at) || !equal(ticks(b.Length), want[i].length) {
			p.complain("%s: a bead of %s at %s should be %s at %s", p.at(s.ScopeRef), b.Length, b.At, show(want[i].length), show(want[i].at))
		}
		p.bounded(s, point(ticks(b.At)), ticks(b.Length))
		if p.element.Scope.How == "at" {
			p.onRun(s, []num{ticks(b.At)})
		}
	}
}

// bounded holds a bead, or a strip whose length a rule sets, against the other bounds on its length.
func (p *placement) bounded(s scope, place band, length num) {
	for _, r := range p.element.Rules {
		if r.Measure == rules.Length && r.Op != rules.Equal {
			p.holdWhere(r, s, 0, s.band, place, length)
		}
	}
}
