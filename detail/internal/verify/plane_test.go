package verify_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTamperedPlanes lays a plane, finds nothing wrong, and then changes one thing at a time, which must be found.
func TestTamperedPlanes(t *testing.T) {
	book, diagnostics, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(`book "b" { mark 1/16 in }
detail hip for edge hip { row screws in each panel { spacing <= 5 in }  row wide in each panel when panel.width > 11 in { count = 1 } }
detail field for field {
  require penetration clear >= 30 in from hip
  row clips along each rib { spacing <= 30 in }
  row boots around each penetration { spacing <= 3 in  offset = 1 in }
  row pegs at each penetration { offset = 6 in }
}`)}}, "b.rules")
	require.NoError(t, err)
	require.NoError(t, diagnostics.Err())
	src, err := os.ReadFile("../../../testdata/cases/triangle.json")
	require.NoError(t, err)
	run := func(r *detail.Report, id string) *geom.Run {
		return r.Runs[slices.IndexFunc(r.Runs, func(r *geom.Run) bool { return r.ID == id })]
	}
	scope := func(r *detail.Report, element string) *detail.Scope {
		return &r.Scopes[slices.IndexFunc(r.Scopes, func(s detail.Scope) bool { return r.Placements[s.Placement].Element.Name == element })]
	}
	shift := func(l *units.Length, by string) {
		sum, err := l.Add(units.MustParse(by))
		require.NoError(t, err)
		*l = sum
	}
	for name, c := range map[string]struct {
		want   string
		change func(r *detail.Report)
	}{
		"nothing":               {"", func(*detail.Report) {}},
		"a mark of a ring":      {"broken, but not listed: must field.boots.spacing", func(r *detail.Report) { shift(&r.Marks[scope(r, "boots").First+1].At, "1 in") }},
		"the first of a ring":   {"no mark stands at the low point", func(r *detail.Report) { shift(&r.Marks[scope(r, "boots").First].At, "1/16 in") }},
		"the size of a ring":    {"is not there on its ring", func(r *detail.Report) { shift(&scope(r, "boots").Ring.Width, "1/16 in") }},
		"the length of a ring":  {"runs from 0 in to", func(r *detail.Report) { shift(&scope(r, "boots").To, "1/16 in") }},
		"a mark at a pipe":      {"should be at 6 in", func(r *detail.Report) { shift(&r.Marks[scope(r, "pegs").First].At, "1 in") }},
		"a violation":           {"not met, but not listed: must field.require", func(r *detail.Report) { r.Violations = nil }},
		"its distance":          {"listed, but not so: must field.require", func(r *detail.Report) { shift(&r.Violations[0].Found.Length, "1/16 in") }},
		"a rib of a hip":        {"no rib of plane end is at", func(r *detail.Report) { shift(&run(r, "end/side 2").Sides[0].Ribs[2], "1/16 in") }},
		"a rib's band":          {"half of a rib's band", func(r *detail.Report) { shift(&run(r, "end/side 2").Sides[0].Skew.HalfRib, "1/16 in") }},
		"a rib that is missing": {"is there 0 times", func(r *detail.Report) { s := &run(r, "end/side 2").Sides[0]; s.Ribs = s.Ribs[1:] }},
		"a hip's length":        {"its length on plane end is not", func(r *detail.Report) { shift(&run(r, "end/side 2").Sides[0].On.True.High, "1/16 in") }},
		"a hip's place":         {"stands on no side of plane end", func(r *detail.Report) { shift(&run(r, "end/side 2").Sides[0].On.Start.Y, "1/16 in") }},
		"a rib line's end": {"rib 3 at y", func(r *detail.Report) {
			l := run(r, "end/rib 3")
			shift(&l.Length, "1 in")
			shift(&l.Sides[0].On.End.Y, "1 in")
		}},
		"a rib line's place":  {"is not along rib 3", func(r *detail.Report) { shift(&run(r, "end/rib 3").Sides[0].On.Start.X, "1/16 in") }},
		"a rib line's number": {"overlap or are out of order", func(r *detail.Report) { run(r, "end/rib 3").Sides[0].On.N = 4 }},
		"the plane of a run":  {"is on no plane", func(r *detail.Report) { run(r, "end/rib 3").Sides[0].On.Plane = "other" }},
	} {
		job, err := detail.ReadJob(strings.NewReader(string(src)))
		require.NoError(t, err)
		r, err := detail.Lay(context.Background(), book, job)
		require.NoError(t, err)
		c.change(r)
		complaints := strings.Join(verify.Report(r, job), "\n")
		if c.want == "" {
			assert.Empty(t, complaints)
			continue
		}
		assert.Contains(t, complaints, c.want, name)
	}
}
