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

// What laps reach into what is kept clear adds up to more than a number holds, in fine units.
func TestPiecesOfALongRunWithoutAPlaceForLaps(t *testing.T) {
	for _, lay := range []Lay{Full, Even} {
		p := capRun(13_000, 25_400_000_000/16)
		p.Lay = lay
		p.Limits[3].Spans = []Span{{p.From, p.To}}
		ps, r := layPieces(t, p)
		require.Equal(t, []int{3, 4}, r.Conflict)
		require.Len(t, ps, 2053) // (234,002 - 6) / (120 - 6), upwards
		for k, b := range CheckPieces(p, ps) {
			require.Equal(t, 3, b.Limit, "breach %d", k)
		}
		if lay == Full { // without a step there is no larger unit
			p.Limits = p.Limits[1:]
			_, _, err := new(Solver).Pieces(context.Background(), p, nil)
			require.ErrorIs(t, err, ErrOverflow)
		}
	}
}
