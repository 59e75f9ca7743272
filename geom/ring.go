package geom

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/units"
)

// Ring is the outline of a penetration, or one at a distance round it. Station 0 is its low point, on a rectangle the
// middle of its low side; stations go clockwise seen from above, so first to the left.
type Ring struct {
	ID     string // of the plane and the penetration, lake/pipe-1
	Round  bool
	Centre XY
	// Width and Height are along the eave and up the slope; on a round one both are the diameter. The centre of an
	// odd number of ticks is rounded down.
	Width, Height units.Length
	Length        Bounds // all the way round

	Zones []string // the kinds of the plane's zones that it reaches, each once
	// Blocked is what it runs into or over, another penetration or a side of the plane: lake/pipe-2, lake/eave-1; of
	// several the first, "" where there is none.
	Blocked string
}

// Ring returns the outline round a penetration, at a distance outside it of 0 or more. Round a rectangle it keeps
// square corners. The error names the penetration or the distance.
func (p *Plane) Ring(penetration string, outside units.Length) (Ring, error) {
	i, err := p.hole(penetration)
	if err != nil {
		return Ring{}, err
	}
	if outside.Sign() < 0 || outside.Cmp(longestOnPlane) > 0 {
		return Ring{}, joinError(p, fmt.Sprintf("/penetrations/%d", i), "a ring is 0 in to 10 km outside a penetration, not %s", outside)
	}
	h, more := p.holes[i], plus(outside, outside)
	r := Ring{ID: p.id + "/" + h.ID, Round: h.round(), Centre: h.centre().xy()}
	if r.Round {
		h.Diameter = plus(h.Diameter, more)
		r.Width, r.Height = h.Diameter, h.Diameter
		r.Length = piTimes(r.Width)
	} else {
		r.Centre.X = plus(h.X, ticks(h.Width.Ticks()/2))
		r.Centre.Y = plus(h.Y, ticks(h.Length.Ticks()/2))
		h.X, h.Y = minus(h.X, outside), minus(h.Y, outside)
		h.Width, h.Length = plus(h.Width, more), plus(h.Length, more)
		r.Width, r.Height = h.Width, h.Length
		round := plus(plus(r.Width, r.Height), plus(r.Width, r.Height))
		r.Length = Bounds{round, round}
	}
	around := h.shape()
	r.Zones, r.Blocked = p.zonesAt(&around), p.blocks(i, &around)
	return r, nil
}

// zonesAt returns the kinds of the zones that a shape reaches; a narrowed one where it reaches the strips along two
// sides that aren't parallel.
func (p *Plane) zonesAt(from *shape) (kinds []string) {
	for i := range p.zones {
		z := &p.zones[i]
		var near []stretch
		for j := range p.sides {
			s := &p.sides[j]
			if !slices.Contains(z.Of, s.edge) {
				continue
			}
			to := s.shape()
			d, reach := from.square(&to), big.NewInt(from.radius+2*z.Within.Ticks())
			if d.num.Cmp(product(reach, reach, d.den)) <= 0 {
				near = append(near, stretch{0, 2 * dust, j})
			}
		}
		if z.Corners {
			near = p.corners(near)
		}
		if len(near) > 0 && !slices.Contains(kinds, z.Kind) {
			kinds = append(kinds, z.Kind)
		}
	}
	return kinds
}

// blocks returns the first penetration but the own, or else the first side, that a shape reaches over.
func (p *Plane) blocks(own int, from *shape) string {
	over := func(to shape, name string) bool {
		m := nearest{ok: true, none: true}
		m.add(from, &to, func() string { return name })
		return !m.ok
	}
	for j := range p.holes {
		if j != own && over(p.holes[j].shape(), p.holes[j].ID) {
			return p.id + "/" + p.holes[j].ID
		}
	}
	for j := range p.sides {
		if over(p.sides[j].shape(), p.sides[j].name) {
			return p.id + "/" + p.sides[j].name
		}
	}
	return ""
}

// hole finds a penetration by its id.
func (p *Plane) hole(id string) (int, error) {
	ids := make([]string, len(p.holes))
	for i := range p.holes {
		if p.holes[i].ID == id {
			return i, nil
		}
		ids[i] = p.holes[i].ID
	}
	return 0, joinError(p, "/penetrations", "none has the id %.64q%s", id, suggest(id, ids))
}

// pi is rounded down at 36 decimals, more than the ticks of any ring have.
var pi, _ = new(big.Rat).SetString("3.141592653589793238462643383279502884")

func piTimes(diameter units.Length) Bounds {
	round := new(big.Rat).Mul(pi, diameter.Rat())
	low, _ := units.FromRat(round, units.Down) // within bounds: the diameter is at most 30 km
	high, _ := units.FromRat(round, units.Up)
	return Bounds{low, high}
}

