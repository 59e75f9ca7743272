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

// laidOf is what reports lay of one item.
type laidOf struct {
	marks  int64
	pieces []num
	length num                 // of strips and beads
	parts  map[[3]string]*part // by job, detail, element
}

// part is what one element lays: marks, or ticks.
type part struct {
	kind   rules.Kind
	amount num
	runs   []string
}

// bill is what is held against what is laid: of a report, or of a takeoff.
type bill struct {
	book      *rules.Book
	lines     []detail.Quantity
	cuts      []detail.Cut
	cutting   []detail.Cutting
	given     []detail.Leftover
	leftovers []detail.Leftover
}

// Takeoff holds a takeoff against the reports that it adds up, and returns what is wrong with it, in plain sentences.
// The reports are held by Report.
func Takeoff(t *detail.Takeoff, reports ...*detail.Report) []string {
	v := &verifier{}
	laid := map[string]*laidOf{}
	b := &bill{book: t.Book, lines: t.Lines, cuts: t.Cuts, cutting: t.Cutting, leftovers: t.Leftovers}
	for i, r := range reports {
		gather(laid, r)
		b.given = append(b.given, r.Stock...)
		if i >= len(t.Jobs) || t.Jobs[i] != r.Job {
			v.complain("job %d of the takeoff isn't %q", i+1, r.Job)
		}
		for _, c := range r.Cautions {
			if !slices.Contains(t.Cautions, c) {
				v.complain("the caution %q of %q is missing", c, r.Job)
			}
		}
	}
	v.bill(b, laid)
	v.shop(t.Shop, reports...)
	return v.complaints
}

// quantities holds patterns, cut lists and the takeoff against what is laid.
func (v *verifier) quantities(plans []*plan) {
	for _, p := range plans {
		for _, pl := range p.order {
			pl.patterns()
		}
	}
	r := v.report
	laid := map[string]*laidOf{}
	gather(laid, r)
	v.bill(&bill{r.Book, r.Takeoff, r.Cuts, r.Cutting, r.Stock, r.Leftovers}, laid)
	v.shop(r.Shop, r)
}

// gather adds what a report lays, by items' names.
func gather(laid map[string]*laidOf, r *detail.Report) {
	for _, s := range r.Scopes {
		p := r.Placements[s.Placement]
		it := p.Element.Item
		if it == nil || s.First == s.Last {
			continue
		}
		l := laid[it.Name]
		if l == nil {
			l = &laidOf{length: whole(0), parts: map[[3]string]*part{}}
			laid[it.Name] = l
		}
		key := [3]string{r.Job, p.Detail.Name, p.Element.Name}
		if l.parts[key] == nil {
			l.parts[key] = &part{kind: p.Element.Kind, amount: whole(0)}
		}
		of := l.parts[key]
		if !slices.Contains(of.runs, p.Run.ID) {
			of.runs = append(of.runs, p.Run.ID)
		}
		for i := s.First; i < s.Last; i++ {
			var x num
			switch p.Element.Kind {
			case rules.Row:
				l.marks++
				x = whole(1)
			case rules.Pieces:
				x = bandOf(r.Pieces[i].From, r.Pieces[i].To).length()
				l.pieces = append(l.pieces, x)
			case rules.Strip:
				x = ticks(r.Strips[i].Length)
				l.length = add(l.length, x)
			case rules.Bead:
				x = ticks(r.Beads[i].Length)
				l.length = add(l.length, x)
			}
			of.amount = add(of.amount, x)
		}
	}
}

// bill holds lines, cuts and what is left over against what is laid.
func (v *verifier) bill(b *bill, laid map[string]*laidOf) {
	rows := b.lines
	for _, it := range b.book.Items {
		l := laid[it.Name]
		if l != nil {
			rows = v.takeoffOf(b, it, l, rows)
		} else {
			l = &laidOf{}
		}
		v.cutsOf(b, it, l)
	}
	for _, q := range rows {
		v.complain("takeoff: a line of %s too many, or out of the book's order", q.Item.Name)
	}
	for _, c := range b.cuts {
		if laid[c.Item.Name] == nil {
			v.complain("cuts of %s, of which nothing is laid", c.Item.Name)
		}
	}
	for _, s := range b.leftovers {
		if !slices.ContainsFunc(b.book.Items, func(it *rules.Item) bool { return it.Name == s.Item && len(it.Stock) > 0 }) {
			v.complain("%s is left over, but is no stock of the book", s.Item)
		}
	}
}

