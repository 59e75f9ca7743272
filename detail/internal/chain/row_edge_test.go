package chain

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func layRow(t *testing.T, p *Row) ([]int64, Result) {
	t.Helper()
	at, res, err := new(Solver).Row(context.Background(), p, nil)
	require.NoError(t, err)
	return at, res
}

func TestRowsOfThePage(t *testing.T) {
	// The language's page: an 18 in panel with spacing at most 5 in, at least 4, 1 1/2 in clear of the ribs, in 1/16
	// in.
	ribs := []Span{{-30, 30}, {288 - 30, 288 + 30}}
	at, res := layRow(t, &Row{Length: 288, Limits: []Limit{{Kind: GapMax, Value: 80}, {Kind: CountMin, Value: 4}, {Kind: Keep, Spans: ribs}}})
	require.Equal(t, []int64{36, 108, 180, 252}, at)
	require.Equal(t, 0, res.Binding)
	at, _ = layRow(t, &Row{Length: 288, Limits: []Limit{{Kind: GapMax, Value: 320}}})
	require.Equal(t, []int64{144}, at)
	at, _ = layRow(t, &Row{Length: 384, Limits: []Limit{{Kind: GapMax, Value: 320}}})
	require.Equal(t, []int64{96, 288}, at)
	// Stepped off: the left end at half the spacing, the right end within a whole one.
	at, _ = layRow(t, &Row{Length: 100, Lay: Stepped, Limits: []Limit{{Kind: GapMax, Value: 20}}})
	require.Equal(t, []int64{10, 30, 50, 70, 90}, at)
	// Centered: full spacings inside.
	at, _ = layRow(t, &Row{Length: 100, Lay: Centered, Limits: []Limit{{Kind: GapMax, Value: 30}}})
	require.Equal(t, []int64{5, 35, 65, 95}, at)
}

func TestRowEdges(t *testing.T) {
	t.Run("no length", func(t *testing.T) {
		at, res := layRow(t, &Row{Limits: []Limit{{Kind: GapMax, Value: 5}}})
		require.Equal(t, []int64{0}, at)
		require.Nil(t, res.Conflict)
	})
	t.Run("no limits", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: 11})
		require.Equal(t, []int64{5}, at)
		require.Equal(t, -1, res.Binding)
	})
	t.Run("no place", func(t *testing.T) {
		p := &Row{Length: 10, Limits: []Limit{{Kind: GapMax, Value: 5}, {Kind: Keep, Spans: []Span{{-1, 6}}}, {Kind: Keep, Spans: []Span{{5, 11}}}}}
		at, res := layRow(t, p)
		require.Empty(t, at)
		require.Equal(t, []int{1, 2}, res.Conflict)
		require.Equal(t, []Breach{{0, 0, 10, 10}, {0, 0, 10, 10}}, CheckRow(p, at))
	})
	t.Run("no place for what is fixed", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: 10, Limits: []Limit{{Kind: Keep, Spans: []Span{{-1, 11}}, Fixed: true}}})
		require.Empty(t, at)
		require.Equal(t, []int{}, res.Conflict)
	})
	t.Run("a step coarser than the scope", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: 10, Limits: []Limit{{Kind: Step, Value: 16}}})
		require.Equal(t, []int64{0}, at)
		require.Nil(t, res.Conflict)
		at, res = layRow(t, &Row{Length: 10, Limits: []Limit{{Kind: Step, Value: 16}, {Kind: EndMax, Value: 9, Ends: RightEnd}}})
		require.Equal(t, []int64{0}, at)
		require.Equal(t, []int{0, 1}, res.Conflict)
	})
	t.Run("a gap finer than the step", func(t *testing.T) {
		_, _, err := new(Solver).Row(context.Background(), &Row{Length: 10, Limits: []Limit{{Kind: Step, Value: 4}, {Kind: GapMax, Value: 3}}}, nil)
		require.Equal(t, ErrFiner{1}, err)
		require.EqualError(t, err, "chain: limit 1 is finer than the step")
	})
	t.Run("more than fit", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: 4, Limits: []Limit{{Kind: CountMin, Value: math.MaxInt64}}})
		require.Equal(t, []int64{0, 1, 2, 3, 4}, at)
		require.Equal(t, []int{0}, res.Conflict)
		at, res = layRow(t, &Row{Length: 1e18, Limits: []Limit{{Kind: CountMin, Value: 1 << 40}, {Kind: GapMin, Value: 4e17}}})
		require.Len(t, at, 3)
		require.Equal(t, []int{0, 1}, res.Conflict)
	})
	t.Run("no marks asked for", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: 4, Limits: []Limit{{Kind: CountMax, Value: 0}}})
		require.Empty(t, at)
		require.Equal(t, []int{0}, res.Conflict)
	})
	t.Run("as long as can be", func(t *testing.T) {
		at, res := layRow(t, &Row{Length: MaxLength, Limits: []Limit{{Kind: GapMax, Value: MaxLength / 4}, {Kind: Keep, Spans: []Span{{math.MinInt64, 1}, {MaxLength - 1, math.MaxInt64}}}}})
		require.Equal(t, []int64{MaxLength / 8, MaxLength / 8 * 3, MaxLength / 8 * 5, MaxLength / 8 * 7}, at)
		require.Nil(t, res.Conflict)
		at, _ = layRow(t, &Row{Length: MaxLength, Limits: []Limit{{Kind: GapMax, Value: math.MaxInt64}, {Kind: EndMin, Value: math.MinInt64, Ends: LeftEnd}, {Kind: Step, Value: MaxLength}}})
		require.Equal(t, []int64{0}, at)
	})
	t.Run("out of range", func(t *testing.T) {
		for _, p := range []*Row{
			{Length: MaxLength + 1},
			{Length: -1},
			{Length: 5, Limits: []Limit{{Kind: Step}}},
			{Length: 5, Limits: []Limit{{Kind: Step, Value: 1}, {Kind: Step, Value: 1}}},
			{Length: 5, Limits: []Limit{{Kind: LapMin, Value: 1}}},
		} {
			_, _, err := new(Solver).Row(context.Background(), p, nil)
			require.ErrorContains(t, err, "chain: ")
			require.Empty(t, CheckRow(p, []int64{0}))
		}
	})
	t.Run("more marks than are laid", func(t *testing.T) {
		for _, l := range []Limit{{Kind: GapMax, Value: 1e9}, {Kind: CountMin, Value: 1 << 25}} {
			_, _, err := new(Solver).Row(context.Background(), &Row{Length: 1e18, Limits: []Limit{l}}, nil)
			require.ErrorIs(t, err, ErrWork)
		}
	})
}