// Angle returns how far round the ring's middle a station is from its low point, in degrees from 0 up to 360,
// clockwise seen from above, to the nearest thousandth.
func (r *Ring) Angle(station units.Length) *big.Rat {
	turn := r.turn(station)
	if !r.Round {
		turn = r.turnTo(r.At(station))
	}
	turn.Mul(turn, big.NewRat(360_000, 1))
	turn.Add(turn, big.NewRat(1, 2))
	n := new(big.Int).Div(turn.Num(), turn.Denom())
	return new(big.Rat).SetFrac(n.Mod(n, big.NewInt(360_000)), big.NewInt(1000))
}

// turnTo returns the part of a turn from straight down to a point of a rectangle's outline, far finer than an angle is
// given: the quarter that the point is in, then halved until it is small enough.
func (r *Ring) turnTo(at XY) *big.Rat {
	x := new(big.Rat).SetInt64(minus(r.Centre.X, at.X).Ticks())
	y := new(big.Rat).SetInt64(minus(r.Centre.Y, at.Y).Ticks())
	low := new(big.Rat)
	for range 3 {
		if x.Sign() >= 0 && y.Sign() > 0 {
			break
		}
		x, y = y.Neg(y), x // a quarter turn back
		low.Add(low, big.NewRat(1, 4))
	}
	step := big.NewRat(1, 8)
	for range 32 {
		mid := new(big.Rat).Add(low, step)
		in := new(big.Rat).Sub(mid, quarters(low))
		sin, cos := sinCos(in)
		if new(big.Rat).Mul(x, new(big.Rat).SetInt(cos)).Cmp(new(big.Rat).Mul(y, new(big.Rat).SetInt(sin))) >= 0 {
			low = mid
		}
		step.Mul(step, big.NewRat(1, 2))
	}
	return low
}

// quarters rounds a part of a turn down to quarters.
func quarters(turn *big.Rat) *big.Rat {
	n := new(big.Int).Mul(turn.Num(), big.NewInt(4))
	return new(big.Rat).SetFrac(n.Div(n, turn.Denom()), big.NewInt(4))
}

// turn returns how far round the ring a station is, as a part of the whole way: 1/4 is at the left of a round one.
func (r *Ring) turn(station units.Length) *big.Rat {
	round := r.Length.Low.Rat()
	if r.Round {
		round.Mul(pi, r.Width.Rat())
	}
	return round.Quo(station.Rat(), round)
}

// At returns the point of the plane at a station of the ring; stations past the way round go on round it. On a round
// one it is rounded to the nearest tick.
func (r *Ring) At(station units.Length) XY {
	if r.Round {
		sin, cos := sinCos(r.turn(station))
		return XY{minus(r.Centre.X, r.across(sin)), minus(r.Centre.Y, r.across(cos))}
	}
	round := r.Length.High.Ticks()
	s := (station.Ticks()%round + round) % round
	w, h := r.Width.Ticks(), r.Height.Ticks()
	left, low := r.Centre.X.Ticks()-w/2, r.Centre.Y.Ticks()-h/2
	var x, y int64
	switch s += w - w/2; { // from the low right corner
	case s <= w:
		x, y = w-s, 0
	case s <= w+h:
		x, y = 0, s-w
	case s <= 2*w+h:
		x, y = s-w-h, h
	case s <= 2*w+2*h:
		x, y = w, 2*w+2*h-s
	default:
		x, y = 3*w+2*h-s, 0
	}
	return point{left + x, low + y}.xy()
}

// across is half the width times a part of it, in parts of 1<<fixed.
func (r *Ring) across(part *big.Int) units.Length {
	way := new(big.Rat).SetFrac(part, new(big.Int).Lsh(big.NewInt(2), fixed))
	l, _ := units.FromRat(way.Mul(way, r.Width.Rat()), units.Nearest) // no longer than the width
	return l
}

// fixed is how many binary places sines have: twice what a ring's ticks need.
const fixed = 120

// sinCos returns the sine and cosine of a part of a whole turn in parts of 1<<fixed, right to far more places than a
// ring's ticks have.
func sinCos(turn *big.Rat) (sin, cos *big.Int) {
	whole := new(big.Int).Div(turn.Num(), turn.Denom())
	angle := new(big.Rat).Sub(turn, new(big.Rat).SetInt(whole))
	angle.Mul(angle, pi)
	x := new(big.Int).Lsh(angle.Num(), fixed+1)
	x.Quo(x, angle.Denom())
	sin, cos = new(big.Int), new(big.Int)
	// The powers of the angle over the factorials: 1, x, -x²/2, -x³/6, …
	term := new(big.Int).Lsh(big.NewInt(1), fixed)
	for n := int64(1); term.Sign() != 0; n++ {
		if sum := cos; n%2 == 1 {
			sum.Add(sum, term)
		} else {
			sin.Add(sin, term)
		}
		term.Mul(term, x)
		term.Rsh(term, fixed)
		term.Quo(term, big.NewInt(n))
		if n%2 == 0 {
			term.Neg(term)
		}
	}
	return sin, cos
}
