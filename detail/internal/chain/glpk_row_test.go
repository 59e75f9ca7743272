package chain_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

// marks is a row as glpsol sees it: variable xK is 1 where a mark stands on step K, fK where the first does, lK where
// the last does. All that a limit asks for is then a sum over neighbouring steps.
type marks struct {
	model
	p    *chain.Row
	in   []bool // the limits in force
	step int64
	n    int64 // the last step

	// The row under its musts in force and no should: they say which ends have a maximum of their own, and how far in
	// the first allowed position lies.
	whole *marks

	allowed     []bool
	first, last []int64 // where the first and the last mark may stand, ascending
}

// demands are what a layout is asked for besides the limits; 0 asks for nothing.
type demands struct {
	count int64 // so many marks
	most  int64 // no G over so many steps
	least int64 // no gap under so many steps
}

func newMarks(p *chain.Row, in []bool, d demands) *marks {
	m := newGrid(p, in)
	must := musts(p.Limits)
	for i := range must {
		must[i] = must[i] && in[i]
	}
	m.whole = newGrid(p, must)
	m.first, m.last = m.ends(chain.LeftEnd, d.most), m.ends(chain.RightEnd, d.most)
	m.marks(d)
	m.ordered()
	m.each(chain.GapMax, func(l chain.Limit) {
		m.wide(l.Value/m.step, m.zones(l.Spans), "no gap over %d steps in %v", l.Value/m.step, l.Spans)
	})
	if d.most > 0 {
		m.wide(d.most, m.zones(nil), "no gap over G = %d steps", d.most)
	}
	m.each(chain.GapMin, func(l chain.Limit) {
		v := (l.Value + m.step - 1) / m.step
		m.narrow(v, m.zones(l.Spans), "no gap under %d steps in %v", v, l.Spans)
	})
	if d.least > 1 {
		m.narrow(d.least, m.zones(nil), "no gap under %d steps", d.least)
	}
	return m
}

// newGrid sets where marks may stand under the limits in force.
func newGrid(p *chain.Row, in []bool) *marks {
	m := &marks{p: p, in: in, step: 1}
	m.each(chain.Step, func(l chain.Limit) { m.step = l.Value })
	m.n = p.Length / m.step
	for k := range m.n + 1 {
		m.allowed = append(m.allowed, m.stands(k))
	}
	return m
}

// each goes over the limits of a kind in force.
func (m *marks) each(k chain.Kind, do func(chain.Limit)) {
	for i, l := range m.p.Limits {
		if m.in[i] && l.Kind == k {
			do(l)
		}
	}
}

// stands tells whether a mark may stand on a step, as far as keep-outs and end minimums go.
func (m *marks) stands(k int64) bool {
	x, ok := k*m.step, true
	m.each(chain.Keep, func(l chain.Limit) {
		for _, s := range l.Spans {
			ok = ok && (x <= s.From || x >= s.To)
		}
	})
	m.each(chain.EndMin, func(l chain.Limit) {
		for _, end := range []chain.Ends{chain.LeftEnd, chain.RightEnd} {
			ok = ok && (l.Ends&end == 0 || m.distance(end, k) >= l.Value)
		}
	})
	return ok
}

// distance is from an end to a step, in fine units.
func (m *marks) distance(end chain.Ends, k int64) int64 {
	if end == chain.LeftEnd {
		return k * m.step
	}
	return m.p.Length - k*m.step
}

// own tells whether an end has a maximum of its own.
func (m *marks) own(end chain.Ends) (own bool) {
	m.each(chain.EndMax, func(l chain.Limit) { own = own || l.Ends&end != 0 && !l.Should })
	return own
}

// reach is the distance of the first allowed position from an end, the whole length if there is none.
func (m *marks) reach(end chain.Ends) int64 {
	reach := m.p.Length
	for k, ok := range m.allowed {
		if ok {
			reach = min(reach, m.distance(end, int64(k)))
		}
	}
	return reach
}

// ends lists the allowed steps for the mark next to an end, when no G is over most steps.
func (m *marks) ends(end chain.Ends, most int64) (at []int64) {
	own, reach := m.whole.own(end), m.whole.reach(end)
	for k, ok := range m.allowed {
		d := m.distance(end, int64(k))
		m.each(chain.EndMax, func(l chain.Limit) { ok = ok && (l.Ends&end == 0 || d <= l.Value) })
		if !own && d > reach {
			m.each(chain.GapMax, func(l chain.Limit) {
				touches := l.Spans == nil
				for _, s := range l.Spans {
					touches = touches || end == chain.LeftEnd && s.From <= d || end == chain.RightEnd && s.To >= m.p.Length-d
				}
				ok = ok && (!touches || 2*d <= l.Value)
			})
			ok = ok && (most == 0 || 2*d <= most*m.step)
		}
		if ok {
			at = append(at, int64(k))
		}
	}
	return at
}

