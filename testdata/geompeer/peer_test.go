package geompeer

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	peer "github.com/peterstace/simplefeatures/geom"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// inches is for comparing with the peer only, which knows nothing but floating point.
func inches(l units.Length) float64 { return float64(l.Ticks()) / float64(units.TicksPerInch) }

func length(n int64) units.Length {
	l, err := units.FromTicks(n * units.TicksPerInch / 16)
	if err != nil {
		panic(err)
	}
	return l
}

// star is a simple polygon round a point: corners at rising angles, at any distance, so far from convex.
func star(rng *rand.Rand) [][2]int64 {
	n := 3 + rng.IntN(20)
	var points [][2]int64
	for len(points) < n {
		x, y := rng.Int64N(4001)-2000, rng.Int64N(4001)-2000
		if x*x+y*y > 100 {
			points = append(points, [2]int64{x, y})
		}
	}
	slices.SortFunc(points, func(a, b [2]int64) int {
		return cmp.Compare(math.Atan2(float64(a[1]), float64(a[0])), math.Atan2(float64(b[1]), float64(b[0])))
	})
	return points
}

// comb is a simple polygon between two chains of corners over the same stretch of the eave.
func comb(rng *rand.Rand) [][2]int64 {
	chain := func(low int64) [][2]int64 {
		points := [][2]int64{{0, low + rng.Int64N(900)}}
		for range 1 + rng.IntN(10) {
			points = append(points, [2]int64{points[len(points)-1][0] + 1 + rng.Int64N(400), low + rng.Int64N(900)})
		}
		return append(points, [2]int64{4500, low + rng.Int64N(900)})
	}
	lower, upper := chain(-1000), chain(0)
	slices.Reverse(upper)
	return append(lower, upper...)
}

func polygon(t *testing.T, points [][2]int64) peer.Geometry {
	t.Helper()
	var flat []float64
	for _, p := range append(points, points[0]) {
		flat = append(flat, float64(p[0])/16, float64(p[1])/16)
	}
	g := peer.NewPolygon([]peer.LineString{peer.NewLineString(peer.NewSequence(flat, peer.DimXY))}).AsGeometry()
	return g
}

func clip(t *testing.T, a, b peer.Geometry) peer.Geometry {
	t.Helper()
	g, err := peer.Intersection(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s: %v, the peer has %v", what, got, want)
	}
}

func TestAreasAndRibsAgree(t *testing.T) {
	const seed, wanted = 20260105, 1000
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	kinds := geom.EdgeKinds()
	checked, refused, ribs, panels := 0, 0, 0, 0
	for checked < wanted && !t.Failed() {
		points := star(rng)
		if rng.IntN(2) == 0 {
			points = comb(rng)
		}
		g := polygon(t, points)
		spec := geom.PlaneSpec{ID: "x", Panels: &geom.Panels{First: length(1 + rng.Int64N(288)), Profile: geom.Profile{Cover: length(288), RibWidth: length(12)}}}
		for _, p := range points {
			spec.Outline = append(spec.Outline, geom.Corner{X: length(p[0]), Y: length(p[1]), Edge: kinds[rng.IntN(len(kinds))]})
		}
		p, err := geom.NewPlane(spec, 0)
		if valid := g.Validate() == nil; valid != (err == nil) {
			t.Fatalf("%v: the peer says sound: %v, ours: %v", points, valid, err)
		}
		if err != nil {
			refused++
			continue
		}
		checked++
		area, _ := p.Area().Float64()
		square := float64(units.TicksPerInch) * float64(units.TicksPerInch)
		near(t, "area", area/square, g.Area(), 1e-6*g.Area())

		byRib := map[units.Length]float64{}
		runs, err := p.RibRuns()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range runs {
			byRib[r.Sides[0].On.Start.X] += inches(r.Sides[0].On.True.High)
		}
		for _, at := range p.Ribs() {
			x := inches(at)
			line := peer.NewLineString(peer.NewSequence([]float64{x, -1000, x, 1000}, peer.DimXY)).AsGeometry()
			near(t, "rib", byRib[at], clip(t, g, line).Length(), 1e-6)
			ribs++
		}

		byPanel := map[int]float64{}
		var from, to = map[int]float64{}, map[int]float64{}
		for _, c := range p.Schedule() {
			part, _ := c.Area.Float64()
			byPanel[c.N] += part / square
			if _, ok := from[c.N]; !ok {
				from[c.N], to[c.N] = inches(c.From), inches(c.To)
			}
			from[c.N], to[c.N] = min(from[c.N], inches(c.From)), max(to[c.N], inches(c.To))
		}
		for n, sum := range byPanel {
			strip := peer.NewEnvelope(peer.XY{X: from[n], Y: -1000}, peer.XY{X: to[n], Y: 1000}).AsGeometry()
			near(t, "panel", sum, clip(t, g, strip).Area(), 1e-5)
			panels++
		}
	}
	t.Logf("%d planes, %d refused by both, %d ribs, %d panels", checked, refused, ribs, panels)
}

func segment(a, b geom.XY) peer.Geometry {
	return peer.NewLineString(peer.NewSequence([]float64{inches(a.X), inches(a.Y), inches(b.X), inches(b.Y)}, peer.DimXY)).AsGeometry()
}

func distance(t *testing.T, a, b peer.Geometry) float64 {
	t.Helper()
	d, ok := peer.Distance(a, b)
	if !ok {
		t.Fatal("the peer has no distance")
	}
	return d
}

