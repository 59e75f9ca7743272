package chain

import (
	"cmp"
	"slices"
)

// A grid is a row in whole steps under the limits in force, seen from the left and, mirrored, from the right: what
// looks from one mark to the next is written once.
type grid struct {
	step    int64
	n       int64   // the last position
	view    [2]view // from the left, from the right: there position k is n-k
	lo      int64   // fewest marks that may be
	hi      int64   // most
	mins    bool    // some gap has a minimum over one step
	bounded bool    // some gap has a maximum
	least   int64   // the smallest of the minimums, in steps
}

// A view is a grid seen from one end.
type view struct {
	segs  []seg
	bands []band
	at    []int // the bands of cell c are bands[at[c]:at[c+1]]
	end   endLimits
	first []Span // where the first mark may stand
	last  []Span // where the last mark may stand
}

// A seg is a closed interval of positions within one cell, between neighbouring borders of limits' Spans: from anywhere
// in it the same limits bind.
type seg struct {
	lo, hi int64
	cell   int32
	pair   int32 // the cell of the mirror image, where one is looked at
}

// A band holds the limits of gaps from a cell to the positions from from on, up to the next band.
type band struct{ from, min, max int64 }

// endLimits bound the distance from an end of the scope to the nearest mark, in fine units.
type endLimits struct {
	rest   int64  // from the end to the nearest step
	first  int64  // distance of the first allowed position
	own    int64  // from here on a must maximum of the end's own binds
	must   int64  // that maximum
	should int64  // the maximum of shoulds
	half   int64  // the default maximum, of the largest gap
	banned []Span // distances that minimums forbid although keep-outs don't
	yields bool   // the end's own maximum gives way to half the largest gap
}

// far is more than any distance in fine units.
const far = 4 * MaxLength

