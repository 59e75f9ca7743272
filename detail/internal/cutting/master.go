package cutting

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// one is 1 in the master's fixed-point numbers.
const (
	onePlaces = 36
	one       = int64(1) << onePlaces
	tiny      = one >> 24 // what is as good as nothing
	small     = one >> 12 // a pivot that is none
)

// A master chooses how often each pattern is used, in fractions, at the least cost: the linear programme over all
// patterns, solved by the revised simplex method with columns made as they are needed. Its numbers are rounded, and it
// is only asked for good prices: what these certify is counted exactly, whatever they are.
//
// Its rows are the demands, then the length of all pieces together, then each stock with a limit. Of many types, those
// next to one another share a row, and are told apart by their length alone: the prices are a little worse, and come
// much sooner.
type master struct {
	s       *solver
	group   []int // of each type, its row
	need    []int64
	rows    int
	inverse []int64 // of the basis, row by row
	basis   []column
	amount  []int64 // of each column of the basis
	dual    []int64 // of each row
	dear    []int64 // of each row, what a unit of it costs at the start
	unit    int64   // the cost that counts as one
	lost    bool    // a number grew beyond what can be held
	entered []int64 // the entering column in terms of the basis
	parts   []part  // of the column looked at
}

// A column is a pattern. Where stock is slack it leaves a row open: a demand met with too many, a stock not used up;
// where it is dear it fills a row for a price that no pattern has to be as high as.
type column struct {
	stock int
	takes []take
	row   int
}

const (
	slack = -1
	dear  = -2
)

// A part is what a column has in a row.
type part struct {
	row   int
	times int64
}

// groups is how many rows there are for the demands of many types; up to manyTypes each has its own.
const (
	groups    = 80
	manyTypes = 100
)

func (s *solver) newMaster() *master {
	m := &master{s: s, group: make([]int, len(s.size))}
	n := int64(0)
	for i, c := range s.count {
		m.group[i] = i
		if len(s.size) > manyTypes {
			m.group[i] = int(n * groups / s.pieces)
		}
		n += c
	}
	m.need = make([]int64, m.group[len(m.group)-1]+1)
	for i, g := range m.group {
		m.need[g] += s.count[i]
	}
	m.rows = len(m.need) + 1
	for _, k := range s.stocks {
		m.unit = max(m.unit, k.cost)
		if k.limited() {
			m.rows++
		}
	}
	return m
}

// master returns the prices with the best bound that it comes to, and the patterns that it uses with whole parts first.
func (s *solver) master() (best *prices, portions []cut) {
	const mostRows = 1000
	m := s.newMaster()
	if m.unit > 1<<24 || s.pieces > 1<<20 || m.rows > mostRows {
		return nil, nil
	}
	m.start()
	var pool []column
	for _, c := range s.best {
		pool = append(pool, column{c.stock, c.takes, 0})
	}
	for i, w := range s.size {
		k := s.cheapest(w)
		pool = append(pool, column{k, []take{{i, min(s.count[i], s.stocks[k].size/w)}}, 0})
	}
	stop := s.work / 2
	for !m.lost && s.work > stop {
		if !s.spend(int64(m.rows)*int64(m.rows)/16 + 1) {
			break
		}
		if c, gain := m.slack(); gain < -tiny {
			m.enter(c, gain)
			continue
		}
		// Patterns already known come first.
		entering, least := column{}, -tiny
		for _, c := range pool {
			if r := m.reduced(c); r < least {
				entering, least = c, r
			}
		}
		if least < -tiny {
			m.enter(entering, least)
			continue
		}
		value := m.values()
		f := s.newFiller(value, s.count)
		most := make([]int64, len(s.stocks))
		for k, c := range s.stocks {
			takes, v := f.fill(c.size, pricingNodes)
			most[k] = v
			if c := (column{k, takes, 0}); m.reduced(c) < least {
				entering, least = c, m.reduced(c)
			}
		}
		if s.work < 0 {
			break
		}
		p := s.newPrices(value, most)
		if best == nil || best.sum <= 0 || p.sum > 0 && dearer(p.sum, p.rate, best.sum, best.rate) {
			best = p
			s.raise(p)
		}
		near := s.cost-s.bound <= s.grain && len(s.size) > manyTypes
		if least >= -tiny || s.bound >= s.cost || near && s.bound >= m.ceiling() {
			break
		}
		pool = append(pool, entering)
		m.enter(entering, least)
	}
	for i, c := range m.basis {
		if c.stock >= 0 && m.amount[i] > tiny {
			portions = append(portions, cut{c.stock, m.amount[i], c.takes})
		}
	}
	slices.SortStableFunc(portions, func(a, b cut) int { return cmp.Compare(b.times, a.times) })
	return best, portions
}

// pricingNodes is how far the best pattern for given prices is looked for.
const pricingNodes = 400_000

// cheapest is the stock without a limit that costs least of those that hold a piece.
func (s *solver) cheapest(size int64) int {
	best := len(s.stocks) - 1 // the longest
	for k, c := range s.stocks {
		if !c.limited() && c.size >= size && c.cost < s.stocks[best].cost {
			best = k
		}
	}
	return best
}

// start fills each row at a price: that of the length, and something for each piece, so that the first prices are near
// those that come out.
func (m *master) start() {
	s := m.s
	m.inverse = make([]int64, m.rows*m.rows)
	m.amount = make([]int64, m.rows)
	m.dual = make([]int64, m.rows)
	m.dear = make([]int64, m.rows)
	m.entered = make([]int64, m.rows)
	longest := m.cost(len(s.stocks) - 1)
	for r := range m.rows {
		c := column{dear, nil, r}
		switch {
		case r < len(m.need):
			m.dear[r], m.amount[r] = longest/4, m.need[r]*one
		case r == len(m.need):
			m.dear[r], m.amount[r] = longest+longest/8, m.fraction(s.total)
		default:
			c.stock, m.amount[r] = slack, s.stocks[r-len(m.need)-1].limit*one
		}
		m.basis = append(m.basis, c)
		m.inverse[r*m.rows+r] = one
		m.dual[r] = m.dear[r]
	}
}

