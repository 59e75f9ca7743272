package chain

import (
	"context"
	"fmt"
	"testing"
)

// capRun is a cap along a run of 18 in panels: lap 6 in, no piece under 30 in, laps 2 in off each 1 3/4 in rib.
func capRun(panels int64, step int64) *Pieces {
	const inch = 25_400_000_000
	length := panels * 18 * inch
	if panels == 0 {
		length = 376 * inch
	}
	keep := Limit{Kind: Keep}
	for x := int64(7 * inch); x < length; x += 18 * inch {
		keep.Spans = append(keep.Spans, Span{x - 23*inch/8, x + 23*inch/8})
	}
	return &Pieces{From: -inch, To: length + inch, Lay: Full, Limits: []Limit{
		{Kind: Step, Value: step, Fixed: true},
		{Kind: LapMin, Value: 6 * inch},
		{Kind: LengthMin, Value: 30 * inch},
		keep,
		{Kind: Stock, Lengths: []int64{120 * inch}},
	}}
}

func BenchmarkPieces(b *testing.B) {
	for _, panels := range []int64{0, 1_000, 100_000} {
		for _, step := range []int64{25_400_000_000 / 16, 1} {
			p := capRun(panels, step)
			b.Run(fmt.Sprintf("panels=%d/step=%d", panels, step), func(b *testing.B) {
				var s Solver
				var out []Piece
				b.ReportAllocs()
				for b.Loop() {
					got, _, err := s.Pieces(context.Background(), p, out[:0])
					if err != nil {
						b.Fatal(err)
					}
					out = got
				}
				b.ReportMetric(float64(len(out)), "pieces")
			})
		}
	}
}