// zones turns Spans into steps: a gap meets one if it starts at or before its end and ends at or after its start.
func (m *marks) zones(spans []chain.Span) (zones []chain.Span) {
	if spans == nil {
		return []chain.Span{{From: 0, To: m.n}}
	}
	for _, s := range spans {
		zones = append(zones, chain.Span{From: (s.From + m.step - 1) / m.step, To: s.To / m.step})
	}
	return zones
}

// sum adds the variables of the steps from to to that are in the list.
func sum(e *expr, factor int64, name string, list []int64, from, to int64) *expr {
	for _, k := range list {
		if k >= from && k <= to {
			e.add(factor, name+"%d", k)
		}
	}
	return e
}

// stand adds x of the allowed steps from to to.
func (m *marks) stand(e *expr, factor, from, to int64) *expr {
	for k := max(from, 0); k <= min(to, m.n); k++ {
		if m.allowed[k] {
			e.add(factor, "x%d", k)
		}
	}
	return e
}

func (m *marks) marks(d demands) {
	for k, ok := range m.allowed {
		if ok {
			m.binary("x%d", k)
		}
	}
	m.stand(&m.goal, 1, 0, m.n)
	if m.goal.terms == 0 {
		m.goal.add(1, "nothing")
	}
	m.say("as many marks as counts ask")
	all := m.stand(new(expr), 1, 0, m.n)
	m.row(all, ">=", 1)
	m.each(chain.CountMin, func(l chain.Limit) { m.row(all, ">=", l.Value) })
	m.each(chain.CountMax, func(l chain.Limit) { m.row(all, "<=", l.Value) })
	if d.count > 0 {
		m.row(all, "=", d.count)
	}
}

// ordered makes f the first mark and l the last.
func (m *marks) ordered() {
	m.say("the first mark stands where its end lets it, and none before it")
	m.row(sum(new(expr), 1, "f", m.first, 0, m.n), "=", 1)
	for _, k := range m.first {
		m.binary("f%d", k)
		m.row(new(expr).add(1, "f%d", k).add(-1, "x%d", k), "<=", 0)
	}
	for k := int64(0); len(m.first) > 0 && k < m.first[len(m.first)-1]; k++ {
		m.row(sum(m.stand(new(expr), 1, k, k), -1, "f", m.first, 0, k), "<=", 0)
	}
	m.say("the last mark stands where its end lets it, and none after it")
	m.row(sum(new(expr), 1, "l", m.last, 0, m.n), "=", 1)
	for _, k := range m.last {
		m.binary("l%d", k)
		m.row(new(expr).add(1, "l%d", k).add(-1, "x%d", k), "<=", 0)
	}
	for k := m.n; len(m.last) > 0 && k > m.last[0]; k-- {
		m.row(sum(m.stand(new(expr), 1, k, k), -1, "l", m.last, k, m.n), "<=", 0)
	}
}

// wide forbids gaps over most steps: of so many steps in a row one has a mark, if a mark stands before them and one
// after.
func (m *marks) wide(most int64, zones []chain.Span, format string, args ...any) {
	m.say(format, args...)
	for _, z := range zones {
		for i := max(0, z.From-most-1); i <= min(z.To, m.n-most-1); i++ {
			e := m.stand(new(expr), 1, i+1, i+most)
			asked := int64(-1)
			if len(m.first) > 0 && i >= m.first[len(m.first)-1] {
				asked++ // the first mark is surely before them
			} else {
				sum(e, -1, "f", m.first, 0, i)
			}
			if len(m.last) > 0 && i+most+1 <= m.last[0] {
				asked++
			} else {
				sum(e, -1, "l", m.last, i+most+1, m.n)
			}
			m.row(e, ">=", asked)
		}
	}
}

// narrow forbids gaps under least steps: of steps that near to one another, any two of which meet the zone, one has a
// mark. Such are two steps with those of the zone between them.
func (m *marks) narrow(least int64, zones []chain.Span, format string, args ...any) {
	m.say(format, args...)
	for _, z := range zones {
		for p := int64(0); p <= min(z.To, m.n); p++ {
			far := min(p+least-1, m.n)
			for q := max(p+1, z.From); q <= far; q++ {
				if q < far && q <= z.To {
					continue // within the row of p and far
				}
				e := m.stand(new(expr), 1, p, p)
				m.stand(e, 1, max(p+1, z.From), min(q-1, z.To))
				m.row(m.stand(e, 1, q, q), "<=", 1)
			}
		}
	}
}

// fix asks for a layout as given.
func (m *marks) fix(t *testing.T, at []int64) {
	m.say("the marks as laid")
	for _, x := range at {
		require.Zero(t, x%m.step)
		require.True(t, m.allowed[x/m.step], "no mark may stand at %d", x)
		m.row(new(expr).add(1, "x%d", x/m.step), "=", 1)
	}
}

