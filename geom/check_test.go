package geom_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func twoSides() geom.Spec {
	spec := boathouse()
	spec.Edge = "transition"
	spec.Sides = []geom.SideSpec{
		{ID: "lake", Role: "upper", Panels: &geom.Panels{First: in("7 in"), Profile: ribbed("18 in")}},
		{ID: "road", Role: "lower", Panels: &geom.Panels{First: in("9 in"), Profile: ribbed("16 in")}},
	}
	return spec
}

func TestTwoSides(t *testing.T) {
	spec := twoSides()
	spec.Obstacles[0].Side = "road"
	r, err := geom.NewRun(spec, 0)
	require.NoError(t, err)
	assert.Len(t, r.Sides, 2)
	assert.Equal(t, in("16 in"), r.Sides[1].Profile.Cover)
}

func TestRefused(t *testing.T) {
	panels := func(s *geom.Spec) *geom.Panels { return s.Sides[0].Panels }
	for _, c := range []struct {
		name  string
		spec  geom.Spec
		spoil func(*geom.Spec)
		want  string // path: message
	}{
		{"no id", boathouse(), func(s *geom.Spec) { s.ID = "" }, "/id: is missing"},
		{"no edge", boathouse(), func(s *geom.Spec) { s.Edge = "" }, "/edge: is missing: use eave, rake,"},
		{"edge misspelt", boathouse(), func(s *geom.Spec) { s.Edge = "paek" }, `/edge: "paek" is no kind of edge: peak is near`},
		{"edge unknown", boathouse(), func(s *geom.Spec) { s.Edge = "chimney" }, `/edge: "chimney" is no kind of edge: use eave, rake, ridge`},
		{"end misspelt", boathouse(), func(s *geom.Spec) { s.Ends[1] = "Wall" }, `/ends/1: "Wall" is no kind of end: wall is near`},
		{"no length", boathouse(), func(s *geom.Spec) { s.Length = units.Length{} }, "/length: must be above 0, but is 0 in"},
		{"negative length", boathouse(), func(s *geom.Spec) { s.Length = in("-1 in") }, "/length: must be above 0, but is -1 in"},
		{"endless", boathouse(), func(s *geom.Spec) { s.Length, s.Sides = in("500001 m"), nil }, "/length: must be at most 500 km"},
		{"no first", boathouse(), func(s *geom.Spec) { panels(s).First = units.Length{} }, "/panels/first: must be above 0"},
		{"negative first", boathouse(), func(s *geom.Spec) { panels(s).First = in("-7 in") }, "/panels/first: must be above 0, the width of the first panel, but is -7 in"},
		{"first over cover", boathouse(), func(s *geom.Spec) { panels(s).First = in("19 in") }, "/panels/first: is 19 in: a panel is no wider than the cover, 18 in"},
		{"first and ribs", boathouse(), func(s *geom.Spec) { panels(s).Ribs = []units.Length{in("7 in")} }, "/panels: has both first and ribs"},
		{"no cover", boathouse(), func(s *geom.Spec) { panels(s).Profile.Cover = units.Length{} }, "/profile/cover: must be above 0 where there are panels"},
		{"too many zones", boathouse(), func(s *geom.Spec) { s.Zones = make([]geom.Zone, 1001) }, "/zones: are 1001: a run has at most 1000"},
		{"too many obstacles", boathouse(), func(s *geom.Spec) { s.Obstacles = make([]geom.Obstacle, 1001) }, "/obstacles: are 1001: a run has at most 1000"},
		{"cover far too wide", boathouse(), func(s *geom.Spec) { panels(s).Profile.Cover = in("500001 m") }, "/profile/cover: must be at most 500 km"},
		{"rib too wide", boathouse(), func(s *geom.Spec) { panels(s).Profile.RibWidth = in("18 in") }, "/profile/rib_width: is 18 in: a rib is narrower"},
		{"negative rib width", boathouse(), func(s *geom.Spec) { panels(s).Profile.RibWidth = in("-1 in") }, "/profile/rib_width: must not be negative"},
		{"negative rib height", boathouse(), func(s *geom.Spec) { panels(s).Profile.RibHeight = in("-1 in") }, "/profile/rib_height: must not be negative"},
		{"ribs out of order", boathouse(), func(s *geom.Spec) {
			panels(s).First, panels(s).Ribs = units.Length{}, []units.Length{in("7 in"), in("43 in"), in("25 in")}
		}, "/panels/ribs/2: 25 in comes after 43 in: list ribs from left to right"},
		{"rib repeated", boathouse(), func(s *geom.Spec) {
			panels(s).First, panels(s).Ribs = units.Length{}, []units.Length{in("7 in"), in("7 in")}
		}, "/panels/ribs/1: repeats the rib at 7 in"},
		{"rib before the run", boathouse(), func(s *geom.Spec) {
			panels(s).First, panels(s).Ribs = units.Length{}, []units.Length{in("-1/2 in")}
		}, "/panels/ribs/0: -0.5 in is off the run: a rib that touches it stands from -0.375 in to 376.375 in"},
		{"rib past the run", boathouse(), func(s *geom.Spec) {
			panels(s).First, panels(s).Ribs = units.Length{}, []units.Length{in("377 in")}
		}, "/panels/ribs/0: 377 in is off the run"},
		{"zone without kind", boathouse(), func(s *geom.Spec) { s.Zones[0].Kind = "" }, "/zones/0/kind: is missing"},
		{"zone turned round", boathouse(), func(s *geom.Spec) { s.Zones[0].From = in("5 ft") }, "/zones/0/to: 48 in must be past from, 60 in"},
		{"zone before the run", boathouse(), func(s *geom.Spec) { s.Zones[0].From = in("-1 in") }, "/zones/0/from: -1 in is off the run: it starts at 0 in"},
		{"zone past the run", boathouse(), func(s *geom.Spec) { s.Zones[0].To = in("32 ft") }, "/zones/0/to: 384 in is off the run: it ends at 376 in"},
		{"obstacle without kind", boathouse(), func(s *geom.Spec) { s.Obstacles[0].Kind = "" }, "/obstacles/0/kind: is missing"},
		{"obstacle past the run", boathouse(), func(s *geom.Spec) { s.Obstacles[0].To = in("32 ft") }, "/obstacles/0/to: 384 in is off the run"},
		{"obstacle twice", boathouse(), func(s *geom.Spec) { s.Obstacles = append(s.Obstacles, s.Obstacles[0]) }, `/obstacles/1/id: "flue" is the id of /obstacles/0 too`},
		{"obstacle on no side", boathouse(), func(s *geom.Spec) { s.Obstacles[0].Side = "road" }, `/obstacles/0/side: no side has the id "road"`},
		{"obstacle's side misspelt", twoSides(), func(s *geom.Spec) { s.Obstacles[0].Side = "raod" }, `/obstacles/0/side: no side has the id "raod": road is near`},
		{"role without transition", boathouse(), func(s *geom.Spec) { s.Sides[0].Role = "upper" }, `/role: "upper": only the two sides of a transition have a role`},
		{"two sides of an eave", twoSides(), func(s *geom.Spec) {
			s.Edge, s.Sides[0].Role, s.Sides[1].Role = "eave", "", ""
		}, "/sides: has two sides: only a ridge, hip, valley or transition has"},
		{"three sides", twoSides(), func(s *geom.Spec) { s.Sides = append(s.Sides, geom.SideSpec{ID: "third"}) }, "/sides: has 3 sides"},
		{"one id for two", twoSides(), func(s *geom.Spec) { s.Sides[1].ID = "lake" }, `/sides/1/id: "lake" is the id of both sides`},
		{"side without id", twoSides(), func(s *geom.Spec) { s.Sides[1].ID = "" }, "/sides/1/id: is missing"},
		{"transition without role", twoSides(), func(s *geom.Spec) { s.Sides[0].Role = "" }, `/sides/0/role: must be upper or lower on a transition, but is ""`},
		{"transition with one role", twoSides(), func(s *geom.Spec) { s.Sides[1].Role = "upper" }, "/sides/1/role: both sides are upper"},
		{"second side's first", twoSides(), func(s *geom.Spec) { s.Sides[1].Panels.First = in("17 in") }, "/sides/1/panels/first: is 17 in"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := geom.NewRun(c.spec, 0)
			require.NoError(t, err, "sound before it is spoilt")
			c.spoil(&c.spec)
			r, err := geom.NewRun(c.spec, 0)
			assert.Nil(t, r)
			var errs *geom.FieldErrors
			require.ErrorAs(t, err, &errs)
			assert.Equal(t, c.spec.ID, errs.Run)
			assert.True(t, strings.HasPrefix(errs.List[0].Error(), c.want), "%s\nwant %s", err, c.want)
			var field *geom.FieldError
			require.ErrorAs(t, err, &field)
			path, _, _ := strings.Cut(c.want, ":")
			assert.Equal(t, path, field.Path)
		})
	}
}

