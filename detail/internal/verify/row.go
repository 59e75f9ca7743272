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
	if len(marks) == 0 {
		p.noMark(s)
		return
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
				gap := endGap(s, marks, end)
				p.hold(r, s, end, gap, gap.length())
			}
		case rules.Clear:
			p.clear(r, s, points(marks))
		}
	}
	for _, end := range []int{1, 2} {
		p.defaultEnd(s, end, endGap(s, marks, end))
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

// noMark holds a scope without marks: nowhere may one stand. Then there is no spacing and no end to hold, only counts;
// and where no must asks for a count, it is a violation of its own that there is none.
func (p *placement) noMark(s scope) {
	if p.firstAllowed(s, 1) != nil {
		p.complain("%s: no mark, though one may stand", p.at(s.ScopeRef))
	}
	counted := false
	for _, r := range p.element.Rules {
		if r.Measure != rules.Count {
			continue
		}
		before := len(p.broken)
		p.hold(r, s, 0, s.band, whole(0))
		counted = counted || !r.Should && len(p.broken) > before
	}
	if !counted {
		p.empty = append(p.empty, breach{placement: p, scope: s.ScopeRef, place: s.band})
	}
}

// endGap is what lies between an end of a scope (1 left, 2 right) and the nearest mark.
func endGap(s scope, marks []num, end int) band {
	if end == 1 {
		return band{s.from, marks[0]}
	}
	return band{marks[len(marks)-1], s.to}
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

// defaultEnd holds an end gap that no must bounds from above: it may be half of a spacing maximum, or reach the first
// allowed position. Of musts only the least maximum that it breaks is listed, of shoulds each.
func (p *placement) defaultEnd(s scope, end int, gap band) {
	var over []breach
	least := -1
	for _, r := range p.element.Rules {
		if r.Measure != rules.End && r.Measure != rules.Spacing || !p.binds(r.When, s, end, gap) {
			continue
		}
		a, ok := p.ask(r, s, end)
		if !ok || a.max == nil {
			continue
		}
		if r.Measure == rules.End {
			if !r.Should && slices.Contains(endsOf(r), end) {
				return
			}
			continue
		}
		most := a.max
		if p.element.Lay != "stepped" || end == 1 { // a row that is stepped off may end a whole gap from the right
			most = down(half(most))
		}
		if !less(most, gap.length()) {
			continue
		}
		over = append(over, breach{scope: s.ScopeRef, rule: r, place: gap, found: gap.length(), limit: most, by: sub(gap.length(), most)})
		if n := len(over) - 1; !r.Should && (least < 0 || less(most, over[least].limit)) {
			least = n
		}
	}
	if over == nil {
		return
	}
	if first := p.firstAllowed(s, end); first != nil && !less(first, gap.length()) {
		return
	}
	for i, b := range over {
		if b.rule.Should || i == least {
			p.broke(b)
		}
	}
}

// firstAllowed is how far from an end of a scope (1 left, 2 right) the first position on the step lies at which the
// keep-outs of the musts let a mark stand; nil if there is none.
func (p *placement) firstAllowed(s scope, end int) num {
	out := p.keepOuts(s)
	step := ticks(p.report.Book.Mark)
	if step.Sign() == 0 {
		step = whole(1)
	}
	onStep := func(x num, round func(num) num) num { return add(s.from, mul(round(quo(sub(x, s.from), step)), step)) }
	x := s.from
	if end == 2 {
		x = onStep(s.to, down)
	}
	for between(s.from, x, s.to) {
		i := slices.IndexFunc(out, func(b band) bool { return strictlyIn(b.from, x, b.to) })
		switch {
		case i < 0 && end == 1:
			return sub(x, s.from)
		case i < 0:
			return sub(s.to, x)
		case end == 1:
			x = onStep(out[i].to, up)
		default:
			x = onStep(out[i].from, down)
		}
	}
	return nil
}

// keepOuts are the bands of which the musts allow no mark strictly inside.
func (p *placement) keepOuts(s scope) []band {
	var out []band
	for _, o := range obstacles(p.run, p.side) {
		out = append(out, obstacleBand(o))
	}
	for _, r := range p.element.Rules {
		if r.Should || r.Measure != rules.Clear && r.Measure != rules.End {
			continue
		}
		if r.Measure == rules.Clear {
			if a, ok := p.ask(r, s, 0); ok {
				for _, f := range p.features(r.From) {
					out = append(out, p.boundParts(r, s, f.wider(a.min))...)
				}
			}
			continue
		}
		for _, end := range endsOf(r) {
			if a, ok := p.ask(r, s, end); ok && a.min != nil {
				out = append(out, p.tooNear(r, s, end, a.min)...)
			}
		}
	}
	return out
}

// tooNear are the bands where a mark, being the nearest to an end, would be nearer than a rule's least distance. A
// condition binds the end gap as soon as that touches a cell in which it holds.
func (p *placement) tooNear(r *rules.Rule, s scope, end int, least num) []band {
	var out []band
	for _, c := range p.where(r.When) {
		if !c.touches(s.band) || r.When != nil && !p.holdsIn(c, r.When, s, end) {
			continue
		}
		if end == 1 {
			out = append(out, band{sub(larger(c.from, s.from), whole(1)), add(s.from, least)})
		} else {
			out = append(out, band{sub(s.to, least), add(smaller(c.to, s.to), whole(1))})
		}
	}
	return slices.DeleteFunc(out, func(b band) bool { return !less(b.from, b.to) })
}

// boundParts are the parts of a keep-out in which a rule's condition holds, a mark on a cell's border being bound.
func (p *placement) boundParts(r *rules.Rule, s scope, out band) []band {
	if r.When == nil {
		return []band{out}
	}
	var parts []band
	for _, c := range p.where(r.When) {
		part := c.wider(whole(1))
		part.from, part.to = larger(part.from, out.from), smaller(part.to, out.to)
		if less(part.from, part.to) && p.holdsIn(c, r.When, s, 0) {
			parts = append(parts, part)
		}
	}
	return parts
}

// clear holds how far what stands, a mark or a whole lap, is from the nearest face over all features; a should is kept
// or not feature by feature, and so listed. A condition binds a mark where it stands, and a lap wherever the keep-out of
// the feature is.
func (p *placement) clear(r *rules.Rule, s scope, stands []band) {
	a, ok := p.ask(r, s, 0)
	if !ok {
		return
	}
	features := p.features(r.From)
	for _, b := range stands {
		var nearest, where *band
		for _, f := range features {
			binding := b
			if p.element.Kind != rules.Row {
				binding = f.wider(a.min)
			}
			if found := f.apart(b); !less(found, a.min) || !p.binds(r.When, s, 0, binding) {
				continue
			}
			if r.Should {
				p.holdWhere(r, s, 0, binding, b, f.apart(b))
			} else if nearest == nil || less(f.apart(b), nearest.apart(b)) {
				nearest, where = &f, &binding
			}
		}
		if nearest != nil {
			p.holdWhere(r, s, 0, *where, b, nearest.apart(b))
		}
	}
}

func points(marks []num) []band {
	var list []band
	for _, x := range marks {
		list = append(list, point(x))
	}
	return list
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
		for i, x := range []num{whole(0), ticks(p.run.Length)} {
			if p.run.Edge == "rib" && p.run.Ends[i] == "penetration" {
				list = append(list, point(x))
			}
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

// stations holds the marks of an `at` scope: exactly where they are asked for, and clear of what the rules say.
func (p *placement) stations(s scope, laid detail.Scope) {
	marks := p.marksOf(laid)
	p.standing(s, marks, false)
	want := p.wanted(s)
	if len(want) != len(marks) {
		p.complain("%s: %d marks where %d are asked for", p.at(s.ScopeRef), len(marks), len(want))
		return
	}
	for i, x := range marks {
		// Half a tick either way where the middle of the group is no whole tick.
		if off := sub(x, want[i]); less(half(whole(1)), larger(off, neg(off))) {
			p.complain("%s: the mark at %s should be at %s", p.at(s.ScopeRef), show(x), show(want[i]))
		}
	}
	p.onRun(s, marks)
	for _, r := range p.element.Rules {
		if r.Measure == rules.Clear {
			p.clear(r, s, points(marks))
		}
	}
}

// onRun holds the marks at a feature of the run to the run: off it, they break the line that took them there, the
// offset if the station is off it already.
func (p *placement) onRun(s scope, marks []num) {
	end := ticks(p.run.Length)
	if !between(whole(0), s.from, end) || p.run.Edge == "penetration" {
		return
	}
	measure := rules.Spacing
	if !between(whole(0), p.station(s), end) {
		measure = rules.Offset
	}
	for _, x := range marks {
		b := breach{scope: s.ScopeRef, place: point(x), op: ">=", limit: whole(0), found: x, by: neg(x)}
		if less(end, x) {
			b.op, b.limit, b.by = "<=", end, sub(x, end)
		}
		if b.by.Sign() <= 0 {
			continue
		}
		for _, r := range p.element.Rules {
			if r.Measure == measure && p.binds(r.When, s, 0, s.band) {
				b.rule = r
			}
		}
		p.broke(b)
	}
}

// wanted are the stations that an `at` scope asks for: one, or as many as `count` says, centred at the spacing.
func (p *placement) wanted(s scope) []num {
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
	at := p.station(s)
	var list []num
	for i := whole(0); less(i, count); i = add(i, whole(1)) {
		list = append(list, add(at, mul(spacing, sub(i, half(sub(count, whole(1)))))))
	}
	return list
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
