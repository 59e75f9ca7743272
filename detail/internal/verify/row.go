package verify

import (
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// row holds the marks of an `along` or `in` scope against the element's rules.
func (p *placement) row(s scope, laid detail.Scope) {
	marks := p.marksOf(laid)
	p.standing(s, marks, true)
	if len(marks) == 0 && p.firstAllowed(s, 1) != nil {
		p.complain("%s: no mark, though one may stand", p.at(s.ScopeRef))
	}
	for _, r := range p.element.Rules {
		switch r.Measure {
		case rules.Spacing:
			for i := 1; i < len(marks); i++ {
				p.hold(r, s, 0, band{marks[i-1], marks[i]}, sub(marks[i], marks[i-1]))
			}
		case rules.Count:
			p.hold(r, s, 0, s.band, whole(int64(len(marks))))
		case rules.End:
			for _, end := range endsOf(r) {
				if gap, ok := endGap(s, marks, end); ok {
					p.hold(r, s, end, gap, gap.length())
				}
			}
		case rules.Clear:
			p.clearOfMarks(r, s, marks)
		}
	}
	for _, end := range []int{1, 2} {
		if gap, ok := endGap(s, marks, end); ok {
			p.defaultEnd(s, end, gap)
		}
	}
}

// standing holds where marks may stand whatever the rules say: in order, in their scope and outside obstacles, and,
// where they were free to choose, on the book's step from the scope's start.
func (p *placement) standing(s scope, marks []num, free bool) {
	step := ticks(p.report.Book.Mark)
	for i, x := range marks {
		if i > 0 && (less(x, marks[i-1]) || free && equal(x, marks[i-1])) {
			p.complain("%s: the mark at %s doesn't come after the one at %s", p.at(s.ScopeRef), show(x), show(marks[i-1]))
		}
		if free && !between(s.from, x, s.to) {
			p.complain("%s: the mark at %s is outside its scope", p.at(s.ScopeRef), show(x))
		}
		if free && step.Sign() > 0 && !multipleOf(sub(x, s.from), step) {
			p.complain("%s: the mark at %s is off the step of %s", p.at(s.ScopeRef), show(x), show(step))
		}
		for _, o := range obstacles(p.run, p.side) {
			if b := obstacleBand(o); strictlyIn(b.from, x, b.to) {
				p.complain("%s: the mark at %s is inside obstacle %s", p.at(s.ScopeRef), show(x), o.ID)
			}
		}
	}
}

// endGap is what lies between an end of a scope (1 left, 2 right) and the nearest mark.
func endGap(s scope, marks []num, end int) (band, bool) {
	if len(marks) == 0 {
		return band{}, false
	}
	if end == 1 {
		return band{s.from, marks[0]}, true
	}
	return band{marks[len(marks)-1], s.to}, true
}

func endsOf(r *rules.Rule) []int {
	switch r.Side {
	case rules.Left:
		return []int{1}
	case rules.Right:
		return []int{2}
	}
	return []int{1, 2}
}

// defaultEnd holds an end gap that no must bounds from above against half the least spacing maximum there; the gap
// may also reach the first allowed position.
func (p *placement) defaultEnd(s scope, end int, gap band) {
	var least *rules.Rule
	var most num
	for _, r := range p.element.Rules {
		if r.Should || r.Measure != rules.End && r.Measure != rules.Spacing || !p.binds(r.When, s, end, gap) {
			continue
		}
		a, ok := p.ask(r, s, end)
		if !ok || a.max == nil {
			continue
		}
		if r.Measure == rules.End && slices.Contains(endsOf(r), end) {
			return
		}
		if r.Measure == rules.Spacing && (most == nil || less(a.max, most)) {
			least, most = r, a.max
		}
	}
	if least == nil || !less(most, mul(gap.length(), whole(2))) {
		return
	}
	if first := p.firstAllowed(s, end); first != nil && !less(first, gap.length()) {
		return
	}
	p.broke(breach{scope: s.ScopeRef, rule: least, place: gap, found: gap.length(), limit: half(most), by: sub(gap.length(), half(most))})
}

// firstAllowed is how far from an end of a scope the first position lies at which the keep-outs of the musts let a
// mark stand; nil if there is none.
func (p *placement) firstAllowed(s scope, end int) num {
	var out []band // no mark stands strictly inside one
	for _, o := range obstacles(p.run, p.side) {
		out = append(out, obstacleBand(o))
	}
	lo, hi := s.from, s.to
	for _, r := range p.element.Rules {
		if r.Should {
			continue
		}
		switch r.Measure {
		case rules.Clear:
			a, ok := p.ask(r, s, 0)
			if !ok {
				continue
			}
			for _, f := range p.features(r.From) {
				out = append(out, p.boundParts(r, s, f.wider(a.min))...)
			}
		case rules.End:
			for _, e := range endsOf(r) {
				a, ok := p.ask(r, s, e)
				if !ok || a.min == nil {
					continue
				}
				// The gap to the end is bound where it touches a cell: a mark nearer than the least is out.
				if e == 1 && p.binds(r.When, s, e, point(s.from)) {
					lo = larger(lo, add(s.from, a.min))
				}
				if e == 2 && p.binds(r.When, s, e, point(s.to)) {
					hi = smaller(hi, sub(s.to, a.min))
				}
			}
		}
	}
	step := ticks(p.report.Book.Mark)
	if step.Sign() == 0 {
		step = whole(1)
	}
	onStep := func(x num, round func(num) num) num { return add(s.from, mul(round(quo(sub(x, s.from), step)), step)) }
	if end == 1 {
		return p.walk(onStep(lo, up), out, func(x num) num { return sub(x, s.from) },
			func(b band) num { return onStep(b.to, up) }, func(x num) bool { return less(hi, x) })
	}
	return p.walk(onStep(hi, down), out, func(x num) num { return sub(s.to, x) },
		func(b band) num { return onStep(b.from, down) }, func(x num) bool { return less(x, lo) })
}

// walk goes on from x, past each band that it is strictly inside of, until it is free or beyond the scope.
func (p *placement) walk(x num, out []band, reach func(num) num, past func(band) num, beyond func(num) bool) num {
	for moved := true; moved; {
		moved = false
		if beyond(x) {
			return nil
		}
		for _, b := range out {
			if strictlyIn(b.from, x, b.to) {
				x, moved = past(b), true
			}
		}
	}
	return reach(x)
}

// boundParts are the parts of a keep-out in which a rule's condition holds, a mark on a cell's border being bound.
func (p *placement) boundParts(r *rules.Rule, s scope, out band) []band {
	if r.When == nil {
		return []band{out}
	}
	var parts []band
	for _, c := range p.cells {
		part := c.wider(whole(1))
		part.from, part.to = larger(part.from, out.from), smaller(part.to, out.to)
		if less(part.from, part.to) && p.holdsIn(c, r.When, s, 0) {
			parts = append(parts, part)
		}
	}
	return parts
}

// clearOfMarks holds each mark's distance from each feature's nearest face.
func (p *placement) clearOfMarks(r *rules.Rule, s scope, marks []num) {
	for _, x := range marks {
		for _, f := range p.features(r.From) {
			p.hold(r, s, 0, point(x), f.apart(point(x)))
		}
	}
}

// features are the bands from which a distance is measured.
func (p *placement) features(f *rules.Feature) []band {
	var list []band
	switch f.Of {
	case "rib":
		for _, side := range p.views() {
			list = append(list, ribBands(&p.run.Sides[side])...)
		}
	case "end":
		list = []band{point(whole(0)), point(ticks(p.run.Length))}
	case "penetration":
		for _, o := range obstacles(p.run, p.side) {
			list = append(list, obstacleBand(o))
		}
	case "zone":
		for _, z := range p.run.Zones {
			for _, x := range []num{ticks(z.From), ticks(z.To)} {
				if strictlyIn(whole(0), x, ticks(p.run.Length)) {
					list = append(list, point(x))
				}
			}
		}
	case "lap", "mark":
		for _, other := range p.beside(f.Name.Text) {
			if f.Of == "lap" {
				list = append(list, other.laps()...)
				continue
			}
			for _, x := range other.marks() {
				list = append(list, point(x))
			}
		}
	}
	slices.SortFunc(list, byPlace)
	return slices.CompactFunc(list, func(a, b band) bool { return byPlace(a, b) == 0 })
}

// beside are the placements of an element that this one sees: those on its side and those across the sides.
func (p *placement) beside(name string) []*placement {
	var list []*placement
	for _, other := range p.order {
		if other.element.Name == name && (p.side < 0 || other.side < 0 || other.side == p.side) {
			list = append(list, other)
		}
	}
	return list
}

// stations holds the marks of an `at` scope: exactly where the feature, the offset, the count and the spacing put
// them, and clear of what the rules say.
func (p *placement) stations(s scope, laid detail.Scope) {
	marks := p.marksOf(laid)
	p.standing(s, marks, false)
	count, spacing := whole(1), whole(0)
	for _, r := range p.element.Rules {
		if r.Measure != rules.Count && r.Measure != rules.Spacing || !p.binds(r.When, s, 0, s.band) {
			continue
		}
		a, ok := p.ask(r, s, 0)
		switch {
		case !ok || a.min == nil:
		case r.Measure == rules.Count:
			count = a.min
		default:
			spacing = a.min
		}
	}
	if !equal(count, whole(int64(len(marks)))) {
		p.complain("%s: %d marks where %s are asked for", p.at(s.ScopeRef), len(marks), count.RatString())
		return
	}
	at := p.station(s)
	for i, x := range marks {
		// Counted from the middle of the group, half a tick either way where the middle is no whole tick.
		want := add(at, mul(spacing, sub(whole(int64(i)), half(sub(count, whole(1))))))
		if off := sub(x, want); less(half(whole(1)), larger(off, neg(off))) {
			p.complain("%s: the mark at %s should be at %s", p.at(s.ScopeRef), show(x), show(want))
		}
	}
	for _, r := range p.element.Rules {
		if r.Measure == rules.Clear {
			p.clearOfMarks(r, s, marks)
		}
	}
}

// station is a feature's middle with the offset: toward the run's far end, at its ends inward.
func (p *placement) station(s scope) num {
	at := s.from
	for _, r := range p.element.Rules {
		if r.Measure != rules.Offset || !p.binds(r.When, s, 0, s.band) {
			continue
		}
		if a, ok := p.ask(r, s, 0); ok {
			at = add(s.from, a.min)
			if s.end() == 2 {
				at = sub(s.from, a.min)
			}
		}
	}
	return at
}