// values gives a layout's G and its smallest gap, in steps.
func (m *marks) values(at []int64) (most, least int64) {
	least = m.n + 1
	for i := range at[1:] {
		gap := (at[i+1] - at[i]) / m.step
		most, least = max(most, gap), min(least, gap)
	}
	end := func(end chain.Ends, x int64) {
		if d := m.distance(end, x/m.step); !m.whole.own(end) && d > m.whole.reach(end) {
			most = max(most, (2*d+m.step-1)/m.step)
		}
	}
	end(chain.LeftEnd, at[0])
	end(chain.RightEnd, at[len(at)-1])
	return most, least
}

// randomRow makes a row of up to 300 in on a grid of 1/2 in, one step of 1 to 3 fine units.
func randomRow(rng *rand.Rand) *chain.Row {
	step := 1 + rng.Int64N(3)
	in := 2 * step // one inch
	length := 6*in + rng.Int64N([]int64{24, 96, 294}[rng.IntN(3)]*in+1)
	between := func(from, to int64) int64 { return from + rng.Int64N(to-from+1) }
	one := func(of int) bool { return rng.IntN(of) == 0 }
	most := between(3*in, 24*in)
	p := &chain.Row{Length: length, Limits: []chain.Limit{
		{Kind: chain.Step, Value: step},
		{Kind: chain.GapMax, Value: most},
	}}
	add := func(l chain.Limit) {
		l.Should = one(8)
		p.Limits = append(p.Limits, l)
	}
	zone := func() []chain.Span {
		from := rng.Int64N(length + 1)
		return []chain.Span{{From: from, To: min(length, from+rng.Int64N(length/2+1))}}
	}
	ends := chain.Ends(1 + rng.IntN(3))
	if !one(5) { // ribs
		clear, width := between(in/2, 3*in), between(8*in, 24*in)
		if one(3) {
			clear = most/2 + between(-in, in)
		}
		var spans []chain.Span
		for x := rng.Int64N(width); x <= length; x += width {
			spans = append(spans, chain.Span{From: x - clear, To: x + clear})
		}
		if spans != nil {
			add(chain.Limit{Kind: chain.Keep, Spans: spans})
		}
	}
	for range rng.IntN(3) { // obstacles
		from := rng.Int64N(length)
		add(chain.Limit{Kind: chain.Keep, Spans: []chain.Span{{From: from, To: from + between(1, most)}}})
	}
	if one(3) {
		add(chain.Limit{Kind: chain.GapMax, Value: between(max(step, most/2), most), Spans: zone()})
	}
	if one(2) {
		add(chain.Limit{Kind: chain.GapMin, Value: between(1, most)})
	}
	if one(4) {
		add(chain.Limit{Kind: chain.GapMin, Value: between(1, most), Spans: zone()})
	}
	if one(3) {
		add(chain.Limit{Kind: chain.EndMax, Value: between(0, most), Ends: ends})
	}
	if one(3) {
		add(chain.Limit{Kind: chain.EndMin, Value: between(0, most/2), Ends: ends})
	}
	fair := length/most + 1
	if one(4) {
		add(chain.Limit{Kind: chain.CountMin, Value: between(1, fair+3)})
	}
	if one(4) {
		add(chain.Limit{Kind: chain.CountMax, Value: between(max(1, fair-1), fair+4)})
	}
	return p
}

// musts are the limits that are no shoulds.
func musts(limits []chain.Limit) []bool {
	in := make([]bool, len(limits))
	for i, l := range limits {
		in[i] = !l.Should
	}
	return in
}

// conflicts holds a set of limits to be one that can't be met, but for any one of them.
func conflicts(t *testing.T, g *glpsol, p *chain.Row, set []int) {
	t.Helper()
	in := make([]bool, len(p.Limits))
	for _, i := range set {
		in[i] = true
	}
	_, ok := g.solve(t, &newMarks(p, in, demands{}).model)
	require.False(t, ok, "limits %v of %+v can be met", set, p)
	for _, i := range set {
		in[i] = false
		_, ok = g.solve(t, &newMarks(p, in, demands{}).model)
		require.True(t, ok, "limits %v of %+v can't be met even without limit %d", set, p, i)
		in[i] = true
	}
}

