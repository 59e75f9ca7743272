package geom_test

import (
	"fmt"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func squareFeet(area *big.Rat) *big.Rat {
	foot := in("1 ft").Rat()
	return new(big.Rat).Quo(area, foot.Mul(foot, foot))
}

// areas checks that the panels of each plane add up to it exactly, and returns the planes' areas in square feet.
func areas(t *testing.T, planes []*geom.Plane) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, p := range planes {
		sum := new(big.Rat)
		for _, c := range p.Schedule() {
			sum.Add(sum, c.Area)
		}
		assert.Equal(t, 0, sum.Cmp(p.Area()), p.ID())
		all[p.ID()] = squareFeet(p.Area()).FloatString(3)
	}
	return all
}

func roofed(t *testing.T, spec geom.RoofSpec) ([]*geom.Plane, map[string]*geom.Run) {
	t.Helper()
	spec.ID = "shed"
	spec.Panels = &geom.Panels{First: in("2 ft"), Profile: ribbed("2 ft")}
	planes, err := geom.Roof(spec, 0)
	require.NoError(t, err)
	runs, err := geom.Runs(planes...)
	require.NoError(t, err)
	sound(t, runs)
	return planes, byID(runs)
}

// near holds a length against one worked by hand from the printed factors, to their two decimals of an inch per foot.
func near(t *testing.T, want string, footsOfRun int64, got units.Length) {
	t.Helper()
	off := minus(got, in(want)).Abs()
	within, err := in("0.005 in").Mul(footsOfRun)
	require.NoError(t, err)
	assert.LessOrEqual(t, off.Ticks(), within.Ticks(), "%s is not %s", got, want)
}

// Worked by hand: 9 in 12 over 40 × 24 ft is 15 in per foot of run for common rafters, 19.21 in for hips (printed).
// The 12 ft of run take 15 ft of slope and 230.52 in of hip; the ridge is 40 - 24 = 16 ft. The front is
// (40 + 16) / 2 × 15 = 420 ft², an end 24 × 15 / 2 = 180 ft², all 1200 ft²: the plan's 960 × 5/4.
func TestHipRoofByHand(t *testing.T) {
	planes, runs := roofed(t, geom.RoofSpec{Shape: "hip", Length: in("40 ft"), Width: in("24 ft"), Slope: slope(9)})
	assert.Equal(t, map[string]string{"shed front": "420.000", "shed right": "180.000", "shed back": "420.000", "shed left": "180.000"}, areas(t, planes))

	ridge := runs["shed front/ridge"]
	assert.Equal(t, in("16 ft"), ridge.Length)
	assert.Equal(t, [2]string{"hip", "hip"}, ridge.Ends)
	require.Len(t, ridge.Sides, 2)
	assert.Equal(t, "shed back", ridge.Sides[1].ID)
	assert.Len(t, runs, 4+1+4, "four eaves, a ridge, four hips")

	hip := runs["shed front/hip front-right"]
	near(t, "230.52 in", 12, hip.Length)
	assert.Equal(t, [2]string{"eave", "ridge"}, hip.Ends)
	require.Len(t, hip.Sides, 2)
	assert.Equal(t, "shed right", hip.Sides[1].ID)
	assert.Equal(t, hip.Sides[0].Ribs, hip.Sides[1].Ribs, "both planes have the same ribs from this corner")
	require.Len(t, hip.Sides[0].Ribs, 6)
	near(t, "38.42 in", 2, hip.Sides[0].Ribs[0])
	assert.Equal(t, hip.Length, hip.Sides[0].Ribs[5], "a rib at the hip's top")

	ribs, err := planes[0].RibRuns()
	require.NoError(t, err)
	for i, want := range []string{"30 in", "60 in", "90 in", "120 in", "150 in", "180 in", "180 in"} {
		assert.Equal(t, in(want), ribs[i].Length, "rib %d: 15 in per foot from the corner", i+1)
	}
	first, last := planes[0].Schedule()[0], planes[0].Schedule()[19]
	assert.Equal(t, in("30 in"), first.Longest)
	assert.True(t, first.Shortest.IsZero())
	assert.Equal(t, "2.5", squareFeet(first.Area).FloatString(1))
	assert.Equal(t, first.Area, last.Area)
}

