package geom

import (
	"math/big"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/units"
)

// Clearance is how far a penetration stays from a kind of feature on its plane.
type Clearance struct {
	OK      bool         // at least as far as asked: decided exactly
	None    bool         // there is no such feature, so nothing is too near
	Found   units.Length // to the nearest one, rounded down to a tick; 0 where the penetration reaches over it
	Nearest string       // its id, lake/rib 3, lake/eave-1 or lake/pipe-2; of several as near, one
}

// Clear measures from a penetration's outline to the nearest feature of a kind on its plane, along the plane: rib (the
// face of its band), penetration (another's outline), end (any side of the plane), or an edge kind such as valley.
// A rib that ends on a skewed side is taken to end at the tick outside it. The error names the penetration, a feature
// of no such kind, or a distance that is below 0 or over 10 km.
func (p *Plane) Clear(penetration, feature string, least units.Length) (Clearance, error) {
	i, err := p.hole(penetration)
	if err != nil {
		return Clearance{}, err
	}
	kinds := append([]string{"rib", "penetration", "end"}, EdgeKinds()...)
	if !slices.Contains(kinds, feature) {
		return Clearance{}, joinError(p, "/penetrations", "%.64q is no kind of feature to be clear of%s", feature, suggest(feature, kinds))
	}
	if least.Sign() < 0 || least.Cmp(longestOnPlane) > 0 {
		return Clearance{}, joinError(p, "/penetrations", "a clear distance is 0 in to 10 km, not %s", least)
	}
	from := p.holes[i].shape()
	m := nearest{least: 2 * least.Ticks(), ok: true, none: true}
	switch feature {
	case "rib":
		p.nearRibs(&m, &from)
	case "penetration":
		for j := range p.holes {
			if j != i {
				to := p.holes[j].shape()
				m.add(&from, &to, func() string { return p.id + "/" + p.holes[j].ID })
			}
		}
	default:
		for j := range p.sides {
			if s := &p.sides[j]; feature == "end" || s.edge == feature {
				to := s.shape()
				m.add(&from, &to, func() string { return p.id + "/" + s.name })
			}
		}
	}
	return Clearance{OK: m.ok, None: m.none, Found: ticks(m.found / 2), Nearest: m.id}, nil
}

// Blocked returns what stands over a point, inside its outline: the first penetration but the own one, lake/pipe-2, or
// the plane's own id where the point is off the plane; "" where nothing does. A point on an outline is clear of it.
func (p *Plane) Blocked(at XY, own string) string {
	on := point{at.X.Ticks(), at.Y.Ticks()}
	here := shape{low: on.doubled(), high: on.doubled()}
	for i := range p.holes {
		h := &p.holes[i]
		to := h.shape()
		d := here.square(&to)
		over := to.radius > 0 && d.num.Cmp(product(big.NewInt(to.radius), big.NewInt(to.radius))) < 0
		if low, high := h.box(); !h.round() {
			over = low.x < on.x && on.x < high.x && low.y < on.y && on.y < high.y
		}
		if over && h.ID != own {
			return p.id + "/" + h.ID
		}
	}
	for i := range p.sides {
		to := p.sides[i].shape()
		if here.square(&to).num.Sign() == 0 {
			return ""
		}
	}
	if !p.contains(on) {
		return p.id
	}
	return ""
}

// shape is a box, a point or a segment, with all within a radius of it; in half ticks, so that halves are whole.
type shape struct {
	low, high point
	segment   bool
	radius    int64
}

func (p point) doubled() point { return point{2 * p.x, 2 * p.y} }

func (h *Penetration) shape() shape {
	if h.round() {
		c := h.centre().doubled()
		return shape{low: c, high: c, radius: h.Diameter.Ticks()}
	}
	low, high := h.box()
	return shape{low: low.doubled(), high: high.doubled()}
}

func (s *side) shape() shape { return shape{low: s.a.doubled(), high: s.b.doubled(), segment: true} }

