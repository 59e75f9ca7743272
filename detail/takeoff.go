package detail

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/cutting"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// finish fills in what is known once every run is laid: quantities, cut lists, steps and cautions.
func (l *layer) finish(bindings []*binding) error {
	if err := l.takeoff(); err != nil {
		return err
	}
	var seen []*rules.Detail
	for _, b := range bindings {
		if slices.Contains(seen, b.detail) {
			continue
		}
		seen = append(seen, b.detail)
		d := b.detail
		for i, s := range d.Steps {
			step := Step{Detail: d.Name, N: i + 1, Text: s.Text, Hold: s.Hold, Sets: []string{}}
			for _, n := range s.Sets {
				step.Sets = append(step.Sets, n.Text)
			}
			l.rep.Steps = append(l.rep.Steps, step)
		}
		for _, c := range d.Cautions {
			l.rep.Cautions = appendNew(l.rep.Cautions, c.Text)
		}
		for _, n := range d.Notes {
			l.rep.Notes = appendNew(l.rep.Notes, n.Text)
		}
		l.rep.Relaxed = append(l.rep.Relaxed, d.Relaxed...)
		for _, q := range d.Requires {
			l.rep.source(q.ID, q.Source)
		}
		for _, e := range d.Elements {
			for _, r := range e.Rules {
				l.rep.source(r.ID, r.Source)
			}
		}
	}
	for _, c := range standing {
		l.rep.Cautions = appendNew(l.rep.Cautions, c)
	}
	return nil
}

