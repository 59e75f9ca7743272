package chain

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomPlain makes a row that is a plain one, mostly.
func randomPlain(rng *rand.Rand) *Row {
	p := &Row{Length: int64(rng.IntN(400))}
	if rng.IntN(3) > 0 {
		p.Limits = append(p.Limits, Limit{Kind: Step, Value: 1 + int64(rng.IntN(9))})
	}
	free := int64(rng.IntN(30))
	if rng.IntN(3) > 0 {
		left, right := free, free
		if rng.IntN(4) == 0 {
			right = int64(rng.IntN(30))
		}
		p.Limits = append(p.Limits, Limit{Kind: Keep, Spans: []Span{{-free, left}, {p.Length - right, p.Length + free}}})
	}
	for range rng.IntN(3) {
		p.Limits = append(p.Limits, Limit{Kind: GapMax, Value: 9 + int64(rng.IntN(90))})
	}
	add := func(k Kind, most int, ends Ends) {
		if rng.IntN(3) == 0 {
			p.Limits = append(p.Limits, Limit{Kind: k, Value: int64(rng.IntN(most)), Ends: ends})
		}
	}
	add(CountMin, 12, 0)
	add(CountMax, 30, 0)
	add(EndMin, 20, Ends(1+rng.IntN(3)))
	add(EndMax, 60, Ends(1+rng.IntN(3)))
	add(EndMax, 60, Ends(1+rng.IntN(3)))
	rng.Shuffle(len(p.Limits), func(i, j int) { p.Limits[i], p.Limits[j] = p.Limits[j], p.Limits[i] })
	return p
}

// What is summed up is what the search finds: the marks, and the limit that decides how many they are.
func TestPlainRowsAsSearched(t *testing.T) {
	rng := seeded(t)
	var summed, search Solver
	search.row.search = true
	closed, total := 0, cases(t, 20_000, 150_000)
	for i := range total {
		p := randomRow(rng)
		if i%2 == 0 {
			p = randomPlain(rng)
		}
		if p.check() == nil {
			if _, ok := summed.row.closed(p, &Result{}, nil); ok {
				closed++
			}
		}
		at, res, err := summed.Row(context.Background(), p, nil)
		want, found, wrong := search.Row(context.Background(), p, nil)
		require.Equal(t, wrong, err, "%v", p)
		require.Equal(t, want, at, "%v", p)
		res.Work, found.Work = 0, 0
		require.Equal(t, found, res, "%v", p)
	}
	t.Logf("%d of %d were summed up", closed, total)
	require.Greater(t, closed, total/4)
}
