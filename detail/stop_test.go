package detail_test

import (
	"context"
	"errors"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLayStopsWhenAsked: with ten million marks under way, a layout ends within 50 ms of its context, at each of some
// stages of the work, along one long run and in panels.
func TestLayStopsWhenAsked(t *testing.T) {
	if testing.Short() {
		t.Log("short: ten million marks are left out")
		return
	}
	patience := 50 * time.Millisecond
	race := debug.BuildSetting{Key: "-race", Value: "true"}
	if info, ok := debug.ReadBuildInfo(); ok && slices.Contains(info.Settings, race) {
		patience *= 10
	}
	const job = `{"runs": [{"id": "eave", "edge": "eave", "length": "625000 in", "slope": "3:12",
		"panels": {"first": "18 in"}, "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"}}]}`
	options := detail.Options{Limits: detail.Limits{Marks: 20_000_000, Panels: 1_000_000}}
	for _, scope := range []string{"along run", "in each panel"} {
		t.Run(scope, func(t *testing.T) {
			book := shed("detail eave for edge eave { row screws " + scope + " { spacing <= 1/16 in } }")
			roof := must(detail.ReadJob(strings.NewReader(job)))
			start := time.Now()
			report, err := options.Lay(t.Context(), book, roof)
			whole := time.Since(start)
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(report.Marks), 10_000_000)
			report = nil
			for _, tenths := range []time.Duration{2, 5, 8} {
				best, after := time.Hour, whole*tenths/10 // of eight: other work on the machine may hold one up
				for try := 0; try < 8 && best > patience; try++ {
					took, ok := stopped(options, book, roof, after)
					if !ok { // it was faster than the first
						after = after * 3 / 4
						continue
					}
					best = min(best, took)
				}
				t.Logf("%v of %v: it ended %v later", after, whole, best)
				assert.LessOrEqual(t, best, patience)
			}
		})
	}
}

// stopped is how long a layout goes on after its context ends; not ok where it was done before.
func stopped(o detail.Options, book *rules.Book, job *detail.Job, after time.Duration) (took time.Duration, ok bool) {
	ctx, cancel := context.WithCancel(context.Background())
	asked := make(chan time.Time, 1)
	time.AfterFunc(after, func() { asked <- time.Now(); cancel() })
	_, err := o.Lay(ctx, book, job)
	ended := time.Now()
	at := <-asked
	return ended.Sub(at), errors.Is(err, context.Canceled)
}
