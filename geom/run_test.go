package geom_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

var in = units.MustParse

func ribbed(cover string) geom.Profile {
	return geom.Profile{Cover: in(cover), RibWidth: in("3/4 in"), RibHeight: in("1 3/4 in")}
}

// boathouse is the high side of an invented building: 31 ft 4 in with 18 in panels, the first 7 in.
func boathouse() geom.Spec {
	slope, _ := units.NewSlope(3, 12)
	return geom.Spec{
		ID: "peak-1", Edge: "peak", Length: in("31 ft 4 in"),
		Sides:     []geom.SideSpec{{Slope: slope, Panels: &geom.Panels{First: in("7 in"), Profile: ribbed("18 in")}}},
		Ends:      [2]string{"rake", "wall"},
		Zones:     []geom.Zone{{Kind: "corner", To: in("4 ft")}},
		Obstacles: []geom.Obstacle{{ID: "flue", Kind: "penetration", From: in("96 in"), To: in("104 in")}},
	}
}

func TestBoathouse(t *testing.T) {
	r, err := geom.NewRun(boathouse(), 0)
	require.NoError(t, err)
	side := &r.Sides[0]
	require.Len(t, side.Ribs, 21)
	for i, at := range side.Ribs {
		assert.Equal(t, in(fmt.Sprintf("%d in", 7+18*i)), at)
	}
	assert.Equal(t, in("367 in"), side.Ribs[20])

	panels := side.Panels(r.Length)
	require.Len(t, panels, 22)
	first, last := panels[0], panels[21]
	assert.Equal(t, geom.Panel{To: in("7 in"), FlatTo: in("6 5/8 in"), RightRib: true, Cut: true}, first)
	assert.Equal(t, in("9 in"), last.Width())
	assert.Equal(t, in("8 5/8 in"), last.Flat())
	assert.True(t, last.Cut)
	assert.True(t, last.LeftRib)
	assert.False(t, last.RightRib)
	for _, p := range panels[1:21] {
		assert.Equal(t, in("18 in"), p.Width())
		assert.Equal(t, in("17 1/4 in"), p.Flat())
		assert.False(t, p.Cut)
	}
	assert.False(t, r.Climbs())
	assert.NoError(t, r.Check(0))
}

func panelsOf(t *testing.T, length string, p geom.Panels) []geom.Panel {
	t.Helper()
	r, err := geom.NewRun(geom.Spec{ID: "r", Edge: "eave", Length: in(length), Sides: []geom.SideSpec{{Panels: &p}}}, 0)
	require.NoError(t, err)
	return r.Sides[0].Panels(r.Length)
}