// takeoffOf holds the lines of one item, which stand first in rows, and returns those after them.
func (v *verifier) takeoffOf(b *bill, it *rules.Item, l *laidOf, rows []detail.Quantity) []detail.Quantity {
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
			v.parts(l, rules.Row, []detail.Quantity{*q}, whole(1))
		}
	}
	if len(l.pieces) > 0 && len(it.Stock) > 0 {
		n := 0
		for n < len(rows) && rows[n].Item == it && n < 1+len(it.Stock) {
			n++
		}
		v.fromStock(b, it, l, rows[:n])
		rows = rows[n:]
	} else if len(l.pieces) > 0 {
		if q := next(); q != nil {
			f := v.unit(q, "in or mm", perTick)
			v.same(q, "net", q.Net, mul(total(l.pieces), f))
			v.same(q, "pack", q.Pack, whole(1))
			v.wasteAndPacks(q)
			v.area(q, f)
			v.parts(l, rules.Pieces, []detail.Quantity{*q}, f)
		}
	}
	if l.length.Sign() > 0 {
		if q := next(); q != nil && !it.Cartridge.IsZero() {
			v.cartridges(q, l.length)
			v.parts(l, rules.Bead, []detail.Quantity{*q}, nil)
		} else if q != nil {
			v.byLength(q, l.length)
			v.parts(l, rules.Strip, []detail.Quantity{*q}, v.unit(q, "in or mm", perTick))
		}
	}
	return rows
}

func total(list []num) num {
	sum := whole(0)
	for _, x := range list {
		sum = add(sum, x)
	}
	return sum
}

// parts holds where the net of some lines comes from; f are their units in a tick, nil for cartridges.
func (v *verifier) parts(l *laidOf, kind rules.Kind, lines []detail.Quantity, f num) {
	found := map[[3]string]num{}
	for _, q := range lines {
		sum := whole(0)
		for _, p := range q.From {
			key := [3]string{p.Job, p.Detail.Name, p.Element.Name}
			of := l.parts[key]
			if of == nil {
				v.complain("takeoff %s: %v lays none of it", q.Item.Name, key)
				continue
			}
			if !slices.Equal(p.Runs, of.runs) {
				v.complain("takeoff %s: %v lays it on %q, not on %q", q.Item.Name, key, of.runs, p.Runs)
			}
			if found[key] == nil {
				found[key] = whole(0)
			}
			found[key] = add(found[key], p.Net.Rat())
			sum = add(sum, p.Net.Rat())
		}
		if f != nil && !equal(sum, q.Net.Rat()) || less(sum, q.Net.Rat()) {
			v.complain("takeoff %s: its parts come to %s, not to %s", q.Item.Name, sum.RatString(), q.Net)
		}
	}
	for key, of := range l.parts {
		same := of.kind == kind || kind == rules.Strip && of.kind == rules.Bead
		if same && of.amount.Sign() > 0 && found[key] == nil || found[key] != nil && f != nil && !equal(found[key], mul(of.amount, f)) {
			v.complain("takeoff: %v lays %s, and its parts don't say so", key, of.amount.RatString())
		}
	}
}

// area holds the sheet that a line takes.
func (v *verifier) area(q *detail.Quantity, f num) {
	v.same(q, "area", q.Area, mul(q.Gross.Rat(), mul(ticks(q.Item.Girth), f)))
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
	v.area(q, f)
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
	// The yield fills the cartridge but for a millionth of a foot of bead.
	feet := func(x num) num { return mul(x, whole(12*units.TicksPerInch)) }
	if y := q.Yield.Rat(); less(q.Item.Cartridge.Rat(), mul(feet(y), low)) ||
		!less(q.Item.Cartridge.Rat(), mul(feet(add(y, big.NewRat(1, 1_000_000))), add(high, mul(high, big.NewRat(1, 1_000_000_000_000))))) {
		v.complain("takeoff %s: a cartridge doesn't yield %s ft", q.Item.Name, q.Yield)
	}
}

// fromStock holds the lines of an item that is cut from stock: what is bought is what the cut list takes, a line for
// each length, and no waste is added.
func (v *verifier) fromStock(b *bill, it *rules.Item, l *laidOf, lines []detail.Quantity) {
	type sum struct {
		net, gross num
		stocks     int64
	}
	want := map[string]*sum{} // by stock length; "" for left-overs
	for _, c := range b.cuts {
		if c.Item != it {
			continue
		}
		key := c.Stock.String()
		if c.Leftover {
			key = ""
		}
		if want[key] == nil {
			want[key] = &sum{whole(0), whole(0), 0}
		}
		w, n := want[key], whole(int64(c.Times))
		w.stocks += int64(c.Times)
		w.gross = add(w.gross, mul(ticks(c.Stock), n))
		for _, x := range c.Lengths {
			w.net = add(w.net, mul(ticks(x), n))
		}
	}
	var f num
	for i := range lines {
		q := &lines[i]
		f = v.unit(q, "in or mm", perTick)
		key, pack, packs, price := "", whole(0), int64(0), whole(0)
		for _, s := range it.Stock {
			if !q.Leftover && equal(mul(ticks(s.Length), f), q.Pack.Rat()) {
				key, pack, price = s.Length.String(), q.Pack.Rat(), s.Price.Rat()
			}
		}
		w := want[key]
		if w == nil {
			v.complain("takeoff %s: pack %s is no stock length that is cut", it.Name, q.Pack)
			continue
		}
		delete(want, key)
		if key != "" {
			packs = w.stocks
		}
		v.same(q, "net", q.Net, mul(w.net, f))
		v.same(q, "gross", q.Gross, mul(w.gross, f))
		v.same(q, "waste", q.Waste, sub(q.Gross.Rat(), q.Net.Rat()))
		v.same(q, "pack", q.Pack, pack)
		v.same(q, "packs", q.Packs, whole(packs))
		v.same(q, "cost", q.Cost, mul(whole(packs), price))
		v.area(q, f)
	}
	for stock := range want {
		v.complain("takeoff: a line of %s is missing, for stock %q", it.Name, stock)
	}
	if f != nil {
		v.parts(l, rules.Pieces, lines, f)
	}
}

