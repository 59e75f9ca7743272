package chain_test

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

// lapped is a number of pieces as glpsol sees them. Piece K starts at step sK and ends at step eK from the start of the
// stretch; the first start and the last end are given. wK_J is 1 where the lap after piece K lies in window J between
// keep-outs, longK where it is over twice the least, wholeK_J where the piece is a whole stock J, cutK where it is cut.
type lapped struct {
	model
	p    *chain.Pieces
	in   []bool // the limits in force
	n    int64
	step int64
	last int64 // the last step at which a joint may be

	least, most int64 // laps, in steps
	windows     []chain.Span
	shortest    int64 // pieces, in fine units
	longest     int64
	stock       []int64

	ends                  []expr // lengths, without their fixed part
	fixed                 []int64
	long, cut, extra, lap expr // sums that count, in the order in which they do; extra is the longest piece
}

// counts are the terms of a layout that are made least, in the order in which they count.
type counts struct{ long, cut, longest, lap int64 }

func newLapped(p *chain.Pieces, in []bool, n int64) *lapped {
	m := &lapped{p: p, in: in, n: n}
	m.read()
	for k := int64(1); k < n; k++ {
		m.between(1, m.last, "e%d", k)
		m.between(1, m.last, "s%d", k+1)
	}
	m.lengths()
	m.order()
	m.laps()
	m.cuts()
	m.weigh()
	return m
}

// each goes over the limits of a kind in force.
func (m *lapped) each(k chain.Kind, do func(chain.Limit)) {
	for i, l := range m.p.Limits {
		if m.in[i] && l.Kind == k {
			do(l)
		}
	}
}

// read takes the limits in force together.
func (m *lapped) read() {
	length := m.p.To - m.p.From
	m.step, m.shortest, m.longest = 1, 1, length
	m.each(chain.Step, func(l chain.Limit) { m.step = l.Value })
	m.last = (length+m.step-1)/m.step - 1
	m.each(chain.LengthMin, func(l chain.Limit) { m.shortest = max(m.shortest, l.Value) })
	m.each(chain.LengthMax, func(l chain.Limit) { m.longest = min(m.longest, l.Value) })
	m.each(chain.Stock, func(l chain.Limit) {
		m.longest = min(m.longest, slices.Max(l.Lengths))
		m.stock = append(m.stock, l.Lengths...)
	})
	named := false
	m.each(chain.LapMin, func(l chain.Limit) { m.least, named = ceil(l.Value, m.step), true })
	if named {
		m.most = m.longest / m.step
	}
	m.each(chain.LapMax, func(l chain.Limit) { m.most = min(m.most, -ceil(-l.Value, m.step)) })
	at := int64(0)
	var keep []chain.Span
	m.each(chain.Keep, func(l chain.Limit) { keep = append(keep, l.Spans...) })
	slices.SortFunc(keep, func(a, b chain.Span) int { return cmp.Compare(a.From, b.From) })
	window := func(from, to int64) {
		if w := (chain.Span{From: ceil(from, m.step), To: -ceil(-to, m.step)}); w.From <= w.To {
			m.windows = append(m.windows, w)
		}
	}
	for _, k := range keep {
		if from := k.From - m.p.From; from >= at {
			window(at, min(from, length))
		}
		at = max(at, k.To-m.p.From)
	}
	window(at, length)
	widest := int64(-1) // -1: no lap, only gaps
	for _, w := range m.windows {
		widest = max(widest, w.To-w.From)
	}
	m.most = min(m.most, widest)
}

// ceil divides and rounds up.
func ceil(a, b int64) int64 {
	if a > 0 {
		return (a + b - 1) / b
	}
	return -(-a / b)
}

func (m *lapped) lengths() {
	m.say("a piece is at least %d and at most %d long", m.shortest, m.longest)
	m.ends, m.fixed = make([]expr, m.n), make([]int64, m.n)
	for i := range m.ends {
		e := &m.ends[i]
		if i > 0 {
			e.add(-m.step, "s%d", i+1)
		}
		if i+1 < int(m.n) {
			e.add(m.step, "e%d", i+1)
		} else {
			m.fixed[i] = m.p.To - m.p.From
		}
		m.row(e, ">=", m.shortest-m.fixed[i])
		m.row(e, "<=", m.longest-m.fixed[i])
	}
}

