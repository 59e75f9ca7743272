package cutting

import (
	"cmp"
	"encoding/binary"
	"math/rand/v2"
	"slices"
)

// A search looks for a plan of at most some cost, stock length by stock length: the longest piece left is cut from
// each pattern in turn. Each price vector says how much value may be wasted over the whole plan; a pattern that wastes
// more is no part of it.
type search struct {
	s      *solver
	prices []*prices
	guide  int // the price vector by which patterns are ordered: that with the best bound
	noise  *rand.Rand
	failed map[string]int64 // what is left, and the cost for which it is known not to do

	left  []int64
	free  []int64 // of each stock
	cost  int64   // that may still be spent
	waste []int64 // of each price vector, that may still be wasted
	path  []option
	key   []byte

	nodes  int64 // stock lengths that may still be tried
	widest int   // patterns tried at each place
	chance bool  // how much waste is as good as none is left to chance
	whole  bool  // nothing was left untried

	// Of the place at which patterns are looked for:
	ease  int64 // a pattern that wastes no more is as good as one without waste
	good  int   // patterns found that are
	short int64 // no piece left is shorter
	taken []take

	options []option // of all places on the path, one after another
	takes   []take   // theirs
}

// An option is a pattern that may come next.
type option struct {
	stock    int
	from, to int // in takes
	order    int64
}

func (s *solver) newSearch(prices []*prices) *search {
	q := &search{s: s, prices: prices, failed: map[string]int64{}, noise: rand.New(rand.NewPCG(1, 2))}
	for i, p := range prices {
		if best := prices[q.guide]; p.sum > 0 && dearer(p.sum, p.rate, max(0, best.sum), best.rate) {
			q.guide = i
		}
	}
	return q
}

// improve looks for plans that cost less than the best known until there is none, or so much work is done.
func (s *solver) improve(prices []*prices, portions []cut, work int64) {
	stop := max(0, s.work-work)
	for s.bound < s.cost {
		q := s.newSearch(prices)
		target, before := s.cost-s.grain, s.cost
		s.fromPortions(q, target, portions)
		for round := int64(0); s.cost == before; round++ {
			q.reset(target, nil)
			q.nodes, q.widest, q.chance = 200<<min(round/4, 40), 8<<min(round/4, 20), round > 0
			switch {
			case q.run():
				s.keep(q.cuts())
			case q.whole:
				s.bound = s.cost
				return
			case s.work <= stop:
				return
			}
		}
	}
}

// fromPortions takes the whole parts of the master's patterns, and looks for the rest.
func (s *solver) fromPortions(q *search, target int64, portions []cut) {
	var fixed []cut
	for _, c := range portions {
		if n := (c.times + tiny) / one; n > 0 {
			fixed = append(fixed, cut{c.stock, n, c.takes})
		}
	}
	for ; len(fixed) > 0 && s.work > 0; fixed = fixed[:len(fixed)/2] {
		if !q.reset(target, fixed) {
			continue
		}
		if q.nodes, q.widest = 1000, 1000; q.run() {
			s.keep(append(slices.Clone(fixed), q.cuts()...))
			return
		}
	}
}

// reset starts over with some cuts done; false if they go beyond what may be spent.
func (q *search) reset(target int64, done []cut) bool {
	s := q.s
	q.left, q.free, q.waste = slices.Clone(s.count), q.free[:0], q.waste[:0]
	q.path, q.options, q.takes = q.path[:0], q.options[:0], q.takes[:0]
	q.cost, q.whole, q.chance = target, true, false
	for _, k := range s.stocks {
		q.free = append(q.free, k.limit)
	}
	for _, p := range q.prices {
		q.waste = append(q.waste, p.rate*target-p.sum)
	}
	for _, c := range done {
		q.use(c.stock, c.takes, c.times)
	}
	return q.cost >= 0 && slices.Min(q.waste) >= 0 && slices.Min(q.left) >= 0 && slices.Min(q.free) >= 0
}

// use cuts from a stock so many times.
func (q *search) use(stock int, takes []take, times int64) {
	q.cost -= times * q.s.stocks[stock].cost
	q.free[stock] -= times
	for _, t := range takes {
		q.left[t.piece] -= times * t.count
	}
	for i, p := range q.prices {
		q.waste[i] -= times * p.wasted(stock, takes)
	}
}

// wasted is the value of a full stock length that the pieces do not make up.
func (p *prices) wasted(stock int, takes []take) int64 {
	w := p.full[stock]
	for _, t := range takes {
		w -= p.value[t.piece] * t.count
	}
	return w
}

// cuts are what the search has come to.
func (q *search) cuts() []cut {
	list := make([]cut, len(q.path))
	for i, o := range q.path {
		list[i] = cut{o.stock, 1, slices.Clone(q.takes[o.from:o.to])}
	}
	return list
}