func TestPanels(t *testing.T) {
	type span struct {
		from, to, flat string
		left, right    bool
		cut            bool
	}
	list := func(at ...string) []units.Length {
		ribs := []units.Length{}
		for _, a := range at {
			ribs = append(ribs, in(a))
		}
		return ribs
	}
	for _, c := range []struct {
		name   string
		length string
		panels geom.Panels
		want   []span
	}{
		{"first panel ends with the run", "18 in", geom.Panels{First: in("18 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "18 in", "18 in", false, false, false}}},
		{"run shorter than its first panel", "5 in", geom.Panels{First: in("7 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "5 in", "5 in", false, false, true}}},
		{"a rib one tick inside the run", "18.00000001 in", geom.Panels{First: in("18 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "18 in", "17 5/8 in", false, true, false}, {"18 in", "18.00000001 in", "0 in", true, false, true}}},
		{"ribs at both ends", "36 in", geom.Panels{Ribs: list("0 in", "18 in", "36 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "18 in", "17 1/4 in", true, true, false}, {"18 in", "36 in", "17 1/4 in", true, true, false}}},
		{"ribs past both ends", "36 in", geom.Panels{Ribs: list("-3/8 in", "18 in", "36 1/4 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "18 in", "17 5/8 in", true, true, false}, {"18 in", "36 in", "17 1/2 in", true, true, false}}},
		{"no ribs listed", "36 in", geom.Panels{Ribs: list(), Profile: ribbed("18 in")},
			[]span{{"0 in", "36 in", "36 in", false, false, false}}},
		{"ribs nearer than their width", "36 in", geom.Panels{Ribs: list("18 in", "18 1/2 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "18 in", "17 5/8 in", false, true, false}, {"18 in", "18 1/2 in", "0 in", true, true, true}, {"18 1/2 in", "36 in", "17 1/8 in", true, false, true}}},
		{"a rib nearer the end than half its width", "18 1/4 in", geom.Panels{Ribs: list("1/4 in", "18 in"), Profile: ribbed("18 in")},
			[]span{{"0 in", "1/4 in", "0 in", false, true, true}, {"1/4 in", "18 in", "17 in", true, true, true}, {"18 in", "18 1/4 in", "0 in", true, false, true}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []span
			for _, p := range panelsOf(t, c.length, c.panels) {
				got = append(got, span{p.From.String(), p.To.String(), p.Flat().String(), p.LeftRib, p.RightRib, p.Cut})
			}
			want := c.want
			for i, s := range want {
				want[i].from, want[i].to, want[i].flat = in(s.from).String(), in(s.to).String(), in(s.flat).String()
			}
			assert.Equal(t, want, got)
		})
	}
}

func TestNoPanels(t *testing.T) {
	r, err := geom.NewRun(geom.Spec{ID: "r", Edge: "rake", Length: in("10 ft")}, 0)
	require.NoError(t, err)
	require.Len(t, r.Sides, 1)
	assert.False(t, r.Sides[0].HasPanels)
	assert.Nil(t, r.Sides[0].Panels(r.Length))
	assert.Equal(t, [2]string{"open", "open"}, r.Ends)
	assert.True(t, r.Climbs())
}

func TestOddRibWidthIsWidened(t *testing.T) {
	r, err := geom.NewRun(geom.Spec{ID: "r", Edge: "eave", Length: in("10 mm"), Sides: []geom.SideSpec{{Panels: &geom.Panels{
		First: in("5 mm"), Profile: geom.Profile{Cover: in("5 mm"), RibWidth: in("1.000000001 mm")},
	}}}}, 0)
	require.NoError(t, err)
	from, to := r.Sides[0].RibBand(0)
	assert.Equal(t, in("4.499999999 mm"), from)
	assert.Equal(t, in("5.500000001 mm"), to)
}

// Random runs against the definition, in rational numbers.
func TestRibsAndPanelsAgainstTheDefinition(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	sixteenths := func(n int64) units.Length { return in(fmt.Sprintf("%d/16 in", n)) }
	for range 1000 {
		cover := 1 + rnd.Int64N(400)
		first := 1 + rnd.Int64N(cover)
		size := 1 + rnd.Int64N(4000)
		rib := rnd.Int64N(cover)
		spec := geom.Spec{ID: "r", Edge: "eave", Length: sixteenths(size), Sides: []geom.SideSpec{{Panels: &geom.Panels{
			First: sixteenths(first), Profile: geom.Profile{Cover: sixteenths(cover), RibWidth: sixteenths(rib)},
		}}}}
		r, err := geom.NewRun(spec, 0)
		require.NoError(t, err)

		var want []units.Length
		for at := first; at < size; at += cover {
			want = append(want, sixteenths(at))
		}
		side := &r.Sides[0]
		require.Equal(t, len(want), len(side.Ribs))
		panels := side.Panels(r.Length)
		require.Len(t, panels, len(want)+1)
		sum := new(big.Rat)
		for i, p := range panels {
			sum.Add(sum, p.Width().Rat())
			require.Positive(t, p.Width().Sign())
			require.GreaterOrEqual(t, p.Flat().Sign(), 0)
			require.LessOrEqual(t, p.Flat().Cmp(p.Width()), 0)
			require.Equal(t, i > 0, p.LeftRib)
			require.Equal(t, i < len(want), p.RightRib)
			require.Equal(t, p.Width().Cmp(sixteenths(cover)) < 0, p.Cut)
			if i < len(want) {
				require.Equal(t, want[i], side.Ribs[i])
				require.Equal(t, want[i], p.To)
			}
		}
		require.Zero(t, sum.Cmp(r.Length.Rat()))

		// The same ribs listed give the same run.
		spec.Sides[0].Panels = &geom.Panels{Ribs: append([]units.Length{}, side.Ribs...), Profile: side.Profile}
		listed, err := geom.NewRun(spec, 0)
		require.NoError(t, err)
		require.Equal(t, panels, listed.Sides[0].Panels(listed.Length))
	}
}

func TestNewRunKeepsNoSliceOfItsSpec(t *testing.T) {
	spec := boathouse()
	spec.Sides[0].Panels.Ribs, spec.Sides[0].Panels.First = []units.Length{in("7 in")}, units.Length{}
	r, err := geom.NewRun(spec, 0)
	require.NoError(t, err)
	before, err := json.Marshal(r)
	require.NoError(t, err)
	spec.Sides[0].Panels.Ribs[0] = in("9 in")
	spec.Zones[0].Kind = "edge"
	spec.Obstacles[0].ID = "hatch"
	after, err := json.Marshal(r)
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))
}

func TestClimbs(t *testing.T) {
	var climbing []string
	for _, kind := range geom.EdgeKinds() {
		if r := (geom.Run{Edge: kind}); r.Climbs() {
			climbing = append(climbing, kind)
		}
	}
	assert.Equal(t, []string{"rake", "hip", "valley"}, climbing)
}

func TestKinds(t *testing.T) {
	kinds := geom.EdgeKinds()
	assert.Equal(t, "eave rake ridge peak hip valley headwall sidewall transition backpan", strings.Join(kinds, " "))
	kinds[0] = "changed"
	assert.Equal(t, "eave", geom.EdgeKinds()[0])
}