func (m *lapped) order() {
	m.say("each piece starts and ends after the one before; none reaches over the start of the next but one")
	for k := int64(1); k < m.n; k++ {
		if k > 1 {
			m.row(new(expr).add(1, "s%d", k+1).add(-1, "s%d", k), ">=", 1)
			m.row(new(expr).add(1, "e%d", k).add(-1, "e%d", k-1), ">=", 1)
			m.row(new(expr).add(1, "s%d", k+1).add(-1, "e%d", k-1), ">=", 0)
		}
	}
}

func (m *lapped) laps() {
	m.say("a lap is at least %d and at most %d steps", m.least, m.most)
	for k := int64(1); k < m.n; k++ {
		e := new(expr).add(1, "e%d", k).add(-1, "s%d", k+1)
		m.row(e, ">=", m.least)
		m.row(e, "<=", m.most)
		m.lap.add(1, "e%d", k).add(-1, "s%d", k+1)
	}
	m.say("each lap lies in one of the windows %v", m.windows)
	for k := int64(1); k < m.n; k++ {
		one, from, to := new(expr), new(expr), new(expr)
		if m.most >= 0 {
			from.add(1, "s%d", k+1)
			to.add(1, "e%d", k)
		} else { // a gap
			from.add(1, "e%d", k)
			to.add(1, "s%d", k+1)
		}
		for j, w := range m.windows {
			m.binary("w%d_%d", k, j)
			one.add(1, "w%d_%d", k, j)
			from.add(-w.From, "w%d_%d", k, j)
			to.add(-w.To, "w%d_%d", k, j)
		}
		m.row(one, "=", 1)
		m.row(from, ">=", 0)
		m.row(to, "<=", 0)
	}
	if m.least <= 0 {
		return
	}
	m.say("a lap over %d steps counts as long", 2*m.least)
	for k := int64(1); k < m.n; k++ {
		m.binary("long%d", k)
		m.long.add(1, "long%d", k)
		m.row(new(expr).add(1, "e%d", k).add(-1, "s%d", k+1).add(-max(0, m.most-2*m.least), "long%d", k), "<=", 2*m.least)
	}
}

func (m *lapped) cuts() {
	if m.p.Lay == chain.Even {
		m.say("no piece is over the longest")
		m.between(0, m.p.To-m.p.From, "longest")
		m.extra.add(1, "longest")
		for i := range m.ends {
			e := expr{terms: m.ends[i].terms}
			e.text.WriteString(m.ends[i].text.String())
			m.row(e.add(-1, "longest"), "<=", -m.fixed[i])
		}
		return
	}
	if m.stock == nil {
		return
	}
	m.say("a piece is cut, or as long as a stock of %v", m.stock)
	for i := range m.ends {
		one := new(expr).add(1, "cut%d", i+1)
		m.binary("cut%d", i+1)
		m.cut.add(1, "cut%d", i+1)
		low, high := expr{terms: m.ends[i].terms}, expr{terms: m.ends[i].terms}
		low.text.WriteString(m.ends[i].text.String())
		high.text.WriteString(m.ends[i].text.String())
		for j, s := range m.stock {
			m.binary("whole%d_%d", i+1, j)
			one.add(1, "whole%d_%d", i+1, j)
			low.add(-s, "whole%d_%d", i+1, j)
			high.add(-s, "whole%d_%d", i+1, j)
		}
		m.row(one, "=", 1)
		m.row(&low, ">=", -m.fixed[i])
		m.row(high.add(-m.longest, "cut%d", i+1), "<=", -m.fixed[i])
	}
}

// weights make one sum of the terms, each of which counts before all that follow.
func (m *lapped) weights() counts {
	laps := m.n*max(m.most, -m.least) + 1
	pieces := m.p.To - m.p.From + 1
	if m.p.Lay != chain.Even {
		pieces = m.n + 1
	}
	return counts{long: laps * pieces, cut: laps, longest: laps, lap: 1}
}

func (m *lapped) weigh() {
	w := m.weights()
	for k := int64(1); k < m.n; k++ {
		if m.least > 0 {
			m.goal.add(w.long, "long%d", k)
		}
		m.goal.add(w.lap, "e%d", k).add(-w.lap, "s%d", k+1)
	}
	if m.cut.terms > 0 {
		for k := range m.n {
			m.goal.add(w.cut, "cut%d", k+1)
		}
	}
	if m.extra.terms > 0 {
		m.goal.add(w.longest, "longest")
	}
	if m.goal.terms == 0 {
		m.goal.add(1, "nothing")
	}
}

// value is the goal of a layout.
func (m *lapped) value(c counts) int64 {
	w := m.weights()
	return w.long*c.long + w.cut*c.cut + w.longest*c.longest + w.lap*c.lap
}

