package geom

import (
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/units"
)

// Clearance is how far a penetration stays from a kind of feature on its plane.
type Clearance struct {
	OK      bool         // at least as far as asked: decided exactly
	None    bool         // there is no such feature, so nothing is too near
	Found   units.Length // to the nearest one, rounded down to a tick; 0 where the penetration reaches over it
	Nearest string       // its id, lake/rib 3, lake/eave-1 or lake/pipe-2; of two as near the first
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
	m := nearest{}
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
				to := shape{low: s.a.doubled(), high: s.b.doubled(), segment: true}
				m.add(&from, &to, func() string { return p.id + "/" + s.name })
			}
		}
	}
	return m.clearance(least), nil
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

// nearRibs measures to the bands of ribs, the nearest first on either hand, so that far ones are not looked at.
func (p *Plane) nearRibs(m *nearest, from *shape) {
	first, _ := p.crossing(from.low.x/2, from.low.x/2)
	width := p.profile.RibWidth.Ticks()
	add := func(n int) bool {
		x := p.ribs[n]
		for _, c := range p.chords(x, nil) {
			l := upright(x, &c)
			to := shape{low: point{2*x - width, 2 * l.a.y}, high: point{2*x + width, 2 * l.b.y}}
			m.add(from, &to, func() string { return p.id + "/" + partIDs("rib", n) })
		}
		gap := max(2*x-width-from.high.x, from.low.x-2*x-width, 0)
		return m.found && new(big.Int).Mul(big.NewInt(gap), big.NewInt(gap)).Cmp(m.whole()) > 0
	}
	for n := first; n < len(p.ribs) && !add(n); n++ {
	}
	for n := first - 1; n >= 0 && !add(n); n-- {
	}
}
