package verify

import (
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// A ring is the outline round a penetration: a circle where round, else a rectangle.
type ring struct {
	middle      xy
	half        xy // half of its width and height
	round       bool
	length      num // rounded up to a tick
	name, plane string
}

// pi is cut off after 40 decimals.
var pi, _ = new(big.Rat).SetString("3.1415926535897932384626433832795028841971")

// hole is the penetration that the plan's run is.
func (p *plan) hole() *geom.Penetration {
	if p.run.Edge != "penetration" {
		return nil
	}
	plane := p.planeNamed(p.run.Sides[0].On.Plane)
	for _, h := range plane.Penetrations() {
		if plane.ID()+"/"+h.ID == p.run.ID {
			return &h
		}
	}
	p.complain("run %s: is no penetration of plane %s", p.run.ID, plane.ID())
	return nil
}

// ringRound is the outline at a distance outside a penetration.
func ringRound(plane *geom.Plane, h *geom.Penetration, outside num) *ring {
	r := &ring{name: plane.ID() + "/" + h.ID, plane: plane.ID(), round: !h.Diameter.IsZero()}
	corner := xy{ticks(h.X), ticks(h.Y)}
	if r.round {
		r.middle = corner
		r.half = xy{add(half(ticks(h.Diameter)), outside), add(half(ticks(h.Diameter)), outside)}
		r.length = up(mul(pi, add(r.half.x, r.half.x)))
		return r
	}
	size := xy{ticks(h.Width), ticks(h.Length)}
	r.middle = corner.plus(size.times(big.NewRat(1, 2)))
	r.half = xy{add(half(size.x), outside), add(half(size.y), outside)}
	r.length = mul(whole(4), add(r.half.x, r.half.y))
	return r
}

// around is the ring of an `around` scope of a placement.
func (p *placement) around(n int) *ring {
	s := scope{ScopeRef: detail.ScopeRef{Kind: "penetration", N: n}, band: band{whole(0), ticks(p.run.Length)}}
	outside := whole(0)
	for _, r := range p.element.Rules {
		if r.Measure == rules.Offset && p.binds(r.When, s, 0, s.band) {
			if a, ok := p.ask(r, s, 0); ok {
				outside = a.min
			}
		}
	}
	return ringRound(p.planeNamed(p.run.Sides[0].On.Plane), p.hole(), outside)
}

// gapTo is the distance squared from a ring's rectangle, or its middle where it is round, to a box.
func (r *ring) gapTo(low, high xy) num {
	own := xy{whole(0), whole(0)}
	if !r.round {
		own = r.half
	}
	apart := func(middle, half, from, to num) num {
		return larger(whole(0), larger(sub(from, add(middle, half)), sub(sub(middle, half), to)))
	}
	d := xy{apart(r.middle.x, own.x, low.x, high.x), apart(r.middle.y, own.y, low.y, high.y)}
	return d.dot(d)
}

// near is the distance squared to a segment.
func (r *ring) near(s segment) num {
	points := []xy{r.middle}
	if !r.round {
		points = nil
		for _, sx := range []int64{-1, 1} {
			for _, sy := range []int64{-1, 1} {
				points = append(points, r.middle.plus(xy{mul(whole(sx), r.half.x), mul(whole(sy), r.half.y)}))
			}
		}
	}
	var least num
	take := func(d num) {
		if least == nil || less(d, least) {
			least = d
		}
	}
	for _, p := range points {
		way, to := s.b.minus(s.a), p.minus(s.a)
		t := smaller(whole(1), larger(whole(0), quo(way.dot(to), way.dot(way))))
		off := to.minus(way.times(t))
		take(off.dot(off))
	}
	if !r.round {
		take(r.gapTo(s.a, s.a))
		take(r.gapTo(s.b, s.b))
		if r.over(s) {
			take(whole(0))
		}
	}
	return least
}

// over tells whether a segment goes through the inside of a rectangle: by halving it, a part that has no end inside and
// stays beyond one side never comes in.
func (r *ring) over(s segment) bool {
	from, to := whole(0), whole(1)
	for _, axis := range []struct{ a, way, middle, half num }{
		{s.a.x, sub(s.b.x, s.a.x), r.middle.x, r.half.x}, {s.a.y, sub(s.b.y, s.a.y), r.middle.y, r.half.y},
	} {
		low, high := sub(axis.middle, axis.half), add(axis.middle, axis.half)
		if axis.way.Sign() == 0 {
			if !strictlyIn(low, axis.a, high) {
				return false
			}
			continue
		}
		t, u := quo(sub(low, axis.a), axis.way), quo(sub(high, axis.a), axis.way)
		from, to = larger(from, smaller(t, u)), smaller(to, larger(t, u))
	}
	return less(from, to)
}

// overBox tells whether a rectangle and a box have more than a border in common.
func (r *ring) overBox(low, high xy) bool {
	return strictlyIn(sub(low.x, r.half.x), r.middle.x, add(high.x, r.half.x)) && strictlyIn(sub(low.y, r.half.y), r.middle.y, add(high.y, r.half.y))
}

// onUpright are the stretches of an upright line within an outline, as it is come to from either side.
func onUpright(p *geom.Plane, x num) []band {
	var list []band
	for _, left := range []bool{true, false} {
		var ys []num
		for _, s := range sidesOf(p) {
			crosses := less(s.a.x, x) != less(s.b.x, x)
			if !left {
				crosses = less(x, s.a.x) != less(x, s.b.x)
			}
			if crosses {
				ys = append(ys, add(s.a.y, mul(quo(sub(x, s.a.x), sub(s.b.x, s.a.x)), sub(s.b.y, s.a.y))))
			}
		}
		slices.SortFunc(ys, num.Cmp)
		for i := 0; i+1 < len(ys); i += 2 {
			list = append(list, band{down(ys[i]), up(ys[i+1])})
		}
	}
	return list
}

// blocked is what a ring reaches over: another penetration, or else a side of the plane.
func (v *verifier) blocked(r *ring) string {
	plane := v.planeNamed(r.plane)
	for _, h := range plane.Penetrations() {
		name := plane.ID() + "/" + h.ID
		if name == r.name {
			continue
		}
		other := ringRound(plane, &h, whole(0))
		low, high := other.middle.minus(other.half), other.middle.plus(other.half)
		if other.round {
			low, high = other.middle, other.middle
		}
		reach := whole(0)
		for _, x := range []*ring{r, other} {
			if x.round {
				reach = add(reach, x.half.x)
			}
		}
		d := r.gapTo(low, high)
		if reach.Sign() == 0 && r.overBox(low, high) || less(d, mul(reach, reach)) {
			return name
		}
	}
	runs := plane.Outline()
	for i, s := range sidesOf(plane) {
		if r.round && less(r.near(s), mul(r.half.x, r.half.x)) || !r.round && r.over(s) {
			return plane.ID() + "/" + sideName(v.report, plane, runs[i].ID, s)
		}
	}
	return ""
}

// sideName is the id of a side, or its number in the description, by the run that lies on it.
func sideName(r *detail.Report, plane *geom.Plane, id string, s segment) string {
	if id != "" {
		return id
	}
	for _, run := range r.Runs {
		on := run.Sides[0].On
		if on != nil && on.Plane == plane.ID() && run.Edge == s.kind && s.has(at(on.Start)) && s.has(at(on.End)) {
			return strings.TrimPrefix(run.ID, plane.ID()+"/")
		}
	}
	return ""
}

// standsOver names what stands over a point: another penetration, or the plane's id where it is off it.
func (v *verifier) standsOver(plane *geom.Plane, own string, at xy) string {
	for _, h := range plane.Penetrations() {
		to := ringRound(plane, &h, whole(0))
		off := at.minus(to.middle)
		in := strictlyIn(neg(to.half.x), off.x, to.half.x) && strictlyIn(neg(to.half.y), off.y, to.half.y)
		if to.round {
			in = less(off.dot(off), mul(to.half.x, to.half.x))
		}
		if in && to.name != own {
			return to.name
		}
	}
	for _, s := range sidesOf(plane) {
		if s.has(at) {
			return ""
		}
	}
	if !inside(plane, at) {
		return plane.ID()
	}
	return ""
}

// ringRow holds the marks round a penetration: from the low point, each on the step, the last one the neighbour of the
// first.
func (p *placement) ringRow(s scope, laid detail.Scope) {
	marks := p.marksOf(laid)
	if len(marks) == 0 || marks[0].Sign() != 0 {
		p.complain("%s: no mark stands at the low point", p.at(s.ScopeRef))
		return
	}
	p.standing(s, marks, true)
	last := marks[len(marks)-1]
	if !less(last, s.to) {
		p.complain("%s: the mark at %s is the first once more", p.at(s.ScopeRef), show(last))
	}
	for _, r := range p.element.Rules {
		switch r.Measure {
		case rules.Spacing:
			for i, x := range marks {
				next := s.to
				if i+1 < len(marks) {
					next = marks[i+1]
				}
				gap := sub(next, x)
				if a, ok := p.ask(r, s, 0); ok && len(marks) == 1 && a.min != nil && less(gap, a.min) {
					continue // a mark is no neighbour of its own
				}
				p.holdWhere(r, s, 0, band{whole(0), ticks(p.run.Length)}, band{x, next}, gap)
			}
		case rules.Count:
			p.holdWhere(r, s, 0, band{whole(0), ticks(p.run.Length)}, s.band, whole(int64(len(marks))))
		}
	}
}

// places holds where the report says that the marks of a scope are on their plane, and at what angle round a ring.
func (p *placement) places(index int32, s scope, laid detail.Scope) {
	if p.element.Kind != rules.Row {
		return
	}
	on := p.run.Sides[max(p.side, 0)].On
	for _, m := range p.report.Marks[laid.First:laid.Last] {
		got, ok := p.report.Point(index, m.At)
		if ok != (on != nil) {
			p.complain("%s: the mark at %s has a place on a plane: %v", p.at(s.ScopeRef), m.At, ok)
		}
		if !ok {
			return
		}
		x := at(got)
		if s.ring == nil {
			way := at(on.End).minus(at(on.Start))
			off := x.minus(at(on.Start)).minus(way.times(quo(ticks(m.At), ticks(p.run.Length))))
			if !within(off.x, whole(2)) || !within(off.y, whole(2)) {
				p.complain("%s: the mark at %s is at x %s, y %s", p.at(s.ScopeRef), m.At, got.X, got.Y)
			}
			continue
		}
		p.onRing(s, laid.Ring, m, x)
	}
}

// onRing holds where a mark is against the way round to its station, to two ticks, and its angle, which is given to the
// thousandth of a degree, against where it is.
func (p *placement) onRing(s scope, got *geom.Ring, m detail.Mark, x xy) {
	off := x.minus(s.ring.middle)
	wrong := off.minus(s.ring.point(ticks(m.At)))
	if !within(wrong.x, whole(2)) || !within(wrong.y, whole(2)) {
		p.complain("%s: the mark at %s is not there on its ring", p.at(s.ScopeRef), m.At)
	}
	angle := got.Angle(m.At)
	sin, cos := sinCos(quo(mul(angle, pi), whole(180)))
	across := sub(mul(off.x, cos), mul(off.y, sin))
	along := add(mul(off.x, sin), mul(off.y, cos)) // the other way: below 0
	most := mul(off.dot(off), halfThousandth)
	if along.Sign() >= 0 || less(most, mul(across, across)) {
		p.complain("%s: the mark at %s is said to be at %s degrees", p.at(s.ScopeRef), m.At, angle.FloatString(3))
	}
}

// halfThousandth is the square of the sine of half a thousandth of a degree, and a hundredth more.
var halfThousandth, _ = new(big.Rat).SetString("0.0000000000769")

// point is where a station is, from the ring's middle: clockwise seen from above, from the low point.
func (r *ring) point(station num) xy {
	if r.round {
		sin, cos := sinCos(quo(station, r.half.x))
		return xy{neg(mul(r.half.x, sin)), neg(mul(r.half.x, cos))}
	}
	at, left := xy{whole(0), neg(r.half.y)}, station
	for _, leg := range []struct {
		x, y int64
		long num
	}{
		{-1, 0, r.half.x}, {0, 1, add(r.half.y, r.half.y)}, {1, 0, add(r.half.x, r.half.x)}, {0, -1, add(r.half.y, r.half.y)}, {-1, 0, r.half.x},
	} {
		way := left
		if less(leg.long, way) {
			way = leg.long
		}
		at = xy{add(at.x, mul(whole(leg.x), way)), add(at.y, mul(whole(leg.y), way))}
		left = sub(left, way)
	}
	return at
}

// sinCos are the sine and cosine of an angle in radians, up to a whole turn, right to some thirty decimals: those of a
// millionth of it by the first terms of their series, doubled twenty times.
func sinCos(angle num) (sin, cos num) {
	one := new(big.Int).Exp(big.NewInt(10), big.NewInt(50), nil)
	fixed := func(a num) *big.Int {
		n := new(big.Int).Mul(a.Num(), one)
		return n.Quo(n, a.Denom())
	}
	times := func(a, b *big.Int) *big.Int {
		n := new(big.Int).Mul(a, b)
		return n.Quo(n, one)
	}
	small := quo(angle, whole(1<<20))
	square := mul(small, small)
	s := fixed(mul(small, sub(whole(1), mul(quo(square, whole(6)), sub(whole(1), quo(square, whole(20)))))))
	c := fixed(sub(whole(1), mul(quo(square, whole(2)), sub(whole(1), mul(quo(square, whole(12)), sub(whole(1), quo(square, whole(30))))))))
	for range 20 {
		s, c = times(s, c), new(big.Int).Sub(times(c, c), times(s, s))
		s.Lsh(s, 1)
	}
	return new(big.Rat).SetFrac(s, one), new(big.Rat).SetFrac(c, one)
}

// clearance holds `require penetration clear`: a penetration's outline against the nearest feature, by squares.
func (p *plan) clearance(q *rules.Require) {
	h := p.hole()
	if h == nil {
		return
	}
	plane := p.planeNamed(p.run.Sides[0].On.Plane)
	pl := &placement{plan: p, side: 0, element: &rules.Element{}}
	s := scope{ScopeRef: detail.ScopeRef{Kind: "penetration", N: p.run.Sides[0].On.N}, band: point(whole(0))}
	a, ok := pl.ask(q.Clear, s, 0)
	if !ok {
		return
	}
	least := larger(a.min, whole(0))
	own := ringRound(plane, h, whole(0))
	radius := whole(0)
	if own.round {
		radius = own.half.x
	}
	broken := false
	nearest := new(big.Rat) // squared, from the middle where round
	first := true
	hold := func(d, more num, over bool) {
		reach := add(add(radius, more), least)
		broken = broken || over || less(d, mul(reach, reach))
		if first || less(d, nearest) {
			nearest, first = d, false
		}
	}
	switch of := q.Clear.From.Of; of {
	case "penetration":
		for _, other := range plane.Penetrations() {
			if other.ID == h.ID {
				continue
			}
			to := ringRound(plane, &other, whole(0))
			low, high, more := to.middle.minus(to.half), to.middle.plus(to.half), whole(0)
			if to.round {
				low, high, more = to.middle, to.middle, to.half.x
			}
			hold(own.gapTo(low, high), more, !own.round && !to.round && own.overBox(low, high))
		}
	case "rib":
		profile, _ := plane.Profile()
		for _, rib := range plane.Ribs() {
			x, wide := ticks(rib), half(ticks(profile.RibWidth))
			for _, b := range onUpright(plane, x) {
				low, high := xy{sub(x, wide), b.from}, xy{add(x, wide), b.to}
				hold(own.gapTo(low, high), whole(0), !own.round && own.overBox(low, high))
			}
		}
	default:
		for _, side := range sidesOf(plane) {
			if of == "end" || side.kind == of {
				hold(own.near(side), whole(0), !own.round && own.over(side))
			}
		}
	}
	if !broken {
		return
	}
	u := unmet{severity: "must", id: q.ID, run: p.run.ID, scope: s.ScopeRef, place: s.band, near: true}
	if q.Clear.From.Of != "penetration" { // those have radii of their own
		u.squared, u.radius = nearest, radius
	}
	if q.Should {
		u.severity = "should"
	}
	p.unmet = append(p.unmet, u)
}
