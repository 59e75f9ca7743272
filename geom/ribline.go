package geom

import (
	"cmp"
	"slices"
	"strconv"
)

// RibLine is the edge of a run along a rib. It is no kind that a detail is for: details for the field go there.
const RibLine = "rib"

// maxRibRuns bounds the runs along the ribs of one plane.
const maxRibRuns = 200_000

// RibRuns returns the runs along the plane's ribs, from side to side of the outline, less penetrations on the rib's
// centreline; in the order of the ribs, each from its low end up. Their ids are lake/rib 3, and lake/rib 3 part 2 for
// the second part, from below, of a rib that a penetration or the outline cuts; ribs are counted from 1, from the
// left. Their ends are of the kinds of the sides there, or penetration. Where a rib ends at a corner, the flatter
// side counts. The error is [ErrTooManyPanels]: over 200,000 parts.
func (p *Plane) RibRuns() ([]*Run, error) {
	var found []chord
	var holes []stretch
	list := make([]ribPart, 0, len(p.ribs))
	for n, x := range p.ribs {
		found = p.chords(x, found[:0])
		part := 0
		for _, c := range found {
			l := upright(x, &c)
			if l.a.y == l.b.y {
				continue
			}
			holes = p.holesOn(&l, holes[:0])
			add := func(from, to int64, low, high string) {
				if from < to {
					part++
					list = append(list, ribPart{n + 1, part, x, c.from.y + from, c.from.y + to, [2]string{low, high}, c.inner(from, to, l.b.y-l.a.y)})
				}
			}
			from, end := int64(0), p.sides[c.from.side].edge
			for _, h := range holes {
				add(from, h.from, end, "penetration")
				from, end = h.to, "penetration"
			}
			add(from, l.b.y-l.a.y, end, p.sides[c.to.side].edge)
		}
		if len(list) > maxRibRuns {
			return nil, &FieldErrors{Plane: p.id, List: []*FieldError{{"/panels", "the ribs make over 200,000 runs: draw fewer panels or a plainer outline", ErrTooManyPanels}}}
		}
	}
	// One block each, as a plane has hundreds of ribs.
	runs, bodies := make([]*Run, len(list)), make([]Run, len(list))
	sides, places := make([]Side, len(list)), make([]OnPlane, len(list))
	prefix := p.id + "/rib "
	for i := range list {
		r := &list[i]
		id := prefix + strconv.Itoa(r.n)
		if r.part > 1 {
			id += " part " + strconv.Itoa(r.part)
		}
		l := line{a: point{r.x, r.low}, b: point{r.x, r.high}, hi: uint64(r.high - r.low)}
		length := ticks(r.high - r.low)
		places[i] = OnPlane{p.id, r.n, l.a.xy(), l.b.xy(), Bounds{ticks(r.high - r.low - r.inner), length}}
		sides[i] = Side{Slope: p.slope, Profile: p.profile, On: &places[i]}
		bodies[i] = Run{ID: id, Edge: RibLine, Length: length, Sides: sides[i : i+1 : i+1], Ends: r.ends, Zones: p.zonesOn(&l, r.high-r.low)}
		runs[i] = &bodies[i]
	}
	return runs, nil
}

type ribPart struct {
	n, part      int // from 1
	x, low, high int64
	ends         [2]string
	inner        int64 // how many ticks shorter the part is where both ends are rounded inward
}

// upright is the line along a chord, both ends rounded outward.
func upright(x int64, c *chord) line {
	high := c.to.y
	if c.to.rest > 0 {
		high++
	}
	return line{a: point{x, c.from.y}, b: point{x, high}, hi: uint64(high - c.from.y)}
}

// inner counts the ends of a part of the chord that were rounded outward.
func (c *chord) inner(from, to, length int64) int64 {
	n := int64(0)
	if from == 0 && c.from.rest > 0 {
		n++
	}
	if to == length && c.to.rest > 0 {
		n++
	}
	return n
}

