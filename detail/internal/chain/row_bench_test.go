package chain

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Fine units of the benchmarks are nanometres.
const (
	sixteenth = 1_587_500
	inch      = 16 * sixteenth
)

// longRow is a run of panels 16 to 18 in wide with ribs 3/4 in wide, kept 1 1/2 in clear: spacing at most 5 in.
func longRow(length int64, even, step bool) *Row {
	rng := rand.New(rand.NewPCG(7, 7))
	p := &Row{Length: length}
	var keep []Span
	for x := int64(8 * inch); x < length; {
		keep = append(keep, Span{x - 30*sixteenth, x + 30*sixteenth})
		if even {
			x += 17 * inch
		} else {
			x += 16*inch + int64(rng.IntN(33))*sixteenth
		}
	}
	if even { // its own mirror image
		p.Length = keep[len(keep)-1].From + 30*sixteenth + 8*inch
	}
	p.Limits = []Limit{{Kind: GapMax, Value: 5 * inch}, {Kind: Keep, Spans: keep}}
	if step {
		p.Limits = append(p.Limits, Limit{Kind: Step, Value: sixteenth})
	}
	return p
}

func BenchmarkRow(b *testing.B) {
	for _, length := range []int64{18, 200, 2000, 1_600_000} {
		for _, even := range []bool{false, true} {
			for _, step := range []bool{true, false} {
				b.Run(fmt.Sprintf("%din/mirror=%v/step=%v", length, even, step), func(b *testing.B) {
					p := longRow(length*inch, even, step)
					var s Solver
					at, res, err := s.Row(context.Background(), p, nil)
					require.NoError(b, err)
					require.Nil(b, res.Conflict)
					b.ReportAllocs()
					b.ResetTimer()
					for range b.N {
						at, _, err = s.Row(context.Background(), p, at[:0])
					}
					require.NoError(b, err)
					b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(at)), "ns/mark")
					b.ReportMetric(float64(len(at)), "marks")
					b.ReportMetric(float64(res.Work)/float64(len(at)), "work/mark")
				})
			}
		}
	}
}