// Worked by hand: 6 in 12 over 24 ft rises 6 ft, which ends of 12 in 12 reach after 6 ft. The front's slope is
// 12 × 13.42 = 161.04 in (printed), an end's 6 × 16.97 = 101.82 in; the hips are √(12² + 6² + 6²) = 14.6969 ft.
func TestHipRoofOfTwoSlopes(t *testing.T) {
	planes, runs := roofed(t, geom.RoofSpec{Shape: "hip", Length: in("40 ft"), Width: in("24 ft"), Slope: slope(6), EndSlope: slope(12)})
	assert.Equal(t, in("28 ft"), runs["shed front/ridge"].Length)
	near(t, "161.04 in", 12, planes[0].Outline()[2].Y)
	near(t, "101.82 in", 6, planes[1].Outline()[2].Y)
	front, right := byID(planes[0].Runs()), byID(planes[1].Runs())
	a, b := front["shed front/hip front-right"].Length, right["shed right/hip front-right"].Length
	assert.InDelta(t, a.Ticks(), b.Ticks(), 2, "the hip is as long on both planes")
	near(t, "176.363 in", 1, a)
	areas(t, planes)
}

// Worked by hand, 9 in 12: the wing, 12 ft wide, runs its ridge 6 ft up the front in plan, so the valleys are
// 6 × 19.21 = 115.26 in (printed) and take 12 × 7.5 / 2 = 45 ft² of the front's 600. The wing's planes are
// (10 + 16) / 2 × 7.5 = 97.5 ft². All 1350 ft²: the plan's (40 × 24 + 12 × 10) × 5/4.
func TestGableWithValleyByHand(t *testing.T) {
	planes, runs := roofed(t, geom.RoofSpec{Shape: "gable-valley", Length: in("40 ft"), Width: in("24 ft"), Slope: slope(9),
		Wing: &geom.Wing{From: in("8 ft"), Width: in("12 ft"), Length: in("10 ft")}})
	assert.Equal(t, map[string]string{"shed front": "555.000", "shed back": "600.000", "shed wing left": "97.500", "shed wing right": "97.500"}, areas(t, planes))
	for _, side := range []string{"left", "right"} {
		valley := runs["shed front/valley "+side]
		near(t, "115.26 in", 6, valley.Length)
		require.Len(t, valley.Sides, 2, side)
		assert.Equal(t, "shed wing "+side, valley.Sides[1].ID)
		assert.Equal(t, "eave", valley.Ends[0])
	}
	assert.Equal(t, in("16 ft"), runs["shed wing left/wing ridge"].Length)
	assert.Equal(t, in("8 ft"), runs["shed front/eave left"].Length)
	assert.Equal(t, in("20 ft"), runs["shed front/eave right"].Length)
	ribs, err := planes[0].RibRuns()
	require.NoError(t, err)
	fifth := byID(ribs)["shed front/rib 5"] // 10 ft from the left: 2 ft up the valley
	assert.Equal(t, in("12 ft 6 in"), fifth.Length)
	assert.Equal(t, [2]string{"valley", "ridge"}, fifth.Ends)
	assert.Equal(t, [2]string{"eave", "ridge"}, byID(ribs)["shed front/rib 4"].Ends, "at a corner the flatter side counts")
}

// 5 in 12 is 13 in per foot of run, exactly.
func TestOverhangsAreInPlan(t *testing.T) {
	rake := in("6 in")
	planes, runs := roofed(t, geom.RoofSpec{Shape: "single", Length: in("10 ft"), Width: in("8 ft"), Slope: slope(5), Overhang: in("12 in"), RakeOverhang: &rake})
	assert.Equal(t, "shed", planes[0].ID())
	assert.Equal(t, in("11 ft"), runs["shed/eave"].Length)
	assert.Equal(t, in("10 ft 10 in"), runs["shed/rake left"].Length)
	assert.Equal(t, "peak", runs["shed/peak"].Edge)

	_, runs = roofed(t, geom.RoofSpec{Shape: "gable", Length: in("10 ft"), Width: in("22 ft"), Slope: slope(5), Overhang: in("12 in")})
	assert.Equal(t, in("13 ft"), runs["shed back/rake right"].Length)
	ridge := runs["shed front/ridge"]
	assert.Equal(t, in("12 ft"), ridge.Length)
	assert.Equal(t, [2]string{"rake", "rake"}, ridge.Ends)
}