// state is what is left, as a key.
func (q *search) state() []byte {
	key := q.key[:0]
	for _, n := range q.left {
		if n < 0x80 {
			key = append(key, byte(n))
		} else {
			key = binary.AppendUvarint(key, uint64(n))
		}
	}
	for k, n := range q.free {
		if q.s.stocks[k].limited() {
			key = binary.AppendUvarint(key, uint64(n))
		}
	}
	q.key = key
	return q.key
}

// run tries all that may come next and tells whether all could be cut. If not, and all was tried, whole stays as it
// was.
func (q *search) run() bool {
	first := slices.IndexFunc(q.left, func(n int64) bool { return n > 0 })
	if first < 0 {
		return true
	}
	if q.nodes--; q.nodes < 0 || !q.s.spend(int64(len(q.left))) {
		q.whole = false
		return false
	}
	if c, known := q.failed[string(q.state())]; known && q.cost <= c {
		return false
	}
	before := q.whole
	options, takes := len(q.options), len(q.takes)
	q.find(first)
	last := len(q.options)
	q.whole = q.good <= q.widest && last-options <= q.widest && q.s.work >= 0
	for i := options; i < min(last, options+q.widest); i++ {
		o := q.options[i]
		pattern := q.takes[o.from:o.to]
		q.use(o.stock, pattern, 1)
		q.path = append(q.path, o)
		if q.run() {
			return true
		}
		q.path = q.path[:len(q.path)-1]
		q.use(o.stock, pattern, -1)
		if q.nodes < 0 || q.s.work < 0 {
			q.whole = false
			break
		}
	}
	q.options, q.takes = q.options[:options], q.takes[:takes]
	if q.whole && len(q.failed) < 1<<16 {
		q.failed[string(q.state())] = q.cost
	}
	q.whole = q.whole && before
	return false
}

// find appends the patterns with the first type of piece that are full, in the sense that no piece left over goes in
// too, and waste no more than may be; those that waste least come first, of these those with the longest pieces.
func (q *search) find(first int) {
	p, worth := q.prices[q.guide], int64(0)
	for i, n := range q.left {
		if n > 0 {
			worth += n * p.value[i]
			q.short = q.s.size[i]
		}
	}
	// The waste that is left, shared by the stock lengths that are.
	q.good, q.ease = 0, q.waste[q.guide]/((worth+q.waste[q.guide])/p.full[len(p.full)-1]+1)
	if q.chance {
		q.ease = q.noise.Int64N(2*q.ease + 1)
	}
	from := len(q.options)
	for k, c := range q.s.stocks {
		if c.cost > q.cost || c.size < q.s.size[first] || q.free[k] == 0 {
			continue
		}
		q.left[first]--
		q.taken = append(q.taken[:0], take{first, 1})
		q.extend(k, first, c.size-q.s.size[first])
		q.left[first]++
	}
	slices.SortFunc(q.options[from:], func(a, b option) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.from, b.from))
	})
}

// extend adds pieces from a type on to the pattern.
func (q *search) extend(stock, from int, room int64) {
	s := q.s
	if q.good > q.widest || !s.spend(2) {
		return
	}
	most, ok := q.unfilled(stock)
	if !ok {
		return
	}
	for i := from; i < len(s.size); i++ {
		if q.left[i] == 0 || s.size[i] > room {
			continue
		}
		if room > most && q.short <= room && room/q.short < (room-most+s.size[i]-1)/s.size[i] {
			return // even the longest pieces that can follow fill too little
		}
		q.left[i]--
		if last := len(q.taken) - 1; q.taken[last].piece == i {
			q.taken[last].count++
			q.extend(stock, i, room-s.size[i])
			q.taken[last].count--
		} else {
			q.taken = append(q.taken, take{i, 1})
			q.extend(stock, i, room-s.size[i])
			q.taken = q.taken[:last+1]
		}
		q.left[i]++
	}
	if room > most || q.fits(room) {
		return
	}
	for n, p := range q.prices {
		if p.wasted(stock, q.taken) > q.waste[n] {
			return
		}
	}
	o := option{stock, len(q.takes), len(q.takes) + len(q.taken), q.prices[q.guide].wasted(stock, q.taken)}
	if o.order <= q.ease {
		o.order = 0
		q.good++
	}
	q.takes = append(q.takes, q.taken...)
	q.options = append(q.options, o)
}

// unfilled is how much room a pattern may leave by the first price vector, the material's; false: it can't be used at
// all.
func (q *search) unfilled(stock int) (int64, bool) {
	p := q.prices[0]
	last := len(q.s.size) - 1
	unit := p.value[last] / q.s.size[last]
	dear := p.full[stock] - q.s.stocks[stock].size*unit // what it costs more than the cheapest for its length
	return (q.waste[0] - dear) / unit, q.waste[0] >= dear
}

// fits reports whether any piece not taken goes into the room.
func (q *search) fits(room int64) bool {
	for i := len(q.left) - 1; i >= 0; i-- {
		if q.left[i] > 0 {
			return q.s.size[i] <= room
		}
	}
	return false
}
