package cutting_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"github.com/lapwright/lapwright/detail/internal/cutting"
)

// Left-overs of 100,000 lengths, and 10,000 pieces of 2,000 lengths: the work is bounded all the same.
func TestManyLengths(t *testing.T) {
	r := seeded(t)
	leftovers, many := int64(100_000), 10_000
	if testing.Short() {
		leftovers, many = 10_000, 1000
	}
	for _, few := range []bool{true, false} {
		p := &cutting.Problem{Stocks: from(120 * 1600), Kerf: 200}
		for i := range leftovers {
			p.Stocks = append(p.Stocks, cutting.Stock{Length: 1600 + i, Limit: 1 + r.Int64N(3)})
		}
		var lengths []int64
		for i := range many {
			if few && i == 40 {
				break
			}
			lengths = append(lengths, 20_000+r.Int64N(2000)*50)
		}
		p.Demands = demands(lengths...)
		start := time.Now()
		plan := solve(t, p)
		t.Logf("%d pieces: %v, cost %d, bound %d", len(lengths), time.Since(start), plan.Cost, plan.Bound)
		assert.Less(t, time.Since(start), 20*time.Second)
	}
}
