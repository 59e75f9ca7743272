package geom

import (
	"math/big"
	"math/bits"

	"github.com/lapwright/lapwright/units"
)

// OnPlane is where one side of a run stands on its plane. A place between two ticks of 1e-9 mm is rounded: the run's
// length up, so that what covers the run covers the line; its ribs toward station 0; bands, zones and obstacles outward.
// Nothing is off by more than two ticks.
type OnPlane struct {
	Plane      string // the plane's id
	N          int    // of the rib on the plane, from 1, where the run is along one
	Start, End XY     // of the run on the plane, from station 0, each to the tick
	True       Bounds // the run's length there: as it is, rounded down and up
}

// At returns the point at a station of one of the run's sides, on that side's plane, rounded down to the tick, and
// whether there is one: the side is on a plane, and the station not past what a length holds.
func (r *Run) At(side int, station units.Length) (XY, bool) {
	on := r.Sides[side].On
	if on == nil || station.Abs().Cmp(longestOnPlane) > 0 {
		return XY{}, false
	}
	along := func(from, to units.Length) units.Length {
		way := new(big.Rat).SetFrac64(station.Ticks(), r.Length.Ticks())
		at, _ := units.FromRat(way.Mul(way, minus(to, from).Rat()), units.Down) // no longer than the station
		return plus(from, at)
	}
	return XY{along(on.Start.X, on.End.X), along(on.Start.Y, on.End.Y)}, true
}

// line is a straight line on a plane from a, where station 0 is, to b.
type line struct {
	a, b   point
	hi, lo uint64 // the line's length in ticks, rounded down, and what is left, in parts of 1<<64
}

func newLine(a, b point) line {
	l := line{a: a, b: b}
	if dx, dy := l.dx(), l.dy(); dx == 0 || dy == 0 {
		l.hi = uint64(max(dx, -dx) + max(dy, -dy))
		return l
	}
	square := l.square()
	square.Lsh(square, 128)
	square.Sqrt(square)
	l.lo = new(big.Int).And(square, new(big.Int).SetUint64(1<<64-1)).Uint64()
	l.hi = square.Rsh(square, 64).Uint64()
	return l
}

func (l *line) dx() int64 { return l.b.x - l.a.x }
func (l *line) dy() int64 { return l.b.y - l.a.y }

// square returns the line's length squared.
func (l *line) square() *big.Int { return dot(l.a, l.b, l.b).big() }

// level and upright say that the line is square to the ribs, or along them.
func (l *line) level() bool   { return l.dy() == 0 }
func (l *line) upright() bool { return l.dx() == 0 }

// bounds returns the line's length. Where the length is irrational the parts left over are never 0 in full, but they
// may be in the bits that are kept: the squares decide.
func (l *line) bounds() Bounds {
	b := Bounds{ticks(int64(l.hi)), ticks(int64(l.hi))}
	if l.lo == 0 {
		whole := new(big.Int).SetUint64(l.hi)
		if l.level() || l.upright() || whole.Mul(whole, whole).Cmp(l.square()) == 0 {
			return b
		}
	}
	b.High = ticks(int64(l.hi) + 1)
	return b
}

// along returns the way along the line over a way of across >= 0 square to the ribs, rounded down, and whether it is
// at most 20 km.
func (l *line) along(across int64) (int64, bool) {
	if l.level() {
		return across, true
	}
	width := l.dx()
	width = max(width, -width)
	hi, lo := bits.Mul64(uint64(across), l.hi)
	part, _ := bits.Mul64(uint64(across), l.lo)
	lo, carry := bits.Add64(lo, part, 0)
	hi += carry
	if hi >= uint64(width) {
		return 0, false
	}
	s, _ := bits.Div64(hi, lo, uint64(width))
	return int64(s), s <= 2*uint64(longestOnPlane.Ticks())
}

// ribbed puts the ribs of the plane that cross the line, or whose band reaches it, on a side of its run.
func (p *Plane) ribbed(l *line, s *Side) {
	s.Profile = p.profile
	if s.HasPanels = p.hasPanels && !l.upright(); !s.HasPanels {
		return
	}
	half := s.halfRib().Ticks()
	from, to := p.crossing(min(l.a.x, l.b.x)-half, max(l.a.x, l.b.x)+half)
	n := to - from
	stations := make([]units.Length, 0, n)
	var across []units.Length
	if !l.level() {
		s.Skew = &Skew{Length: ticks(max(l.dx(), -l.dx()))}
		reach, ok := l.along(half)
		if !ok { // a side all but upright: the band is longer than the plane
			reach = 2 * longestOnPlane.Ticks()
		} else if way := max(l.dx(), -l.dx()); half > 0 {
			if half > way || !l.bounds().Exact() {
				reach++
			} else if _, rest := mulDiv(half, int64(l.hi), way); rest > 0 {
				reach++
			}
		}
		s.Skew.HalfRib = ticks(reach)
		across = make([]units.Length, 0, n)
	}
	right := l.dx() > 0
	end, length := max(l.dx(), -l.dx()), l.bounds().High.Ticks()
	for i := range n {
		var a int64
		if right {
			a = p.ribs[from+i] - l.a.x
		} else {
			a = l.a.x - p.ribs[to-1-i]
		}
		at, ok := l.along(max(a, -a))
		if !ok {
			continue
		}
		switch {
		case a < 0:
			at = -at
		case a == end: // no sliver of a panel from where the length was rounded up
			at = length
		}
		stations = append(stations, ticks(at))
		if s.Skew != nil {
			across = append(across, ticks(a))
		}
	}
	s.Ribs = stations
	if s.Skew != nil {
		s.Skew.Ribs = across
	}
}

// crossing returns the half-open range of ribs from x low to x high, both included.
func (p *Plane) crossing(low, high int64) (from, to int) {
	first := func(x int64) int {
		i, j := 0, len(p.ribs)
		for i < j {
			if h := int(uint(i+j) >> 1); p.ribs[h] < x {
				i = h + 1
			} else {
				j = h
			}
		}
		return i
	}
	return first(low), first(high + 1)
}

// lay makes the run along a line of the plane, with its ribs, zones and obstacles; skip is the index of the
// penetration that the line belongs to, or -1.
func (p *Plane) lay(id, edge string, l line, ends [2]string, skip int) *Run {
	r := &Run{ID: id, Edge: edge, Ends: ends, Sides: make([]Side, 1)}
	on := &OnPlane{Plane: p.id, Start: l.a.xy(), End: l.b.xy(), True: l.bounds()}
	r.Length, r.Sides[0].On = on.True.High, on
	r.Sides[0].Slope = p.slope
	p.ribbed(&l, &r.Sides[0])
	r.Zones = p.zonesOn(&l, r.Length.Ticks())
	for i := range p.holes {
		if i == skip {
			continue
		}
		if from, to, ok := p.holes[i].on(&l, r.Length.Ticks()); ok {
			r.Obstacles = append(r.Obstacles, Obstacle{ID: p.holes[i].ID, Kind: p.holes[i].Kind, From: ticks(from), To: ticks(to)})
		}
	}
	return r
}