func TestAllProblemsAtOnce(t *testing.T) {
	spec := boathouse()
	spec.Edge, spec.Length, spec.Ends[0] = "paek", in("-1 in"), "rakes"
	_, err := geom.NewRun(spec, 0)
	for _, path := range []string{"/edge", "/length", "/ends/0", "/zones/0/to", "/obstacles/0/to"} {
		assert.ErrorContains(t, err, path+": ")
	}

	spec = boathouse()
	for range 900 {
		spec.Zones = append(spec.Zones, geom.Zone{})
	}
	_, err = geom.NewRun(spec, 0)
	var errs *geom.FieldErrors
	require.ErrorAs(t, err, &errs)
	assert.Len(t, errs.List, 20)
	assert.Equal(t, 2*900-20, errs.More)
	assert.ErrorContains(t, err, "and 1780 more")
}

func TestTooManyPanels(t *testing.T) {
	spec := boathouse() // 22 panels
	_, err := geom.NewRun(spec, 22)
	assert.NoError(t, err)
	_, err = geom.NewRun(spec, 21)
	assert.ErrorIs(t, err, geom.ErrTooManyPanels)
	assert.ErrorContains(t, err, "/panels/first: 22 panels are over the limit of 21")

	ribs := []units.Length{in("0 in"), in("18 in"), in("36 in"), in("376 in")} // 3 panels
	spec.Sides[0].Panels = &geom.Panels{Ribs: ribs, Profile: ribbed("18 in")}
	_, err = geom.NewRun(spec, 3)
	assert.NoError(t, err)
	_, err = geom.NewRun(spec, 2)
	assert.ErrorIs(t, err, geom.ErrTooManyPanels)

	r, err := geom.NewRun(boathouse(), 0)
	require.NoError(t, err)
	assert.ErrorIs(t, r.Check(21), geom.ErrTooManyPanels)

	// 1e17 panels are refused by their count, before one is made.
	spec = boathouse()
	spec.Length = in("100000 m")
	spec.Sides[0].Panels = &geom.Panels{First: in("0.000000001 mm"), Profile: geom.Profile{Cover: in("0.000000001 mm")}}
	assert.Less(t, testing.AllocsPerRun(1, func() { _, err = geom.NewRun(spec, 0) }), 100.0)
	assert.ErrorIs(t, err, geom.ErrTooManyPanels)
}

