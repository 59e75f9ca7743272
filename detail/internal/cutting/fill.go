package cutting

import (
	"math"
	"math/bits"
	"slices"
)

// A filler fills one stock length with the pieces that are worth most.
type filler struct {
	s     *solver
	order []int // types, the most worth for their size first
	value []int64
	size  []int64
	least []int64 // in the order, the shortest from here on
	left  []int64 // pieces of each type that there are
	nodes int64   // how many more places to look at
	taken []take
	worth int64
	best  []take
	most  int64 // the value of best
	all   int64 // no filling is worth more, for the stock being filled
}

func (s *solver) newFiller(value, left []int64) *filler {
	s.spend(4 * int64(len(value))) // to sort them
	f := &filler{s: s, value: value, size: s.size, left: left}
	for i := range value {
		f.order = append(f.order, i)
	}
	slices.SortStableFunc(f.order, func(a, b int) int {
		h1, l1 := bits.Mul64(uint64(value[a]), uint64(s.size[b]))
		h2, l2 := bits.Mul64(uint64(value[b]), uint64(s.size[a]))
		switch {
		case h1 > h2 || h1 == h2 && l1 > l2:
			return -1
		case h1 == h2 && l1 == l2:
			return 0
		}
		return 1
	})
	f.least = make([]int64, len(f.order)+1)
	f.least[len(f.order)] = math.MaxInt64
	for n := len(f.order) - 1; n >= 0; n-- {
		f.least[n] = min(f.least[n+1], s.size[f.order[n]])
	}
	return f
}

// fill finds the pieces worth most together that go into so much room. The value is exact, or where it takes more than
// so many steps the most that it can be.
func (f *filler) fill(room, nodes int64) (takes []take, most int64) {
	f.nodes, f.worth, f.most, f.taken, f.best = nodes, 0, 0, f.taken[:0], nil
	f.all = f.atMost(0, room)
	f.from(0, room)
	if !f.s.spend(2 * (nodes - max(f.nodes, 0))) {
		f.nodes = -1
	}
	slices.SortFunc(f.best, func(a, b take) int { return a.piece - b.piece })
	if f.nodes < 0 {
		return f.best, f.all
	}
	return f.best, f.most
}

// atMost is no less than what pieces from a place in the order on can be worth in so much room.
func (f *filler) atMost(n int, room int64) int64 {
	for n < len(f.order) && (f.left[f.order[n]] == 0 || f.size[f.order[n]] > room) {
		n++
	}
	if n == len(f.order) {
		return 0
	}
	i := f.order[n]
	hi, lo := bits.Mul64(uint64(room), uint64(f.value[i]))
	if hi >= uint64(f.size[i]) {
		return math.MaxInt64
	}
	q, _ := bits.Div64(hi, lo, uint64(f.size[i]))
	return int64(min(q, math.MaxInt64))
}

func (f *filler) from(n int, room int64) {
	if f.nodes--; f.nodes < 0 {
		return
	}
	if f.worth > f.most || f.best == nil {
		f.most, f.best = f.worth, slices.Clone(f.taken)
		if f.best == nil {
			f.best = []take{}
		}
	}
	for ; n < len(f.order) && f.least[n] <= room && f.most < f.all; n++ {
		i := f.order[n]
		c := min(room/f.size[i], f.left[i])
		if c == 0 {
			continue
		}
		if rest := f.atMost(n, room); rest <= f.most-f.worth {
			return
		}
		for ; c > 0; c-- {
			f.taken = append(f.taken, take{i, c})
			f.worth += c * f.value[i]
			f.from(n+1, room-c*f.size[i])
			f.worth -= c * f.value[i]
			f.taken = f.taken[:len(f.taken)-1]
			if f.nodes < 0 {
				return
			}
		}
	}
}

// fillUp cuts stock length after stock length: the longest piece left and beside it what is worth most, from the kind of
// stock that costs least for the length cut; before these, what is worth most of each that has a limit.
func (s *solver) fillUp(value []int64) []cut {
	left := slices.Clone(s.count)
	f := s.newFiller(value, left)
	var cuts []cut
	take1 := func(c cut, limit int64) int64 {
		c.times = limit
		for _, t := range c.takes {
			c.times = min(c.times, left[t.piece]/t.count)
		}
		for _, t := range c.takes {
			left[t.piece] -= t.count * c.times
		}
		cuts = append(cuts, c)
		return c.times
	}
	for k, c := range s.stocks {
		for n := c.limit; c.limited() && n > 0; {
			takes, _ := f.fill(c.size, fillNodes)
			if len(takes) == 0 {
				break
			}
			n -= take1(cut{k, 0, takes}, n)
		}
	}
	for i := range left {
		for left[i] > 0 {
			best, used := cut{stock: -1}, int64(0)
			left[i]--
			for k, c := range s.stocks {
				if c.limited() || c.size < s.size[i] {
					continue
				}
				takes, _ := f.fill(c.size-s.size[i], fillNodes)
				u := s.size[i]
				for _, t := range takes {
					u += t.count * s.size[t.piece]
				}
				if best.stock < 0 || dearer(s.stocks[best.stock].cost, used, c.cost, u) {
					best, used = cut{k, 1, with(takes, i)}, u
				}
			}
			left[i]++
			if s.work < 0 {
				return s.best
			}
			take1(best, math.MaxInt64)
		}
	}
	return cuts
}

// correct fills up again and again, with pieces worth more that were cut where much was wasted, until the cost is as
// near the bound as costs can differ, or the work is done.
func (s *solver) correct() {
	if s.total > math.MaxInt64>>20 {
		return
	}
	value, cuts := make([]int64, len(s.size)), s.best
	for i, w := range s.size {
		value[i] = w << 10
	}
	for s.cost-s.bound > s.grain && s.spend(int64(len(value))) {
		for _, c := range cuts {
			used := int64(0)
			for _, t := range c.takes {
				used += s.size[t.piece] * t.count
			}
			for _, t := range c.takes {
				hi, lo := bits.Mul64(uint64(s.size[t.piece])<<10, uint64(s.stocks[c.stock].size))
				corrected, _ := bits.Div64(hi, lo, uint64(used))
				value[t.piece] = (value[t.piece] + int64(corrected)) / 2
			}
		}
		cuts = s.fillUp(value)
		s.keep(cuts)
	}
}

// fillNodes is how far a stock length is tried to be filled better where nothing depends on it.
const fillNodes = 2000

// dearer reports whether a1/b1 > a2/b2.
func dearer(a1, b1, a2, b2 int64) bool {
	h1, l1 := bits.Mul64(uint64(a1), uint64(b2))
	h2, l2 := bits.Mul64(uint64(a2), uint64(b1))
	return h1 > h2 || h1 == h2 && l1 > l2
}

// with adds one piece to takes sorted by type.
func with(takes []take, piece int) []take {
	n, found := slices.BinarySearchFunc(takes, piece, func(t take, p int) int { return t.piece - p })
	if found {
		takes[n].count++
		return takes
	}
	return slices.Insert(takes, n, take{piece, 1})
}
