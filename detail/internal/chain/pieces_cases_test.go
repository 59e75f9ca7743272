package chain

import (
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func layPieces(t *testing.T, p *Pieces) ([]Piece, Result) {
	t.Helper()
	var s Solver
	ps, r, err := s.Pieces(context.Background(), p, nil)
	require.NoError(t, err)
	return ps, r
}

// Common practice, no source: cap pieces lap at least 4 in, no piece under 24 in, from 120 in stock.
func TestPiecesOfEveryRunLength(t *testing.T) {
	for length := int64(119 * 16); length <= 370*16; length++ {
		p := &Pieces{To: length, Lay: Full, Limits: []Limit{
			{Kind: LapMin, Value: 4 * 16}, {Kind: LengthMin, Value: 24 * 16}, {Kind: Stock, Lengths: []int64{120 * 16}},
		}}
		ps, r := layPieces(t, p)
		require.Nil(t, r.Conflict)
		require.Empty(t, CheckPieces(p, ps))
		fewest := 1
		for cover := int64(120 * 16); cover < length; cover += 116 * 16 {
			fewest++
		}
		require.Len(t, ps, fewest, "%d/16 in", length)
	}
}

func TestPiecesByHand(t *testing.T) {
	stock := func(l ...int64) Limit { return Limit{Kind: Stock, Lengths: l} }
	for _, c := range []struct {
		name     string
		p        Pieces
		want     []Piece
		conflict []int
	}{
		{"without a lap limit pieces butt", Pieces{0, 25, Full, []Limit{stock(10)}}, []Piece{{0, 10}, {10, 20}, {20, 25}}, nil},
		{"the last piece would be short: the second is cut too", Pieces{0, 21, Full, []Limit{stock(10), {Kind: LengthMin, Value: 4}}},
			[]Piece{{0, 10}, {10, 17}, {17, 21}}, nil},
		{"even", Pieces{0, 21, Even, []Limit{stock(10)}}, []Piece{{0, 7}, {7, 14}, {14, 21}}, nil},
		{"two uncut pieces rather than one", Pieces{0, 18, Full, []Limit{stock(8, 12), {Kind: LapMin, Value: 2}}}, []Piece{{0, 12}, {10, 18}}, nil},
		{"a gap", Pieces{0, 22, Full, []Limit{stock(10), {Kind: LapMin, Value: -2}, {Kind: LapMax, Value: -1}}}, []Piece{{0, 10}, {12, 22}}, nil},
		{"the lap goes beside the rib", Pieces{0, 30, Full, []Limit{stock(20), {Kind: LapMin, Value: 2}, {Kind: Keep, Spans: []Span{{11, 14}, {17, 22}}}}},
			[]Piece{{0, 17}, {15, 30}}, nil},
		{"a rib of no width is not lapped over", Pieces{0, 30, Full, []Limit{stock(20), {Kind: LapMin, Value: 2}, {Kind: Keep, Spans: []Span{{11, 11}, {19, 19}}}}},
			[]Piece{{0, 19}, {17, 30}}, nil},
		{"the run is shorter than a piece may be", Pieces{-1, 21, Full, []Limit{stock(120), {Kind: LengthMin, Value: 30}}}, []Piece{{-1, 21}}, []int{1}},
		{"two pieces are short rather than one lap on a rib", Pieces{0, 30, Full, []Limit{stock(20), {Kind: LapMin, Value: 2}, {Kind: LengthMin, Value: 14}, {Kind: Keep, Spans: []Span{{11, 19}}}}},
			[]Piece{{0, 11}, {7, 21}, {19, 30}}, []int{0, 2, 3}},
		{"no window is wide enough", Pieces{0, 30, Full, []Limit{stock(20), {Kind: LapMin, Value: 4}, {Kind: Keep, Spans: []Span{{-1, 14}, {17, 31}}}}},
			[]Piece{{0, 18}, {14, 30}}, []int{0, 1, 2}},
		{"the step does not divide the run", Pieces{0, 25, Full, []Limit{stock(10), {Kind: Step, Value: 4}}},
			[]Piece{{0, 8}, {8, 16}, {16, 25}}, nil},
		{"the step leaves no joint", Pieces{0, 25, Full, []Limit{stock(10), {Kind: Step, Value: 12}}}, nil, []int{0, 1}},
		{"the stock is shorter than the lap", Pieces{0, 25, Full, []Limit{stock(10), {Kind: LapMin, Value: 10}}}, nil, []int{0, 1}},
		{"nothing to cover", Pieces{5, 5, Full, []Limit{stock(10), {Kind: CountMin, Value: 1}}}, nil, nil},
		{"more pieces than fit", Pieces{0, 10, Full, []Limit{{Kind: CountMin, Value: 4}, {Kind: LengthMin, Value: 4}}}, []Piece{{0, 6}, {6, 10}}, []int{0, 1}},
		{"short pieces, as many towards the count as are no shorter in all than one too long", Pieces{0, 7, Full, []Limit{{Kind: LapMin, Value: 2}, {Kind: LengthMax, Value: 4}, {Kind: LengthMin, Value: 4}, {Kind: CountMin, Value: 6}}},
			[]Piece{{0, 4}, {2, 6}, {4, 7}}, []int{0, 3}},
		{"even, as many towards the count", Pieces{0, 16, Even, []Limit{{Kind: LapMin, Value: 1}, {Kind: LapMin, Value: 3, Spans: []Span{{2, 5}}}, {Kind: Stock, Lengths: []int64{6, 7}, Should: true}, {Kind: LengthMax, Value: 4}, {Kind: CountMin, Value: 6}}},
			[]Piece{{0, 5}, {2, 7}, {6, 10}, {9, 13}, {12, 15}, {14, 16}}, []int{0, 1, 3}},
		{"the least lap stands before the most", Pieces{0, 15, Full, []Limit{stock(10), {Kind: LapMin, Value: 3}, {Kind: LapMax, Value: 2}}},
			[]Piece{{0, 10}, {7, 15}}, []int{0, 1, 2}},
	} {
		ps, r := layPieces(t, &c.p)
		require.Equal(t, c.want, ps, c.name)
		require.Equal(t, c.conflict, r.Conflict, c.name)
	}
}

func TestPiecesMoveWithTheirStretch(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	for range 300 {
		p := pieceCase(rng)
		by := rng.Int64N(1 << 50)
		q := *p
		q.From, q.To = p.From+by, p.To+by
		q.Limits = nil
		for _, l := range p.Limits {
			spans := l.Spans
			l.Spans = nil
			for _, s := range spans {
				l.Spans = append(l.Spans, Span{s.From + by, s.To + by})
			}
			q.Limits = append(q.Limits, l)
		}
		var s Solver
		a, ra, errA := s.Pieces(context.Background(), p, nil)
		b, rb, errB := s.Pieces(context.Background(), &q, nil)
		require.Equal(t, errA, errB)
		require.Equal(t, ra, rb)
		require.Equal(t, len(a), len(b))
		for i := range a {
			require.Equal(t, Piece{a[i].From + by, a[i].To + by}, b[i])
		}
	}
}

// Every length times a number, and a step of that number, gives the same layout times that number.
func TestPiecesScale(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 4))
	const by = 1_587_500_000
	for range 300 {
		p := pieceCase(rng)
		q := Pieces{From: p.From * by, To: p.To * by, Lay: p.Lay}
		stepped := false
		for _, l := range p.Limits {
			stepped = stepped || l.Kind == Step
			if l.Kind != CountMin && l.Kind != CountMax {
				l.Value *= by
			}
			spans, lengths := l.Spans, l.Lengths
			l.Spans, l.Lengths = nil, nil
			for _, s := range spans {
				l.Spans = append(l.Spans, Span{s.From * by, s.To * by})
			}
			for _, x := range lengths {
				l.Lengths = append(l.Lengths, x*by)
			}
			q.Limits = append(q.Limits, l)
		}
		if !stepped {
			q.Limits = append(q.Limits, Limit{Kind: Step, Value: by, Fixed: true})
		}
		var s Solver
		a, _, err := s.Pieces(context.Background(), p, nil)
		require.NoError(t, err, "%+v", p)
		b, _, err := s.Pieces(context.Background(), &q, nil)
		require.NoError(t, err, "%+v", q)
		require.Equal(t, len(a), len(b), "%+v", p)
		for i := range a {
			require.Equal(t, Piece{a[i].From * by, a[i].To * by}, b[i], "%+v", p)
		}
	}
}

