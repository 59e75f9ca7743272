package verify

import (
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A scope is one occurrence of an element's scope, as the scope clause asks for it.
type scope struct {
	detail.ScopeRef
	band
	panel *panel // of `in each panel` and `at each panel`
	ring  *ring  // round a penetration, along which stations go
}

// end is the run's end that the scope stands for: 1 left, 2 right, 0 none.
func (s scope) end() int {
	if s.Kind == "end" {
		return s.N
	}
	return 0
}

// sidesOf are the sides on which an element stands: -1 where it spans them.
func (p *plan) sidesOf(e *rules.Element) []int {
	if kindOf(p.run) == "field" && e.Scope.Name == nil {
		if e.Scope.Of == p.run.Edge { // along each rib, at or round each penetration
			return []int{0}
		}
		return nil
	}
	switch e.Scope.Of {
	case "run", "end":
		return []int{-1}
	case "side", "panel", "rib":
		var all []int
		for i := range p.run.Sides {
			all = append(all, i)
		}
		return all
	}
	for _, named := range p.detail.Elements {
		if named.Name == e.Scope.Name.Text {
			return p.sidesOf(named)
		}
	}
	return nil
}

// scopes lists what the scope clause of a placement asks for, whether it is laid or left out.
func (p *placement) scopes() []scope {
	clause := p.element.Scope
	run := band{whole(0), ticks(p.run.Length)}
	var list []scope
	var round *ring
	if clause.Name != nil {
		round = p.named().round()
	}
	put := func(n int, b band) {
		list = append(list, scope{ScopeRef: detail.ScopeRef{Kind: clause.Of, N: n}, band: b, ring: round})
	}
	switch clause.Of {
	case "run":
		put(1, run)
	case "side":
		put(p.side+1, run)
	case "end":
		put(1, point(run.from))
		put(2, point(run.to))
	case "panel":
		for i, pan := range p.panels(p.side) {
			put(i+1, pan.band)
			if clause.How == "at" {
				list[i].band = point(middle(pan.band))
			}
			list[i].panel = &pan
		}
	case "penetration":
		n := p.run.Sides[0].On.N
		put(n, point(whole(0)))
		if clause.How == "around" {
			list[0].ring = p.around(n)
			list[0].band = band{whole(0), list[0].ring.length}
		}
	case "rib":
		if on := p.run.Sides[p.side].On; clause.How == "along" {
			if counted(clause, on.N) {
				put(on.N, run)
			}
			break
		}
		for i, rib := range p.run.Sides[p.side].Ribs {
			if x := ticks(rib); counted(clause, i+1) && between(run.from, x, run.to) {
				put(i+1, point(x))
			}
		}
	case "mark":
		for i, x := range p.named().marks() {
			put(i+1, point(x))
		}
	case "gap":
		stations := p.named().marks()
		if round != nil {
			for i, x := range stations { // once round and on
				turns := down(quo(x, round.length))
				stations[i] = sub(x, mul(turns, round.length))
			}
			slices.SortFunc(stations, num.Cmp)
			if len(stations) > 0 {
				stations = append(stations, add(stations[0], round.length))
			}
		} else if clause.How == "in" && p.run.Edge != "penetration" {
			stations = slices.DeleteFunc(stations, func(x num) bool { return !between(run.from, x, run.to) })
			stations = append(stations, run.from, run.to)
			slices.SortFunc(stations, num.Cmp)
		}
		for i := 1; i < len(stations); i++ {
			if gap := (band{stations[i-1], stations[i]}); less(gap.from, gap.to) {
				if clause.How == "at" {
					gap = point(middle(gap))
				}
				put(len(list)+1, gap)
			}
		}
	case "piece":
		for i, b := range p.named().covered() {
			put(i+1, b)
		}
	case "lap":
		for i, b := range p.named().laps() {
			put(i+1, point(middle(b)))
		}
	}
	return list
}

// round is the ring that a placement's scopes lie along, or nil.
func (p *placement) round() *ring {
	clause := p.element.Scope
	if clause.How == "around" {
		if len(p.inReport) == 0 {
			return nil
		}
		return p.around(p.run.Sides[0].On.N)
	}
	if clause.Name != nil && len(p.inReport) > 0 {
		return p.named().round()
	}
	return nil
}

// middle is the middle of a band, half a tick left of it where that is no whole tick.
func middle(b band) num { return down(half(add(b.from, b.to))) }

// counted tells whether the n-th rib is one of those counted off: `each 2nd rib` is 2, 4, 6 and so on,
// `each 3rd rib from rib 2` is 2, 5, 8.
func counted(s *rules.ScopeDecl, n int) bool {
	if s.Every <= 1 && s.From == 0 {
		return true
	}
	first := s.From
	if first == 0 {
		first = s.Every
	}
	return n >= first && (n-first)%s.Every == 0
}

// named is the placement on the same side that the scope clause names.
func (p *placement) named() *placement {
	return p.placements[key{p.element.Scope.Name.Text, p.side}]
}

// laid are the report's scopes of a placement.
func (p *placement) laid() []detail.Scope {
	if p == nil {
		return nil
	}
	return p.inReport
}

// marks are the stations of a row, from left to right.
func (p *placement) marks() []num {
	var list []num
	for _, s := range p.laid() {
		list = append(list, p.marksOf(s)...)
	}
	slices.SortFunc(list, num.Cmp)
	return list
}

func (p *placement) marksOf(s detail.Scope) []num {
	var list []num
	for _, m := range p.report.Marks[s.First:s.Last] {
		list = append(list, ticks(m.At))
	}
	return list
}

// A length is a piece or a strip where it lies.
type length struct {
	band
	lap    num  // with the one before, as the report says it; a strip says none
	joint  bool // it joins the one before; false beyond an obstacle
	number int
	used   num // what is cut for it
}

func (p *placement) lengthsOf(s detail.Scope) []length {
	var list []length
	if p.element.Kind == rules.Strip {
		for i, x := range p.report.Strips[s.First:s.Last] {
			l := length{band: bandOf(x.From, x.To), number: int(x.N), used: ticks(x.Length)}
			// A strip that starts beyond the end of the one before, with an obstacle between, joins nothing.
			l.joint = i > 0 && len(without(band{smaller(l.from, list[i-1].to), larger(l.from, list[i-1].to)}, obstacles(p.run, p.side))) > 0 ||
				i > 0 && !less(list[i-1].to, l.from)
			if l.joint {
				l.lap = sub(list[i-1].to, l.from)
			}
			list = append(list, l)
		}
		return list
	}
	for _, x := range p.report.Pieces[s.First:s.Last] {
		b := bandOf(x.From, x.To)
		list = append(list, length{b, ticks(x.Lap), x.Joint, int(x.N), b.length()})
	}
	return list
}

// covered are the pieces or strips of a placement, in their order.
func (p *placement) covered() []band {
	var list []band
	for _, s := range p.laid() {
		for _, l := range p.lengthsOf(s) {
			list = append(list, l.band)
		}
	}
	return list
}

// laps are the bands where neighbouring pieces overlap, or stand apart.
func (p *placement) laps() []band {
	var list []band
	for _, s := range p.laid() {
		all := p.lengthsOf(s)
		for i := 1; i < len(all); i++ {
			if all[i].joint {
				list = append(list, lapBand(all[i-1].band, all[i].band))
			}
		}
	}
	return list
}

func lapBand(left, right band) band {
	return band{smaller(left.to, right.from), larger(left.to, right.from)}
}

func bandOf(from, to units.Length) band { return band{ticks(from), ticks(to)} }
