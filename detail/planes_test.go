package detail_test

import (
	"context"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// layPlanes lays a job of testdata/cases by a book, and has the verifier look at the report.
func layPlanes(t *testing.T, book, job string, uses ...detail.Use) *detail.Report {
	t.Helper()
	b, diagnostics, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(book)}}, "b.rules")
	require.NoError(t, err)
	require.NoError(t, diagnostics.Err())
	src, err := os.Open("../testdata/cases/" + job)
	require.NoError(t, err)
	defer src.Close()
	j, err := detail.ReadJob(src)
	require.NoError(t, err)
	j.Uses = uses
	r, err := detail.Lay(context.Background(), b, j)
	require.NoError(t, err)
	assert.Empty(t, verify.Report(r, j))
	return r
}

// TestPenetrationClear: what is too near says from what, how far, and by how much. The figures are worked by hand: the
// pipe's middle, 18 in along and 22 1/2 in up a triangle of 96 by 72 in, is 28.8 in from its hip, and 2 in of that are
// the pipe's.
func TestPenetrationClear(t *testing.T) {
	r := layPlanes(t, `book "b" {}
detail d for field {
  require penetration clear >= 26 13/16 in from hip
  require penetration clear > 3 1/2 in from rib
  should require penetration clear >= 17 in from end because "room to work"
  require penetration clear >= 20 1/2 in from eave
}`, "triangle.json")
	var found []string
	for _, v := range r.Violations {
		found = append(found, v.Severity+" "+v.Rule+": "+v.Message(units.In)+", by "+v.By.In(units.In))
	}
	assert.Equal(t, []string{
		"must d.require: penetration 1 of run end/pipe: clear from hip (end/side 2) is 26.8 in, required >= 26.8125 in, by 0.0125 in",
		"must d.require#2: penetration 1 of run end/pipe: clear from rib (end/rib 2) is 3.5 in, required > 3.5 in, by 0.000000001 mm",
		"should d.require#3: penetration 1 of run end/pipe: clear from end (end/side 3) is 16 in, required >= 17 in, by 1 in",
	}, found)
	assert.Equal(t, "room to work", r.Violations[2].Because)
}

// TestUsesOfPlanes: a use names a plane, an edge, a rib line or a penetration; a detail for edges goes on all edges of a
// plane that it is for, once.
func TestUsesOfPlanes(t *testing.T) {
	const book = `book "b" {}
detail field for field { row clips along each rib { count = 1 }  row boots at each penetration { } }
detail edge for edge rake, ridge { row clips along run { count = 1 } }
detail other for edge ridge { row clips along run { count = 1 } }`
	laid := func(uses ...detail.Use) []string {
		r := layPlanes(t, book, "pair.json", uses...)
		var runs []string
		for _, p := range r.Placements {
			runs = append(runs, p.Run.ID)
		}
		return runs
	}
	assert.Equal(t, []string{"lake/side 2", "lake/top", "lake/side 4"}, laid(detail.Use{Detail: "edge", Runs: []string{"lake"}}))
	assert.Equal(t, []string{"lake/side 2", "lake/top", "lake/side 4", "road/side 2", "road/side 4"}, laid(detail.Use{Detail: "edge", Runs: []string{"lake", "road"}}))
	assert.Equal(t, []string{"lake/rib 1", "lake/rib 2"}, laid(detail.Use{Detail: "field", Runs: []string{"lake"}}))
	assert.Equal(t, []string{"road/rib 2"}, laid(detail.Use{Detail: "field", Runs: []string{"road/rib 2"}}))
	assert.Equal(t, []string{"lake/rib 1", "lake/rib 2", "road/rib 1", "road/rib 2"}, laid(detail.Use{Detail: "field"}))

	for want, use := range map[string]detail.Use{
		`/use/0/runs/0: detail field is for the field of a plane; run "lake/top" is of kind ridge`: {Detail: "field", Runs: []string{"lake/top"}},
		`/use/0/runs/0: detail edge is for rake, ridge; run "lake/rib 1" is of kind rib`:           {Detail: "edge", Runs: []string{"lake/rib 1"}},
		`/use/0/runs/0: detail other is for ridge; plane "eaves" has no edge of such a kind`:       {Detail: "other", Runs: []string{"eaves"}},
	} {
		b, _, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(book)}}, "b.rules")
		require.NoError(t, err)
		src, err := os.ReadFile("../testdata/cases/pair.json")
		require.NoError(t, err)
		text := strings.Replace(string(src), `"planes": [`, `"planes": [{"id": "eaves", "slope": "1:12", "outline": [{"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "9 in", "y": "0 in", "edge": "eave"}, {"x": "0 in", "y": "9 in", "edge": "eave"}]}, `, 1)
		j, err := detail.ReadJob(strings.NewReader(text))
		require.NoError(t, err)
		j.Uses = []detail.Use{use}
		_, err = detail.Lay(context.Background(), b, j)
		assert.ErrorContains(t, err, want)
	}
}

// TestBlockedRings: a ring that runs off the plane or into another penetration is left out, and the report says why.
func TestBlockedRings(t *testing.T) {
	r := layPlanes(t, `book "b" {}
detail d for field {
  row far around each penetration { count = 2  offset = 10 ft }
  row off at each penetration { offset = -7 ft }
  row in at each penetration { count = 2  spacing = 6 in }
}`, "lake.json")
	type skip struct{ run, element, when string }
	var skips []skip
	for _, s := range r.Skipped {
		p := r.Placements[s.Placement]
		skips = append(skips, skip{p.Run.ID, p.Element.Name, s.When})
	}
	assert.Equal(t, []skip{
		{"lake/pipe-1", "far", "obstacle lake/hatch"},
		{"lake/pipe-1", "off", "obstacle lake"},
		{"lake/hatch", "far", "obstacle lake/pipe-1"},
	}, skips, "the hatch's middle is 84 in up, so that 7 ft below it is on the eave")
}
