package detail_test

import (
	"bytes"
	"context"
	"flag"
	"os"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var updatePeak = flag.Bool("update-peak", false, "write testdata/reports/peak.json anew")

// peakJob is testdata/jobs/peak.json through the Go types: 31 ft 4 in of 18 in panels, the first 7 in wide.
func peakJob(t *testing.T) *detail.Job {
	t.Helper()
	slope, err := units.ParseSlope("3:12")
	require.NoError(t, err)
	run, err := geom.NewRun(geom.Spec{
		ID: "peak-1", Edge: "peak", Length: units.MustParse("31 ft 4 in"),
		Sides: []geom.SideSpec{{Slope: slope, Panels: &geom.Panels{
			First:   units.MustParse("7 in"),
			Profile: geom.Profile{Cover: units.MustParse("18 in"), RibWidth: units.MustParse("3/4 in"), RibHeight: units.MustParse("1 3/4 in")},
		}}},
		Ends:      [2]string{"rake", "wall"},
		Zones:     []geom.Zone{{Kind: "corner", From: units.MustParse("0 in"), To: units.MustParse("4 ft")}},
		Obstacles: []geom.Obstacle{{ID: "flue", Kind: "penetration", From: units.MustParse("96 in"), To: units.MustParse("104 in")}},
	}, 0)
	require.NoError(t, err)
	return &detail.Job{
		Name: "Boathouse, lake side (invented)",
		Runs: []*geom.Run{run},
		Uses: []detail.Use{{Detail: "high_side_cap", Runs: []string{"peak-1"}, Inputs: []detail.Input{{Name: "keep_off", Value: "3 in"}}}},
	}
}

// TestSameBytes lays one job twice as JSON and twice through the Go types: the same bytes each time, and on every
// machine those of the golden file, which was read by eye.
func TestSameBytes(t *testing.T) {
	const golden = "../testdata/reports/peak.json"
	fromJSON := func() *detail.Job {
		f, err := os.Open("../testdata/jobs/peak.json")
		require.NoError(t, err)
		defer f.Close()
		job, err := detail.ReadJob(f)
		require.NoError(t, err)
		return job
	}
	fromTypes := func() *detail.Job { return peakJob(t) }
	var first []byte
	for i, make := range []func() *detail.Job{fromJSON, fromJSON, fromTypes, fromTypes} {
		book, found, err := rules.Load(os.DirFS("../testdata/cases"), "boathouse.rules")
		require.NoError(t, err)
		require.Empty(t, found)
		job := make()
		r, err := detail.Lay(context.Background(), book, job)
		require.NoError(t, err)
		assert.Empty(t, verify.Report(r, job))
		var b bytes.Buffer
		require.NoError(t, r.WriteJSON(&b, units.In))
		if i == 0 {
			first = b.Bytes()
		}
		require.Equal(t, string(first), b.String(), "layout %d", i+1)
	}
	if *updatePeak {
		require.NoError(t, os.WriteFile(golden, first, 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), string(first))
}