// count counts the terms of a layout.
func (m *lapped) count(ps []chain.Piece) (c counts) {
	for i, q := range ps {
		if i > 0 {
			lap := (ps[i-1].To - q.From) / m.step
			c.lap += lap
			if m.least > 0 && lap > 2*m.least {
				c.long++
			}
		}
		if m.p.Lay == chain.Even {
			c.longest = max(c.longest, q.To-q.From)
		} else if m.stock != nil && !slices.Contains(m.stock, q.To-q.From) {
			c.cut++
		}
	}
	return c
}

// fix asks for joints as laid.
func (m *lapped) fix(t *testing.T, ps []chain.Piece) {
	m.say("the pieces as laid")
	require.Equal(t, m.p.From, ps[0].From)
	require.Equal(t, m.p.To, ps[len(ps)-1].To)
	for k := range len(ps) - 1 {
		e, s := ps[k].To-m.p.From, ps[k+1].From-m.p.From
		require.Zero(t, e%m.step)
		require.Zero(t, s%m.step)
		m.row(new(expr).add(1, "e%d", k+1), "=", e/m.step)
		m.row(new(expr).add(1, "s%d", k+2), "=", s/m.step)
	}
}

// after asks for a layout as good as the one laid, the first of whose pieces are as long up to the kth, and makes the
// kth as long as it can be: the goal is its length, negative.
func (m *lapped) after(c counts, ps []chain.Piece, k int) {
	m.say("as good as the layout")
	for _, s := range []struct {
		e *expr
		v int64
	}{{&m.long, c.long}, {&m.cut, c.cut}, {&m.extra, c.longest}, {&m.lap, c.lap}} {
		if s.e.terms > 0 {
			m.row(s.e, "=", s.v)
		}
	}
	m.say("with pieces before piece %d as laid", k+1)
	for i := range k {
		m.row(&m.ends[i], "=", ps[i].To-ps[i].From-m.fixed[i])
	}
	m.goal = expr{}
	if k > 0 {
		m.goal.add(m.step, "s%d", k+1)
	}
	m.goal.add(-m.step, "e%d", k+1)
}

// fewest solves for more and more pieces, up to as many as can be, and gives the first number that does.
func fewest(t *testing.T, g *glpsol, p *chain.Pieces, in []bool) (n, goal int64, ok bool) {
	t.Helper()
	m := newLapped(p, in, 1)
	low := int64(1)
	high := min(m.last+1, max(1, 2*(p.To-p.From)/m.shortest)) // of pieces, every other one lies apart from the next
	m.each(chain.CountMin, func(l chain.Limit) { low = max(low, l.Value) })
	m.each(chain.CountMax, func(l chain.Limit) { high = min(high, l.Value) })
	for n = low; n <= high; n++ {
		if goal, ok = g.solve(t, &newLapped(p, in, n).model); ok {
			return n, goal, true
		}
	}
	return 0, 0, false
}

