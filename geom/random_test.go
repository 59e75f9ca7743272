package geom_test

import (
	"cmp"
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func ticks(n int64) units.Length {
	l, err := units.FromTicks(n)
	if err != nil {
		panic(err)
	}
	return l
}

// randomPlane is a plane between an upper and a lower chain of corners, neither convex, with listed ribs some of which
// stand at corners.
func randomPlane(rng *rand.Rand) geom.PlaneSpec {
	step := in("1/16 in").Ticks()
	chain := func(low int64) []geom.Corner {
		var list []geom.Corner
		x := int64(0)
		for range 2 + rng.IntN(5) {
			x += 1 + rng.Int64N(1000)
			list = append(list, geom.Corner{X: ticks(x * step), Y: ticks((low + rng.Int64N(900)) * step)})
		}
		return list
	}
	lower, upper := chain(-1000), chain(10)
	slices.Reverse(upper)
	left := geom.Corner{X: ticks(-step * rng.Int64N(100)), Y: ticks(-50 * step)}
	outline := append(append([]geom.Corner{left}, lower...), upper...)
	kinds := []string{"eave", "rake", "ridge", "hip", "valley", "peak", "sidewall", "headwall"}
	for i := range outline {
		outline[i].Edge = kinds[rng.IntN(len(kinds))]
	}
	var xs []int64
	width := int64(0)
	for _, c := range outline {
		width = max(width, c.X.Ticks()-left.X.Ticks())
		if rng.IntN(3) == 0 {
			xs = append(xs, c.X.Ticks()-left.X.Ticks())
		}
	}
	for range 12 {
		xs = append(xs, rng.Int64N(width))
	}
	slices.Sort(xs)
	panels := &geom.Panels{Ribs: []units.Length{}, Profile: ribbed("18 in")}
	for _, x := range slices.Compact(xs) {
		panels.Ribs = append(panels.Ribs, ticks(x))
	}
	return geom.PlaneSpec{ID: "x", Slope: slope(6), Outline: outline, Panels: panels,
		Zones: []geom.PlaneZone{{Kind: "edge", Within: ticks(step * (1 + rng.Int64N(100))), Of: []string{"eave", "hip", "valley"}}}}
}

func moved(spec geom.PlaneSpec, sign int64, by geom.XY) geom.PlaneSpec {
	outline := slices.Clone(spec.Outline)
	for i, c := range outline {
		outline[i].X = ticks(sign*c.X.Ticks() + by.X.Ticks())
		outline[i].Y = ticks(c.Y.Ticks() + by.Y.Ticks())
	}
	spec.Outline = outline
	return spec
}

// mirrored is the plane seen from behind: each point names the side that started at the one before.
func mirrored(spec geom.PlaneSpec) geom.PlaneSpec {
	m := moved(spec, -1, geom.XY{})
	n := len(m.Outline)
	for i, c := range spec.Outline {
		m.Outline[(i+1)%n].Edge = c.Edge
	}
	slices.Reverse(m.Outline)
	var left, right int64
	for i, c := range spec.Outline {
		if i == 0 {
			left, right = c.X.Ticks(), c.X.Ticks()
		}
		left, right = min(left, c.X.Ticks()), max(right, c.X.Ticks())
	}
	panels := *spec.Panels
	panels.Ribs = nil
	for _, at := range slices.Backward(spec.Panels.Ribs) {
		panels.Ribs = append(panels.Ribs, ticks(right-left-at.Ticks()))
	}
	m.Panels = &panels
	return m
}

func TestRandomPlanes(t *testing.T) {
	const seed = 20260104
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	cases := 1000
	if testing.Short() {
		cases = 200
	}
	checked := 0
	for range cases {
		spec := randomPlane(rng)
		p, err := geom.NewPlane(spec, 0)
		if err != nil { // a chain may start straight below the other's end
			continue
		}
		checked++
		runs := p.Runs()
		ribs, err := p.RibRuns()
		require.NoError(t, err)
		sound(t, append(slices.Clone(runs), ribs...))
		sum := new(big.Rat)
		for _, c := range p.Schedule() {
			sum.Add(sum, c.Area)
			require.LessOrEqual(t, c.Shortest.Ticks(), c.Longest.Ticks())
			require.LessOrEqual(t, c.Longest.Ticks(), c.Sheet.Ticks())
		}
		require.Equal(t, 0, sum.Cmp(p.Area()), "the panels' areas are the plane's")
		for _, r := range runs {
			requireStations(t, r)
		}

		by := geom.XY{X: ticks(rng.Int64N(1e12)), Y: ticks(-rng.Int64N(1e12))}
		q := plane(t, moved(spec, 1, by))
		there, err := q.RibRuns()
		require.NoError(t, err)
		requireSame(t, runs, q.Runs(), by)
		requireSame(t, ribs, there, by)
		require.Equal(t, p.Area(), q.Area())

		m := plane(t, mirrored(spec))
		require.Equal(t, p.Area(), m.Area())
		back, err := m.RibRuns()
		require.NoError(t, err)
		require.Len(t, back, len(ribs))
		slices.SortFunc(back, func(a, b *geom.Run) int {
			return cmp.Or(b.Sides[0].On.Start.X.Cmp(a.Sides[0].On.Start.X), a.Sides[0].On.Start.Y.Cmp(b.Sides[0].On.Start.Y))
		})
		for i := range ribs {
			require.Equal(t, ribs[i].Sides[0].On.Start.X.Neg(), back[i].Sides[0].On.Start.X)
			require.Equal(t, ribs[i].Sides[0].On.Start.Y, back[i].Sides[0].On.Start.Y)
			require.Equal(t, ribs[i].Sides[0].On.True, back[i].Sides[0].On.True)
			require.Equal(t, ribs[i].Zones, back[i].Zones)
		}
		lengths := func(runs []*geom.Run) []units.Length {
			var list []units.Length
			for _, r := range runs {
				list = append(list, r.Length)
			}
			slices.SortFunc(list, units.Length.Cmp)
			return list
		}
		require.Equal(t, lengths(runs), lengths(m.Runs()))
	}
	t.Logf("%d planes", checked)
	assert.Greater(t, checked, cases/2)
}

// requireStations holds the stations of ribs on a skewed side against those square to them: the station times the cosine is
// the way along the eave, to the tick that it was rounded down to.
func requireStations(t *testing.T, r *geom.Run) {
	s := &r.Sides[0]
	if s.Skew == nil {
		return
	}
	dx := big.NewInt(s.Skew.Length.Ticks())
	dy := big.NewInt(r.Sides[0].On.End.Y.Ticks() - r.Sides[0].On.Start.Y.Ticks())
	length := new(big.Int).Mul(dx, dx)
	length.Add(length, dy.Mul(dy, dy))
	for i, at := range s.Ribs {
		across, station := s.Skew.Ribs[i].Abs().Ticks(), at.Abs().Ticks()
		if s.Skew.Ribs[i] == s.Skew.Length {
			require.Equal(t, r.Length, at)
			continue
		}
		want := new(big.Int).Mul(big.NewInt(across), big.NewInt(across))
		want.Mul(want, length)
		times := func(n int64) *big.Int {
			p := new(big.Int).Mul(big.NewInt(n), dx)
			return p.Mul(p, p)
		}
		require.LessOrEqual(t, times(station).Cmp(want), 0)
		require.Greater(t, times(station+1).Cmp(want), 0)
	}
	require.Len(t, s.Panels(r.Length), len(square(s)))
}

func square(s *geom.Side) []geom.Panel {
	flat := geom.Side{HasPanels: true, Ribs: s.Skew.Ribs, Profile: s.Profile}
	return flat.Panels(s.Skew.Length)
}

func requireSame(t *testing.T, a, b []*geom.Run, by geom.XY) {
	require.Len(t, b, len(a))
	for i := range a {
		require.Equal(t, anywhere(a[i]), anywhere(b[i]))
		require.Equal(t, a[i].Sides[0].On.True, b[i].Sides[0].On.True)
		require.Equal(t, minus(b[i].Sides[0].On.Start.X, a[i].Sides[0].On.Start.X), by.X)
		require.Equal(t, minus(b[i].Sides[0].On.Start.Y, a[i].Sides[0].On.Start.Y), by.Y)
	}
}

// anywhere is a run without its place on a plane.
func anywhere(r *geom.Run) geom.Run {
	own := *r
	own.Sides = slices.Clone(r.Sides)
	for i := range own.Sides {
		own.Sides[i].On = nil
	}
	return own
}

// manySided is a plane of 20 sides and 200 panels, its upper edge in hips and valleys.
func manySided(panels, sides int) geom.PlaneSpec {
	width := in("18 in").Ticks() * int64(panels)
	outline := []geom.Corner{{Edge: "eave"}, {X: ticks(width), Edge: "rake"}}
	n := sides - 2
	for i := range n {
		c := geom.Corner{X: ticks(width - width*int64(i)/int64(n-1)), Y: in("20 ft"), Edge: "hip"}
		if i%2 == 1 {
			c.Y, c.Edge = in("30 ft"), "valley"
		}
		outline = append(outline, c)
	}
	outline[len(outline)-1].Edge = "rake"
	return geom.PlaneSpec{ID: "x", Slope: slope(6), Outline: outline,
		Panels: &geom.Panels{First: in("18 in"), Profile: ribbed("18 in")},
		Zones:  []geom.PlaneZone{{Kind: "edge", Within: in("4 ft"), Of: []string{"eave"}}}}
}

func BenchmarkPlane(b *testing.B) {
	for _, size := range [][2]int{{200, 20}, {400, 20}, {200, 40}} {
		spec := manySided(size[0], size[1])
		b.Run(fmt.Sprintf("%d_panels_%d_sides", size[0], size[1]), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p, err := geom.NewPlane(spec, 0)
				if err != nil {
					b.Fatal(err)
				}
				p.Runs()
				if _, err := p.RibRuns(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
