package chain_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

// Stretches as long as a house, some of which ask for far more pieces than they need, are never too much work.
func TestPiecesOfAHouseAreNeverTooMuchWork(t *testing.T) {
	rng, n := seeded(t), 20_000
	if testing.Short() {
		n = 1000
	}
	var s chain.Solver
	conflicts, largest, most := 0, 0, int64(0)
	for i := range n {
		p := randomPieces(rng)
		ps, r, err := s.Pieces(context.Background(), p, nil)
		require.NoError(t, err, "stretch %d: %+v", i, p)
		if r.Conflict != nil {
			conflicts++
		} else {
			require.Empty(t, broken(p, ps), "stretch %d: %+v\n%v", i, p, ps)
		}
		if r.Conflict == nil || r.Smallest {
			largest++
		}
		most = max(most, r.Work)
	}
	t.Logf("%d of %d conflict, all but %d named by the smallest set; most work %d", conflicts, n, n-largest, most)
	require.Equal(t, n, largest)
	require.Greater(t, conflicts, n/10)
}

// broken are the musts that a layout breaks.
func broken(p *chain.Pieces, ps []chain.Piece) (list []chain.Breach) {
	for _, b := range chain.CheckPieces(p, ps) {
		if b.Limit < 0 || !p.Limits[b.Limit].Should {
			list = append(list, b)
		}
	}
	return list
}

// Four pieces are too many for their least length, butted or lapped.
func TestPiecesOfACountThatLengthsForbid(t *testing.T) {
	p := &chain.Pieces{From: -2, To: 526, Lay: chain.Full, Limits: []chain.Limit{
		{Kind: chain.Step, Value: 2},
		{Kind: chain.Stock, Lengths: []int64{427, 408, 392}},
		{Kind: chain.LapMin, Value: 9},
		{Kind: chain.LengthMin, Value: 183},
		{Kind: chain.Keep, Spans: []chain.Span{{From: 19, To: 89}, {From: 113, To: 183}, {From: 207, To: 277}, {From: 301, To: 371}, {From: 395, To: 465}, {From: 489, To: 559}}},
		{Kind: chain.CountMin, Value: 4},
	}}
	var s chain.Solver
	ps, r, err := s.Pieces(context.Background(), p, nil)
	require.NoError(t, err)
	require.Equal(t, []int{3, 5}, r.Conflict)
	require.True(t, r.Smallest)
	require.Equal(t, []chain.Piece{{From: -2, To: 300}, {From: 290, To: 526}}, ps)
}

// A should that would break the musts further is given up before all ways of breaking them so are looked at.
func TestPiecesOfAShouldThatMakesItWorse(t *testing.T) {
	p := &chain.Pieces{From: -2, To: 18, Lay: chain.Full, Limits: []chain.Limit{
		{Kind: chain.LapMax, Value: 1, Should: true},
		{Kind: chain.Stock, Lengths: []int64{3}, Should: true},
		{Kind: chain.Stock, Lengths: []int64{6}},
		{Kind: chain.LengthMin, Value: 7},
		{Kind: chain.LapMin, Value: 1, Spans: []chain.Span{{From: 17, To: 19}}},
		{Kind: chain.LapMin, Value: 2, Spans: []chain.Span{{From: 14, To: 16}}},
	}}
	var s chain.Solver
	ps, r, err := s.Pieces(context.Background(), p, nil)
	require.NoError(t, err)
	require.Equal(t, []int{2, 3}, r.Conflict)
	require.Equal(t, []bool{false, false, true, true, true, true}, r.Kept)
	require.Equal(t, []chain.Piece{{From: -2, To: 4}, {From: 0, To: 6}, {From: 6, To: 12}, {From: 12, To: 18}}, ps)
	require.Less(t, r.Work, int64(10_000))
}

func TestPiecesAllocate(t *testing.T) {
	p := &chain.Pieces{To: 376 * 16, Lay: chain.Full, Limits: []chain.Limit{
		{Kind: chain.LapMin, Value: 6 * 16}, {Kind: chain.LengthMin, Value: 30 * 16}, {Kind: chain.Stock, Lengths: []int64{120 * 16}},
	}}
	var s chain.Solver
	ps, _, err := s.Pieces(context.Background(), p, nil)
	require.NoError(t, err)
	n := testing.AllocsPerRun(20, func() { ps, _, err = s.Pieces(context.Background(), p, ps[:0]) })
	require.LessOrEqual(t, n, 3.0, "Kept, and two beside it")
}
