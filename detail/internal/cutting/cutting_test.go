package cutting_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/detail/internal/cutting"
)

// seeded is a random generator whose seed the test prints.
func seeded(t *testing.T) *rand.Rand {
	t.Helper()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// demands counts equal lengths.
func demands(lengths ...int64) (list []cutting.Demand) {
	slices.Sort(lengths)
	for _, l := range lengths {
		if n := len(list); n > 0 && list[n-1].Length == l {
			list[n-1].Count++
		} else {
			list = append(list, cutting.Demand{Length: l, Count: 1})
		}
	}
	return list
}

// from is one stock length without a limit.
func from(length int64) []cutting.Stock { return []cutting.Stock{{Length: length, Cost: 1}} }

// solve solves a problem and holds the plan against it: every piece is cut once, each stock length is long enough, no
// limit is passed, the costs add up and the bound is not above them.
func solve(t require.TestingT, p *cutting.Problem) *cutting.Plan {
	plan, err := cutting.Solve(context.Background(), p)
	require.NoError(t, err)
	open := make([]int64, len(p.Demands))
	for i, d := range p.Demands {
		open[i] = d.Count
	}
	used := make([]int64, len(p.Stocks))
	cost := int64(0)
	for _, c := range plan.Patterns {
		require.Positive(t, c.Times)
		stock := p.Stocks[c.Stock]
		used[c.Stock] += c.Times
		cost += c.Times * stock.Cost
		n, length := int64(0), int64(0)
		for _, k := range c.Takes {
			require.Positive(t, k.Count)
			open[k.Demand] -= k.Count * c.Times
			n += k.Count
			length += k.Count * p.Demands[k.Demand].Length
		}
		require.Positive(t, n)
		require.LessOrEqual(t, length+(n-1)*p.Kerf, stock.Length)
	}
	for i, n := range open {
		require.Zero(t, n, "pieces of demand %d", i)
	}
	for i, s := range p.Stocks {
		if s.Limit > 0 {
			require.LessOrEqual(t, used[i], s.Limit)
		}
	}
	require.Equal(t, cost, plan.Cost)
	require.LessOrEqual(t, plan.Bound, plan.Cost)
	return plan
}

func TestTextbookInstanceReachesItsOptimum(t *testing.T) {
	// Textbook instance: 73 rolls of 5600, where first-fit-decreasing takes 82 of them, as the project's check values say.
	p := &cutting.Problem{Stocks: from(5600), Demands: []cutting.Demand{
		{1380, 22}, {1520, 25}, {1560, 12}, {1710, 14}, {1820, 18}, {1880, 18}, {1930, 20}, {2000, 10}, {2050, 12},
		{2100, 14}, {2140, 16}, {2150, 18}, {2200, 20},
	}}
	start := time.Now()
	plan := solve(t, p)
	t.Log(time.Since(start), len(plan.Patterns), "patterns")
	assert.EqualValues(t, 73, plan.Cost)
	assert.True(t, plan.Proved())
}

func TestTextbookAnomaly(t *testing.T) {
	// Textbook anomaly: first-fit-decreasing takes 3 of 60 but 4 of 61.
	lengths := []int64{44, 24, 24, 22, 21, 17, 8, 8, 6, 6}
	for stock, fits := range map[int64]int{60: 3, 61: 4} {
		assert.Equal(t, fits, firstFit(lengths, stock, 0))
		plan := solve(t, &cutting.Problem{Stocks: from(stock), Demands: demands(lengths...)})
		assert.EqualValues(t, 3, plan.Cost)
		assert.True(t, plan.Proved())
	}
}

// firstFit is the number of stock lengths by the rule of thumb: the longest piece first, each into the first stock
// length that has room.
func firstFit(lengths []int64, stock, kerf int64) int {
	lengths = slices.Clone(lengths)
	slices.SortFunc(lengths, func(a, b int64) int { return int(b - a) })
	var room []int64
next:
	for _, l := range lengths {
		for i := range room {
			if l <= room[i] {
				room[i] -= l + kerf
				continue next
			}
		}
		room = append(room, stock-l-kerf)
	}
	return len(room)
}

func TestSizesOfAHouseAndASchool(t *testing.T) {
	r := seeded(t)
	for _, c := range []struct{ pieces, cases int }{{60, 300}, {200, 60}} {
		proved, worst, gap := 0, time.Duration(0), int64(0)
		for range c.cases {
			var lengths []int64
			for range c.pieces {
				lengths = append(lengths, 18*16+r.Int64N(62*16+1)) // 18 to 80 in, in sixteenths
			}
			p := &cutting.Problem{Stocks: from(120 * 16), Demands: demands(lengths...), Kerf: 2}
			start := time.Now()
			plan := solve(t, p)
			worst = max(worst, time.Since(start))
			if plan.Proved() {
				proved++
			}
			gap = max(gap, plan.Cost-plan.Bound)
		}
		fmt.Printf("%d pieces: %d of %d proved, largest gap %d, longest %v\n", c.pieces, proved, c.cases, gap, worst)
	}
}
