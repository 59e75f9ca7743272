package geom

import (
	"cmp"
	"math/big"
	"slices"
)

// dust is how many ticks a stretch of a zone must be longer than to be one: where a border only touches a line, the
// rounding outward makes a few of nothing.
const dust = 8

// zonesOn returns where the plane's zones are on a line of this length, in their order, then from its start.
func (p *Plane) zonesOn(l *line, length int64) []Zone {
	var zones []Zone
	for i := range p.zones {
		z := &p.zones[i]
		var parts []stretch
		for j := range p.sides {
			s := &p.sides[j]
			if !slices.Contains(z.Of, s.edge) {
				continue
			}
			if from, to, ok := l.near(s.a, s.b, z.Within.Ticks()).clip(length); ok && to-from > dust {
				parts = append(parts, stretch{from, to, j})
			}
		}
		if z.Corners {
			parts = p.corners(parts)
		}
		for _, s := range merge(parts) {
			zones = append(zones, Zone{z.Kind, ticks(s.from), ticks(s.to)})
		}
	}
	return zones
}

// stretch is a part of a line in ticks; side is the side of the plane that it is near, as an index.
type stretch struct {
	from, to int64
	side     int
}

// corners returns where two stretches overlap whose sides aren't parallel.
func (p *Plane) corners(parts []stretch) []stretch {
	var both []stretch
	for i, s := range parts {
		for _, t := range parts[:i] {
			from, to := max(s.from, t.from), min(s.to, t.to)
			a, b := &p.sides[s.side], &p.sides[t.side]
			if to-from > dust && mul(a.b.x-a.a.x, b.b.y-b.a.y).cmp(mul(a.b.y-a.a.y, b.b.x-b.a.x)) != 0 {
				both = append(both, stretch{from, to, s.side})
			}
		}
	}
	return both
}

// merge returns the stretches in order, those that overlap or touch as one.
func merge(parts []stretch) []stretch {
	slices.SortFunc(parts, func(s, t stretch) int { return cmp.Compare(s.from, t.from) })
	merged := parts[:0]
	for _, s := range parts {
		if n := len(merged); n > 0 && merged[n-1].to >= s.from {
			merged[n-1].to = max(merged[n-1].to, s.to)
			continue
		}
		merged = append(merged, s)
	}
	return merged
}

// near returns the stretch of the line within a distance of the segment from c to d, rounded outward: one stretch, as
// what is near a segment is convex.
func (l *line) near(c, d point, distance int64) span {
	w := distance
	if max(l.a.x, l.b.x) < min(c.x, d.x)-w || min(l.a.x, l.b.x) > max(c.x, d.x)+w ||
		max(l.a.y, l.b.y) < min(c.y, d.y)-w || min(l.a.y, l.b.y) > max(c.y, d.y)+w {
		return nothing
	}
	if l.upright() && c.y == d.y && l.a.y < l.b.y && min(c.x, d.x) <= l.a.x && l.a.x <= max(c.x, d.x) {
		// Most of them: a rib that crosses the strip along an eave or ridge.
		return span{from: big.NewInt(c.y - w - l.a.y), to: big.NewInt(c.y + w - l.a.y)}
	}
	return l.disk(c, w, false).or(l.disk(d, w, false)).or(l.band(c, d, w))
}

// band returns the stretch of the line that is abreast of the segment from c to d and within w of it.
func (l *line) band(c, d point, w int64) span {
	u := l.square()
	v := dot(c, d, d).big()
	// Abreast of the segment: 0 <= ahead + station · dots/√u <= v.
	ahead := dot(c, d, l.a).big()
	dots := mul(l.dx(), d.x-c.x).plus(mul(l.dy(), d.y-c.y)).big()
	abreast := span{}
	if dots.Sign() == 0 {
		if ahead.Sign() < 0 || ahead.Cmp(v) > 0 {
			return nothing
		}
	} else {
		near, far := new(big.Int).Neg(ahead), new(big.Int).Sub(v, ahead)
		if dots.Sign() < 0 {
			near, far = far, near
		}
		down, _ := timesRoot(near, u, dots)
		_, up := timesRoot(far, u, dots)
		abreast = span{from: down, to: up}
	}
	// Within w: |off + station · turns/√u| <= w·√v.
	off := turn(c, d, l.a).big()
	turns := mul(d.x-c.x, l.dy()).minus(mul(d.y-c.y, l.dx())).big()
	if turns.Sign() == 0 {
		if product(off, off).Cmp(product(big.NewInt(w), big.NewInt(w), v)) > 0 {
			return nothing
		}
		return abreast
	}
	if turns.Sign() < 0 {
		off.Neg(off)
		turns.Neg(turns)
	}
	middleDown, middleUp := timesRoot(off.Neg(off), u, turns)
	_, half := root(1, product(big.NewInt(w), big.NewInt(w), v, u), product(turns, turns))
	return abreast.and(span{from: middleDown.Sub(middleDown, half), to: middleUp.Add(middleUp, half)})
}
