package verify

import (
	"testing"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func in(s string) units.Length { return units.MustParse(s) }

func inchBand(from, to string) band { return bandOf(in(from), in(to)) }

func same(t *testing.T, want []band, got []band) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		assert.Zero(t, byPlace(want[i], got[i]), "%s to %s, not %s to %s", show(got[i].from), show(got[i].to), show(want[i].from), show(want[i].to))
	}
}

func TestBands(t *testing.T) {
	a, b, c := inchBand("0 in", "4 in"), inchBand("4 in", "6 in"), inchBand("9 in", "9 in")
	assert.True(t, a.touches(b), "a border is shared")
	assert.False(t, a.overlaps(b))
	assert.False(t, b.touches(c))
	assert.Equal(t, "0 in", show(a.apart(b)))
	assert.Equal(t, "3 in", show(b.apart(c)))
	assert.Equal(t, "3 in", show(c.apart(b)))
	assert.Equal(t, "-2 in", show(a.apart(inchBand("1 in", "2 in"))), "2 in to the left and it is out")
	assert.Equal(t, "-1 in", show(a.apart(inchBand("3 in", "3 in"))))
}

func TestPanels(t *testing.T) {
	panels := func(side *geom.Side) []panel {
		p := &plan{run: &geom.Run{Length: in("40 in"), Sides: []geom.Side{*side}}, sides: map[int][]panel{}}
		return p.panels(0)
	}
	side := &geom.Side{HasPanels: true, Profile: geom.Profile{Cover: in("18 in"), RibWidth: in("1 in")}}
	side.Ribs = []units.Length{in("0 in"), in("18 in"), in("36 in"), in("40 1/4 in")}
	var bands []band
	var flats []string
	var cut []bool
	for _, p := range panels(side) {
		bands, flats, cut = append(bands, p.band), append(flats, show(p.flat)), append(cut, p.cut)
	}
	same(t, []band{inchBand("0 in", "18 in"), inchBand("18 in", "36 in"), inchBand("36 in", "40 in")}, bands)
	assert.Equal(t, []string{"17 in", "17 in", "3.25 in"}, flats, "the last rib stands past the end, and its band reaches in")
	assert.Equal(t, []bool{false, false, true}, cut)

	side.Ribs = []units.Length{in("7 in")}
	flats = nil
	for _, p := range panels(side) {
		flats = append(flats, show(p.flat))
	}
	assert.Equal(t, []string{"6.5 in", "32.5 in"}, flats, "an end of the run without a rib is a face")
	assert.Empty(t, panels(&geom.Side{}))
}

func TestZoneCells(t *testing.T) {
	run := &geom.Run{Length: in("40 in"), Zones: []geom.Zone{{Kind: "corner", From: in("0 in"), To: in("4 in")}, {Kind: "edge", From: in("2 in"), To: in("10 in")}}}
	var zones [][]string
	for _, c := range zoneCells(run) {
		zones = append(zones, c.zones)
	}
	assert.Equal(t, [][]string{{"corner"}, {"corner", "edge"}, {"edge"}, nil}, zones)
	assert.False(t, zoneCells(run)[0].touches(inchBand("-2 in", "-1 in")), "what sticks out of the run is in no zone")
}

func TestWithout(t *testing.T) {
	obstacles := []geom.Obstacle{{From: in("30 in"), To: in("40 in")}, {From: in("8 in"), To: in("10 in")}, {From: in("9 in"), To: in("12 in")}}
	same(t, []band{inchBand("0 in", "8 in"), inchBand("12 in", "30 in")}, without(inchBand("0 in", "40 in"), obstacles))
	same(t, nil, without(inchBand("8 in", "11 in"), obstacles))
}

func TestCountedOff(t *testing.T) {
	// The 2nd, then each 2nd after it; each 3rd from rib 2 is 2, 5, 8.
	for _, c := range []struct {
		every, from int
		want        []int
	}{{1, 0, []int{1, 2, 3, 4, 5, 6, 7, 8}}, {2, 0, []int{2, 4, 6, 8}}, {3, 2, []int{2, 5, 8}}, {1, 4, []int{4, 5, 6, 7, 8}}} {
		var got []int
		for n := 1; n <= 8; n++ {
			if counted(ribScope(c.every, c.from), n) {
				got = append(got, n)
			}
		}
		assert.Equal(t, c.want, got)
	}
}

func ribScope(every, from int) *rules.ScopeDecl {
	return &rules.ScopeDecl{How: "at", Of: "rib", Every: every, From: from}
}
