// Package cutting cuts pieces from stock lengths at the least cost, on whole numbers: it knows no units and no roofs.
//
// A plan comes with a lower bound on the cost of any plan, which is certified by prices of the pieces: no stock length
// holds more value than it costs. Where the bound is the plan's own cost, the plan is proved the best there is.
package cutting

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// A Problem is what is to be cut, and from what. All its numbers are whole.
type Problem struct {
	Stocks  []Stock
	Demands []Demand
	Kerf    int64 // lost between two cuts, and as far as the stock goes after the last; 0 or more
	// How many steps, of some 30 ns, the search may take, and as many again while the plan is over the bound by more
	// than the least by which costs differ; 0: 1.4 million for one stock, 14 for several.
	Work int64
}

// Stock is one length to cut from.
type Stock struct {
	Length int64
	Cost   int64 // of each; above 0 where there is no limit
	Limit  int64 // how many there are; 0: as many as are needed
}

// Demand is all pieces of one length.
type Demand struct {
	Length int64
	Count  int64
}

// A Take is pieces of one demand.
type Take struct {
	Demand int
	Count  int64
}

// A Pattern is one way of cutting a stock length, and how often.
type Pattern struct {
	Stock int
	Times int64
	Takes []Take // of each of the stock lengths, in the order of the demands
}

// A Plan is a cut list: patterns that together cut what is asked for, no piece more.
type Plan struct {
	Patterns []Pattern
	Cost     int64
	Bound    int64 // no plan costs less
}

// Proved reports whether no plan costs less than this.
func (p *Plan) Proved() bool { return p.Bound == p.Cost }

// MaxLength bounds lengths and kerfs.
const MaxLength = 1 << 60

// ErrTooLarge is what errors.Is finds where the numbers of a problem together are beyond what is counted in.
var ErrTooLarge = errors.New("lengths, counts or costs are too large together")

// A DemandError says which demand can't be cut.
type DemandError struct {
	Demand int
	Msg    string
}

// Error says what is wrong with the demand.
func (e *DemandError) Error() string { return fmt.Sprintf("demand %d: %s", e.Demand, e.Msg) }