// standing cautions come with every report; no book and no host switches them off.
var standing = []string{
	"Work 6 ft or more above a lower level needs fall protection (29 CFR 1926.501).",
	"Cut metal edges are sharp: wear gloves, and eye protection when drilling or cutting.",
	"Sweep up drill shavings at once: they rust and stain.",
	"This layout follows the firm's rule book. The panel maker's instructions, the local code and an engineer's design for wind and snow come first.",
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func (r *Report) source(rule, source string) {
	if source != "" {
		r.Sources = append(r.Sources, Source{Rule: rule, Source: source})
	}
}

// takeoff adds up each item over all runs.
func (l *layer) takeoff() error {
	r := l.rep
	type sum struct {
		marks  int64
		length big.Int // ticks
		pieces []units.Length
	}
	sums := map[*rules.Item]*sum{}
	of := func(scope int32) (*rules.Item, *sum) {
		it := r.Placements[r.Scopes[scope].Placement].Element.Item
		if it == nil {
			return nil, &sum{}
		}
		if sums[it] == nil {
			sums[it] = &sum{}
		}
		return it, sums[it]
	}
	for _, m := range r.Marks {
		_, s := of(m.Scope)
		s.marks++
	}
	for _, p := range r.Pieces {
		_, s := of(p.Scope)
		s.pieces = append(s.pieces, ticks(p.To.Ticks()-p.From.Ticks()))
	}
	for _, p := range r.Strips {
		_, s := of(p.Scope)
		s.length.Add(&s.length, big.NewInt(p.Length.Ticks()))
	}
	for _, b := range r.Beads {
		_, s := of(b.Scope)
		s.length.Add(&s.length, big.NewInt(b.Length.Ticks()))
	}
	for _, it := range l.book.Items {
		s := sums[it]
		if s == nil {
			continue
		}
		if s.marks > 0 {
			pack := it.Pack
			if pack == 0 {
				pack = 1
			}
			r.Takeoff = append(r.Takeoff, quantity(it, "each", decimal.NewFromInt(s.marks), decimal.NewFromInt(pack)))
		}
		if len(s.pieces) > 0 {
			q, err := l.cut(it, s.pieces)
			if err != nil {
				return err
			}
			r.Takeoff = append(r.Takeoff, q)
		}
		if s.length.Sign() > 0 {
			r.Takeoff = append(r.Takeoff, byLength(it, &s.length))
		}
	}
	return nil
}

// byLength is the quantity of an item that is used by length: cartridges where it comes in such, else a length, in
// packs of a roll.
func byLength(it *rules.Item, ticks *big.Int) Quantity {
	if !it.Cartridge.IsZero() {
		volume := new(big.Rat).Mul(new(big.Rat).SetInt(ticks), section(it.Bead))
		return quantity(it, "cartridge", roundUp(volume.Quo(volume, it.Cartridge.Rat()), 6), decimal.NewFromInt(1))
	}
	unit, net := lengthDecimal(ticks)
	pack := decimal.NewFromInt(1)
	if !it.Roll.IsZero() {
		unit, net, pack = sameUnit(unit, ticks, it.Roll)
	}
	return quantity(it, unit, net, pack)
}

// section is the area of a bead in square ticks; that of a round one is rounded up in its 12th digit.
func section(b rules.BeadSize) *big.Rat {
	area := new(big.Rat).SetInt64(b.Width.Ticks())
	if b.Round {
		area.Mul(area, area)
		return area.Mul(area, new(big.Rat).Quo(piUp, big.NewRat(4, 1)))
	}
	return area.Mul(area, new(big.Rat).SetInt64(b.Depth.Ticks()))
}

// piUp is π rounded up in its 12th decimal.
var piUp = big.NewRat(3_141_592_653_590, 1_000_000_000_000)

// lengthDecimal is a length in inches, or in mm where it is no finite decimal in inches.
func lengthDecimal(t *big.Int) (string, decimal.Decimal) {
	inches := new(big.Rat).SetFrac(t, big.NewInt(units.TicksPerInch))
	if n, exact := inches.FloatPrec(); exact {
		return "in", decimal.RequireFromString(inches.FloatString(n))
	}
	return "mm", decimal.NewFromBigInt(t, -9)
}

// sameUnit writes a length and the roll it comes in, in inches if both can be, else in mm.
func sameUnit(unit string, t *big.Int, roll units.Length) (string, decimal.Decimal, decimal.Decimal) {
	rollUnit, pack := lengthDecimal(big.NewInt(roll.Ticks()))
	if unit == rollUnit {
		_, net := lengthDecimal(t)
		return unit, net, pack
	}
	return "mm", decimal.NewFromBigInt(t, -9), decimal.New(roll.Ticks(), -9)
}

// quantity adds the waste to a net quantity and rounds up to packs, once.
func quantity(it *rules.Item, unit string, net, pack decimal.Decimal) Quantity {
	waste := net.Mul(it.Waste)
	gross := net.Add(waste)
	return Quantity{Item: it, Unit: unit, Net: net, Waste: waste, Gross: gross, Pack: pack, Packs: ceilQuo(gross, pack)}
}

// ceilQuo divides and rounds up to a whole number, without decimal's global precision.
func ceilQuo(a, b decimal.Decimal) decimal.Decimal {
	q := new(big.Rat).Quo(a.Rat(), b.Rat())
	return roundUp(q, 0)
}

// roundUp rounds a number that is not negative up to so many decimals.
func roundUp(x *big.Rat, decimals int32) decimal.Decimal {
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	n := new(big.Int).Mul(x.Num(), scale)
	q, rem := n.QuoRem(n, x.Denom(), new(big.Int))
	if rem.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return decimal.NewFromBigInt(q, -decimals)
}

// cut cuts pieces from the longest stock length that the item comes in, and says how good the cut list is.
func (l *layer) cut(it *rules.Item, pieces []units.Length) (Quantity, error) {
	var total big.Int
	for _, p := range pieces {
		total.Add(&total, big.NewInt(p.Ticks()))
	}
	unit, net := lengthDecimal(&total)
	if len(it.Stock) == 0 {
		return quantity(it, unit, net, decimal.NewFromInt(1)), nil
	}
	stock := slices.MaxFunc(it.Stock, func(a, b rules.Stock) int { return a.Length.Cmp(b.Length) }).Length
	bins, bound, err := l.fewest(pieces, stock, it.Kerf)
	if err != nil {
		return Quantity{}, fmt.Errorf("cutting %s: %w", it.Name, err)
	}
	l.rep.Cuts = append(l.rep.Cuts, patternsOf(it, stock, bins)...)
	l.rep.Cutting = append(l.rep.Cutting, Cutting{Item: it, Stocks: len(bins), Bound: bound, Proved: bound == len(bins)})
	used := new(big.Int).Mul(big.NewInt(stock.Ticks()), big.NewInt(int64(len(bins))))
	unit, net, pack := sameUnit(unit, &total, stock)
	_, gross := lengthDecimal(used)
	if unit == "mm" {
		gross = decimal.NewFromBigInt(used, -9)
	}
	return Quantity{Item: it, Unit: unit, Net: net, Waste: gross.Sub(net), Gross: gross, Pack: pack, Packs: decimal.NewFromInt(int64(len(bins)))}, nil
}

// fewest is what to cut from each of the fewest stock lengths that are found, the longest piece first, and how many
// it takes at least.
func (l *layer) fewest(pieces []units.Length, stock, kerf units.Length) (bins [][]units.Length, bound int, err error) {
	sorted := slices.Clone(pieces)
	slices.SortFunc(sorted, func(a, b units.Length) int { return b.Cmp(a) })
	p := &cutting.Problem{Stocks: []cutting.Stock{{Length: stock.Ticks(), Cost: 1}}, Kerf: kerf.Ticks()}
	for i, x := range sorted {
		if i == 0 || x != sorted[i-1] {
			p.Demands = append(p.Demands, cutting.Demand{Length: x.Ticks()})
		}
		p.Demands[len(p.Demands)-1].Count++
	}
	plan, err := cutting.Solve(l.ctx, p)
	if err != nil {
		return nil, 0, err
	}
	for _, c := range plan.Patterns {
		var lengths []units.Length
		for _, t := range c.Takes {
			lengths = append(lengths, slices.Repeat([]units.Length{ticks(p.Demands[t.Demand].Length)}, int(t.Count))...)
		}
		for range c.Times {
			bins = append(bins, lengths)
		}
	}
	return bins, int(plan.Bound), nil
}

// patternsOf groups equal ways of cutting, those with the longest pieces first.
func patternsOf(it *rules.Item, stock units.Length, bins [][]units.Length) []Cut {
	byLengths := func(a, b []units.Length) int {
		return slices.CompareFunc(b, a, units.Length.Cmp)
	}
	slices.SortStableFunc(bins, byLengths)
	var cuts []Cut
	for i, b := range bins {
		if i > 0 && byLengths(bins[i-1], b) == 0 {
			cuts[len(cuts)-1].Times++
			continue
		}
		offcut, kerfs := stock.Ticks(), int64(0)
		for _, p := range b {
			offcut -= p.Ticks()
			if k := min(offcut, it.Kerf.Ticks()); k > 0 {
				offcut -= k
				kerfs += k
			}
		}
		cuts = append(cuts, Cut{Item: it, Stock: stock, Times: 1, Lengths: b, Kerf: ticks(kerfs), Offcut: ticks(offcut)})
	}
	return cuts
}
