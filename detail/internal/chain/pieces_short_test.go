package chain

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// shortPieces returns a random small problem whose pieces are hardly longer than two laps, so that laps easily reach
// across a third piece.
func shortPieces(rng *rand.Rand) *Pieces {
	between := func(least, most int) int64 { return int64(least + rng.IntN(most-least+1)) }
	p := &Pieces{To: between(6, 16), Lay: Full}
	if rng.IntN(5) == 0 {
		p.Lay = Even
	}
	spans := func(wide int) (list []Span) {
		for range 1 + rng.IntN(2) {
			a := between(0, int(p.To))
			list = append(list, Span{a, a + between(0, wide)})
		}
		return list
	}
	add := func(share float64, l Limit) {
		if rng.Float64() < share {
			l.Should = rng.IntN(8) == 0
			p.Limits = append(p.Limits, l)
		}
	}
	add(0.9, Limit{Kind: LapMin, Value: between(1, 3)})
	add(0.5, Limit{Kind: LapMin, Value: between(2, 4), Spans: spans(3)})
	add(0.3, Limit{Kind: LapMax, Value: between(1, 3), Spans: spans(4)})
	add(0.8, Limit{Kind: Stock, Lengths: []int64{between(3, 8), between(3, 8)}})
	add(0.3, Limit{Kind: LengthMax, Value: between(4, 8)})
	add(0.3, Limit{Kind: LengthMin, Value: between(2, 5)})
	add(0.3, Limit{Kind: CountMin, Value: between(3, 6)})
	add(0.6, Limit{Kind: Keep, Spans: spans(3)})
	return p
}

func TestShortPiecesAgainstBruteForce(t *testing.T) {
	rng, n := seeded(t), pieceCases(t)
	var s Solver
	conflicts, near := 0, 0
	for range n {
		ps, r := piecesAgainstBrute(t, &s, shortPieces(rng))
		for k := range max(0, len(ps)-2) {
			if ps[k+2].From-ps[k].To < 2 {
				near++
			}
		}
		if r.Conflict != nil {
			conflicts++
		}
	}
	t.Logf("%d cases: %d conflict; %d laps come near the next but one", n, conflicts, near)
	require.Positive(t, conflicts)
	require.Positive(t, near)
}