// Solve finds a plan of the least cost, or the best that can be found within the work allowed, and of those alike the
// shorter stock lengths. It is an error, a *DemandError, if a piece is not above 0, is longer than all stock without a
// limit, or is asked for twice. The error is the context's where that ends first. The same problem gives the same plan.
func Solve(ctx context.Context, p *Problem) (*Plan, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	s, err := newSolver(ctx, p)
	if err != nil || s.pieces == 0 {
		return &Plan{}, err
	}
	s.keep(s.firstFit())
	if ctx.Err() == nil {
		s.solve()
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return s.plan(), nil
}

// check says what is wrong with a problem.
func (p *Problem) check() error {
	longest := int64(-1)
	for i, k := range p.Stocks {
		switch {
		case k.Length <= 0 || k.Length > MaxLength:
			return fmt.Errorf("stock %d: a length is above 0 and at most %d, and this is %d", i, int64(MaxLength), k.Length)
		case k.Limit < 0 || k.Cost < 0 || k.Limit == 0 && k.Cost == 0:
			return fmt.Errorf("stock %d: a limit and a cost are not below 0, and stock without a limit costs more than 0", i)
		case k.Limit == 0:
			longest = max(longest, k.Length)
		}
	}
	switch {
	case longest < 0:
		return errors.New("there is no stock without a limit")
	case p.Kerf < 0 || p.Kerf > MaxLength:
		return fmt.Errorf("a kerf is 0 or more and at most %d, and this is %d", int64(MaxLength), p.Kerf)
	}
	for i, d := range p.Demands {
		switch {
		case d.Length <= 0:
			return &DemandError{i, fmt.Sprintf("a piece is longer than 0, and this is %d", d.Length)}
		case d.Count < 0:
			return &DemandError{i, fmt.Sprintf("a count is 0 or more, and this is %d", d.Count)}
		case d.Length > longest && d.Count > 0:
			return &DemandError{i, fmt.Sprintf("a piece of %d is longer than the stock, %d", d.Length, longest)}
		}
	}
	return nil
}

// A solver holds a problem in the form in which it is solved: a kerf is added to each piece and each stock length,
// each demand is a type of pieces, and all is divided by what divides it all.
type solver struct {
	ctx    context.Context
	given  int64   // work
	work   int64   // left
	stocks []kind  // from the shortest, those with a limit first
	size   []int64 // of each type of piece, from the longest
	count  []int64 // of each type
	demand []int   // of each type, its index in the problem
	pieces int64   // all counts together
	total  int64   // all sizes together; 0 where that is beyond what is counted in
	grain  int64   // costs of plans are multiples of it
	best   []cut
	cost   int64 // of best
	bound  int64
}

// A kind is a stock length as the solver sees it.
type kind struct {
	size, cost int64
	limit      int64 // math.MaxInt64: none
	index      int   // in the problem
}

func (k kind) limited() bool { return k.limit < math.MaxInt64 }

// A cut is a pattern of types.
type cut struct {
	stock int // index into stocks
	times int64
	takes []take
}

type take struct {
	piece int // its type
	count int64
}

func newSolver(ctx context.Context, p *Problem) (*solver, error) {
	s := &solver{ctx: ctx, work: p.Work}
	if s.work == 0 {
		s.work = 1_400_000
		if len(p.Stocks) > 1 { // more ways to cut, and prices that lie close together
			s.work *= 10
		}
	}
	s.given = s.work
	for i, d := range p.Demands {
		if d.Count > 0 {
			s.demand = append(s.demand, i)
		}
	}
	longestFirst := func(a, b int) int { return cmp.Compare(p.Demands[b].Length, p.Demands[a].Length) }
	if !slices.IsSortedFunc(s.demand, longestFirst) {
		slices.SortFunc(s.demand, longestFirst)
	}
	for n, i := range s.demand {
		d := p.Demands[i]
		if n > 0 && p.Demands[s.demand[n-1]].Length == d.Length {
			return nil, &DemandError{i, fmt.Sprintf("another demand has the same length, %d", d.Length)}
		}
		s.size, s.count = append(s.size, d.Length+p.Kerf), append(s.count, d.Count)
		if s.pieces += d.Count; s.pieces < 0 {
			return nil, ErrTooLarge
		}
	}
	for i, k := range p.Stocks {
		limit := k.Limit
		if limit == 0 {
			limit = math.MaxInt64
		}
		s.stocks = append(s.stocks, kind{k.Length + p.Kerf, k.Cost, limit, i})
	}
	slices.SortStableFunc(s.stocks, func(a, b kind) int {
		limited := cmp.Compare(b2i(!a.limited()), b2i(!b.limited()))
		return cmp.Or(limited, cmp.Compare(a.size, b.size), cmp.Compare(a.cost, b.cost))
	})
	s.dropShort()
	return s, s.reduce()
}

// manyStocks is how many lengths of stock are looked at one by one.
const manyStocks = 100

// dropShort leaves the shortest of many left-over lengths out that cost nothing: as many of the longer ones as there
// are pieces do as well.
func (s *solver) dropShort() {
	if len(s.stocks) <= manyStocks {
		return
	}
	enough := s.pieces
	var kept []kind
	for _, k := range slices.Backward(s.stocks) {
		free := k.limited() && k.cost == 0
		if !free || enough > 0 {
			kept = append(kept, k)
		}
		if free {
			enough -= min(k.limit, s.pieces)
		}
	}
	slices.Reverse(kept)
	s.stocks = kept
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// reduce divides sizes by what divides all of them, and tells whether the sums can be counted in.
func (s *solver) reduce() error {
	common := int64(0)
	for _, w := range s.size {
		common = gcd(w, common)
	}
	for _, k := range s.stocks {
		// A stock length is as good as the multiple of what divides all pieces that goes into it.
		s.grain = gcd(k.cost, s.grain)
		if !k.limited() && k.cost > math.MaxInt64/4/max(1, s.pieces) {
			return ErrTooLarge
		}
	}
	for i := range s.stocks {
		k := &s.stocks[i]
		if common > 0 {
			k.size /= common
		}
		if k.limited() {
			k.limit = min(k.limit, s.pieces)
			if k.cost > 0 && k.cost > math.MaxInt64/4/max(1, k.limit) {
				return ErrTooLarge
			}
		}
	}
	for i := range s.size {
		s.size[i] /= common
	}
	largest := int64(0)
	for _, k := range s.stocks {
		largest = max(largest, k.size)
	}
	if s.pieces < math.MaxInt64/8/max(1, largest) {
		for i, w := range s.size {
			s.total += w * s.count[i]
		}
	}
	return nil
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// spend takes so much of the work allowed and tells whether there was as much.
func (s *solver) spend(n int64) bool {
	before := s.work
	s.work -= n
	if s.work < 0 {
		return false
	}
	if before>>16 != s.work>>16 && s.ctx.Err() != nil {
		s.work = -1
		return false
	}
	return true
}

// keep takes a plan over where it costs less than the one found before.
func (s *solver) keep(cuts []cut) {
	cost := int64(0)
	for _, c := range cuts {
		cost += s.stocks[c.stock].cost * c.times
	}
	if s.best == nil || cost < s.cost {
		s.best, s.cost = cuts, cost
	}
}

// solve improves on the first plan until it is proved the best, or the work is done.
func (s *solver) solve() {
	s.bound = s.largePieces()
	if s.total == 0 || s.bound >= s.cost {
		return
	}
	prices := []*prices{s.material()}
	s.raise(prices[0])
	if len(s.stocks) > manyStocks {
		return
	}
	if s.bound < s.cost && len(s.size) <= 1000 {
		s.keep(s.fillUp(s.size))
	}
	if s.bound >= s.cost || len(s.size) > 250 {
		return
	}
	s.improve(prices, nil, s.work/16)
	if s.bound >= s.cost {
		return
	}
	p, portions := s.master()
	if p != nil {
		lifted := s.lift(p)
		s.raise(lifted)
		prices = append(prices, lifted)
	}
	s.improve(prices, portions, s.work)
	if s.cost-s.bound > s.grain && s.ctx.Err() == nil {
		s.work = s.given
		s.correct()
	}
}

// raise takes the bound that prices certify.
func (s *solver) raise(p *prices) {
	s.bound = max(s.bound, p.least(s.grain))
}

// plan turns the best cuts into the problem's terms.
func (s *solver) plan() *Plan {
	out := &Plan{}
	for _, c := range s.best {
		k := s.shortest(c)
		out.Cost += s.stocks[k].cost * c.times
		takes := make([]Take, len(c.takes))
		for i, t := range c.takes {
			takes[i] = Take{s.demand[t.piece], t.count}
		}
		slices.SortFunc(takes, func(a, b Take) int { return cmp.Compare(a.Demand, b.Demand) })
		out.Patterns = append(out.Patterns, Pattern{s.stocks[k].index, c.times, takes})
	}
	out.Bound = min(s.bound, out.Cost)
	return out
}

// shortest is the stock without a limit that costs least of those that hold a cut, and of these the shortest.
func (s *solver) shortest(c cut) int {
	if s.stocks[c.stock].limited() {
		return c.stock
	}
	used := int64(0)
	for _, t := range c.takes {
		used += s.size[t.piece] * t.count
	}
	best := c.stock
	for i, other := range s.stocks {
		if other.limited() || other.size < used {
			continue
		}
		if k := s.stocks[best]; cmp.Or(cmp.Compare(other.cost, k.cost), cmp.Compare(other.size, k.size)) < 0 {
			best = i
		}
	}
	return best
}