// nearRibs measures to the bands of ribs, outward from the penetration until the next can't be nearer.
func (p *Plane) nearRibs(m *nearest, from *shape) {
	first, _ := p.crossing(from.low.x/2, from.low.x/2)
	width := p.profile.RibWidth.Ticks()
	far := func(n int) bool {
		x := p.ribs[n]
		for _, c := range p.chords(x, nil) {
			l := upright(x, &c)
			to := shape{low: point{2*x - width, 2 * l.a.y}, high: point{2*x + width, 2 * l.b.y}}
			m.add(from, &to, func() string { return p.id + "/rib " + strconv.Itoa(n+1) })
		}
		gap := max(2*x-width-from.high.x, from.low.x-2*x-width) - from.radius
		return !m.none && gap > m.found
	}
	for n := first; n < len(p.ribs) && !far(n); n++ {
	}
	for n := first - 1; n >= 0 && !far(n); n-- {
	}
}

// nearest is what was found so far, in half ticks.
type nearest struct {
	least, found int64
	ok, none     bool
	id           string
}

func (m *nearest) add(from, to *shape, id func() string) {
	radii := from.radius + to.radius
	d := from.square(to)
	least := big.NewInt(m.least + radii)
	if d.num.Cmp(product(least, least, d.den)) < 0 || from.over(to) {
		m.ok = false
	}
	down, _ := root(1, d.num, d.den)
	found := max(down.Int64()-radii, 0) // within a plane
	if m.none || found < m.found {
		m.none, m.found, m.id = false, found, id()
	}
}

// square is a distance squared: num/den.
type square struct{ num, den *big.Int }

func (s square) less(t square) bool { return product(s.num, t.den).Cmp(product(t.num, s.den)) < 0 }

func whole(w wide) square { return square{w.big(), big.NewInt(1)} }

// square returns the distance from a box to a shape, without their radii.
func (s *shape) square(t *shape) square {
	if !t.segment {
		dx, dy := gap(s.low.x, s.high.x, t.low.x, t.high.x), gap(s.low.y, s.high.y, t.low.y, t.high.y)
		return whole(mul(dx, dx).plus(mul(dy, dy)))
	}
	if s.touches(t) {
		return whole(wide{})
	}
	least := square{}
	add := func(d square) {
		if least.num == nil || d.less(least) {
			least = d
		}
	}
	for _, c := range s.corners() {
		add(toSegment(c, t.low, t.high))
	}
	for _, c := range [2]point{t.low, t.high} {
		dx, dy := gap(s.low.x, s.high.x, c.x, c.x), gap(s.low.y, s.high.y, c.y, c.y)
		add(whole(mul(dx, dx).plus(mul(dy, dy))))
	}
	return least
}

// gap is how far two stretches of an axis are apart, 0 where they meet.
func gap(low, high, from, to int64) int64 { return max(from-high, low-to, 0) }

func (s *shape) corners() [4]point {
	return [4]point{s.low, {s.high.x, s.low.y}, s.high, {s.low.x, s.high.y}}
}

// touches and over say whether a box has a point in common with a shape, or one inside the box. They do unless they
// are apart along the eave, up the slope, or square to the segment.
func (s *shape) touches(t *shape) bool { return s.meets(t, 0) }
func (s *shape) over(t *shape) bool    { return s.meets(t, 1) }

func (s *shape) meets(t *shape, inside int64) bool {
	apart := func(low, high, a, b int64) bool { return min(max(a, b)-low, high-min(a, b)) < inside }
	if apart(s.low.x, s.high.x, t.low.x, t.high.x) || apart(s.low.y, s.high.y, t.low.y, t.high.y) {
		return false
	}
	if !t.segment {
		return true
	}
	least, most := 1, -1
	for _, c := range s.corners() {
		sign := turn(t.low, t.high, c).sign()
		least, most = min(least, sign), max(most, sign)
	}
	return int64(-least) >= inside && int64(most) >= inside
}

// toSegment is the distance from c to the segment from a to b.
func toSegment(c, a, b point) square {
	length, ahead := dot(a, b, b), dot(a, b, c)
	switch {
	case ahead.sign() <= 0:
		return whole(dot(a, c, c))
	case ahead.cmp(length) >= 0:
		return whole(dot(b, c, c))
	}
	off := turn(a, b, c).big()
	return square{off.Mul(off, off), length.big()}
}