// fraction is a length in terms of the longest stock without a limit.
func (m *master) fraction(size int64) int64 {
	longest := uint64(m.s.stocks[len(m.s.stocks)-1].size)
	hi, lo := bits.Mul64(uint64(size), uint64(one))
	if hi >= longest>>1 {
		m.lost = true
		return 0
	}
	q, _ := bits.Div64(hi, lo, longest)
	return int64(q)
}

// values are the prices of the pieces, by the duals of their rows.
func (m *master) values() []int64 {
	value := make([]int64, len(m.s.size))
	for i, w := range m.s.size {
		value[i] = max(0, m.dual[m.group[i]]+m.mul(m.dual[len(m.need)], m.fraction(w)))
	}
	return value
}

func (m *master) cost(stock int) int64 { return m.s.stocks[stock].cost * (one / m.unit) }

// look splits a column into its parts, its cost, and what it has in the row of the length.
func (m *master) look(c column) (cost, length int64) {
	m.parts = m.parts[:0]
	switch {
	case c.stock >= 0:
		size := int64(0)
		for _, t := range c.takes {
			m.parts = append(m.parts, part{m.group[t.piece], t.count})
			size += m.s.size[t.piece] * t.count
		}
		if m.s.stocks[c.stock].limited() { // these come first
			m.parts = append(m.parts, part{len(m.need) + 1 + c.stock, 1})
		}
		return m.cost(c.stock), m.fraction(size)
	case c.stock == dear:
		m.parts = append(m.parts, part{c.row, 1})
		return m.dear[c.row], 0
	case c.row <= len(m.need):
		m.parts = append(m.parts, part{c.row, -1})
	default:
		m.parts = append(m.parts, part{c.row, 1})
	}
	return 0, 0
}

// reduced is what a unit of a column adds to the cost, beyond what it saves.
func (m *master) reduced(c column) int64 {
	cost, length := m.look(c)
	for _, p := range m.parts {
		cost -= m.dual[p.row] * p.times
	}
	return cost - m.mul(m.dual[len(m.need)], length)
}

// slack finds the row that is worth most to be left open.
func (m *master) slack() (c column, gain int64) {
	for r, d := range m.dual {
		if r > len(m.need) {
			d = -d
		}
		if d < gain {
			c, gain = column{slack, nil, r}, d
		}
	}
	return c, gain
}

// ceiling is the least whole cost that is not under the master's own: where the bound has come up to it, better prices
// are of no use.
func (m *master) ceiling() int64 {
	sum := int64(0)
	for i, c := range m.basis {
		cost, _ := m.look(c)
		sum += m.mul(m.amount[i], cost)
	}
	return (sum/(one/m.unit) + m.s.grain) / m.s.grain * m.s.grain
}

// enter brings a column into the basis in place of the one that first runs out.
func (m *master) enter(c column, reduced int64) {
	n := m.rows
	u := m.entered
	_, length := m.look(c)
	for r := range n {
		row := m.inverse[r*n : r*n+n]
		v := m.mul(row[len(m.need)], length)
		for _, p := range m.parts {
			v += row[p.row] * p.times
		}
		u[r] = v
	}
	// Of the columns that run out first, or all but first, the one with the largest pivot leaves: small ones are errors
	// of rounding.
	soon := int64(math.MaxInt64)
	for r, v := range u {
		if v > small {
			soon = min(soon, m.div(max(0, m.amount[r])+small, v))
		}
	}
	leaving := -1
	for r, v := range u {
		if v > small && (leaving < 0 || v > u[leaving]) && m.div(max(0, m.amount[r]), v) <= soon {
			leaving = r
		}
	}
	if leaving < 0 || m.lost {
		m.lost = true
		return
	}
	least := m.div(max(0, m.amount[leaving]), u[leaving])
	pivot := m.inverse[leaving*n : leaving*n+n]
	for k, v := range pivot {
		if v != 0 {
			pivot[k] = m.div(v, u[leaving])
			m.dual[k] += m.mul(reduced, pivot[k])
		}
	}
	for r, v := range u {
		if r == leaving || v == 0 {
			continue
		}
		row := m.inverse[r*n : r*n+n]
		for k, p := range pivot {
			if p != 0 {
				row[k] -= m.mul(v, p)
			}
		}
		m.amount[r] -= m.mul(v, least)
	}
	m.amount[leaving] = least
	m.basis[leaving] = c
}

// mul is a product of fixed-point numbers, rounded down.
func (m *master) mul(a, b int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	h := int64(hi)
	if a < 0 {
		h -= b
	}
	if b < 0 {
		h -= a
	}
	if top := h >> (onePlaces - 3); top != 0 && top != -1 {
		m.lost = true
	}
	return h<<(64-onePlaces) | int64(lo>>onePlaces)
}

// div is a quotient of fixed-point numbers, rounded toward zero; b is above 0.
func (m *master) div(a, b int64) int64 {
	abs := uint64(max(a, -a))
	hi, lo := abs>>(64-onePlaces), abs<<onePlaces
	if hi >= uint64(b)>>2 {
		m.lost = true
		return 0
	}
	q, _ := bits.Div64(hi, lo, uint64(b))
	if a < 0 {
		return -int64(q)
	}
	return int64(q)
}
