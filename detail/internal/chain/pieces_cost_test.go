package chain

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLowerAgainstEveryPlace(t *testing.T) {
	rng := seeded(t)
	v := func(n int) int64 { return int64(rng.IntN(n)) }
	some := func(from, to int64) segment {
		return segment{from, to, cost{v(3), v(5), v(2), v(9)}, rise{v(3) - 1, v(3) - 1, v(5) - 2}}
	}
	crossed := 0
	for range cases(t, 3000, 30_000) {
		var cur []segment
		for x := v(4); x < 14; x += v(4) {
			to := x + v(5)
			cur = append(cur, some(x, to))
			x = to + 1
		}
		s := some(v(16), 0)
		s.to = s.from + v(12)
		want := map[int64]cost{}
		for x := s.from; x <= s.to; x++ {
			want[x] = s.value(x)
		}
		both := map[bool]bool{}
		for _, c := range cur {
			for x := c.from; x <= c.to; x++ {
				if w, ok := want[x]; !ok || !w.less(c.value(x)) {
					want[x] = c.value(x)
					both[true] = both[true] || ok
				} else {
					both[false] = true
				}
			}
		}
		if len(both) == 2 {
			crossed++
		}
		got := map[int64]cost{}
		last := int64(-1)
		for _, o := range lower(nil, cur, s) {
			require.Greater(t, o.from, last, "ascending, apart and not empty: %+v and %+v", cur, s)
			require.GreaterOrEqual(t, o.to, o.from, "ascending, apart and not empty: %+v and %+v", cur, s)
			last = o.to
			for x := o.from; x <= o.to; x++ {
				got[x] = o.value(x)
			}
		}
		require.Equal(t, want, got, "%+v and %+v", cur, s)
	}
	t.Logf("in %d both are least somewhere", crossed)
	require.Greater(t, crossed, 20)
}

func TestCostIsTooLarge(t *testing.T) {
	for _, c := range []cost{
		{clear: maxCost}, {clear: -maxCost}, {length: maxCost}, {length: -maxCost}, {lap: maxCost}, {lap: -maxCost}, {count: maxPieces * onePiece},
	} {
		require.False(t, c.tooLarge(), "%+v", c)
		d := c
		for _, x := range []*int64{&d.clear, &d.length, &d.lap, &d.count} {
			if *x > 0 {
				*x++
			} else if *x < 0 {
				*x--
			}
		}
		require.True(t, d.tooLarge(), "%+v", d)
	}
}

func TestRiseIsNegativeByItsFirstTerm(t *testing.T) {
	require.False(t, rise{}.negative())
	require.True(t, rise{lap: -1}.negative())
	require.False(t, rise{length: 1, lap: -1}.negative())
	require.True(t, rise{length: -1, lap: 1}.negative())
	require.False(t, rise{clear: 1, length: -1}.negative())
	require.True(t, rise{clear: -1, length: 1}.negative())
}