// holesOn returns what penetrations cover of a line, in order.
func (p *Plane) holesOn(l *line, holes []stretch) []stretch {
	for i := range p.holes {
		if from, to, ok := p.holes[i].on(l, int64(l.hi)); ok {
			holes = append(holes, stretch{from, to, i})
		}
	}
	return merge(holes)
}

// crossing is where a side meets an upright line: exactly y + rest/whole, with 0 <= rest < whole.
type crossing struct {
	y, rest, whole int64
	side           int
}

func (c *crossing) cmp(d *crossing) int {
	if r := cmp.Compare(c.y, d.y); r != 0 {
		return r
	}
	return mul(c.rest, d.whole).cmp(mul(d.rest, c.whole))
}

// chord is a part of an upright line that is within the outline, from its low end.
type chord struct{ from, to crossing }

// at returns where the side meets the upright line at x, which is within it.
func (p *Plane) at(side int, x int64) crossing {
	s := &p.sides[side]
	a, b := s.a, s.b
	if a.x > b.x {
		a, b = b, a
	}
	c := crossing{side: side, whole: b.x - a.x}
	switch x {
	case a.x:
		c.y = a.y
	case b.x:
		c.y = b.y
	default:
		c.y, c.rest = mulDiv(x-a.x, b.y-a.y, c.whole)
		c.y += a.y
	}
	return c
}

// chords appends the parts of the upright line at x that are within the outline or on it, from the lowest up. A line
// along a side has the plane on its left or its right; both count.
func (p *Plane) chords(x int64, found []chord) []chord {
	n := len(found)
	found, corner := p.chordsBy(x, true, found)
	if !corner {
		return found
	}
	found, _ = p.chordsBy(x, false, found)
	parts := found[n:]
	slices.SortFunc(parts, func(c, d chord) int { return c.from.cmp(&d.from) })
	joined := parts[:0]
	for _, c := range parts {
		if k := len(joined); k > 0 && joined[k-1].to.cmp(&c.from) >= 0 {
			last := &joined[k-1]
			switch last.to.cmp(&c.to) {
			case -1:
				last.to = c.to
			case 0:
				last.to.side = p.flatter(last.to.side, c.to.side)
			}
			if last.from.cmp(&c.from) == 0 {
				last.from.side = p.flatter(last.from.side, c.from.side)
			}
			continue
		}
		joined = append(joined, c)
	}
	return found[:n+len(joined)]
}

// chordsBy appends the chords of the line as it comes to x from the left or the right. Sides cross each line there
// in pairs: in, out. It says whether a corner of the outline is at x, so that the other way may differ.
func (p *Plane) chordsBy(x int64, left bool, found []chord) (_ []chord, corner bool) {
	var room [16]crossing
	crossings := room[:0]
	for i := range p.sides {
		low, high := p.sides[i].minX(), p.sides[i].maxX()
		corner = corner || x == low || x == high
		if low < x && x < high || low < high && (left && x == high || !left && x == low) {
			crossings = append(crossings, p.at(i, x))
		}
	}
	slices.SortFunc(crossings, func(c, d crossing) int { return c.cmp(&d) })
	for i := 0; i+1 < len(crossings); i += 2 {
		if c, d := &crossings[i], &crossings[i+1]; c.cmp(d) < 0 {
			found = append(found, chord{*c, *d})
		}
	}
	return found, corner
}

// flatter returns the side that rises less over its way along the eave; of two alike the first.
func (p *Plane) flatter(i, j int) int {
	s, t := &p.sides[min(i, j)], &p.sides[max(i, j)]
	rise := func(s *side) int64 { return max(s.b.y-s.a.y, s.a.y-s.b.y) }
	if mul(rise(t), s.maxX()-s.minX()).cmp(mul(rise(s), t.maxX()-t.minX())) < 0 {
		return max(i, j)
	}
	return min(i, j)
}