func TestRowStopsAtTheLimitOfWork(t *testing.T) {
	p := longRow(2000*inch, false, true)
	_, res := layRow(t, p)
	for _, l := range []int64{1, res.Work / 2} {
		s := Solver{MaxWork: l}
		at, _, err := s.Row(context.Background(), p, []int64{7})
		require.ErrorIs(t, err, ErrWork)
		require.Equal(t, []int64{7}, at)
		at, _, err = s.Row(context.Background(), &Row{Length: 4}, nil) // and is ready again
		if l > 1 {
			require.NoError(t, err)
			require.Equal(t, []int64{2}, at)
		}
	}
}

func TestRowBinding(t *testing.T) {
	for want, p := range map[int]*Row{
		-1: {Length: 10, Limits: []Limit{{Kind: GapMax, Value: 10}}},
		0:  {Length: 30, Limits: []Limit{{Kind: GapMax, Value: 10}, {Kind: CountMin, Value: 3}}},
		1:  {Length: 30, Limits: []Limit{{Kind: GapMax, Value: 10}, {Kind: CountMin, Value: 4}}},
		2:  {Length: 30, Limits: []Limit{{Kind: GapMax, Value: 99}, {Kind: GapMax, Value: 30}, {Kind: EndMax, Value: 1, Ends: LeftEnd | RightEnd}}},
	} {
		_, res := layRow(t, p)
		require.Equal(t, want, res.Binding, "%v", p)
	}
}

func TestRowAllocates(t *testing.T) {
	for _, even := range []bool{false, true} {
		p := longRow(200*inch, even, true)
		var s Solver
		at, _, err := s.Row(context.Background(), p, nil)
		require.NoError(t, err)
		n := testing.AllocsPerRun(20, func() { at, _, err = s.Row(context.Background(), p, at[:0]) })
		require.LessOrEqual(t, n, 1.0, "Kept alone")
	}
}

func TestRowIsTheSameAgain(t *testing.T) {
	rng := seeded(t)
	var s Solver
	for range cases(t, 500, 2000) {
		p := randomRow(rng)
		a, ra, err := s.Row(context.Background(), p, nil)
		require.NoError(t, err)
		b, rb, err := new(Solver).Row(context.Background(), p, nil)
		require.NoError(t, err)
		require.Equal(t, a, b)
		require.Equal(t, ra, rb)
	}
}

// worth is what a layout is judged by where the musts can be kept.
func worth(p *Row, at []int64) [3]int64 {
	w := [3]int64{int64(len(at)), 0, math.MaxInt64}
	for k := 1; k < len(at); k++ {
		w[1], w[2] = max(w[1], at[k]-at[k-1]), min(w[2], at[k]-at[k-1])
	}
	return w
}

func mirrorSpans(w []Span, length int64) []Span {
	if w == nil {
		return nil
	}
	out := make([]Span, len(w))
	for i, s := range w {
		out[i] = Span{length - s.To, length - s.From}
	}
	return out
}

