package chain

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// pairs lists the pairs of a region one by one.
func (r region) pairs() (list [][2]int64) {
	for x := r.fromX; x <= r.toX; x++ {
		for y := r.fromY; y <= r.toY; y++ {
			if y-x >= r.lo && y-x <= r.hi {
				list = append(list, [2]int64{x, y})
			}
		}
	}
	return list
}

func TestFaceAgainstEveryPair(t *testing.T) {
	rng := seeded(t)
	none, several := 0, 0
	for range cases(t, 3000, 30_000) {
		v := func() int64 { return int64(rng.IntN(9)) - 4 }
		from := func() int64 { return v() - 2 } // so that most have a pair
		to := func() int64 { return v() + 4 }
		r := region{from(), to(), from(), to(), from(), to()}
		all := r.pairs()
		tight, ok := r.tight()
		require.Equal(t, len(all) > 0, ok, "%+v", r)
		if !ok {
			none++
			continue
		}
		require.Equal(t, all, tight.pairs(), "%+v", r)
		px, py := v(), v()
		var best [][2]int64
		for _, p := range all {
			if len(best) > 0 && px*p[0]+py*p[1] > px*best[0][0]+py*best[0][1] {
				best = best[:0]
			}
			if len(best) == 0 || px*p[0]+py*p[1] == px*best[0][0]+py*best[0][1] {
				best = append(best, p)
			}
		}
		if len(best) > 1 {
			several++
		}
		require.Equal(t, best, tight.face(px, py).pairs(), "%d*x + %d*y over %+v", px, py, r)
		require.Contains(t, all, [2]int64{tight.fromX, tight.corner()}, "%+v", r)
	}
	t.Logf("%d regions without a pair, %d faces of several pairs", none, several)
	require.Positive(t, none)
	require.Positive(t, several)
}

// pull against every pair: over x, the least cost of the way to some y and of what follows there.
func TestPullAgainstEveryPair(t *testing.T) {
	rng := seeded(t)
	pulled := 0
	for range cases(t, 3000, 30_000) {
		v := func() int64 { return int64(rng.IntN(9)) - 4 }
		by := func() rise { return rise{v() / 3, v() / 2, v()} }
		from := func() int64 { return v() - 2 }
		to := func() int64 { return v() + 4 }
		e := edge{lo: from(), hi: to(), fromX: from(), toX: to(), fromY: from(), toY: to(), at: cost{clear: 50, length: v(), count: v(), lap: v()}, byX: by(), byY: by()}
		f := segment{from(), to(), cost{clear: v(), length: v(), count: v(), lap: v()}, by()}
		fromX, toX := from(), to()
		s, n := e.pull(f, fromX, toX)
		got := map[int64]cost{}
		for _, s := range s[:n] {
			for x := s.from; x <= s.to; x++ {
				require.NotContains(t, got, x)
				got[x] = s.value(x)
			}
		}
		want := map[int64]cost{}
		for _, p := range (region{max(fromX, e.fromX), min(toX, e.toX), max(f.from, e.fromY), min(f.to, e.toY), e.lo, e.hi}).pairs() {
			c := e.value(p[0], p[1]).plus(f.value(p[1]))
			if least, ok := want[p[0]]; !ok || c.less(least) {
				want[p[0]] = c
			}
		}
		require.Equal(t, want, got, "%+v %+v from %d to %d", e, f, fromX, toX)
		if n > 0 {
			pulled++
		}
	}
	t.Logf("%d have a pair", pulled)
	require.Greater(t, pulled, 20)
}
