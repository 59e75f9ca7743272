package main

import (
	"math/big"
	"os"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDemoPlanes: the panels of each of the demonstration's planes add up to the plane exactly, and both and the lengths
// of its ribs are as worked by hand. At 9:12 a foot in plan is 15 in up the slope, so that all of them are exact.
//
//   - porch: 288 by 120 in less a notch of 96 by 60 / 2; ten ribs of 120 in, and past the valleys, which rise 60 in over
//     48, two each 3, 21 and 39 in inside the notch: 120 less 3.75, 26.25 and 48.75 in.
//   - wing left, wing right: 96 by 60 in, leaning; ribs 9, 27 and 45 in from either end stand on 5/4 of that, 11.25, 33.75
//     and 56.25 in, and two of 60 in between.
//   - wing end: 96 by 60 / 2 in; the same three from the left, and 33 and 15 in from the right 41.25 and 18.75 in.
func TestDemoPlanes(t *testing.T) {
	f, err := os.Open("demo/boathouse.json")
	require.NoError(t, err)
	defer f.Close()
	job, err := detail.ReadJob(f)
	require.NoError(t, err)
	squareInch := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(units.TicksPerInch), big.NewInt(2), nil))
	inches := func(area *big.Rat) string { return new(big.Rat).Quo(area, squareInch).RatString() }
	want := map[string]struct{ area, ribs string }{
		"porch":      {"31680", "1762.5 in"},
		"wing left":  {"5760", "322.5 in"},
		"wing end":   {"2880", "161.25 in"},
		"wing right": {"5760", "322.5 in"},
	}
	require.Len(t, job.Planes, len(want))
	for _, p := range job.Planes {
		sum := new(big.Rat)
		for _, c := range p.Schedule() {
			sum.Add(sum, c.Area)
		}
		assert.Zero(t, sum.Cmp(p.Area()), p.ID())
		assert.Equal(t, want[p.ID()].area, inches(p.Area()), p.ID())
		runs, err := p.RibRuns()
		require.NoError(t, err)
		var length units.Length
		for _, r := range runs {
			assert.True(t, r.Sides[0].On.True.Exact(), r.ID)
			length, err = length.Add(r.Length)
			require.NoError(t, err)
		}
		assert.Equal(t, want[p.ID()].ribs, length.String(), p.ID())
	}
}
