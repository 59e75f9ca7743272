package detail

import (
	"strings"
	"testing"

	"github.com/lapwright/lapwright/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A job's planes and roofs are planes of Go; a profile or panels of its own replaces the job's.
func TestReadJobPlanes(t *testing.T) {
	job := readFile(t, "planes.json")
	require.Len(t, job.Planes, 5)
	ids := make([]string, len(job.Planes))
	for i, p := range job.Planes {
		ids[i] = p.ID()
	}
	assert.Equal(t, []string{"lake", "shed front", "shed right", "shed back", "shed left"}, ids)
	lake := job.Planes[0]
	assert.Equal(t, "6:12", lake.Slope().String())
	assert.Len(t, lake.Ribs(), 26)
	assert.Len(t, lake.Penetrations(), 2)
	profile, ok := lake.Profile()
	assert.True(t, ok)
	assert.Equal(t, inch("18"), profile.Cover)

	on, err := job.check(Limits{}.orDefault())
	require.NoError(t, err)
	for _, id := range []string{"lake", "lake/eave-1", "lake/side 2", "lake/rib 3", "lake/rib 14 part 2", "lake/hatch backpan", "lake/hatch sidewall left",
		"lake/pipe-1", "lake/hatch", "shed front/hip front-left", "shed left/rib 2"} {
		assert.Contains(t, on.byID, id)
	}
	hip := on.byID["shed front/hip front-left"]
	require.Len(t, hip.Sides, 2, "sides with one id are one run")
	assert.Equal(t, "shed left", hip.Sides[1].ID)
	assert.NotContains(t, on.byID, "shed left/hip front-left")
}

// Whatever is wrong with a plane or roof is told with its place.
func TestReadJobRefusesPlanes(t *testing.T) {
	const profile = `{"profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"}, `
	corner := func(x, y, edge string) string { return `{"x": "` + x + `", "y": "` + y + `", "edge": "` + edge + `"}` }
	square := strings.Join([]string{corner("0 in", "0 in", "eave"), corner("9 ft", "0 in", "rake"), corner("9 ft", "9 ft", "ridge"), corner("0 in", "9 ft", "rake")}, ", ")
	plane := func(more, outline string) string {
		return profile + `"planes": [{"id": "lake", "slope": "6:12", ` + more + `"outline": [` + outline + `]}]}`
	}
	roof := func(more string) string {
		return profile + `"roofs": [{"id": "shed", "shape": "gable", "length": "9 ft", "width": "9 ft", "slope": "6:12"` + more + `}]}`
	}
	for name, c := range map[string]struct{ job, want string }{
		"number for a length":  {plane("", strings.Replace(square, `"9 ft"`, `9`, 1)), "/planes/0/outline/1/x: a number where a length is wanted"},
		"unknown key":          {plane(`"slop": "3:12", `, square), `/planes/0/slop: a plane has no key "slop"; did you mean "slope"?`},
		"unknown edge":         {plane("", strings.Replace(square, "ridge", "rigde", 1)), `/planes/0/outline/2/edge: "rigde" is no kind of edge`},
		"two points":           {plane("", corner("0 in", "0 in", "eave")), "/planes/0/outline: "},
		"crossing":             {plane("", square+", "+corner("9 ft", "20 ft", "rake")), "/planes/0/outline/"},
		"a slash in the id":    {strings.Replace(plane("", square), `"lake"`, `"a/b"`, 1), `/planes/0/id: "a/b": a / stands`},
		"first over the cover": {plane(`"panels": {"first": "19 in"}, `, square), "/planes/0/panels/first: is 19 in"},
		"the job's cover":      {strings.Replace(plane(`"panels": {"first": "1 in"}, `, square), "18 in", "0 in", 1), "1:23: /profile/cover: must be above 0"},
		"off the plane": {plane(`"penetrations": [{"id": "p", "kind": "pipe", "x": "90 ft", "y": "0 in", "diameter": "4 in"}], `, square),
			"/planes/0/penetrations/0: at x 1080 in, y 0 in it is outside the plane"},
		"a curb with a diameter": {plane(`"penetrations": [{"id": "p", "kind": "curb", "x": "9 in", "y": "9 in", "diameter": "4 in"}], `, square),
			"/planes/0/penetrations/0: a curb has a width and a length"},
		"a zone along nothing": {plane(`"zones": [{"kind": "edge", "within": "4 ft", "of": []}], `, square), "/planes/0/zones/0/of: is empty"},
		"corners as a word":    {plane(`"zones": [{"kind": "edge", "within": "4 ft", "of": ["eave"], "corners": "yes"}], `, square), "corners is true or false, but here is a string"},
		"two planes, one id": {profile + `"planes": [{"id": "a", "slope": "6:12", "outline": [` + square + `]}, {"id": "a", "slope": "6:12", "outline": [` + square + `]}]}`,
			`/planes/1/id: "a" is the id of two planes: this one and /planes/0`},
		"a run with a plane's id": {profile + `"runs": [{"id": "a", "edge": "eave", "length": "9 in", "slope": "6:12"}], "planes": [{"id": "a", "slope": "6:12", "outline": [` + square + `]}]}`,
			`/planes/0: two runs have the id "a": this one and /runs/0`},
		"sides that don't meet": {profile + `"planes": [{"id": "a", "slope": "6:12", "outline": [` + strings.Replace(square, `"ridge"`, `"ridge", "id": "top"`, 1) + `]},
  {"id": "b", "slope": "6:12", "outline": [` + strings.Replace(strings.Replace(square, `"ridge"`, `"ridge", "id": "top"`, 1), `"9 ft"`, `"8 ft"`, 2) + `]}]}`,
			`/planes/1/outline/2/id: "top" is `},
		"use of an unknown rib": {strings.TrimSuffix(plane(`"panels": {"first": "9 in"}, `, square), "}") + `, "use": [{"detail": "d", "runs": ["lake/rib 9"]}]}`,
			`/use/0/runs/0: no run or plane has the id "lake/rib 9"; did you mean "lake/rib 1"?`},
		"unknown shape":     {strings.Replace(roof(""), "gable", "gabel", 1), `/roofs/0/shape: "gabel" is no kind of roof`},
		"no wing":           {strings.Replace(roof(""), `"gable"`, `"gable-valley"`, 1), "/roofs/0/wing: is missing"},
		"a wing on a gable": {roof(`, "wing": {"from": "1 ft", "width": "3 ft", "length": "3 ft"}`), "/roofs/0/wing: only a gable-valley roof has one"},
		"no such plane":     {roof(`, "penetrations": [{"plane": "frnt", "id": "p", "kind": "pipe", "x": "9 in", "y": "9 in", "diameter": "4 in"}]`), `/roofs/0/penetrations: name the plane "frnt", but the roof has ["front" "back"]`},
		"the second hole": {roof(`, "penetrations": [{"plane": "front", "id": "p", "kind": "pipe", "x": "9 in", "y": "9 in", "diameter": "4 in"},
  {"plane": "back", "id": "p", "kind": "pipe", "x": "9 in", "y": "9 in", "diameter": "0 in"}]`), `/roofs/0/penetrations/1`},
		"ribs twice": {plane(`"panels": {"ribs": [`+strings.TrimSuffix(strings.Repeat(`"1 in", `, 2), ", ")+`]}, `, square), "/planes/0/panels/ribs/1: repeats the rib at 1 in"},
	} {
		_, err := ReadJob(strings.NewReader(c.job))
		assert.ErrorContains(t, err, c.want, name)
	}
}

// The panels of planes count toward the limit, and so do the lines along their ribs.
func TestPlanesWithinLimits(t *testing.T) {
	job := readFile(t, "planes.json")
	_, err := job.check(Limits{Panels: 10}.orDefault())
	assert.ErrorIs(t, err, ErrLimit)
	_, err = job.check(Limits{Panels: 300}.orDefault())
	assert.ErrorIs(t, err, ErrLimit)
	assert.ErrorContains(t, err, "too many panels in the job")
	_, err = (&Job{Planes: []*geom.Plane{nil}}).check(Limits{}.orDefault())
	assert.ErrorContains(t, err, "/planes/0: there is no plane here")
}
