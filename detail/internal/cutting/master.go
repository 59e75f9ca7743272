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
// patterns, solved by the revised simplex method with columns made as they are needed. Its numbers are rounded, and it is
// only asked for good prices: what these certify is counted exactly, whatever they are.
type master struct {
	s       *solver
	rows    int     // one for each type, then one for each stock with a limit
	inverse []int64 // of the basis, row by row
	basis   []column
	amount  []int64 // of each column of the basis
	dual    []int64 // of each row
	unit    int64   // the cost that counts as one
	lost    bool    // a number grew beyond what can be held
	entered []int64 // the entering column in terms of the basis
}

// A column is a pattern, or where stock is -1 the slack of a row.
type column struct {
	stock int
	takes []take
}

// master returns the prices with the best bound that it comes to, and the patterns that it uses with whole parts first.
func (s *solver) master() (best *prices, portions []cut) {
	m := &master{s: s, rows: len(s.size)}
	for _, k := range s.stocks {
		m.unit = max(m.unit, k.cost)
		if k.limited() {
			m.rows++
		}
	}
	if m.unit > 1<<24 || s.pieces > 1<<20 || !m.start() {
		return nil, nil
	}
	pool := make([]column, 0, len(s.best))
	for _, c := range s.best {
		pool = append(pool, column{c.stock, c.takes})
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
		value := make([]int64, len(s.size))
		for i := range value {
			value[i] = max(0, m.dual[i])
		}
		f := s.newFiller(value, s.count)
		most := make([]int64, len(s.stocks))
		for k, c := range s.stocks {
			takes, v := f.fill(c.size, pricingNodes)
			most[k] = v
			if r := m.reduced(column{k, takes}); r < least {
				entering, least = column{k, takes}, r
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
		if least >= -tiny || s.bound >= s.cost || s.bound >= m.ceiling() && len(s.size) > 100 {
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

// start fills the basis with patterns of one type each.
func (m *master) start() bool {
	s := m.s
	m.inverse = make([]int64, m.rows*m.rows)
	m.amount = make([]int64, m.rows)
	m.dual = make([]int64, m.rows)
	m.entered = make([]int64, m.rows)
	for i, w := range s.size {
		stock := -1
		for k, c := range s.stocks {
			if !c.limited() && c.size >= w && (stock < 0 || c.cost < s.stocks[stock].cost) {
				stock = k
			}
		}
		n := min(s.count[i], s.stocks[stock].size/w)
		m.basis = append(m.basis, column{stock, []take{{i, n}}})
		m.inverse[i*m.rows+i] = one / n
		m.amount[i] = s.count[i] * one / n
		m.dual[i] = m.cost(stock) / n
		if s.count[i] > 1<<20 {
			return false
		}
	}
	for _, c := range s.stocks {
		if c.limited() {
			r := len(m.basis)
			m.basis = append(m.basis, column{-1, []take{{r, 1}}})
			m.inverse[r*m.rows+r] = one
			m.amount[r] = c.limit * one
		}
	}
	return true
}

func (m *master) cost(stock int) int64 {
	if stock < 0 {
		return 0
	}
	return m.s.stocks[stock].cost * (one / m.unit)
}

// row is the row of a stock's limit; -1: it has none. Stocks with a limit come first.
func (m *master) row(stock int) int {
	if stock < 0 || !m.s.stocks[stock].limited() {
		return -1
	}
	return len(m.s.size) + stock
}

// reduced is what a unit of a column adds to the cost, beyond what it saves.
func (m *master) reduced(c column) int64 {
	r := m.cost(c.stock)
	for _, t := range c.takes {
		r -= m.dual[t.piece] * t.count
	}
	if n := m.row(c.stock); n >= 0 {
		r -= m.dual[n]
	}
	return r
}

// slack finds the row that is worth most to be left open: a demand met with too many, a stock not used up.
func (m *master) slack() (c column, gain int64) {
	for i, d := range m.dual {
		sign := int64(-1)
		if i >= len(m.s.size) {
			sign = 1
		}
		if r := -d * sign; r < gain {
			c, gain = column{-1, []take{{i, sign}}}, r
		}
	}
	return c, gain
}

// ceiling is the least whole cost that is not under the master's own: where the bound has come up to it, better prices
// are of no use.
func (m *master) ceiling() int64 {
	sum := int64(0)
	for i, c := range m.basis {
		sum += m.mul(m.amount[i], m.cost(c.stock))
	}
	return (sum/(one/m.unit) + m.s.grain) / m.s.grain * m.s.grain
}

// enter brings a column into the basis in place of the one that first runs out.
func (m *master) enter(c column, reduced int64) {
	n := m.rows
	u := m.entered
	limit := m.row(c.stock)
	for r := range n {
		row := m.inverse[r*n : r*n+n]
		v := int64(0)
		for _, t := range c.takes {
			v += row[t.piece] * t.count
		}
		if limit >= 0 {
			v += row[limit]
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
