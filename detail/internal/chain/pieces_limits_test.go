package chain

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPiecesSayWhichLimitIsWrong(t *testing.T) {
	for _, c := range []struct {
		p    Pieces
		want string
	}{
		{Pieces{From: 1}, "chain: the stretch: its start comes first, and both ends are within the greatest length"},
		{Pieces{To: 9, Limits: []Limit{{Kind: GapMin}}}, "chain: limit 0: pieces take Keep, Lap, Length, Stock, Count and Step limits"},
		{Pieces{To: 9, Limits: []Limit{{}, {Kind: Step}}}, "chain: limit 1: values are within the greatest length, spans start first, steps and stock lengths are above 0"},
	} {
		_, r, err := new(Solver).Pieces(context.Background(), &c.p, nil)
		require.EqualError(t, err, c.want)
		require.Equal(t, -1, r.Binding)
	}
}

func TestPiecesTakeTheGreatestValues(t *testing.T) {
	const far = int64(MaxLength)
	for _, l := range []Limit{
		{Kind: LengthMin, Value: -far},
		{Kind: LengthMax, Value: far},
		{Kind: Step, Value: far},
		{Kind: Stock, Lengths: []int64{far}},
		{Kind: Stock, Lengths: []int64{1, 9}},
		{Kind: Keep, Spans: []Span{{-far, far}}},
		{Kind: Keep, Spans: []Span{{4, 4}}},
	} {
		ps, r := layPieces(t, &Pieces{To: 9, Limits: []Limit{l}})
		require.Equal(t, []Piece{{0, 9}}, ps, "%+v", l)
		require.Equal(t, -1, r.Binding)
		for _, over := range []Limit{
			{Kind: l.Kind, Value: far + 1, Spans: l.Spans, Lengths: l.Lengths},
			{Kind: l.Kind, Value: -far - 1, Spans: l.Spans, Lengths: l.Lengths},
			{Kind: l.Kind, Value: l.Value, Spans: []Span{{-far - 1, far}}, Lengths: l.Lengths},
			{Kind: l.Kind, Value: l.Value, Spans: []Span{{-far, far + 1}}, Lengths: l.Lengths},
			{Kind: l.Kind, Value: l.Value, Spans: l.Spans, Lengths: []int64{far + 1}},
		} {
			_, _, err := new(Solver).Pieces(context.Background(), &Pieces{To: 9, Limits: []Limit{over}}, nil)
			require.ErrorAs(t, err, new(ErrLimit), "%+v", over)
		}
	}
	for _, p := range []Pieces{{From: -far, To: -far + 3}, {From: far - 3, To: far}} {
		ps, _ := layPieces(t, &p)
		require.Equal(t, []Piece{{p.From, p.To}}, ps)
	}
}