// zone is a Span in steps: it touches gaps from a mark up to to, to a mark from from on.
type zone struct {
	limit    int
	from, to int64
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

func ceilDiv(a, b int64) int64 { return -floorDiv(-a, b) }

// build puts the limits in force on a grid. With relaxed, the musts' largest gaps, and their defaults at the ends,
// are left out. It reports false where no position is allowed.
func (s *rowScratch) build(p *Row, in []bool, relaxed bool) bool {
	g := &s.grid
	g.step, g.lo, g.hi = 1, 1, far
	shoulds := false
	for i := range p.Limits {
		l := &p.Limits[i]
		if l.Kind == Step && (in[i] || l.Should) {
			g.step = l.Value
		}
		if !in[i] {
			continue
		}
		switch l.Kind {
		case CountMin:
			g.lo = max(g.lo, l.Value)
		case CountMax:
			g.hi = min(g.hi, l.Value)
		case Keep, EndMin:
			shoulds = shoulds || l.Should
		}
	}
	g.n = p.Length / g.step
	s.cuts = append(s.cuts[:0], 0)
	a, b := &g.view[0], &g.view[1]
	a.end.reset(0)
	b.end.reset(p.Length - g.n*g.step)
	s.ends(p, in, relaxed)
	if !s.allow(p, in, false) {
		return false
	}
	s.mirrorSegs()
	a.end.first, b.end.first = a.firstAllowed(g.step), b.firstAllowed(g.step)
	if shoulds {
		a.end.banned, b.end.banned = a.end.banned[:0], b.end.banned[:0]
		if !s.allow(p, in, true) {
			return false
		}
	}
	s.gaps(p, in, relaxed)
	s.cut(a)
	s.mirrorSegs()
	s.bands(p, a)
	s.mirrorZones()
	s.bands(p, b)
	return true
}

func (e *endLimits) reset(rest int64) {
	*e = endLimits{rest: rest, first: far, own: far, must: far, should: far, half: far, banned: e.banned[:0]}
}

// binds gives the distance from which on an end gap touches spans.
func binds(spans []Span, end Ends, length int64) int64 {
	if spans == nil {
		return 0
	}
	d := int64(far)
	for _, s := range spans {
		if s.From > s.To {
			continue
		}
		if end == LeftEnd && s.To >= 0 {
			d = min(d, max(0, s.From))
		}
		if end == RightEnd && s.From <= length {
			d = min(d, max(0, length-s.To))
		}
	}
	return d
}

// allow fills the left view's segs with the positions that minimums and keep-outs leave, and the bans of both ends. It
// leaves shoulds out unless they are asked for.
func (s *rowScratch) allow(p *Row, in []bool, shoulds bool) bool {
	g := &s.grid
	from, to := int64(0), g.n
	s.keep = s.keep[:0]
	sorted := 0 // so many of keep are in order
	for i := range p.Limits {
		l := &p.Limits[i]
		if !in[i] || l.Should && !shoulds {
			continue
		}
		switch l.Kind {
		case Keep:
			for _, k := range l.Spans {
				z := Span{floorDiv(max(k.From, -1), g.step) + 1, ceilDiv(min(k.To, p.Length+1), g.step) - 1}
				if k.From >= k.To || z.From > z.To {
					continue
				}
				if n := len(s.keep); sorted == n && (n == 0 || s.keep[n-1].From <= z.From) {
					sorted++
				}
				s.keep = append(s.keep, z)
			}
		case EndMin:
			v := max(min(l.Value, far), 0)
			if l.Ends&LeftEnd != 0 {
				if d := binds(l.Spans, LeftEnd, p.Length); d == 0 {
					from = max(from, ceilDiv(v, g.step))
				} else if d < v && d <= p.Length {
					g.view[0].end.banned = append(g.view[0].end.banned, Span{d, v - 1})
				}
			}
			if l.Ends&RightEnd != 0 {
				if d := binds(l.Spans, RightEnd, p.Length); d == 0 {
					to = min(to, floorDiv(p.Length-v, g.step))
				} else if d < v && d <= p.Length {
					g.view[1].end.banned = append(g.view[1].end.banned, Span{d, v - 1})
				}
			}
		}
	}
	s.sortKeep(sorted)
	segs := g.view[0].segs[:0]
	for _, k := range s.keep {
		if k.From > to {
			break
		}
		if from < k.From {
			segs = append(segs, seg{lo: from, hi: k.From - 1})
		}
		from = max(from, k.To+1)
	}
	if from <= to {
		segs = append(segs, seg{lo: from, hi: to})
	}
	g.view[0].segs = segs
	s.work += int64(len(s.keep))
	return len(segs) > 0
}

// sortKeep sorts keep, of which so many are in order: mostly nearly all, as one list of limits follows another.
func (s *rowScratch) sortKeep(sorted int) {
	s.late = append(s.late[:0], s.keep[sorted:]...)
	slices.SortFunc(s.late, byFrom)
	to := len(s.keep) - 1
	for i, j := sorted-1, len(s.late)-1; j >= 0; to-- {
		if i >= 0 && s.keep[i].From > s.late[j].From {
			s.keep[to] = s.keep[i]
			i--
		} else {
			s.keep[to] = s.late[j]
			j--
		}
	}
}

// firstAllowed is the distance from the view's end to the first position where a mark may stand, far for none.
func (v *view) firstAllowed(step int64) int64 {
	for _, p := range v.segs {
		k := p.lo
		for again := true; again; {
			again = false
			for _, b := range v.end.banned {
				if d := v.end.rest + k*step; d >= b.From && d <= b.To {
					k, again = floorDiv(b.To-v.end.rest, step)+1, true
				}
			}
		}
		if k <= p.hi {
			return v.end.rest + k*step
		}
	}
	return far
}

// ends sets the maximums of both end gaps.
func (s *rowScratch) ends(p *Row, in []bool, relaxed bool) {
	for i := range p.Limits {
		l := &p.Limits[i]
		if !in[i] || l.Kind != GapMax && l.Kind != EndMax {
			continue
		}
		for side, end := range [2]Ends{LeftEnd, RightEnd} {
			e := &s.grid.view[side].end
			d := binds(l.Spans, end, p.Length)
			switch {
			case d > p.Length:
			case l.Kind == GapMax && relaxed && !l.Should:
			case l.Kind == GapMax && end == RightEnd && p.Lay == Stepped:
				e.half = min(e.half, max(l.Value, d-1))
			case l.Kind == GapMax:
				e.half = min(e.half, max(floorDiv(l.Value, 2), d-1))
			case l.Ends&end == 0:
			case l.Should:
				e.should = min(e.should, max(l.Value, d-1))
			default:
				e.own = min(e.own, d)
				e.must = min(e.must, max(l.Value, d-1))
			}
		}
	}
}

// ranges appends where the mark nearest to the view's end may stand when no gap is over most steps.
func (v *view) ranges(dst []Span, g *grid, most int64, relaxed bool) []Span {
	e := &v.end
	half := int64(far)
	if most <= g.n*2+2 {
		half = most * g.step / 2
	}
	shared := max(min(e.half, half), e.first)
	own := e.must
	if relaxed {
		own = max(own, e.first)
		if e.yields {
			own = max(own, half)
		}
	}
	own = min(own, e.should)
	add := func(from, to int64) { // in fine units, less what is banned
		for from <= to {
			end, next := to, to+1
			for _, b := range e.banned {
				if b.From <= from && from <= b.To {
					end, next = from-1, b.To+1
					break
				}
				if b.From > from && b.From <= end {
					end, next = b.From-1, b.From
				}
			}
			if a, b := max(0, ceilDiv(from-e.rest, g.step)), min(g.n, floorDiv(end-e.rest, g.step)); from <= end && a <= b {
				dst = append(dst, Span{a, b})
			}
			from = next
		}
	}
	top := e.rest + g.n*g.step
	if shared >= e.own-1 {
		add(0, min(own, top))
		return dst
	}
	add(0, min(shared, own, e.should, top))
	add(e.own, min(own, top))
	return dst
}

// gaps fills the zones of the gap limits that bind only somewhere, in steps, and the limits that bind everywhere.
func (s *rowScratch) gaps(p *Row, in []bool, relaxed bool) {
	g := &s.grid
	s.zones, s.most, s.fewest = s.zones[:0], max(g.n, 1), 1
	for i := range p.Limits {
		l := &p.Limits[i]
		if !in[i] || l.Kind != GapMin && (l.Kind != GapMax || relaxed && !l.Should) {
			continue
		}
		if l.Spans == nil && l.Kind == GapMin {
			s.fewest = max(s.fewest, ceilDiv(max(min(l.Value, far), 0), g.step))
		} else if l.Spans == nil {
			s.most = min(s.most, l.Value/g.step)
		}
		for _, k := range l.Spans {
			z := zone{i, ceilDiv(max(k.From, 0), g.step), floorDiv(min(k.To, p.Length), g.step)}
			if k.From <= k.To && z.from <= g.n && z.to >= 0 {
				s.zones = append(s.zones, z)
			}
		}
	}
	slices.SortStableFunc(s.zones, func(a, b zone) int { return cmp.Compare(a.from, b.from) })
}

// cut cuts the left view's segs at the borders of the zones.
func (s *rowScratch) cut(v *view) {
	s.cuts = append(s.cuts[:0], 0)
	for _, z := range s.zones {
		s.cuts = append(s.cuts, z.from, z.to+1)
	}
	slices.Sort(s.cuts)
	s.cuts = slices.Compact(s.cuts)
	for len(s.cuts) > 0 && s.cuts[len(s.cuts)-1] > s.grid.n {
		s.cuts = s.cuts[:len(s.cuts)-1]
	}
	if len(s.cuts) == 1 {
		return
	}
	whole := append(s.spare[:0], v.segs...)
	v.segs = v.segs[:0]
	c := 0
	for _, p := range whole {
		for {
			for c+1 < len(s.cuts) && s.cuts[c+1] <= p.lo {
				c++
			}
			p.cell = int32(c)
			if c+1 == len(s.cuts) || s.cuts[c+1] > p.hi {
				v.segs = append(v.segs, p)
				break
			}
			v.segs = append(v.segs, seg{lo: p.lo, hi: s.cuts[c+1] - 1, cell: p.cell})
			p.lo = s.cuts[c+1]
		}
	}
	s.spare = whole
}

// mirrorSegs fills one view's segs with the other's.
func (s *rowScratch) mirrorSegs() {
	g := &s.grid
	a, b := &g.view[0], &g.view[1]
	b.segs = b.segs[:0]
	last := int32(len(s.cuts) - 1)
	for _, p := range slices.Backward(a.segs) {
		b.segs = append(b.segs, seg{lo: g.n - p.hi, hi: g.n - p.lo, cell: last - p.cell})
	}
}

// mirrorZones turns zones and cuts over, for the view from the other end.
func (s *rowScratch) mirrorZones() {
	n := s.grid.n
	for i, z := range s.zones {
		s.zones[i].from, s.zones[i].to = n-z.to, n-z.from
	}
	slices.SortStableFunc(s.zones, func(a, b zone) int { return cmp.Compare(a.from, b.from) })
	slices.Reverse(s.cuts[1:])
	for i := range s.cuts[1:] {
		s.cuts[1+i] = n + 1 - s.cuts[1+i]
	}
}

// bands fills in a view's limits, cell by cell.
func (s *rowScratch) bands(p *Row, v *view) {
	g := &s.grid
	v.bands, v.at = v.bands[:0], v.at[:0]
	zones := s.zones
	for c, from := range s.cuts {
		v.at = append(v.at, len(v.bands))
		v.bands = append(v.bands, band{0, s.fewest, s.most})
		reach := g.n
		if c+1 < len(s.cuts) {
			reach = s.cuts[c+1] - 1 + s.most
		}
		for len(zones) > 0 && zones[0].to < from {
			zones = zones[1:]
		}
		for _, z := range zones { // by from, so the limits only ever grow tighter
			if z.from > reach {
				break
			}
			if s.work++; z.to < from {
				continue
			}
			b := v.bands[len(v.bands)-1]
			tight := b
			if l := &p.Limits[z.limit]; l.Kind == GapMin {
				tight.min = max(b.min, ceilDiv(max(min(l.Value, far), 0), g.step))
			} else {
				tight.max = min(b.max, l.Value/g.step)
			}
			if tight == b {
				continue
			}
			tight.from = z.from
			if z.from <= max(b.from, from) {
				tight.from = b.from
				v.bands[len(v.bands)-1] = tight
			} else {
				v.bands = append(v.bands, tight)
			}
		}
	}
	v.at = append(v.at, len(v.bands))
	g.mins, g.bounded, g.least = false, false, far
	for _, b := range v.bands {
		g.mins = g.mins || b.min > 1
		g.bounded = g.bounded || b.max < g.n
		g.least = min(g.least, b.min)
	}
}