// TestRowsAgainstGlpsol compares count, G and the smallest gap, which shoulds are kept, what can't be laid at all, and
// that the limits said to conflict do.
// That glpsol finds no layout with a smaller G, nor one with a larger smallest gap, makes both ours the best; that ours
// solves glpsol's own model makes it a layout.
func TestRowsAgainstGlpsol(t *testing.T) {
	g, rng := newGlpsol(t), seeded(t)
	var s chain.Solver
	laid, none, many, late := 0, 0, 0, 0
	for i := range rounds() {
		p := randomRow(rng)
		if !inTime(func() {
			at, got, err := s.Row(context.Background(), p, nil)
			require.NoError(t, err, "row %d: %+v", i, p)
			in := musts(p.Limits)
			count, ok := g.solve(t, &newMarks(p, in, demands{}).model)
			if !ok {
				require.NotEmpty(t, got.Conflict, "row %d can't be laid: %+v\n%v", i, p, at)
				conflicts(t, g, p, got.Conflict)
				none++
				return
			}
			require.Nil(t, got.Conflict, "row %d can be laid: %+v", i, p)
			for k, l := range p.Limits {
				if l.Should {
					in[k] = true
					if more, ok := g.solve(t, &newMarks(p, in, demands{}).model); ok {
						count = more
					} else {
						in[k] = false
					}
				}
			}
			require.Equal(t, in, got.Kept, "row %d: shoulds of %+v", i, p)
			require.EqualValues(t, count, len(at), "row %d: %+v\n%v", i, p, at)
			most, least := newMarks(p, in, demands{}).values(at)
			ours := newMarks(p, in, demands{count, most, least})
			ours.fix(t, at)
			_, ok = g.solve(t, &ours.model)
			require.True(t, ok, "row %d: what is laid breaks a limit: %+v\n%v", i, p, at)
			if most > 1 {
				_, ok = g.solve(t, &newMarks(p, in, demands{count, most - 1, 0}).model)
				require.False(t, ok, "row %d: G can be under %d: %+v\n%v", i, most, p, at)
			}
			if count > 1 {
				_, ok = g.solve(t, &newMarks(p, in, demands{count, most, least + 1}).model)
				require.False(t, ok, "row %d: the smallest gap can be over %d: %+v\n%v", i, least, p, at)
			}
			if laid++; count > 3 {
				many++
			}
		}) {
			late++
		}
	}
	t.Logf("%d laid, %d of them with over three marks, %d can't be, %d left out as glpsol takes too long; %d runs of glpsol in %v", laid, many, none, late, g.runs, g.spent.Round(time.Millisecond))
	require.LessOrEqual(t, 20*late, rounds()+20, "too many that take too long")
	if !testing.Short() { // a few may well be all of one kind
		require.GreaterOrEqual(t, 10*laid, rounds(), "too few rows that can be laid")
		require.GreaterOrEqual(t, 20*none, rounds(), "too few that can't")
	}
}

// TestGlpsolTime lays 50 rows, few with -short, in both ways in one run: ours for the whole order of the language,
// shoulds included, glpsol for the fewest marks, G and the smallest gap under the musts, each proved.
func TestGlpsolTime(t *testing.T) {
	g, rng := newGlpsol(t), seeded(t)
	var s chain.Solver
	var rows []*chain.Row
	for len(rows) < min(50, 4*rounds()) {
		p := randomRow(rng)
		if _, r, err := s.Row(context.Background(), p, nil); err == nil && r.Conflict == nil {
			rows = append(rows, p)
		}
	}
	laid := make([][]int64, len(rows))
	ours := time.Duration(math.MaxInt64)
	for range 5 { // the best time of five is the one least disturbed
		start := time.Now()
		for i, p := range rows {
			at, _, err := s.Row(context.Background(), p, laid[i][:0])
			require.NoError(t, err)
			laid[i] = at
		}
		ours = min(ours, time.Since(start))
	}
	for i, p := range rows {
		inTime(func() { // what takes too long counts with the time until it is stopped
			in := musts(p.Limits)
			count, ok := g.solve(t, &newMarks(p, in, demands{}).model)
			require.True(t, ok)
			if count != int64(len(laid[i])) {
				return // shoulds ask for more marks
			}
			most, least := newMarks(p, in, demands{}).values(laid[i])
			g.solve(t, &newMarks(p, in, demands{count, max(1, most-1), 0}).model)
			g.solve(t, &newMarks(p, in, demands{count, most, least + 1}).model)
		})
	}
	theirs, runs := g.spent, g.runs
	for range runs {
		g.solve(t, newTrivial())
	}
	start := g.spent - theirs
	ratio := float64(theirs) / float64(ours)
	t.Logf("ours %v; glpsol %v in %d runs, %v of it start-up: %.0f times as long, %.0f without start-up",
		ours, theirs, runs, start, ratio, float64(theirs-start)/float64(ours))
	if chain.Raced() {
		t.Log("the race detector slows ours down: no ratio is asked for")
		return
	}
	require.GreaterOrEqual(t, ratio, 1000.0)
}

// newTrivial is a model that takes a process and no more.
func newTrivial() *model {
	m := new(model)
	m.goal.add(1, "x")
	m.binary("x")
	m.row(new(expr).add(1, "x"), ">=", 1)
	return m
}