func TestPyramid(t *testing.T) {
	planes, runs := roofed(t, geom.RoofSpec{Shape: "hip", Length: in("24 ft"), Width: in("24 ft"), Slope: slope(9)})
	assert.Len(t, planes, 4)
	assert.Len(t, runs, 8)
	assert.Equal(t, [2]string{"eave", "hip"}, runs["shed front/hip front-left"].Ends)
}

func TestRoofErrors(t *testing.T) {
	good := func() geom.RoofSpec {
		return geom.RoofSpec{ID: "shed", Shape: "gable-valley", Length: in("40 ft"), Width: in("24 ft"), Slope: slope(6),
			Overhang: in("1 ft"), Wing: &geom.Wing{From: in("8 ft"), Width: in("12 ft"), Length: in("10 ft")}}
	}
	_, err := geom.Roof(good(), 0)
	require.NoError(t, err)
	for want, change := range map[string]func(*geom.RoofSpec){
		"/id: is missing":              func(r *geom.RoofSpec) { r.ID = "" },
		`/shape: "hipp" is no kind`:    func(r *geom.RoofSpec) { r.Shape = "hipp" },
		"/length: must be above 0":     func(r *geom.RoofSpec) { r.Length = units.Length{} },
		"/width: must be at most 1 km": func(r *geom.RoofSpec) { r.Width = in("1001 m") },
		"/overhang: must not":          func(r *geom.RoofSpec) { r.Overhang = in("-1 in") },
		"/slope: must be above 0:12":   func(r *geom.RoofSpec) { r.Slope = slope(0) },
		"/slope: is 61:12":             func(r *geom.RoofSpec) { r.Slope = slope(61) },
		"/end_slope: only a hip":       func(r *geom.RoofSpec) { r.EndSlope = slope(6) },
		"/wing: is missing":            func(r *geom.RoofSpec) { r.Wing = nil },
		"/wing: only a gable-valley":   func(r *geom.RoofSpec) { r.Shape = "hip" },
		"/wing/width: leaves no eave":  func(r *geom.RoofSpec) { r.Wing.Width = in("32 ft") },
		"/wing: its ridge reaches":     func(r *geom.RoofSpec) { r.Wing.Slope = slope(12) },
		"/length: is too short":        func(r *geom.RoofSpec) { r.Shape, r.Wing, r.Length = "hip", nil, in("23 ft") },
	} {
		spec := good()
		change(&spec)
		_, err := geom.Roof(spec, 0)
		assert.ErrorContains(t, err, want)
	}
	spec := good()
	spec.Panels = &geom.Panels{First: in("2 ft"), Profile: ribbed("18 in")}
	_, err = geom.Roof(spec, 0)
	assert.ErrorContains(t, err, `plane "shed front"`)
}

func TestSidesThatDontMeet(t *testing.T) {
	low := func(change func(*geom.PlaneSpec)) *geom.Plane {
		spec := lake()
		spec.ID = "road"
		change(&spec)
		return plane(t, spec)
	}
	same := func(*geom.PlaneSpec) {}
	for want, others := range map[string][]*geom.Plane{
		`"lake" is the id of two planes`:            {plane(t, lake())},
		"/outline/2/id: \"ridge-1\" is the id of a": {low(same), low(func(s *geom.PlaneSpec) { s.ID = "wood" })},
		"is a hip here, but a ridge on plane":       {low(func(s *geom.PlaneSpec) { s.Outline[2].Edge = "hip" })},
		"is 480.2 in long here, but 480 in on":      {low(func(s *geom.PlaneSpec) { s.Outline[1].X, s.Outline[2].X = in("480.2 in"), in("480.2 in") })},
	} {
		_, err := geom.Runs(append([]*geom.Plane{plane(t, lake())}, others...)...)
		assert.ErrorContains(t, err, want)
	}
	runs, err := geom.Runs(plane(t, lake()), low(func(s *geom.PlaneSpec) { s.Roof = "another" }))
	require.NoError(t, err)
	assert.Len(t, runs, 16, "roofs don't meet")
}

