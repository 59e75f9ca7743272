package chain

import (
	"context"
	"runtime/debug"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Raced tells whether this is built with the race detector.
func Raced() bool {
	info, ok := debug.ReadBuildInfo()
	return ok && slices.Contains(info.Settings, debug.BuildSetting{Key: "-race", Value: "true"})
}

// A solve ends within 50 ms of being asked to, whatever it is at.
func TestSolverStopsWhenAsked(t *testing.T) {
	patience := 50 * time.Millisecond
	if Raced() {
		patience *= 10
	}
	long := longRow(1_600_000*inch, false, false)
	forbidden := longRow(400_000*inch, false, false) // by ten keep-outs, none of which can be left out
	forbidden.Limits = forbidden.Limits[1:]
	for i := range int64(10) {
		tenth := forbidden.Length / 10
		forbidden.Limits = append(forbidden.Limits, Limit{Kind: Keep, Spans: []Span{{i*tenth - 1, i*tenth + tenth + 1}}})
	}
	caps := capRun(30_000, 1)
	short := capRun(30_000, 25_400_000_000/16) // no piece can be as long as it must
	short.Limits[2].Value = short.Limits[4].Lengths[0] + 1
	row := func(p *Row) func(context.Context) error {
		return func(ctx context.Context) error { _, _, err := new(Solver).Row(ctx, p, nil); return err }
	}
	pieces := func(p *Pieces) func(context.Context) error {
		return func(ctx context.Context) error { _, _, err := new(Solver).Pieces(ctx, p, nil); return err }
	}
	for _, c := range []struct {
		name  string
		solve func(context.Context) error
	}{{"row", row(long)}, {"conflict of a row", row(forbidden)}, {"pieces", pieces(caps)}, {"pieces too short", pieces(short)}} {
		for _, after := range []time.Duration{0, 10 * time.Millisecond, 40 * time.Millisecond} {
			best := time.Hour // of five: other work on the machine may hold one up
			for try := 0; try < 5 && best > patience; try++ {
				best = min(best, stopping(t, after, c.solve))
			}
			require.LessOrEqual(t, best, patience, "%s after %v", c.name, after)
		}
	}
}

// stopping returns how long a solve goes on after it is asked to stop.
func stopping(t *testing.T, after time.Duration, solve func(context.Context) error) time.Duration {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	asked := time.Now()
	if after == 0 {
		cancel()
	} else {
		time.AfterFunc(after, func() { asked = time.Now(); cancel() })
	}
	err := solve(ctx)
	took := time.Since(asked)
	require.ErrorIs(t, err, context.Canceled)
	return took
}
