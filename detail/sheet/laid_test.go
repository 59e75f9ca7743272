package sheet

import (
	"os"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// laid lays the details of testdata/cases/boathouse.rules out on runs, and holds the report against the rules.
func laid(t testing.TB, specs ...geom.Spec) *detail.Report {
	t.Helper()
	book, found, err := rules.Load(os.DirFS("../../testdata/cases"), "boathouse.rules")
	require.NoError(t, err)
	require.Empty(t, found)
	job := &detail.Job{Name: "Boathouse (invented)"}
	for _, s := range specs {
		run, err := geom.NewRun(s, 0)
		require.NoError(t, err)
		job.Runs = append(job.Runs, run)
	}
	for _, run := range job.Runs {
		job.Uses = append(job.Uses, detail.Use{Detail: "high_side_cap", Runs: []string{run.ID},
			Inputs: []detail.Input{{Name: "keep_off", Value: "3 in"}}})
	}
	r, err := detail.Lay(t.Context(), book, job)
	require.NoError(t, err)
	require.Empty(t, verify.Report(r, job))
	return r
}

// peak is the high edge of a single slope of 18 in panels, the first 7 in wide.
func peak(id, length string, obstacles ...geom.Obstacle) geom.Spec {
	slope, err := units.ParseSlope("3:12")
	if err != nil {
		panic(err)
	}
	return geom.Spec{ID: id, Edge: "peak", Length: at(length), Ends: [2]string{"rake", "wall"},
		Sides: []geom.SideSpec{{Slope: slope, Panels: &geom.Panels{First: at("7 in"),
			Profile: geom.Profile{Cover: at("18 in"), RibWidth: at("3/4 in"), RibHeight: at("1 3/4 in")}}}},
		Zones:     []geom.Zone{{Kind: "corner", To: at("4 ft")}},
		Obstacles: obstacles}
}