func TestPiecesOfALongRun(t *testing.T) {
	for _, step := range []int64{25_400_000_000 / 16, 1} {
		p := capRun(10_000, step)
		ps, r := layPieces(t, p)
		require.Nil(t, r.Conflict)
		require.Empty(t, CheckPieces(p, ps))
		require.Len(t, ps, 1667) // each but the last goes on for six panels at most, as the windows for laps repeat
	}
}

func TestPiecesRefuseBadInput(t *testing.T) {
	var s Solver
	for _, p := range []Pieces{
		{From: 1, To: 0},
		{From: 0, To: 2e18},
		{To: 10, Limits: []Limit{{Kind: Step}}},
		{To: 10, Limits: []Limit{{Kind: Stock}}},
		{To: 10, Limits: []Limit{{Kind: Stock, Lengths: []int64{5, 0}}}},
		{To: 10, Limits: []Limit{{Kind: GapMax, Value: 3}}},
		{To: 10, Limits: []Limit{{Kind: Keep, Spans: []Span{{4, 3}}}}},
		{To: 10, Limits: []Limit{{Kind: LapMin, Value: -2e18}}},
		{To: 10, Limits: []Limit{{Kind: 200}}},
	} {
		_, _, err := s.Pieces(context.Background(), &p, nil)
		var bad ErrLimit
		require.ErrorAs(t, err, &bad, "%+v", p)
		require.NotEmpty(t, bad.Error())
	}
}

