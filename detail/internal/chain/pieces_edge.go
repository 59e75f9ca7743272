package chain

import "cmp"

// edge is a way from a place x to a place y on the grid: a piece from its start to its end, or a lap from the end of a
// piece to the start of the next. y-x is from lo to hi; the cost is at + x*byX + y*byY.
type edge struct {
	lo, hi     int64
	fromX, toX int64
	fromY, toY int64
	at         cost
	byX, byY   rise
}

func (e *edge) value(x, y int64) cost { return e.at.along(e.byX, x).along(e.byY, y) }

// region is the places x and y that an edge may join, each bound reached by some pair.
type region struct{ fromX, toX, fromY, toY, lo, hi int64 }

// tight draws the bounds of r together; ok is false if no pair is left.
func (r region) tight() (t region, ok bool) {
	t = region{
		max(r.fromX, r.fromY-r.hi), min(r.toX, r.toY-r.lo),
		max(r.fromY, r.fromX+r.lo), min(r.toY, r.toX+r.hi),
		max(r.lo, r.fromY-r.toX), min(r.hi, r.toY-r.fromX),
	}
	return t, r.fromX <= r.toX && r.fromY <= r.toY && r.lo <= r.hi && t.fromX <= t.toX && t.fromY <= t.toY && t.lo <= t.hi
}

// between is the region of e over given places.
func (e *edge) between(fromX, toX, fromY, toY int64) (region, bool) {
	return region{max(fromX, e.fromX), min(toX, e.toX), max(fromY, e.fromY), min(toY, e.toY), e.lo, e.hi}.tight()
}

// pull returns, as one or two segments over x from fromX to toX, the least of e's cost from x to y and f's at y.
func (e *edge) pull(f segment, fromX, toX int64) (s [2]segment, n int) {
	r, ok := e.between(fromX, toX, f.from, f.to)
	if !ok {
		return s, 0
	}
	byY := e.byY.plus(f.by)
	put := func(from, to, y int64, by rise) {
		if from <= to {
			s[n] = segment{from, to, e.value(from, y).plus(f.value(y)), by}
			n++
		}
	}
	if byY.negative() { // y as endless right as it goes
		turn := min(r.toX, r.toY-r.hi)
		put(r.fromX, turn, r.fromX+r.hi, e.byX.plus(byY))
		put(max(r.fromX, turn+1), r.toX, r.toY, e.byX)
	} else {
		turn := min(r.toX, r.fromY-r.lo)
		put(r.fromX, turn, r.fromY, e.byX)
		from := max(r.fromX, turn+1)
		put(from, r.toX, from+r.lo, e.byX.plus(byY))
	}
	return s, n
}

// best returns the pairs of r at which e's cost from x to y and f's at y is as low as g's at x, with sign 0. Where it
// is nowhere less they are a face of r, as one term of the cost after the other narrows it. The sign is -1 if it is
// more everywhere, and 1 if it is less somewhere.
func (e *edge) best(r region, g, f segment) (face region, sign int) {
	byX, byY := g.by.minus(e.byX), rise{}.minus(e.byY.plus(f.by))
	gain := func(x, y int64) cost { return g.value(x).minus(e.value(x, y)).minus(f.value(y)) }
	for _, t := range [...]struct {
		x, y int64
		of   func(cost) int64
	}{
		{byX.clear, byY.clear, func(c cost) int64 { return c.clear }},
		{byX.length, byY.length, func(c cost) int64 { return c.length }},
		{0, 0, func(c cost) int64 { return c.count }},
		{byX.lap, byY.lap, func(c cost) int64 { return c.lap }},
	} {
		r = r.face(t.x, t.y)
		if v := t.of(gain(r.fromX, r.corner())); v != 0 {
			return r, cmp.Compare(v, 0)
		}
	}
	return r, 0
}

// corner returns a y that goes with fromX.
func (r region) corner() int64 { return max(r.fromY, r.fromX+r.lo) }

// face returns the pairs of r at which px*x + py*y is greatest.
func (r region) face(px, py int64) region {
	switch {
	case px == 0 && py == 0:
	case py == 0:
		if px > 0 {
			r.fromX = r.toX
		} else {
			r.toX = r.fromX
		}
	case px == 0:
		if py > 0 {
			r.fromY = r.toY
		} else {
			r.toY = r.fromY
		}
	case px == -py:
		if py > 0 {
			r.lo = r.hi
		} else {
			r.hi = r.lo
		}
	default: // a single corner
		y := func(x int64) int64 {
			if py > 0 {
				return min(r.toY, x+r.hi)
			}
			return max(r.fromY, x+r.lo)
		}
		at := r.fromX
		for _, x := range [...]int64{r.toX, r.toY - r.hi, r.fromY - r.lo} {
			if x = min(max(x, r.fromX), r.toX); px*(x-at)+py*(y(x)-y(at)) > 0 {
				at = x
			}
		}
		r.fromX, r.toX, r.fromY, r.toY = at, at, y(at), y(at)
	}
	r, _ = r.tight()
	return r
}
