package geom_test

import (
	"fmt"
	"math/big"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// corners reads an outline: x, y in feet and the kind of the side that starts there.
func corners(list ...any) []geom.Corner {
	var out []geom.Corner
	for i := 0; i < len(list); i += 3 {
		out = append(out, geom.Corner{
			X: in(fmt.Sprint(list[i]) + " ft"), Y: in(fmt.Sprint(list[i+1]) + " ft"), Edge: list[i+2].(string),
		})
	}
	return out
}

func lake() geom.PlaneSpec {
	outline := corners(0, 0, "eave", 40, 0, "rake", 40, 15, "ridge", 0, 15, "rake")
	outline[0].ID, outline[2].ID = "eave-1", "ridge-1"
	return geom.PlaneSpec{
		ID: "lake", Slope: slope(6), Outline: outline,
		Panels: &geom.Panels{First: in("18 in"), Profile: ribbed("18 in")},
		Zones:  []geom.PlaneZone{{Kind: "edge", Within: in("4 ft"), Of: []string{"eave", "ridge"}}},
		Penetrations: []geom.Penetration{
			{ID: "pipe-1", Kind: "pipe", X: in("10.5 ft"), Y: in("6 ft"), Diameter: in("4 in")},
			{ID: "hatch", Kind: "curb", X: in("20 ft"), Y: in("5 ft"), Width: in("3 ft"), Length: in("4 ft")},
		},
	}
}

func plane(t testing.TB, spec geom.PlaneSpec) *geom.Plane {
	p, err := geom.NewPlane(spec, 0)
	require.NoError(t, err)
	return p
}

func byID(runs []*geom.Run) map[string]*geom.Run {
	all := map[string]*geom.Run{}
	for _, r := range runs {
		all[r.ID] = r
	}
	return all
}

func sound(t testing.TB, runs []*geom.Run) {
	ids := map[string]bool{}
	for _, r := range runs {
		require.NoError(t, r.Check(0), r.ID)
		require.False(t, ids[r.ID], "%s twice", r.ID)
		ids[r.ID] = true
	}
}

func TestLakePlane(t *testing.T) {
	p := plane(t, lake())
	runs := p.Runs()
	sound(t, runs)
	var ids []string
	for _, r := range runs {
		ids = append(ids, r.ID)
	}
	assert.Equal(t, []string{"lake/eave-1", "lake/side 2", "lake/ridge-1", "lake/side 4",
		"lake/hatch headwall", "lake/hatch sidewall left", "lake/hatch sidewall right", "lake/hatch backpan"}, ids)
	all := byID(runs)

	eave := all["lake/eave-1"]
	assert.Equal(t, in("40 ft"), eave.Length)
	assert.Equal(t, [2]string{"rake", "rake"}, eave.Ends)
	assert.Len(t, eave.Sides[0].Ribs, 26) // 18 in to 468 in
	assert.Nil(t, eave.Sides[0].Skew)
	assert.Equal(t, []geom.Zone{{Kind: "edge", To: in("40 ft")}}, eave.Zones)
	assert.Equal(t, eave.Sides[0].Ribs, all["lake/ridge-1"].Sides[0].Ribs)
	assert.Equal(t, geom.XY{X: in("0 ft"), Y: in("15 ft")}, all["lake/ridge-1"].Sides[0].On.Start)

	for _, id := range []string{"lake/side 2", "lake/side 4"} {
		rake := all[id]
		assert.Equal(t, [2]string{"eave", "ridge"}, rake.Ends, id)
		assert.True(t, rake.Sides[0].On.Start.Y.IsZero(), "a rake starts at its low end")
		assert.False(t, rake.Sides[0].HasPanels)
		assert.Equal(t, []geom.Zone{{Kind: "edge", To: in("4 ft")}, {Kind: "edge", From: in("11 ft"), To: in("15 ft")}}, rake.Zones)
	}

	backpan := all["lake/hatch backpan"]
	assert.Equal(t, "backpan", backpan.Edge)
	assert.Equal(t, geom.XY{X: in("20 ft"), Y: in("9 ft")}, backpan.Sides[0].On.Start)
	assert.Equal(t, []units.Length{in("12 in"), in("30 in")}, backpan.Sides[0].Ribs) // at 252 and 270 in
	assert.Equal(t, [2]string{"headwall", "backpan"}, all["lake/hatch sidewall left"].Ends)
}

func TestRibRunsStopAtPenetrations(t *testing.T) {
	p := plane(t, lake())
	runs, err := p.RibRuns()
	require.NoError(t, err)
	sound(t, runs)
	all := byID(runs)
	assert.Len(t, runs, 26+3, "the pipe cuts rib 7, the hatch ribs 14 and 15")

	whole := all["lake/rib 1"]
	assert.Equal(t, in("15 ft"), whole.Length)
	assert.Equal(t, [2]string{"eave", "ridge"}, whole.Ends)
	assert.True(t, whole.Climbs())
	assert.True(t, whole.Sides[0].On.True.Exact())

	low, high := all["lake/rib 7"], all["lake/rib 7 part 2"]
	assert.Equal(t, in("70 in"), low.Length)
	assert.Equal(t, [2]string{"eave", "penetration"}, low.Ends)
	assert.Equal(t, geom.XY{X: in("126 in"), Y: in("74 in")}, high.Sides[0].On.Start)
	assert.Equal(t, [2]string{"penetration", "ridge"}, high.Ends)
	assert.Equal(t, []geom.Zone{{Kind: "edge", From: in("58 in"), To: in("106 in")}}, high.Zones)
	assert.Equal(t, in("5 ft"), all["lake/rib 14"].Length)
	assert.Equal(t, in("6 ft"), all["lake/rib 15 part 2"].Length)
}

func TestOffsetRuns(t *testing.T) {
	p := plane(t, lake())
	runs, err := p.OffsetRuns("eave-1", in("18 in"))
	require.NoError(t, err)
	sound(t, runs)
	require.Len(t, runs, 1)
	assert.Equal(t, "lake/eave-1 + 18 in", runs[0].ID)
	assert.Equal(t, geom.XY{Y: in("18 in")}, runs[0].Sides[0].On.Start)
	assert.Equal(t, in("40 ft"), runs[0].Length)
	assert.Len(t, runs[0].Sides[0].Ribs, 26)

	runs, err = p.OffsetRuns("eave-1", in("6 ft"))
	require.NoError(t, err)
	assert.Equal(t, []geom.Obstacle{
		{ID: "pipe-1", Kind: "pipe", From: in("124 in"), To: in("128 in")},
		{ID: "hatch", Kind: "curb", From: in("20 ft"), To: in("23 ft")},
	}, runs[0].Obstacles)

	_, err = p.OffsetRuns("eave-2", in("18 in"))
	assert.ErrorContains(t, err, `no side has the id "eave-2": eave-1 is near`)
	_, err = p.OffsetRuns("eave-1", in("16 ft"))
	assert.ErrorContains(t, err, "is off the plane")
	_, err = p.OffsetRuns("eave-1", in("0 in"))
	assert.ErrorContains(t, err, "must be above 0")

	// A triangle of legs 3 ft and 4 ft: 1 ft inside the long side is a third of its 5 ft less 3/4 and 4/3 ft.
	triangle := plane(t, geom.PlaneSpec{ID: "t", Outline: corners(0, 0, "eave", 4, 0, "hip", 0, 3, "rake")})
	runs, err = triangle.OffsetRuns("side 2", in("1 ft"))
	require.NoError(t, err)
	require.Len(t, runs, 1)
	assert.Equal(t, geom.XY{X: in("28 in")}, runs[0].Sides[0].On.Start)
	assert.Equal(t, geom.XY{Y: in("21 in")}, runs[0].Sides[0].On.End)
	assert.Equal(t, in("35 in"), runs[0].Length)
}

// A side that goes 3 ft up over 4 ft crosses a rib 3/4 in wide in a band of 15/16 in, and a panel of 12 in in 15 in.
func TestSkewedSide(t *testing.T) {
	spec := geom.PlaneSpec{ID: "t", Slope: slope(6), Outline: corners(0, 0, "eave", 4, 0, "rake", 4, 3, "hip"),
		Panels: &geom.Panels{First: in("12 in"), Profile: ribbed("12 in")}}
	p := plane(t, spec)
	hip := byID(p.Runs())["t/side 3"]
	require.NoError(t, hip.Check(0))
	assert.Equal(t, in("5 ft"), hip.Length)
	assert.Equal(t, [2]string{"eave", "rake"}, hip.Ends)
	side := &hip.Sides[0]
	assert.Equal(t, []units.Length{in("15 in"), in("30 in"), in("45 in")}, side.Ribs)
	from, to := side.RibBand(0)
	assert.InDelta(t, in("15/16 in").Ticks(), to.Ticks()-from.Ticks(), 2, "rounded outward")
	panels := side.Panels(hip.Length)
	require.Len(t, panels, 4)
	assert.Equal(t, in("15 in"), panels[1].Width())
	assert.Equal(t, in("12 in"), panels[1].SquareWidth())
	assert.Equal(t, in("11 1/4 in"), panels[1].SquareFlat())
	assert.False(t, panels[1].Cut)
	at, ok := hip.At(0, in("30 in"))
	assert.True(t, ok)
	assert.Equal(t, geom.XY{X: in("24 in"), Y: in("18 in")}, at)

	schedule := p.Schedule()
	require.Len(t, schedule, 4)
	second := schedule[1]
	assert.Equal(t, in("9 in"), second.Shortest)
	assert.Equal(t, in("18 in"), second.Longest)
	assert.Equal(t, in("18 in"), second.Sheet)
	assert.Equal(t, []geom.SkewCut{{Side: "t/side 3", Rise: in("3 ft"), Run: in("4 ft")}}, second.Skews)
	assert.True(t, second.Cut)
}

// An outline with a bay cut out of its top leaves two legs of one panel.
func TestNotchedOutline(t *testing.T) {
	p := plane(t, geom.PlaneSpec{ID: "u", Slope: slope(6),
		Outline: corners(0, 0, "eave", 9, 0, "rake", 9, 6, "ridge", 6, 6, "sidewall", 6, 2, "headwall", 3, 2, "sidewall", 3, 6, "ridge", 0, 6, "rake"),
		Panels:  &geom.Panels{First: in("3 ft"), Profile: ribbed("3 ft")}})
	runs, err := p.RibRuns()
	require.NoError(t, err)
	sound(t, runs)
	require.Len(t, runs, 2)
	assert.Equal(t, in("6 ft"), runs[0].Length, "along the bay's wall there is roof on the left")
	offset, err := p.OffsetRuns("side 1", in("4 ft"))
	require.NoError(t, err)
	require.Len(t, offset, 2)
	assert.Equal(t, "u/side 1 + 48 in part 2", offset[1].ID)
	assert.Equal(t, geom.XY{X: in("6 ft"), Y: in("4 ft")}, offset[1].Sides[0].On.Start)
	assert.Equal(t, [2]string{"sidewall", "rake"}, offset[1].Ends)

	one := plane(t, geom.PlaneSpec{ID: "u", Slope: slope(6),
		Outline: corners(0, 0, "rake", 6, 0, "rake", 6, 1, "eave", 2, 1, "rake", 2, 3, "eave", 6, 3, "rake", 6, 4, "ridge", 0, 4, "rake"),
		Panels:  &geom.Panels{Ribs: []units.Length{in("3 ft")}, Profile: ribbed("3 ft")}})
	cuts := one.Schedule()
	require.Len(t, cuts, 3, "the second panel is in two parts")
	assert.Equal(t, []int{1, 2, 2}, []int{cuts[0].N, cuts[1].N, cuts[2].N})
	assert.Equal(t, in("4 ft"), cuts[0].Sheet)
	assert.Equal(t, in("1 ft"), cuts[0].Shortest)
	assert.Equal(t, 2, cuts[2].Part)
	assert.Equal(t, in("1 ft"), cuts[2].Sheet)
}

func TestCornerZones(t *testing.T) {
	spec := lake()
	of := []string{"eave", "rake", "ridge"}
	spec.Zones = []geom.PlaneZone{{Kind: "corner", Within: in("3 ft"), Of: of, Corners: true}}
	p := plane(t, spec)
	for _, r := range p.Runs()[:4] {
		assert.Equal(t, []geom.Zone{{Kind: "corner", To: in("3 ft")}, {Kind: "corner", From: minus(r.Length, in("3 ft")), To: r.Length}}, r.Zones, r.ID)
	}
	ribs, err := p.RibRuns()
	require.NoError(t, err)
	assert.Len(t, ribs[1].Zones, 2, "the rib on the border has it")
	assert.Empty(t, ribs[2].Zones)
}

func minus(a, b units.Length) units.Length {
	d, err := a.Sub(b)
	if err != nil {
		panic(err)
	}
	return d
}

// Near a skewed side the zone ends where the distance square to it is reached: on the eave of a 3-4-5 triangle 5/3 of
// it from the corner.
func TestZoneAlongASkewedSide(t *testing.T) {
	p := plane(t, geom.PlaneSpec{ID: "t", Slope: slope(6), Outline: corners(0, 0, "eave", 4, 0, "hip", 0, 3, "rake"),
		Panels: &geom.Panels{First: in("12 in"), Profile: ribbed("12 in")},
		Zones:  []geom.PlaneZone{{Kind: "edge", Within: in("6 in"), Of: []string{"hip"}}}})
	eave := p.Runs()[0]
	require.Len(t, eave.Zones, 1)
	assert.InDelta(t, in("38 in").Ticks(), eave.Zones[0].From.Ticks(), 2)
	ribs, err := p.RibRuns()
	require.NoError(t, err)
	require.Len(t, ribs[0].Zones, 1)
	assert.InDelta(t, in("19.5 in").Ticks(), ribs[0].Zones[0].From.Ticks(), 2) // 27 in up, less 6 in × 5/4
	assert.Equal(t, in("27 in"), ribs[0].Zones[0].To)
}

func TestRings(t *testing.T) {
	p := plane(t, lake())
	hatch, err := p.Ring("hatch", in("2 in"))
	require.NoError(t, err)
	assert.Equal(t, geom.Bounds{Low: in("184 in"), High: in("184 in")}, hatch.Length)
	for station, want := range map[string]geom.XY{
		"0 in":   {X: in("258 in"), Y: in("58 in")},
		"20 in":  {X: in("238 in"), Y: in("58 in")},
		"72 in":  {X: in("238 in"), Y: in("110 in")},
		"112 in": {X: in("278 in"), Y: in("110 in")},
		"164 in": {X: in("278 in"), Y: in("58 in")},
		"183 in": {X: in("259 in"), Y: in("58 in")},
		"184 in": {X: in("258 in"), Y: in("58 in")},
	} {
		assert.Equal(t, want, hatch.At(in(station)), station)
	}

	pipe, err := p.Ring("pipe-1", in("1 in"))
	require.NoError(t, err)
	assert.Equal(t, pipe.Length.Low.Ticks()+1, pipe.Length.High.Ticks())
	low, err := pipe.Length.Low.Round(in("0.000001 in"), units.Nearest)
	require.NoError(t, err)
	assert.Equal(t, in("18.849556 in"), low) // 6 π
	quarter, err := pipe.Length.Low.Round(in("0.000001 mm"), units.Down)
	require.NoError(t, err)
	left, err := units.FromTicks(quarter.Ticks() / 4)
	require.NoError(t, err)
	at := pipe.At(left)
	assert.InDelta(t, in("123 in").Ticks(), at.X.Ticks(), 1)
	assert.InDelta(t, in("72 in").Ticks(), at.Y.Ticks(), 1000)
	assert.Equal(t, geom.XY{X: in("126 in"), Y: in("69 in")}, pipe.At(units.Length{}))
	thirty, err := units.FromTicks(pipe.Length.Low.Ticks() / 12)
	require.NoError(t, err)
	assert.InDelta(t, in("124.5 in").Ticks(), pipe.At(thirty).X.Ticks(), 2, "the sine of 30° is 1/2")

	_, err = p.Ring("pipe-2", units.Length{})
	assert.ErrorContains(t, err, `none has the id "pipe-2": pipe-1 is near`)
}

func TestClear(t *testing.T) {
	p := plane(t, lake())
	check := func(hole, feature, least string, ok bool, found, near string) {
		t.Helper()
		got, err := p.Clear(hole, feature, in(least))
		require.NoError(t, err)
		assert.Equal(t, geom.Clearance{OK: ok, Found: in(found), Nearest: near}, got)
	}
	check("pipe-1", "eave", "70 in", true, "70 in", "lake/eave-1")
	check("pipe-1", "eave", "70.000001 in", false, "70 in", "lake/eave-1")
	check("pipe-1", "rib", "0 in", false, "0 in", "lake/rib 7")
	check("hatch", "ridge", "6 ft", true, "6 ft", "lake/ridge-1")
	check("hatch", "end", "5 ft", true, "5 ft", "lake/eave-1")
	check("hatch", "penetration", "112 in", true, "112 in", "lake/pipe-1")
	none, err := p.Clear("hatch", "valley", in("1 ft"))
	require.NoError(t, err)
	assert.Equal(t, geom.Clearance{OK: true, None: true}, none)
	_, err = p.Clear("hatch", "vally", in("1 ft"))
	assert.ErrorContains(t, err, "valley is near")

	// On a 3-4-5 hip: the centre is 12 in off it, square, so the outline of a 4 in pipe 10 in, exactly.
	hip := func(diameter string) geom.Clearance {
		p := plane(t, geom.PlaneSpec{ID: "t", Slope: slope(6), Outline: corners(0, 0, "eave", 8, 0, "rake", 8, 6, "hip"),
			Penetrations: []geom.Penetration{{ID: "p", Kind: "pipe", X: in("48 in"), Y: in("21 in"), Diameter: in(diameter)}}})
		got, err := p.Clear("p", "hip", in("10 in"))
		require.NoError(t, err)
		return got
	}
	assert.Equal(t, geom.Clearance{OK: true, Found: in("10 in"), Nearest: "t/side 3"}, hip("4 in"))
	over := hip("4.000001 in")
	assert.False(t, over.OK)
	assert.Equal(t, in("9.9999995 in"), over.Found)

	// A rectangle clear of a rib: the faces, not the centrelines.
	spec := lake()
	spec.Penetrations = []geom.Penetration{{ID: "v", Kind: "vent", X: in("20 in"), Y: in("2 ft"), Width: in("9 in"), Length: in("9 in")}}
	p = plane(t, spec)
	check("v", "rib", "1 5/8 in", true, "1.625 in", "lake/rib 1")
	check("v", "rib", "1.6251 in", false, "1.625 in", "lake/rib 1")
}

func TestClockwiseOutlineIsTurned(t *testing.T) {
	spec := lake()
	turned := lake()
	// The same sides, gone round the other way: each point names the side that starts there.
	turned.Outline = corners(0, 15, "ridge", 40, 15, "rake", 40, 0, "eave", 0, 0, "rake")
	turned.Outline[0].ID, turned.Outline[2].ID = "ridge-1", "eave-1"
	a, b := byID(plane(t, spec).Runs()), byID(plane(t, turned).Runs())
	for _, id := range []string{"lake/eave-1", "lake/ridge-1", "lake/side 2", "lake/side 4", "lake/hatch backpan"} {
		assert.Equal(t, a[id], b[id], id)
	}
	assert.Equal(t, 0, plane(t, spec).Area().Cmp(plane(t, turned).Area()))
}

func TestHostileOutlines(t *testing.T) {
	many := make([]geom.Corner, 1_000_000)
	for name, c := range map[string]struct {
		outline []geom.Corner
		want    string
	}{
		"none":          {nil, "/outline: has 0 points"},
		"two":           {corners(0, 0, "eave", 1, 0, "eave"), "/outline: has 2 points"},
		"a million":     {many, "/outline/1000: is one point too many"},
		"repeated":      {corners(0, 0, "eave", 1, 0, "rake", 1, 0, "rake", 1, 1, "ridge"), "/outline/2: repeats the point before it"},
		"closed":        {corners(0, 0, "eave", 1, 0, "rake", 1, 1, "ridge", 0, 0, "rake"), "/outline/3: repeats the first point"},
		"crossing":      {corners(0, 0, "eave", 4, 4, "rake", 4, 0, "ridge", 0, 4, "rake"), "/outline/2: at x 48 in, y 0 in: the side that starts here crosses or touches the one from /outline/0"},
		"no area":       {corners(0, 0, "eave", 2, 0, "rake", 1, 0, "ridge"), "crosses or touches"},
		"spike":         {corners(0, 0, "eave", 4, 0, "rake", 4, 4, "ridge", 4, 2, "rake", 0, 2, "rake"), "/outline/3: at x 48 in, y 24 in"},
		"touching":      {corners(0, 0, "eave", 4, 0, "rake", 4, 4, "ridge", 2, 0, "ridge", 0, 4, "rake"), "crosses or touches"},
		"wrong kind":    {corners(0, 0, "eve", 1, 0, "rake", 1, 1, "ridge"), `/outline/0/edge: "eve" is no kind of edge: eave is near`},
		"far out":       {corners(0, 0, "eave", 40000, 0, "rake", 1, 1, "ridge"), "/outline/1: is too far out"},
		"reserved name": {append([]geom.Corner{{Edge: "eave", ID: "rib 3"}}, corners(1, 0, "rake", 1, 1, "ridge")...), "/outline/0/id"},
	} {
		start := time.Now()
		_, err := geom.NewPlane(geom.PlaneSpec{ID: "x", Outline: c.outline}, 0)
		require.Error(t, err, name)
		assert.ErrorContains(t, err, c.want, name)
		assert.ErrorContains(t, err, `plane "x"`, name)
		assert.Less(t, time.Since(start), time.Second, name)
	}
}

func TestPlaneErrors(t *testing.T) {
	for want, change := range map[string]func(*geom.PlaneSpec){
		"/id: is missing":                func(s *geom.PlaneSpec) { s.ID = "" },
		"/id: \"a/b\"":                   func(s *geom.PlaneSpec) { s.ID = "a/b" },
		"/panels/first":                  func(s *geom.PlaneSpec) { s.Panels.First = in("2 ft") },
		"/profile/cover":                 func(s *geom.PlaneSpec) { s.Panels.Profile.Cover = units.Length{} },
		"/panels/first: 2540":            func(s *geom.PlaneSpec) { s.Panels = tiny("0.00001 in") },
		"/zones/0/within":                func(s *geom.PlaneSpec) { s.Zones[0].Within = units.Length{} },
		"/zones/0/of: is empty":          func(s *geom.PlaneSpec) { s.Zones[0].Of = nil },
		"/zones/0/of/1: \"rigde\"":       func(s *geom.PlaneSpec) { s.Zones[0].Of[1] = "rigde" },
		"/penetrations/1/id: \"pipe-1\"": func(s *geom.PlaneSpec) { s.Penetrations[1].ID = "pipe-1" },
		"/penetrations/0/diameter":       func(s *geom.PlaneSpec) { s.Penetrations[0].Diameter = in("-4 in") },
		"/penetrations/0: has both":      func(s *geom.PlaneSpec) { s.Penetrations[0].Width = in("1 in") },
		"/penetrations/1: a curb has": func(s *geom.PlaneSpec) {
			s.Penetrations[1] = geom.Penetration{ID: "c", Kind: "curb", Diameter: in("1 ft")}
		},
		"/penetrations/0: at x 600 in": func(s *geom.PlaneSpec) { s.Penetrations[0].X = in("50 ft") },
		"/penetrations/1/width":        func(s *geom.PlaneSpec) { s.Penetrations[1].Width = units.Length{} },
	} {
		spec := lake()
		change(&spec)
		_, err := geom.NewPlane(spec, 0)
		if want == "/panels/first: 2540" {
			assert.ErrorIs(t, err, geom.ErrTooManyPanels)
			continue
		}
		assert.ErrorContains(t, err, want)
	}
}

func tiny(cover string) *geom.Panels {
	return &geom.Panels{First: in(cover), Profile: geom.Profile{Cover: in(cover)}}
}

// The worst outline in size, a comb, is read and cut up in bounded time.
func TestCombOfThousandCorners(t *testing.T) {
	var outline []geom.Corner
	at := func(x, y int, edge string) { outline = append(outline, corners(x, y, edge)...) }
	at(0, 0, "eave")
	at(998, 0, "rake")
	for i := 498; i >= 0; i-- {
		at(2*i+1, 50, "hip")
		at(2*i, 10+i%7, "valley")
	}
	outline = outline[:len(outline)-1]
	start := time.Now()
	p := plane(t, geom.PlaneSpec{ID: "comb", Slope: slope(6), Outline: outline, Panels: &geom.Panels{First: in("16 in"), Profile: ribbed("16 in")}})
	runs, err := p.RibRuns()
	require.NoError(t, err)
	sound(t, runs)
	sum := new(big.Rat)
	for _, c := range p.Schedule() {
		sum.Add(sum, c.Area)
	}
	assert.Equal(t, 0, sum.Cmp(p.Area()))
	assert.Less(t, time.Since(start), 10*time.Second)
}

func ExampleNewPlane() {
	slope, _ := units.NewSlope(6, 12)
	ft := func(n int) units.Length { return units.MustParse(fmt.Sprint(n, " ft")) }
	p, err := geom.NewPlane(geom.PlaneSpec{
		ID:    "lake",
		Slope: slope,
		Outline: []geom.Corner{
			{X: ft(0), Y: ft(0), Edge: "eave", ID: "eave-1"},
			{X: ft(16), Y: ft(0), Edge: "hip"},
			{X: ft(4), Y: ft(9), Edge: "ridge"},
			{X: ft(0), Y: ft(9), Edge: "rake"},
		},
		Panels: &geom.Panels{
			First:   ft(2),
			Profile: geom.Profile{Cover: ft(2), RibWidth: units.MustParse("3/4 in"), RibHeight: units.MustParse("1 3/4 in")},
		},
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range p.Runs() {
		fmt.Println(r.ID, r.Edge, r.Length, len(r.Sides[0].Ribs), "ribs")
	}
	last := p.Schedule()[7]
	fmt.Println("the last panel is", last.Sheet, "long and cut", last.Skews[0].Rise, "over", last.Skews[0].Run)
	// Output:
	// lake/eave-1 eave 192 in 7 ribs
	// lake/side 2 hip 180 in 6 ribs
	// lake/side 3 ridge 48 in 2 ribs
	// lake/side 4 rake 108 in 0 ribs
	// the last panel is 18 in long and cut -108 in over 144 in
}

func ExamplePlane_Clear() {
	ft := func(n int) units.Length { return units.MustParse(fmt.Sprint(n, " ft")) }
	p, _ := geom.NewPlane(geom.PlaneSpec{
		ID: "lake",
		Outline: []geom.Corner{
			{X: ft(0), Y: ft(0), Edge: "eave"}, {X: ft(8), Y: ft(0), Edge: "valley"}, {X: ft(8), Y: ft(6), Edge: "valley"},
		},
		Penetrations: []geom.Penetration{{ID: "pipe-1", Kind: "pipe", X: ft(4), Y: ft(2), Diameter: units.MustParse("4 in")}},
	}, 0)
	c, _ := p.Clear("pipe-1", "valley", units.MustParse("8 in"))
	fmt.Println(c.OK, c.Found, c.Nearest)
	// Output: false 7.6 in lake/side 3
}

// TestRingAngle: a quarter turn at a quarter of the way round a pipe; round a curb a corner is where the sides say.
func TestRingAngle(t *testing.T) {
	spec := lake()
	spec.Zones = []geom.PlaneZone{
		{Kind: "low", Within: in("58 in"), Of: []string{"eave"}},
		{Kind: "lower", Within: in("57 15/16 in"), Of: []string{"eave"}},
		{Kind: "corner", Within: in("40 ft"), Of: []string{"eave", "rake"}, Corners: true},
		{Kind: "never", Within: in("40 ft"), Of: []string{"rake"}, Corners: true},
	}
	p := plane(t, spec)
	pipe, err := p.Ring("pipe-1", in("12 in"))
	require.NoError(t, err)
	assert.Equal(t, []string{"low", "corner"}, pipe.Zones, "the low point is 72 - 2 - 12 in above the eave")
	assert.Empty(t, pipe.Blocked)
	angle := func(r geom.Ring, part int64) string {
		return r.Angle(ticks(r.Length.High.Ticks() / 8 * part)).FloatString(3)
	}
	for i, want := range []string{"0.000", "45.000", "90.000", "135.000", "180.000", "225.000", "270.000", "315.000"} {
		assert.Equal(t, want, angle(pipe, int64(i)))
	}
	curb, err := p.Ring("hatch", in("0 in"))
	require.NoError(t, err)
	// 36 in wide and 48 in long; stations from the middle of the low side to the left. tan 36.870° = 18/24.
	for station, want := range map[string]string{
		"0 in": "0.000", "18 in": "36.870", "42 in": "90.000", "66 in": "143.130", "84 in": "180.000", "102 in": "216.870",
		"126 in": "270.000", "150 in": "323.130", "168 in": "0.000",
	} {
		assert.Equal(t, want, curb.Angle(in(station)).FloatString(3), station)
	}
	wide, err := p.Ring("pipe-1", in("118 1/16 in"))
	require.NoError(t, err)
	assert.Equal(t, "lake/hatch", wide.Blocked)
	low, err := p.Ring("pipe-1", in("70 in"))
	require.NoError(t, err)
	assert.Empty(t, low.Blocked, "it only touches the eave")
	low, err = p.Ring("pipe-1", in("70 1/16 in"))
	require.NoError(t, err)
	assert.Equal(t, "lake/eave-1", low.Blocked)
}
