package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

func TestDebug(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 0))
	for i := range 45 {
		n := 60
		if i >= 30 {
			n = 200
		}
		_ = n

		m := map[int64]int64{}
		for range n {
			m[18*16+r.Int64N(62*16+1)]++
		}
		p := &Problem{Stocks: []Stock{{1920, 1, 0}}, Kerf: 2}
		for l, c := range m {
			p.Demands = append(p.Demands, Demand{l, c})
		}
		slices.SortFunc(p.Demands, func(a, b Demand) int { return int(a.Length - b.Length) })
		s, _ := newSolver(context.Background(), p)
		t0 := time.Now()
		s.keep(s.firstFit())
		ffd := s.cost
		s.solve()
		t1 := time.Now()
		fmt.Printf("n %d total %.3f ffd %d final %d bound %d ms %d work left %d\n", n, float64(s.total)/1922, ffd, s.cost, s.bound, t1.Sub(t0).Milliseconds(), s.work)
	}
}
