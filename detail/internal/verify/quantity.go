package verify

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// π lies between these.
var (
	piLow  = big.NewRat(314_159_265_358, 100_000_000_000)
	piHigh = big.NewRat(314_159_265_359, 100_000_000_000)
)

// perTick are the units in which the takeoff writes lengths.
var perTick = map[string]num{
	"in": big.NewRat(1, units.TicksPerInch),
	"mm": big.NewRat(1, units.TicksPerMM),
}

// laidOf is what the report lays of one item.
type laidOf struct {
	marks  int64
	pieces []num
	length num // of strips and beads
}

// quantities holds patterns, cut lists and the takeoff against what is laid.
func (v *verifier) quantities(plans []*plan) {
	laid := map[*rules.Item]*laidOf{}
	for _, p := range plans {
		for _, pl := range p.order {
			pl.patterns()
			it := pl.element.Item
			if it == nil {
				continue
			}
			if laid[it] == nil {
				laid[it] = &laidOf{length: whole(0)}
			}
			for _, s := range pl.inReport {
				laid[it].count(pl, s)
			}
		}
	}
	rows := v.report.Takeoff
	for _, it := range v.report.Book.Items {
		l := laid[it]
		if l == nil {
			continue
		}
		rows = v.takeoffOf(it, l, rows)
		v.cutsOf(it, l)
	}
	for _, q := range rows {
		v.complain("takeoff: a line of %s too many, or out of the book's order", q.Item.Name)
	}
	for _, c := range v.report.Cuts {
		if laid[c.Item] == nil {
			v.complain("cuts of %s, of which nothing is laid", c.Item.Name)
		}
	}
}

func (l *laidOf) count(p *placement, s detail.Scope) {
	switch p.element.Kind {
	case rules.Row:
		l.marks += int64(s.Last - s.First)
	case rules.Pieces:
		for _, x := range p.lengthsOf(s) {
			l.pieces = append(l.pieces, x.length())
		}
	case rules.Strip:
		for _, x := range p.lengthsOf(s) {
			l.length = add(l.length, x.used)
		}
	case rules.Bead:
		for _, b := range p.report.Beads[s.First:s.Last] {
			l.length = add(l.length, ticks(b.Length))
		}
	}
}

// takeoffOf holds the lines of one item, which stand first in rows, and returns those after them.
func (v *verifier) takeoffOf(it *rules.Item, l *laidOf, rows []detail.Quantity) []detail.Quantity {
	next := func() *detail.Quantity {
		if len(rows) == 0 || rows[0].Item != it {
			v.complain("takeoff: a line of %s is missing", it.Name)
			return nil
		}
		q := &rows[0]
		rows = rows[1:]
		return q
	}
	if l.marks > 0 {
		if q := next(); q != nil {
			v.unit(q, "each", map[string]num{"each": whole(1)})
			v.same(q, "net", q.Net, whole(l.marks))
			v.same(q, "pack", q.Pack, whole(max(1, it.Pack)))
			v.wasteAndPacks(q)
		}
	}
	if len(l.pieces) > 0 {
		if q := next(); q != nil {
			v.cutToLength(q, l.pieces)
		}
	}
	if l.length.Sign() > 0 {
		if q := next(); q != nil && !it.Cartridge.IsZero() {
			v.cartridges(q, l.length)
		} else if q != nil {
			v.byLength(q, l.length)
		}
	}
	return rows
}

func (v *verifier) unit(q *detail.Quantity, want string, known map[string]num) num {
	f, ok := known[q.Unit]
	if !ok {
		v.complain("takeoff %s: the unit is %q, not %s", q.Item.Name, q.Unit, want)
		return whole(1)
	}
	return f
}

func (v *verifier) same(q *detail.Quantity, what string, got decimal.Decimal, want num) {
	if !equal(got.Rat(), want) {
		v.complain("takeoff %s: %s is %s, not %s", q.Item.Name, what, got, want.RatString())
	}
}

func (v *verifier) wasteAndPacks(q *detail.Quantity) {
	v.same(q, "waste", q.Waste, mul(q.Net.Rat(), q.Item.Waste.Rat()))
	v.same(q, "gross", q.Gross, add(q.Net.Rat(), q.Waste.Rat()))
	v.same(q, "packs", q.Packs, up(quo(q.Gross.Rat(), q.Pack.Rat())))
}

// byLength holds strips, and beads without a cartridge: packs are rolls.
func (v *verifier) byLength(q *detail.Quantity, total num) {
	f := v.unit(q, "in or mm", perTick)
	v.same(q, "net", q.Net, mul(total, f))
	if q.Item.Roll.IsZero() {
		v.same(q, "pack", q.Pack, whole(1))
	} else {
		v.same(q, "pack", q.Pack, mul(ticks(q.Item.Roll), f))
	}
	v.wasteAndPacks(q)
}

// cartridges holds a bead's volume: the least number of six decimals that is not under the exact one, π being known
// to eleven.
func (v *verifier) cartridges(q *detail.Quantity, total num) {
	v.unit(q, "cartridge", map[string]num{"cartridge": whole(1)})
	bead := q.Item.Bead
	low := mul(ticks(bead.Width), ticks(bead.Depth))
	high := low
	if bead.Round {
		square := mul(ticks(bead.Width), ticks(bead.Width))
		low, high = mul(square, mul(piLow, big.NewRat(1, 4))), mul(square, mul(piHigh, big.NewRat(1, 4)))
	}
	perCartridge := func(area num) num { return quo(mul(area, total), q.Item.Cartridge.Rat()) }
	least, most := perCartridge(low), add(perCartridge(high), big.NewRat(1, 1_000_000))
	if net := q.Net.Rat(); less(net, least) || !less(net, most) {
		v.complain("takeoff %s: net is %s, not %s to %s", q.Item.Name, q.Net, least.FloatString(9), most.FloatString(9))
	}
	v.same(q, "pack", q.Pack, whole(1))
	v.wasteAndPacks(q)
}