func TestPiecesOfTheGreatestLengths(t *testing.T) {
	const far = int64(MaxLength)
	p := &Pieces{From: -far, To: far, Lay: Full, Limits: []Limit{
		{Kind: Stock, Lengths: []int64{far}}, {Kind: LapMin, Value: 1}, {Kind: Keep, Spans: []Span{{-far, -1}, {1, far}}},
	}}
	ps, r := layPieces(t, p)
	require.Nil(t, r.Conflict)
	require.Equal(t, []Piece{{-far, 0}, {-1, 1}, {0, far}}, ps)
	p.Limits[1].Value = 0
	ps, r = layPieces(t, p)
	require.Nil(t, r.Conflict)
	require.Equal(t, []Piece{{-far, 0}, {0, far}}, ps)
	p.Limits = []Limit{{Kind: Stock, Lengths: []int64{far / 4}}, {Kind: LapMin, Value: 1}, {Kind: Keep, Spans: []Span{{-far, far}}}}
	var s Solver
	_, _, err := s.Pieces(context.Background(), p, nil)
	require.ErrorIs(t, err, ErrOverflow)
}

func TestCheckPieces(t *testing.T) {
	p := &Pieces{From: 0, To: 40, Limits: []Limit{
		{Kind: LapMin, Value: 3},
		{Kind: LengthMin, Value: 12},
		{Kind: Keep, Spans: []Span{{30, 36}, {8, 12}}},
		{Kind: Stock, Lengths: []int64{20}},
		{Kind: CountMax, Value: 2},
		{Kind: Step, Value: 2},
		{Kind: LapMax, Value: 4, Spans: []Span{{30, 31}}},
	}}
	require.Empty(t, CheckPieces(p, []Piece{{0, 20}, {16, 30}, {26, 40}})[1:], "one piece too many, nothing else")
	require.Equal(t, []Breach{
		{Finish, 38, 40, -2},
		{0, 11, 13, 2},
		{1, 28, 38, 10},
		{2, 11, 13, 1},
		{2, 28, 33, 3},
		{3, 11, 33, 22},
		{4, 0, 40, 3},
		{5, 13, 13, 1}, {5, 11, 11, 1}, {5, 33, 33, 1},
		{6, 28, 33, 5},
	}, CheckPieces(p, []Piece{{0, 13}, {11, 33}, {28, 38}}))
	p.Limits = nil
	require.Equal(t, []Breach{{Order, 20, 30, 10}, {Across, 25, 30, 5}, {Joint, 20, 30, 10}, {Joint, 25, 30, 5}},
		CheckPieces(p, []Piece{{0, 30}, {20, 30}, {25, 40}}), "not after the one before, across a third, two laps of no rule")
	require.Equal(t, []Breach{{Start, 0, 40, 40}}, CheckPieces(p, nil))
}