// The second plane's first rib is 6 in from its left, which is the right end of the ridge; its pipe stands 10 ft from there.
func TestRidgeOfTwoPlanes(t *testing.T) {
	spec := lake()
	spec.ID, spec.Slope = "road", slope(4)
	spec.Panels.First = in("6 in")
	spec.Penetrations = []geom.Penetration{{ID: "pipe-1", Kind: "pipe", X: in("10 ft"), Y: in("15 ft"), Diameter: in("8 in")}}
	runs, err := geom.Runs(plane(t, lake()), plane(t, spec))
	require.NoError(t, err)
	sound(t, runs)
	ridge := byID(runs)["lake/ridge-1"]
	require.Len(t, ridge.Sides, 2)
	assert.Equal(t, slope(4), ridge.Sides[1].Slope)
	assert.Equal(t, in("474 in"), ridge.Sides[1].Ribs[len(ridge.Sides[1].Ribs)-1])
	assert.Equal(t, in("6 in"), ridge.Sides[1].Ribs[0], "480 in is 6 in and 26 panels and 6 in")
	assert.Equal(t, []geom.Obstacle{{ID: "pipe-1", Kind: "pipe", From: in("356 in"), To: in("364 in"), Side: "road"}}, ridge.Obstacles)
	_, twice := byID(runs)["road/ridge-1"]
	assert.False(t, twice)
}

func TestTransitionHasRoles(t *testing.T) {
	low := geom.PlaneSpec{ID: "low", Slope: slope(3), Outline: corners(0, 0, "eave", 9, 0, "rake", 9, 6, "transition", 0, 6, "rake"),
		Panels: &geom.Panels{First: in("1 ft"), Profile: ribbed("2 ft")}}
	high := geom.PlaneSpec{ID: "high", Slope: slope(8), Outline: corners(0, 0, "transition", 9, 0, "rake", 9, 6, "ridge", 0, 6, "rake")}
	low.Outline[2].ID, high.Outline[0].ID = "break", "break"
	runs, err := geom.Runs(plane(t, low), plane(t, high))
	require.NoError(t, err)
	sound(t, runs)
	sides := byID(runs)["low/break"].Sides
	require.Len(t, sides, 2)
	assert.Equal(t, [2]string{"lower", "upper"}, [2]string{sides[0].Role, sides[1].Role})
	assert.Equal(t, in("1 ft"), sides[0].Ribs[0])
	_, err = geom.Runs(plane(t, low), plane(t, func() geom.PlaneSpec { low.ID = "other"; return low }()))
	assert.ErrorContains(t, err, "on the same side of transition")
}

func ExampleRoof() {
	slope, _ := units.NewSlope(6, 12)
	planes, err := geom.Roof(geom.RoofSpec{
		ID: "shed", Shape: "hip", Slope: slope,
		Length: units.MustParse("40 ft"), Width: units.MustParse("24 ft"), Overhang: units.MustParse("12 in"),
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	runs, _ := geom.Runs(planes...)
	for _, r := range runs {
		tape, _ := r.Length.Tape(units.MustParse("1/16 in"), units.Nearest)
		fmt.Println(r.ID+":", tape)
	}
	// Output:
	// shed front/eave: 42' 0"
	// shed front/hip front-right: 19' 6"
	// shed front/ridge: 16' 0"
	// shed front/hip front-left: 19' 6"
	// shed right/eave: 26' 0"
	// shed right/hip back-right: 19' 6"
	// shed back/eave: 42' 0"
	// shed back/hip back-left: 19' 6"
	// shed left/eave: 26' 0"
}