// cutToLength holds pieces: with stock the gross is what the cut list takes, and no waste is added.
func (v *verifier) cutToLength(q *detail.Quantity, pieces []num) {
	f := v.unit(q, "in or mm", perTick)
	net := whole(0)
	for _, p := range pieces {
		net = add(net, mul(p, f))
	}
	v.same(q, "net", q.Net, net)
	if len(q.Item.Stock) == 0 {
		v.same(q, "pack", q.Pack, whole(1))
		v.wasteAndPacks(q)
		return
	}
	gross, stocks := whole(0), 0
	for _, c := range v.report.Cuts {
		if c.Item == q.Item {
			gross = add(gross, mul(mul(ticks(c.Stock), f), whole(int64(c.Times))))
			stocks += c.Times
		}
	}
	v.same(q, "gross", q.Gross, gross)
	v.same(q, "waste", q.Waste, sub(gross, net))
	v.same(q, "packs", q.Packs, whole(int64(stocks)))
	if !slices.ContainsFunc(q.Item.Stock, func(s rules.Stock) bool { return equal(mul(ticks(s.Length), f), q.Pack.Rat()) }) {
		v.complain("takeoff %s: pack %s is no stock length", q.Item.Name, q.Pack)
	}
}

// cutsOf holds the cut list of an item: every piece cut once, and each stock length used up to the last tick.
func (v *verifier) cutsOf(it *rules.Item, l *laidOf) {
	if len(it.Stock) == 0 {
		return
	}
	open := map[string]int{} // pieces not yet cut
	for _, p := range l.pieces {
		open[show(p)]++
	}
	stocks := 0
	for _, c := range v.report.Cuts {
		if c.Item != it {
			continue
		}
		stocks += c.Times
		if !slices.ContainsFunc(it.Stock, func(s rules.Stock) bool { return s.Length == c.Stock }) {
			v.complain("cuts of %s: %s is no stock length", it.Name, c.Stock)
		}
		rest := ticks(c.Stock)
		for _, x := range c.Lengths {
			open[x.String()] -= c.Times
			rest = sub(rest, ticks(x))
		}
		n := int64(len(c.Lengths))
		// One kerf after each piece; the last is as much of one as the stock has left.
		kerfs := smaller(rest, mul(ticks(it.Kerf), whole(n)))
		if n == 0 || c.Times < 1 || less(rest, mul(ticks(it.Kerf), whole(n-1))) {
			v.complain("cuts of %s: %v don't fit %s", it.Name, c.Lengths, c.Stock)
		} else if !equal(ticks(c.Kerf), kerfs) || !equal(ticks(c.Offcut), sub(rest, kerfs)) {
			v.complain("cuts of %s: %v of %s leave kerf %s and offcut %s, not %s and %s", it.Name, c.Lengths, c.Stock, c.Kerf, c.Offcut, show(kerfs), show(sub(rest, kerfs)))
		}
	}
	for x, n := range open {
		if n != 0 {
			v.complain("cuts of %s: %d of %s laid more than cut", it.Name, n, x)
		}
	}
	for _, c := range v.report.Cutting {
		if c.Item == it && (c.Stocks != stocks || c.Bound > stocks || c.Proved != (c.Bound == stocks)) {
			v.complain("cutting of %s: %d stocks, bound %d, proved %v; cut are %d", it.Name, c.Stocks, c.Bound, c.Proved, stocks)
		}
	}
	if n := len(slices.DeleteFunc(slices.Clone(v.report.Cutting), func(c detail.Cutting) bool { return c.Item != it })); n != min(1, stocks) {
		v.complain("cutting of %s: %d lines", it.Name, n)
	}
}

// patterns holds that each scope of a row, other than `at` scopes, stands in one pattern, and alike with it.
func (p *placement) patterns() {
	seen := map[int]int{}
	for _, pat := range p.report.Patterns {
		if owner := p.report.Placements[pat.Placement]; owner.Run != p.run || owner.Detail != p.detail || owner.Element != p.element || owner.Side != p.side {
			continue
		}
		for _, n := range pat.Scopes {
			seen[n]++
			i := slices.IndexFunc(p.inReport, func(s detail.Scope) bool { return s.N == n })
			if i < 0 {
				p.complain("a pattern of %s holds scope %d, which is not laid", p.element.Name, n)
				continue
			}
			if s := p.inReport[i]; fmt.Sprint(pat.Offsets) != fmt.Sprint(p.offsets(s)) || !equal(ticks(pat.Width), bandOf(s.From, s.To).length()) {
				p.complain("%s: its marks don't stand as its pattern says", p.at(detail.ScopeRef{Kind: s.Kind, N: s.N}))
			}
		}
	}
	for _, s := range p.inReport {
		want := 0
		if p.element.Kind == rules.Row && p.element.Scope.How != "at" {
			want = 1
		}
		if seen[s.N] != want {
			p.complain("%s: is in %d patterns, not %d", p.at(detail.ScopeRef{Kind: s.Kind, N: s.N}), seen[s.N], want)
		}
	}
}

// offsets are the marks of a scope, from its start.
func (p *placement) offsets(s detail.Scope) []string {
	list := []string{}
	for _, x := range p.marksOf(s) {
		list = append(list, show(sub(x, ticks(s.From))))
	}
	return list
}