// wholeSteps makes a random row that is a whole number of steps long.
func wholeSteps(rng *rand.Rand) (p *Row, step int64) {
	p, step = randomRow(rng), 1
	p.Lay = Even
	for _, l := range p.Limits {
		if l.Kind == Step {
			step = l.Value
		}
	}
	p.Length = p.Length / step * step
	return p, step
}

func TestMirroredRowIsWorthTheSame(t *testing.T) {
	rng := seeded(t)
	for i := range cases(t, 1000, 10_000) {
		p, _ := wholeSteps(rng)
		q := &Row{Length: p.Length, Limits: slices.Clone(p.Limits)}
		for k, l := range q.Limits {
			q.Limits[k].Spans = mirrorSpans(l.Spans, p.Length)
			q.Limits[k].Ends = l.Ends>>1&1 | l.Ends<<1&2
		}
		a, ra := layRow(t, p)
		b, rb := layRow(t, q)
		require.Equal(t, ra.Kept, rb.Kept, "case %d\n%v", i, p)
		require.Equal(t, ra.Conflict, rb.Conflict, "case %d\n%v", i, p)
		require.Equal(t, len(a), len(b), "case %d\n%v", i, p)
		require.Equal(t, worth(p, a)[2], worth(q, b)[2], "case %d\n%v", i, p)
	}
}

func TestFinerUnitsChangeNothing(t *testing.T) {
	rng := seeded(t)
	for i := range cases(t, 1000, 10_000) {
		p := randomRow(rng)
		const by = 1_587_500
		q := &Row{Length: p.Length * by, Lay: p.Lay, Limits: slices.Clone(p.Limits)}
		stepped := false
		for k, l := range q.Limits {
			if l.Kind != CountMin && l.Kind != CountMax {
				q.Limits[k].Value *= by
			}
			stepped = stepped || l.Kind == Step
			q.Limits[k].Spans = slices.Clone(l.Spans)
			for j := range l.Spans {
				q.Limits[k].Spans[j].From *= by
				q.Limits[k].Spans[j].To *= by
			}
		}
		if !stepped {
			q.Limits = append(q.Limits, Limit{Kind: Step, Value: by, Fixed: true})
		}
		a, ra := layRow(t, p)
		b, rb := layRow(t, q)
		for k := range a {
			a[k] *= by
		}
		require.Equal(t, a, b, "case %d\n%v", i, p)
		require.Equal(t, ra.Kept, rb.Kept[:len(ra.Kept)])
	}
}

func TestTighterLimitNeedsNoFewer(t *testing.T) {
	rng := seeded(t)
	seen := 0
	for i := range cases(t, 2000, 20_000) {
		p := randomRow(rng)
		p.Lay = Even
		p.Limits = slices.DeleteFunc(p.Limits, func(l Limit) bool { return l.Should })
		q := &Row{Length: p.Length, Limits: slices.Clone(p.Limits)}
		k := rng.IntN(len(q.Limits) + 1)
		if k == len(q.Limits) || q.Limits[k].Value < 5 {
			continue
		}
		switch q.Limits[k].Kind {
		case GapMax, EndMax, CountMax:
			q.Limits[k].Value--
		case GapMin, CountMin:
			q.Limits[k].Value++
		default:
			continue
		}
		a, ra := layRow(t, p)
		b, rb := layRow(t, q)
		if rb.Conflict == nil {
			seen++
			require.Nil(t, ra.Conflict, "case %d\n%v", i, p)
			require.LessOrEqual(t, len(a), len(b), "case %d\n%v", i, p)
		}
	}
	require.Positive(t, seen)
}

func TestWiderClearNeverFewerWhereEndsAreRuled(t *testing.T) {
	rng := seeded(t)
	seen := 0
	for i := range cases(t, 2000, 20_000) {
		p := randomRow(rng)
		p.Lay = Even
		p.Limits = append(slices.DeleteFunc(p.Limits, func(l Limit) bool { return l.Should }),
			Limit{Kind: EndMax, Value: int64(rng.IntN(12)), Ends: LeftEnd | RightEnd})
		q := &Row{Length: p.Length, Limits: slices.Clone(p.Limits)}
		for k, l := range q.Limits {
			if l.Kind == Keep {
				q.Limits[k].Spans = slices.Clone(l.Spans)
				for j := range l.Spans {
					q.Limits[k].Spans[j].To++
					q.Limits[k].Spans[j].From--
				}
			}
		}
		a, ra := layRow(t, p)
		b, rb := layRow(t, q)
		if rb.Conflict == nil {
			seen++
			require.Nil(t, ra.Conflict, "case %d\n%v", i, p)
			require.LessOrEqual(t, len(a), len(b), "case %d\n%v", i, p)
		}
	}
	require.Positive(t, seen)
}