// Penetrations are as far from sides, ribs and each other as the peer says; zones begin and end where a border is as
// far off as the zone is wide; and what is on a side is what the peer cuts of it.
func TestDistancesAgree(t *testing.T) {
	const seed, wanted = 20260106, 500
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	checked, borders, obstacles := 0, 0, 0
	for checked < wanted && !t.Failed() {
		points := comb(rng)
		within := length(16 + rng.Int64N(800))
		spec := geom.PlaneSpec{ID: "x",
			Panels: &geom.Panels{First: length(100), Profile: geom.Profile{Cover: length(288), RibWidth: length(12)}},
			Zones:  []geom.PlaneZone{{Kind: "edge", Within: within, Of: []string{"hip"}}}}
		for i, p := range points {
			kind := "valley"
			if i%4 == 1 {
				kind = "hip"
			}
			spec.Outline = append(spec.Outline, geom.Corner{X: length(p[0]), Y: length(p[1]), Edge: kind})
		}
		box := geom.Penetration{ID: "box", Kind: "curb", X: length(500 + rng.Int64N(3000)), Y: length(-rng.Int64N(400)), Width: length(1 + rng.Int64N(600)), Length: length(1 + rng.Int64N(600))}
		pipe := geom.Penetration{ID: "pipe", Kind: "pipe", X: length(500 + rng.Int64N(3000)), Y: length(-rng.Int64N(400)), Diameter: length(1 + rng.Int64N(300))}
		spec.Penetrations = []geom.Penetration{box, pipe}
		p, err := geom.NewPlane(spec, 0)
		if err != nil {
			continue
		}
		checked++
		boxShape := peer.NewEnvelope(peer.XY{X: inches(box.X), Y: inches(box.Y)}, peer.XY{X: inches(box.X) + inches(box.Width), Y: inches(box.Y) + inches(box.Length)}).AsGeometry()
		centre := peer.XY{X: inches(pipe.X), Y: inches(pipe.Y)}.AsPoint().AsGeometry()
		radius := inches(pipe.Diameter) / 2

		var hips []peer.Geometry
		sides := p.Outline()
		for i, c := range sides {
			if next := sides[(i+1)%len(sides)]; c.Edge == "hip" {
				hips = append(hips, segment(geom.XY{X: c.X, Y: c.Y}, geom.XY{X: next.X, Y: next.Y}))
			}
		}
		least := func(g peer.Geometry, to []peer.Geometry) float64 {
			d := math.Inf(1)
			for _, h := range to {
				d = min(d, distance(t, g, h))
			}
			return d
		}
		ribs, err := p.RibRuns()
		if err != nil {
			t.Fatal(err)
		}
		bare := spec
		bare.Penetrations = nil
		q, err := geom.NewPlane(bare, 0)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := q.RibRuns()
		if err != nil {
			t.Fatal(err)
		}
		var bands []peer.Geometry
		half := inches(spec.Panels.Profile.RibWidth) / 2
		for _, r := range whole {
			x := inches(r.Sides[0].On.Start.X)
			bands = append(bands, peer.NewEnvelope(peer.XY{X: x - half, Y: inches(r.Sides[0].On.Start.Y)}, peer.XY{X: x + half, Y: inches(r.Sides[0].On.End.Y)}).AsGeometry())
		}
		ask := func(hole, feature string, want float64) {
			t.Helper()
			c, err := p.Clear(hole, feature, units.Length{})
			if err != nil {
				t.Fatal(err)
			}
			near(t, hole+" from "+feature, inches(c.Found), max(want, 0), 1e-6)
			for _, off := range []int64{-1, 1} { // 1/16 in to either side of what was found
				asked := c.Found.Ticks() + off*units.TicksPerInch/16
				if at, err := units.FromTicks(asked); err == nil && asked >= 0 {
					if d, _ := p.Clear(hole, feature, at); d.OK != (off < 0) {
						t.Errorf("%s clear of %s by %s: %v, but %s was found", hole, feature, at, d.OK, c.Found)
					}
				}
			}
		}
		ask("box", "hip", least(boxShape, hips))
		ask("pipe", "hip", least(centre, hips)-radius)
		ask("box", "rib", least(boxShape, bands))
		ask("pipe", "rib", least(centre, bands)-radius)
		ask("box", "penetration", distance(t, boxShape, centre)-radius)

		for _, r := range append(p.Runs(), ribs...) {
			for _, z := range r.Zones {
				for _, at := range []units.Length{z.From, z.To} {
					if at.IsZero() || at == r.Length {
						continue
					}
					xy, _ := r.At(0, at)
					near(t, r.ID+" zone border", least(peer.XY{X: inches(xy.X), Y: inches(xy.Y)}.AsPoint().AsGeometry(), hips), inches(within), 1e-6)
					borders++
				}
			}
			for _, o := range r.Obstacles {
				if o.ID == "box" {
					near(t, r.ID+" obstacle", inches(o.To)-inches(o.From), clip(t, boxShape, segment(r.Sides[0].On.Start, r.Sides[0].On.End)).Length(), 1e-6)
				} else {
					for _, at := range []units.Length{o.From, o.To} {
						if !at.IsZero() && at != r.Length {
							xy, _ := r.At(0, at)
							near(t, r.ID+" obstacle", distance(t, centre, peer.XY{X: inches(xy.X), Y: inches(xy.Y)}.AsPoint().AsGeometry()), radius, 1e-6)
						}
					}
				}
				obstacles++
			}
		}
	}
	t.Logf("%d planes, %d zone borders, %d obstacles", checked, borders, obstacles)
	if borders == 0 || obstacles == 0 {
		t.Error("nothing was compared")
	}
}
