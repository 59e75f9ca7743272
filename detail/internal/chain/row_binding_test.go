package chain

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// bruteBinding names the limit that decides the count n of a layout that keeps these limits, from the words of binding.
func bruteBinding(p *Row, kept []bool, n int) int {
	fewest := func(without func(i int) bool) int {
		in := slices.Clone(kept)
		for i := range in {
			in[i] = in[i] && !without(i)
		}
		return newBrute(p, in).fewest(1, n, -1)
	}
	// choose finds the first of the limits in force that is asked about and that no later one beats.
	choose := func(about func(Limit) bool, beats func(a, b Limit) bool) int {
		best := -1
		for i, l := range p.Limits {
			if kept[i] && about(l) && (best < 0 || beats(l, p.Limits[best])) {
				best = i
			}
		}
		return best
	}
	if fewest(func(i int) bool { return p.Limits[i].Kind == CountMin }) < n {
		return choose(func(l Limit) bool { return l.Kind == CountMin }, func(a, b Limit) bool { return a.Value > b.Value })
	}
	if n == 1 {
		return -1
	}
	for i, l := range p.Limits {
		if kept[i] && (l.Kind == GapMax || l.Kind == EndMax) && fewest(func(k int) bool { return k == i }) < n {
			return i
		}
	}
	if i := choose(func(l Limit) bool { return l.Kind == GapMax }, func(a, b Limit) bool { return a.Value < b.Value }); i >= 0 {
		return i
	}
	return choose(func(l Limit) bool { return l.Kind == EndMax }, func(a, b Limit) bool { return false })
}

// rivalRow makes a random row in which several limits may decide the count.
func rivalRow(rng *rand.Rand) *Row {
	p := randomRow(rng)
	if rng.IntN(4) == 0 {
		p.Limits = slices.DeleteFunc(p.Limits, func(l Limit) bool { return l.Kind == GapMax })
	}
	for i := range p.Limits {
		p.Limits[i].Joined = false
	}
	for range rng.IntN(4) {
		l := Limit{Kind: []Kind{GapMax, EndMax, CountMin}[rng.IntN(3)], Value: int64(4 + rng.IntN(8)), Ends: Ends(1 + rng.IntN(3))}
		p.Limits = slices.Insert(p.Limits, rng.IntN(len(p.Limits)+1), l)
	}
	return p
}

func TestBindingAgainstBruteForce(t *testing.T) {
	rng := seeded(t)
	found := map[Kind]int{}
	var s Solver
	for i := range cases(t, 4000, 50_000) {
		p := rivalRow(rng)
		at, res, err := s.Row(context.Background(), p, nil)
		require.NoError(t, err)
		if res.Conflict != nil {
			require.Equal(t, -1, res.Binding)
			continue
		}
		require.Equal(t, bruteBinding(p, res.Kept, len(at)), res.Binding, "case %d\n%v%v", i, p, at)
		if res.Binding >= 0 {
			found[p.Limits[res.Binding].Kind]++
		}
	}
	t.Logf("binding limits by kind: %v", found)
	require.Positive(t, found[GapMax])
	require.Positive(t, found[EndMax])
	require.Positive(t, found[CountMin])
}
