package chain

import (
	"context"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// pieceCase returns a random small problem.
func pieceCase(rng *rand.Rand) *Pieces {
	from := int64(rng.IntN(9)) - 4
	length := int64(rng.IntN(22))
	p := &Pieces{From: from, To: from + length, Lay: Full}
	if rng.IntN(5) == 0 {
		p.Lay = Even
	}
	value := func(most int) int64 { return int64(rng.IntN(most)) }
	spans := func() []Span {
		out := make([]Span, 1+rng.IntN(3))
		for i := range out {
			a := from - 2 + value(int(length)+4)
			out[i] = Span{a, a + value(5)}
		}
		return out
	}
	add := func(l Limit, should int) {
		l.Should = rng.IntN(should) == 0
		l.Fixed = !l.Should && rng.IntN(8) == 0
		p.Limits = append(p.Limits, l)
	}
	for range 2 + rng.IntN(6) {
		switch rng.IntN(12) {
		case 0, 1:
			l := Limit{Kind: LapMin, Value: value(4)}
			if rng.IntN(6) == 0 {
				l.Value = -value(3)
			}
			if rng.IntN(4) == 0 {
				l.Spans = spans()
			}
			add(l, 8)
		case 2:
			l := Limit{Kind: LapMax, Value: value(7)}
			if rng.IntN(6) == 0 {
				l.Value = -value(3)
			}
			if rng.IntN(4) == 0 {
				l.Spans = spans()
			}
			add(l, 6)
		case 3, 4:
			add(Limit{Kind: LengthMin, Value: value(9)}, 6)
		case 5:
			add(Limit{Kind: LengthMax, Value: 2 + value(12)}, 6)
		case 6, 7:
			l := Limit{Kind: Stock}
			for range 1 + rng.IntN(3) {
				l.Lengths = append(l.Lengths, 2+value(12))
			}
			add(l, 50)
		case 8, 9:
			add(Limit{Kind: Keep, Spans: spans()}, 5)
		case 10:
			kind := CountMin
			if rng.IntN(2) == 0 {
				kind = CountMax
			}
			add(Limit{Kind: kind, Value: 1 + value(5)}, 4)
		case 11:
			if !slices.ContainsFunc(p.Limits, func(l Limit) bool { return l.Kind == Step }) {
				p.Limits = append(p.Limits, Limit{Kind: Step, Value: 1 + value(3)})
			}
		}
	}
	return p
}

func TestPiecesAgainstBruteForce(t *testing.T) {
	rng, n := seeded(t), pieceCases(t)
	var s Solver
	var lapping, infeasible, should int
	for range n {
		got, r := piecesAgainstBrute(t, &s, pieceCase(rng))
		if len(got) >= 3 {
			lapping++
		}
		if r.Conflict != nil {
			infeasible++
		}
		if slices.Contains(r.Kept, false) {
			should++
		}
	}
	t.Logf("%d cases: three pieces or more %d, conflicts %d, a should given up %d", n, lapping, infeasible, should)
	require.Greater(t, lapping, n/6)
	require.Greater(t, infeasible, n/6)
}

// pieceCases is how many random problems of pieces a test takes.
func pieceCases(t *testing.T) int {
	if n, err := strconv.Atoi(os.Getenv("CHAIN_PIECES_CASES")); err == nil {
		return n
	}
	if testing.Short() {
		return 700
	}
	return 15_000
}

// piecesAgainstBrute lays pieces, and holds all that comes of it against the brute force.
func piecesAgainstBrute(t *testing.T, s *Solver, p *Pieces) ([]Piece, Result) {
	t.Helper()
	ps, r, err := s.Pieces(context.Background(), p, nil)
	require.NoError(t, err, "%+v", p)
	starts, lengths, kept, conflict := brutePieces(p)
	var gotStarts, gotLengths []int64
	for _, q := range ps {
		gotStarts, gotLengths = append(gotStarts, q.From), append(gotLengths, q.To-q.From)
	}
	require.Equal(t, kept, r.Kept, "%+v\ngot %v, want %v from %v", p, ps, lengths, starts)
	require.Equal(t, conflict, r.Conflict, "%+v", p)
	require.Equal(t, lengths, gotLengths, "%+v\ngot %v, kept %v, conflict %v, want them from %v", p, ps, kept, conflict, starts)
	require.Equal(t, starts, gotStarts, "%+v\n%v", p, ps)
	checkBreaches(t, p, ps, r)
	return ps, r
}

// checkBreaches holds a layout against its limits by themselves: it breaks none that the result says is kept.
func checkBreaches(t *testing.T, p *Pieces, ps []Piece, r Result) {
	t.Helper()
	broken := make([]bool, len(p.Limits))
	for _, b := range CheckPieces(p, ps) {
		if b.Limit < 0 {
			require.Empty(t, ps, "%+v %v: %+v", p, ps, b)
			continue
		}
		broken[b.Limit] = true
	}
	must := false
	for i, l := range p.Limits {
		must = must || broken[i] && !l.Should
		if l.Should && len(ps) > 0 {
			require.Equal(t, r.Kept[i], !broken[i], "should %d of %+v: %v", i, p, ps)
		}
	}
	require.Equal(t, r.Conflict != nil && len(ps) > 0, must && len(ps) > 0, "%+v: %v", p, ps)
}