// randomPieces makes a stretch of up to 300 in on a grid of 1/2 in, one step of 1 to 3 fine units.
func randomPieces(rng *rand.Rand) *chain.Pieces {
	step := 1 + rng.Int64N(3)
	in := 2 * step // one inch
	between := func(from, to int64) int64 { return from + rng.Int64N(to-from+1) }
	one := func(of int) bool { return rng.IntN(of) == 0 }
	length := between(20*in, 300*in)
	from := between(-20, 20)
	p := &chain.Pieces{From: from, To: from + length, Lay: chain.Full, Limits: []chain.Limit{{Kind: chain.Step, Value: step}}}
	if one(4) {
		p.Lay = chain.Even
	}
	add := func(l chain.Limit) { p.Limits = append(p.Limits, l) }
	stock := between(60*in, 120*in)
	lengths := []int64{stock}
	for range rng.IntN(3) {
		if s := between(stock/2, stock); !slices.Contains(lengths, s) {
			lengths = append(lengths, s)
		}
	}
	add(chain.Limit{Kind: chain.Stock, Lengths: lengths})
	lap := between(0, 8*in)
	switch rng.IntN(8) {
	case 0: // none: pieces butt
		lap = 0
	case 1: // butt joints with a gap
		add(chain.Limit{Kind: chain.LapMin, Value: -in})
		add(chain.Limit{Kind: chain.LapMax, Value: -in})
		lap = 0
	case 2, 3:
		add(chain.Limit{Kind: chain.LapMin, Value: lap})
		add(chain.Limit{Kind: chain.LapMax, Value: lap + between(0, 10*in)})
	default:
		add(chain.Limit{Kind: chain.LapMin, Value: lap})
	}
	shortest := between(stock/3, 3*stock/4)
	should := one(6)
	add(chain.Limit{Kind: chain.LengthMin, Value: shortest, Should: should})
	if should { // a bound for how many there can be, as each number takes glpsol a run
		add(chain.Limit{Kind: chain.LengthMin, Value: shortest / 2})
	}
	if one(4) {
		add(chain.Limit{Kind: chain.LengthMax, Value: between(shortest, stock), Should: one(3)})
	}
	if !one(4) { // ribs
		width := between(8*in, 24*in)
		clear := between(in/2, max(in/2, (width-lap)/2+in))
		var spans []chain.Span
		for x := from + rng.Int64N(width); x <= p.To; x += width {
			spans = append(spans, chain.Span{From: x - clear, To: x + clear})
		}
		if spans != nil {
			add(chain.Limit{Kind: chain.Keep, Spans: spans, Should: one(6)})
		}
	}
	if one(3) { // an obstacle
		x := between(p.From, p.To)
		add(chain.Limit{Kind: chain.Keep, Spans: []chain.Span{{From: x, To: x + between(1, stock/2)}}, Should: one(4)})
	}
	fair := length/stock + 1
	if one(5) {
		add(chain.Limit{Kind: chain.CountMin, Value: between(1, fair+2)})
	}
	if one(5) {
		add(chain.Limit{Kind: chain.CountMax, Value: between(max(1, fair-1), fair+2)})
	}
	return p
}

// TestPiecesAgainstGlpsol compares the fewest pieces, with these the fewest long laps, then the fewest cut pieces or
// the shortest longest one, then the least overlap, then each length from the first; which shoulds are kept; and what
// can't be laid at all. That ours solves glpsol's own model makes it a layout.
func TestPiecesAgainstGlpsol(t *testing.T) {
	g, rng := newGlpsol(t), seeded(t)
	var s chain.Solver
	laid, none, many, late := 0, 0, 0, 0
	for i := range rounds() {
		p := randomPieces(rng)
		if !inTime(func() {
			ps, got, err := s.Pieces(context.Background(), p, nil)
			require.NoError(t, err, "pieces %d: %+v", i, p)
			in := musts(p.Limits)
			n, goal, ok := fewest(t, g, p, in)
			if !ok {
				require.NotNil(t, got.Conflict, "pieces %d can't be laid: %+v\n%v", i, p, ps)
				none++
				return
			}
			require.Nil(t, got.Conflict, "pieces %d can be laid: %+v", i, p)
			for k, l := range p.Limits {
				if l.Should {
					in[k] = true
					if more, with, ok := fewest(t, g, p, in); ok {
						n, goal = more, with
					} else {
						in[k] = false
					}
				}
			}
			require.Equal(t, in, got.Kept, "pieces %d: shoulds of %+v", i, p)
			require.EqualValues(t, n, len(ps), "pieces %d: %+v\n%v", i, p, ps)
			m := newLapped(p, in, n)
			c := m.count(ps)
			require.Equal(t, goal, m.value(c), "pieces %d: long laps, cuts, longest or overlap of %+v\n%v: %+v", i, p, ps, c)
			m.fix(t, ps)
			_, ok = g.solve(t, &m.model)
			require.True(t, ok, "pieces %d: what is laid breaks a limit: %+v\n%v", i, p, ps)
			for k := range len(ps) - 1 {
				m = newLapped(p, in, n)
				m.after(c, ps, k)
				length, ok := g.solve(t, &m.model)
				require.True(t, ok, "pieces %d: %+v\n%v", i, p, ps)
				require.Equal(t, ps[k].To-ps[k].From, -length, "pieces %d: length of piece %d of %+v\n%v", i, k+1, p, ps)
			}
			if laid++; n >= 3 {
				many++
			}
		}) {
			late++
		}
	}
	t.Logf("%d laid, %d of them of three pieces or more, %d can't be, %d left out as glpsol takes too long; %d runs of glpsol in %v", laid, many, none, late, g.runs, g.spent.Round(time.Millisecond))
	require.LessOrEqual(t, 20*late, rounds()+20, "too many that take too long")
	if !testing.Short() { // a few may well be all of one kind
		require.GreaterOrEqual(t, 10*laid, rounds(), "too few stretches that can be laid")
		require.GreaterOrEqual(t, 20*none, rounds(), "too few that can't")
	}
}
