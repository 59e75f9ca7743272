package verify

import (
	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// A placement is an element on one side of a run (or across its sides), with what the report lays for it.
type placement struct {
	*plan
	element  *rules.Element
	side     int // -1: across the sides
	first    int // the place of the first of them in the report
	inReport []detail.Scope
	skipped  []detail.Skip
}

// key names a placement within its plan.
type key struct {
	element string
	side    int
}

// sideID is the id under which the report lists the placement.
func (p *placement) sideID() string {
	if p.side < 0 {
		return ""
	}
	return p.run.Sides[p.side].ID
}

// views are the sides whose slope, panels and ribs an expression may mean.
func (p *placement) views() []int {
	if p.side >= 0 {
		return []int{p.side}
	}
	var all []int
	for i := range p.run.Sides {
		all = append(all, i)
	}
	return all
}

// in gives names their values in a scope, seen from one side; end is 1 or 2 where a rule speaks of one end.
func (p *plan) in(s scope, side, end int, zones []string) names {
	return func(name string) (value, bool) {
		if v, ok := p.given(name, side, zones); ok {
			return v, true
		}
		switch {
		case name == "scope.length":
			return value{num: s.length()}, true
		case name == "end.kind" && max(end, s.end()) > 0:
			return value{words: p.endKind(s, max(end, s.end()))}, true
		case s.panel != nil && name == "panel.width":
			return value{num: s.panel.width}, true
		case s.panel != nil && name == "panel.flat":
			return value{num: s.panel.flat}, true
		case s.panel != nil && name == "panel.cut":
			return value{yes: s.panel.cut}, true
		}
		for _, let := range p.detail.Lets {
			if let.Name.Text == name {
				v, err := eval(let.Value, p.in(s, side, end, zones))
				return v, err == nil
			}
		}
		return value{}, false
	}
}

// endKind is what the run ends at, where an end of a scope is the run's; an end inside the run is of no kind.
func (p *plan) endKind(s scope, end int) []string {
	if end == 1 && s.from.Sign() > 0 || end == 2 && less(s.to, ticks(p.run.Length)) {
		return nil
	}
	return []string{p.run.Ends[end-1]}
}

// given are the names that have a value whatever the scope.
func (p *plan) given(name string, side int, zones []string) (value, bool) {
	if v, ok := p.inputs[name]; ok {
		return v, true
	}
	s := &p.run.Sides[side]
	switch name {
	case "run.length":
		return value{num: ticks(p.run.Length)}, true
	case "run.edge":
		return value{words: []string{p.run.Edge}}, true
	case "slope":
		return value{num: s.Slope.Rat()}, true
	case "side":
		return value{words: []string{s.Role}}, s.Role != ""
	case "rib.width":
		return value{num: ticks(s.Profile.RibWidth)}, s.HasPanels || p.run.Edge == geom.RibLine
	case "rib.height":
		return value{num: ticks(s.Profile.RibHeight)}, s.HasPanels || p.run.Edge == geom.RibLine
	case "penetration.width":
		if h := p.hole(); h != nil {
			return value{num: add(ticks(h.Diameter), ticks(h.Width))}, true // it has one of the two
		}
	case "zone":
		return value{words: zones}, true
	}
	return value{}, false
}

// binds tells whether a condition holds at any place that b touches, in any view; no condition always holds.
func (p *placement) binds(when rules.Expr, s scope, end int, b band) bool {
	if when == nil {
		return true
	}
	for _, c := range p.where(when) {
		if c.touches(b) && p.holdsIn(c, when, s, end) {
			return true
		}
	}
	return false
}

// where are the cells in which a condition may differ: one without end for a condition that asks for no zone.
func (p *plan) where(when rules.Expr) []cell {
	if when != nil && p.mentions(when, "zone") {
		return p.cells
	}
	return []cell{{band: band{neg(far), far}}}
}

// far is beyond every station.
var far = whole(1 << 62)

// holdsIn tells whether a condition holds in a cell of the run, in any view.
func (p *placement) holdsIn(c cell, when rules.Expr, s scope, end int) bool {
	for _, side := range p.views() {
		v, err := eval(when, p.in(s, side, end, c.zones))
		if err != nil {
			p.complain("%s: a condition can't be computed: %v", p.at(s.ScopeRef), err)
		}
		if err == nil && v.yes {
			return true
		}
	}
	return false
}

// An asked is what a rule asks for in a scope: at least min, at most max; nil where it bounds nothing. Both are whole
// ticks, or whole counts: a maximum is rounded down and a minimum up.
type asked struct{ min, max num }

// ask computes a rule's bounds. Where views differ, the stricter counts.
func (p *placement) ask(r *rules.Rule, s scope, end int) (asked, bool) {
	var a asked
	for _, side := range p.views() {
		v, err := eval(r.Value, p.in(s, side, end, nil))
		if err != nil || v.num == nil {
			p.complain("%s: %s can't be computed: %v", p.at(s.ScopeRef), r.ID, err)
			return a, false
		}
		one := bounds(r.Op, v.num)
		if one.min != nil && (a.min == nil || less(a.min, one.min)) {
			a.min = one.min
		}
		if one.max != nil && (a.max == nil || less(one.max, a.max)) {
			a.max = one.max
		}
	}
	return a, true
}

func bounds(op rules.Op, v num) asked {
	switch op {
	case rules.Less:
		return asked{max: sub(up(v), whole(1))}
	case rules.AtMost:
		return asked{max: down(v)}
	case rules.AtLeast:
		return asked{min: up(v)}
	case rules.Greater:
		return asked{min: add(down(v), whole(1))}
	}
	nearest := up(sub(v, half(whole(1)))) // a half goes down
	return asked{nearest, nearest}
}

// breach says whether found is outside what is asked, and by how much.
func (a asked) breach(found num) (by num, broken bool) {
	if a.min != nil && less(found, a.min) {
		return sub(a.min, found), true
	}
	if a.max != nil && less(a.max, found) {
		return sub(found, a.max), true
	}
	return nil, false
}