func TestCheckOfRunMadeByHand(t *testing.T) {
	r := &geom.Run{ID: "r", Edge: "eave", Length: in("10 ft"), Ends: [2]string{"open", "open"}}
	assert.ErrorContains(t, r.Check(0), "/sides: is empty")
	r.Sides = []geom.Side{{}}
	assert.NoError(t, r.Check(0))
	r.Sides[0].Ribs = []units.Length{in("1 in")}
	assert.ErrorContains(t, r.Check(0), "/panels: are missing where ribs are given")
	r.Ends[0] = ""
	assert.ErrorContains(t, r.Check(0), "/ends/0: is missing")
}

func TestOverlappingZonesAndObstaclesAreSound(t *testing.T) {
	spec := boathouse()
	spec.Zones = append(spec.Zones, geom.Zone{Kind: "edge", From: in("2 ft"), To: in("376 in")})
	spec.Obstacles = append(spec.Obstacles,
		geom.Obstacle{Kind: "penetration", From: in("100 in"), To: in("110 in")},
		geom.Obstacle{Kind: "penetration", From: in("0 in"), To: in("376 in")})
	_, err := geom.NewRun(spec, 0)
	assert.NoError(t, err)
}

func TestAnyRunIsAnsweredWithoutPanic(t *testing.T) {
	longest, err := units.FromTicks(units.MaxTicks)
	require.NoError(t, err)
	values := []units.Length{longest.Neg(), in("-1 in"), {}, in("0.000000001 mm"), in("7 in"), in("100000 m"), longest}
	for _, length := range values {
		for _, first := range values {
			for _, cover := range values {
				for _, width := range values {
					profile := geom.Profile{Cover: cover, RibWidth: width, RibHeight: first}
					for _, p := range []*geom.Panels{
						{First: first, Profile: profile},
						{Ribs: []units.Length{first, cover}, Profile: profile},
					} {
						spec := geom.Spec{ID: "r", Edge: "eave", Length: length, Sides: []geom.SideSpec{{Panels: p}}}
						r, err := geom.NewRun(spec, 1000)
						var errs *geom.FieldErrors
						if err != nil && !errors.As(err, &errs) {
							t.Fatal(err)
						}
						if err != nil {
							continue
						}
						sum := units.Length{}
						for _, panel := range r.Sides[0].Panels(r.Length) {
							sum, err = sum.Add(panel.Width())
							require.NoError(t, err)
						}
						require.Equal(t, length, sum)
					}
				}
			}
		}
	}
}
