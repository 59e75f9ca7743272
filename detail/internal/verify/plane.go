package verify

import (
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// xy is a point of a plane in ticks.
type xy struct{ x, y num }

func at(p geom.XY) xy { return xy{ticks(p.X), ticks(p.Y)} }

func (a xy) minus(b xy) xy    { return xy{sub(a.x, b.x), sub(a.y, b.y)} }
func (a xy) dot(b xy) num     { return add(mul(a.x, b.x), mul(a.y, b.y)) }
func (a xy) cross(b xy) num   { return sub(mul(a.x, b.y), mul(a.y, b.x)) }
func (a xy) times(k num) xy   { return xy{mul(a.x, k), mul(a.y, k)} }
func (a xy) plus(b xy) xy     { return xy{add(a.x, b.x), add(a.y, b.y)} }
func magnitude(x num) num     { return larger(x, neg(x)) }
func within(x, most num) bool { return !less(most, magnitude(x)) }

// slack is what roundings of places on a plane may come to, in ticks.
var slack = whole(8)

// onPlanes holds where the runs of a report stand on its planes, by the planes' outlines alone.
func (v *verifier) onPlanes() {
	lines := map[string][]*geom.Run{} // along ribs, by plane
	for _, run := range v.report.Runs {
		for i := range run.Sides {
			on := run.Sides[i].On
			if on == nil {
				continue
			}
			plane := v.planeNamed(on.Plane)
			if plane == nil {
				v.complain("run %s: is on no plane %q", run.ID, on.Plane)
				continue
			}
			switch run.Edge {
			case geom.RibLine:
				lines[on.Plane] = append(lines[on.Plane], run)
			case "penetration":
			default:
				v.straight(run, i, plane)
				v.ribsOn(run, i, plane)
			}
		}
	}
	for _, plane := range v.report.Planes {
		if list := lines[plane.ID()]; list != nil {
			v.ribLines(plane, list)
		}
	}
}

func (v *verifier) planeNamed(id string) *geom.Plane {
	for _, p := range v.report.Planes {
		if p.ID() == id {
			return p
		}
	}
	return nil
}

// straight holds a run's length against its ends, by squares, and its line against the outline or a curb.
func (v *verifier) straight(run *geom.Run, side int, plane *geom.Plane) {
	on := run.Sides[side].On
	way := at(on.End).minus(at(on.Start))
	low, high, square := ticks(on.True.Low), ticks(on.True.High), way.dot(way)
	if less(square, mul(low, low)) || less(mul(high, high), square) || less(whole(1), sub(high, low)) || equal(low, high) && !equal(square, mul(low, low)) {
		v.complain("run %s: its length on plane %s is not from %s to %s", run.ID, on.Plane, on.True.Low, on.True.High)
	}
	off := magnitude(sub(ticks(run.Length), high))
	if side == 0 && off.Sign() != 0 || less(ticks(units.MustParse("1/8 in")), off) {
		v.complain("run %s: is %s long, but %s on plane %s", run.ID, run.Length, on.True.High, on.Plane)
	}
	a, b := at(on.Start), at(on.End)
	for _, s := range sidesOf(plane) {
		if s.kind == run.Edge && s.has(a) && s.has(b) {
			return
		}
	}
	for _, h := range plane.Penetrations() {
		if h.Kind == "curb" && slices.ContainsFunc(sidesOfBox(&h), func(s segment) bool { return s.has(a) && s.has(b) }) {
			return
		}
	}
	v.complain("run %s: stands on no side of plane %s", run.ID, on.Plane)
}

// segment is a side of an outline.
type segment struct {
	a, b xy
	kind string
}

// has tells whether a point is on the segment, its ends included.
func (s segment) has(p xy) bool {
	way, to := s.b.minus(s.a), p.minus(s.a)
	ahead := way.dot(to)
	return way.cross(to).Sign() == 0 && ahead.Sign() >= 0 && !less(way.dot(way), ahead)
}

func sidesOf(p *geom.Plane) []segment {
	corners := p.Outline()
	var list []segment
	for i, c := range corners {
		next := corners[(i+1)%len(corners)]
		list = append(list, segment{xy{ticks(c.X), ticks(c.Y)}, xy{ticks(next.X), ticks(next.Y)}, c.Edge})
	}
	return list
}

func sidesOfBox(h *geom.Penetration) []segment {
	low := xy{ticks(h.X), ticks(h.Y)}
	right, up := xy{ticks(h.Width), whole(0)}, xy{whole(0), ticks(h.Length)}
	return []segment{
		{a: low, b: low.plus(right)}, {a: low, b: low.plus(up)},
		{a: low.plus(right), b: low.plus(right).plus(up)}, {a: low.plus(up), b: low.plus(up).plus(right)},
	}
}

// inside tells whether a point is within an outline, counting the sides to its right; of one on the outline it says
// either.
func inside(p *geom.Plane, at xy) bool {
	in := false
	for _, s := range sidesOf(p) {
		if less(at.y, s.a.y) == less(at.y, s.b.y) {
			continue
		}
		t := quo(sub(at.y, s.a.y), sub(s.b.y, s.a.y))
		if less(at.x, add(s.a.x, mul(t, sub(s.b.x, s.a.x)))) {
			in = !in
		}
	}
	return in
}

// inHole tells whether a point is within a penetration, more than the slack from its outline.
func inHole(p *geom.Plane, at xy) bool {
	for _, h := range p.Penetrations() {
		to := at.minus(xy{ticks(h.X), ticks(h.Y)})
		if !h.Diameter.IsZero() {
			r := sub(half(ticks(h.Diameter)), slack)
			if less(to.dot(to), mul(r, r)) {
				return true
			}
		} else if strictlyIn(slack, to.x, sub(ticks(h.Width), slack)) && strictlyIn(slack, to.y, sub(ticks(h.Length), slack)) {
			return true
		}
	}
	return false
}

// across is how far along the eave each rib of a side stands from the run's station 0, by the plane's own ribs.
func (v *verifier) across(run *geom.Run, side int, plane *geom.Plane) []num {
	s := &run.Sides[side]
	way := sub(ticks(s.On.End.X), ticks(s.On.Start.X))
	sign := whole(int64(way.Sign()))
	var list []num
	for _, at := range s.Ribs {
		u := quo(mul(ticks(at), magnitude(way)), ticks(run.Length))
		var nearest num
		for _, rib := range plane.Ribs() {
			x := mul(sign, sub(ticks(rib), ticks(s.On.Start.X)))
			if nearest == nil || less(magnitude(sub(x, u)), magnitude(sub(nearest, u))) {
				nearest = x
			}
		}
		if nearest == nil || !within(sub(nearest, u), slack) {
			v.complain("run %s: no rib of plane %s is at %s", run.ID, s.On.Plane, at)
			nearest = u
		}
		list = append(list, nearest)
	}
	return list
}

// ribsOn holds the ribs of a side: each is one of the plane's, and each of the plane's that crosses it is there. On
// the skew a rib's band is as much wider as the run is longer than its way along the eave.
func (v *verifier) ribsOn(run *geom.Run, side int, plane *geom.Plane) {
	s := &run.Sides[side]
	way := sub(ticks(s.On.End.X), ticks(s.On.Start.X))
	if !s.HasPanels {
		if _, panels := plane.Profile(); panels && way.Sign() != 0 {
			v.complain("run %s: has no panels, but plane %s has", run.ID, s.On.Plane)
		}
		return
	}
	across := v.across(run, side, plane)
	sign := whole(int64(way.Sign()))
	for _, rib := range plane.Ribs() {
		u := mul(sign, sub(ticks(rib), ticks(s.On.Start.X)))
		n := 0
		for _, x := range across {
			if equal(x, u) {
				n++
			}
		}
		if between(whole(0), u, magnitude(way)) && n != 1 || n > 1 {
			v.complain("run %s: the rib at x %s of plane %s is there %d times", run.ID, rib, s.On.Plane, n)
		}
	}
	if s.Skew == nil {
		if s.On.Start.Y != s.On.End.Y {
			v.complain("run %s: crosses the ribs on the skew, but square widths are not known", run.ID)
		}
		return
	}
	// width/2 · length/way, by squares: at least that, and not two ticks more.
	line := at(s.On.End).minus(at(s.On.Start))
	want := func(more int64) int {
		band := sub(ticks(s.Skew.HalfRib), whole(more))
		if band.Sign() < 0 {
			return -1
		}
		width := up(half(ticks(s.Profile.RibWidth)))
		return mul(mul(band, band), mul(way, way)).Cmp(mul(mul(width, width), line.dot(line)))
	}
	if want(0) < 0 || want(2) > 0 {
		v.complain("run %s: half of a rib's band is %s on the skew", run.ID, s.Skew.HalfRib)
	}
}

// ribLines holds the runs along a plane's ribs: all of each rib that is within the outline, less penetrations on its
// centreline, and nothing else.
func (v *verifier) ribLines(plane *geom.Plane, lines []*geom.Run) {
	asWhole := slices.ContainsFunc(v.report.Runs, func(r *geom.Run) bool { return r.ID == plane.ID() && r.Edge == "field" })
	for n, x := range plane.Ribs() {
		var parts []band
		for _, run := range lines {
			on := run.Sides[0].On
			if on.N != n+1 {
				continue
			}
			b := bandOf(on.Start.Y, on.End.Y)
			if on.Start.X != x || on.End.X != x || !equal(b.length(), ticks(run.Length)) || b.length().Sign() <= 0 {
				v.complain("run %s: is not along rib %d of plane %s", run.ID, n+1, plane.ID())
			}
			parts = append(parts, b)
		}
		if !asWhole {
			continue // the job names other lines of the plane
		}
		low, high := height(plane)
		from := sub(low, whole(100))
		for _, b := range append(parts, point(add(high, whole(100)))) {
			if less(b.from, from) {
				v.complain("plane %s: two parts of rib %d overlap or are out of order", plane.ID(), n+1)
			}
			v.probe(plane, n+1, ticks(x), band{from, b.from}, false)
			if b.length().Sign() > 0 {
				v.probe(plane, n+1, ticks(x), b, true)
			}
			from = b.to
		}
	}
}

// probe holds points of a stretch of a rib: on the plane and in no penetration where it is laid, else off it or in one. A
// side along the rib is neither.
func (v *verifier) probe(plane *geom.Plane, rib int, x num, b band, laid bool) {
	if !less(mul(slack, whole(4)), b.length()) {
		return
	}
	margin := slack
	for _, part := range []*big.Rat{big.NewRat(0, 1), big.NewRat(1, 5), big.NewRat(1, 2), big.NewRat(4, 5), big.NewRat(1, 1)} {
		p := xy{x, add(add(b.from, margin), mul(part, sub(b.length(), add(margin, margin))))}
		if slices.ContainsFunc(sidesOf(plane), func(s segment) bool { return s.has(p) }) {
			continue
		}
		if on := inside(plane, p) && !inHole(plane, p); on != laid && !nearHole(plane, p) {
			v.complain("plane %s: rib %d at y %s is laid: %v; on the plane: %v", plane.ID(), rib, show(down(p.y)), laid, on)
		}
	}
}

// nearHole tells whether a point is so near a penetration's outline that rounding decides.
func nearHole(p *geom.Plane, at xy) bool {
	for _, h := range p.Penetrations() {
		to := at.minus(xy{ticks(h.X), ticks(h.Y)})
		if !h.Diameter.IsZero() {
			r := half(ticks(h.Diameter))
			inner, outer := sub(r, mul(slack, whole(2))), add(r, mul(slack, whole(2)))
			if d := to.dot(to); between(mul(inner, inner), d, mul(outer, outer)) {
				return true
			}
		} else if between(neg(slack), to.x, add(ticks(h.Width), slack)) && between(neg(slack), to.y, add(ticks(h.Length), slack)) &&
			!(strictlyIn(slack, to.x, sub(ticks(h.Width), slack)) && strictlyIn(slack, to.y, sub(ticks(h.Length), slack))) {
			return true
		}
	}
	return false
}

// height is how far down and up an outline reaches.
func height(p *geom.Plane) (low, high num) {
	for _, c := range p.Outline() {
		y := ticks(c.Y)
		if low == nil {
			low, high = y, y
		}
		low, high = smaller(low, y), larger(high, y)
	}
	return low, high
}