// cutsOf holds the cut list of an item: every piece cut once, each stock length used up to the last tick, no more
// left-overs cut than there are, and what stays.
func (v *verifier) cutsOf(b *bill, it *rules.Item, l *laidOf) {
	if len(it.Stock) == 0 {
		return
	}
	open := map[string]int{} // pieces not yet cut
	shortest := ""
	for _, p := range l.pieces {
		if open[show(p)]++; shortest == "" || less(p, ticks(units.MustParse(shortest))) {
			shortest = show(p)
		}
	}
	stay := map[string]int{} // left-over lengths not cut, and long offcuts
	for _, s := range b.given {
		if s.Item == it.Name {
			stay[s.Length.String()] += s.Count
		}
	}
	longest := whole(0)
	needed := whole(0) // by length with a kerf each, beyond what is left over
	withKerf := func(x num) num { return add(x, ticks(it.Kerf)) }
	for _, s := range it.Stock {
		longest = larger(longest, withKerf(ticks(s.Length)))
	}
	for _, p := range l.pieces {
		needed = add(needed, withKerf(p))
	}
	for _, s := range b.given {
		if s.Item == it.Name {
			needed = sub(needed, mul(withKerf(ticks(s.Length)), whole(int64(s.Count))))
		}
	}
	stocks, cost, lists := 0, whole(0), 0
	var long []detail.Cut // with an offcut that stays
	for _, c := range b.cuts {
		if c.Item != it {
			continue
		}
		lists++
		if c.Leftover {
			stay[c.Stock.String()] -= c.Times
			if stay[c.Stock.String()] < 0 {
				v.complain("cuts of %s: more of %s are cut than are left over", it.Name, c.Stock)
			}
		} else if i := slices.IndexFunc(it.Stock, func(s rules.Stock) bool { return s.Length == c.Stock }); i < 0 {
			v.complain("cuts of %s: %s is no stock length", it.Name, c.Stock)
		} else {
			stocks += c.Times
			cost = add(cost, mul(it.Stock[i].Price.Rat(), whole(int64(c.Times))))
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
		if shortest != "" && !less(ticks(c.Offcut), ticks(units.MustParse(shortest))) {
			long = append(long, c)
		}
	}
	for x, n := range open {
		if n != 0 {
			v.complain("cuts of %s: %d of %s laid more than cut", it.Name, n, x)
		}
	}
	for _, c := range long {
		stay[c.Offcut.String()] += c.Times
	}
	for _, s := range b.leftovers {
		if s.Item == it.Name {
			if s.Count != stay[s.Length.String()] {
				v.complain("%d of %s of %s are left over, not %d", stay[s.Length.String()], s.Length, it.Name, s.Count)
			}
			delete(stay, s.Length.String())
		}
	}
	for x, n := range stay {
		if n != 0 {
			v.complain("%d of %s of %s are left over, and not listed", n, x, it.Name)
		}
	}
	v.cuttingOf(b, it, min(1, lists), stocks, cost, up(quo(needed, longest)))
}

// cuttingOf holds what is said of the whole cut list; byLength is the fewest stock lengths that hold all pieces end to
// end.
func (v *verifier) cuttingOf(b *bill, it *rules.Item, lines, stocks int, cost, byLength num) {
	priced := !slices.ContainsFunc(it.Stock, func(s rules.Stock) bool { return s.Price.IsZero() })
	n := 0
	for _, c := range b.cutting {
		if c.Item != it {
			continue
		}
		n++
		proved, want, bound := c.Bound == stocks, whole(0), whole(int64(c.Bound))
		if priced {
			want, proved = cost, equal(c.Least.Rat(), cost)
			if !equal(bound, larger(whole(0), byLength)) && c.Bound != stocks {
				v.complain("cutting of %s: by length it takes %s, not %d", it.Name, byLength.RatString(), c.Bound)
			}
		}
		if c.Stocks != stocks || c.Bound > stocks || c.Proved != proved || less(bound, byLength) ||
			!equal(c.Cost.Rat(), want) || less(want, c.Least.Rat()) || !priced && !c.Least.IsZero() {
			v.complain("cutting of %s: %d stocks, bound %d, cost %s, at least %s, proved %v; cut are %d for %s", it.Name,
				c.Stocks, c.Bound, c.Cost, c.Least, c.Proved, stocks, want.RatString())
		}
	}
	if n != lines {
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
