package cutting

import (
	"math"
	"math/big"
	"math/bits"
)

// prices certify a bound: the pieces of one stock length are never worth more than full, which is at most rate for
// each unit of its cost and, where stock has a limit, some rent.
type prices struct {
	value []int64 // of each type of piece, 0 or more
	full  []int64 // of each stock: rate * cost + rent
	rate  int64
	sum   int64 // the value of all pieces, less the rent of all stock with a limit
}

// newPrices takes the values of the pieces, and for each stock a value that no pattern of it exceeds.
func (s *solver) newPrices(value, most []int64) *prices {
	p := &prices{value: value, full: make([]int64, len(most)), rate: 1}
	for k, v := range most {
		if c := s.stocks[k]; !c.limited() {
			p.rate = max(p.rate, (v+c.cost-1)/c.cost)
		}
	}
	for i, v := range value {
		p.sum += v * s.count[i]
	}
	for k, v := range most {
		c := s.stocks[k]
		p.full[k] = p.rate * c.cost
		if v > p.full[k] && c.limited() {
			p.sum -= (v - p.full[k]) * c.limit
			p.full[k] = v
		}
	}
	return p
}

// least is the least cost that these prices leave possible: the value of all pieces, bought at the rate, in whole
// grains.
func (p *prices) least(grain int64) int64 {
	if p.sum <= 0 {
		return 0
	}
	n := (p.sum + p.rate - 1) / p.rate
	return (n + grain - 1) / grain * grain
}

// scale is by how many bits the sizes can be shifted to make prices of them that are fine enough to divide by a cost.
func (s *solver) scale() int {
	largest := int64(1)
	for _, k := range s.stocks {
		largest = max(largest, k.size)
	}
	return max(0, min(36-bits.Len64(uint64(largest)), 60-bits.Len64(uint64(largest))-bits.Len64(uint64(s.pieces))))
}

// material prices each piece at its length.
func (s *solver) material() *prices {
	shift := s.scale()
	value, most := make([]int64, len(s.size)), make([]int64, len(s.stocks))
	for i, w := range s.size {
		value[i] = w << shift
	}
	for k, c := range s.stocks {
		most[k] = c.size << shift
	}
	return s.newPrices(value, most)
}

// largePieces bounds the cost by the pieces that can't share a stock length, and those that must go in beside them: for
// each least length of piece looked at, those that leave no room for it, those over half, and the rest at their length
// (Martello and Toth's L2, from memory). It takes all stock for the longest at the least cost, and what is left over
// for free.
func (s *solver) largePieces() int64 {
	longest, cheapest := int64(0), int64(math.MaxInt64)
	for _, k := range s.stocks {
		if k.limited() {
			return 0
		}
		longest, cheapest = max(longest, k.size), min(cheapest, k.cost)
	}
	n := len(s.size)
	count := make([]int64, n+1)  // of the first types
	total := make([]*big.Int, 1) // their sizes together
	total[0] = new(big.Int)
	for i, w := range s.size {
		if i%1024 == 0 && s.ctx.Err() != nil {
			return 0
		}
		count[i+1] = count[i] + s.count[i]
		t := new(big.Int).Mul(big.NewInt(w), big.NewInt(s.count[i]))
		total = append(total, t.Add(t, total[i]))
	}
	half := 0 // types over half
	for half < n && 2*s.size[half] > longest {
		half++
	}
	most := big.NewInt(0)
	alone := half // types that leave no room for the least piece looked at
	for i := half; i <= n; i++ {
		if i%1024 == 0 && s.ctx.Err() != nil {
			return 0
		}
		// Types half to i are looked at: none at first.
		if i > half {
			for alone > 0 && s.size[alone-1]+s.size[i-1] <= longest {
				alone--
			}
		}
		// What the pieces over half leave, the others share: count of halves, and what is over.
		over := new(big.Int).Sub(total[i], total[alone])
		room := new(big.Int).Mul(big.NewInt(longest), big.NewInt(count[half]-count[alone]))
		over.Sub(over, room)
		stocks := big.NewInt(count[half])
		if over.Sign() > 0 {
			over.Add(over, big.NewInt(longest-1))
			stocks.Add(stocks, over.Quo(over, big.NewInt(longest)))
		}
		if stocks.Cmp(most) > 0 {
			most = stocks
		}
	}
	return most.Int64() * cheapest
}
