package sheet

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// takeoff is what to buy.
func (p *page) takeoff(lines []detail.Quantity) {
	if len(lines) == 0 {
		return
	}
	p.heading("Takeoff")
	var rows [][]string
	for _, q := range lines {
		rows = append(rows, []string{or(q.Item.Title, q.Item.Name), p.quantity(q, q.Net), p.quantity(q, q.Waste), p.quantity(q, q.Gross), p.order(q)})
	}
	p.table("", []string{"Item", "Net", "Waste", "Gross", "Order"}, rows)
	p.gap()
	p.text("", "", "%s", p.upward())
	for _, note := range p.notes(lines) {
		p.text("", "  ", "%s", note)
	}
}

// notes say what goes into a cartridge, how much sheet it takes, and what stock costs.
func (f *figures) notes(lines []detail.Quantity) (notes []string) {
	var area, cost []decimal.Decimal
	for i, q := range lines {
		note := func(format string, args ...any) {
			notes = append(notes, or(q.Item.Title, q.Item.Name)+": "+fmt.Sprintf(format, args...))
		}
		if !q.Yield.IsZero() {
			note("a cartridge makes %s ft of bead.", q.Yield.RoundDown(2).StringFixed(2))
		}
		if !q.Area.IsZero() {
			area = append(area, q.Area)
		}
		if !q.Cost.IsZero() {
			cost = append(cost, q.Cost)
		}
		if i+1 < len(lines) && lines[i+1].Item == q.Item {
			continue
		}
		if len(area) > 0 {
			note("%s sq ft of sheet, %s girth.", squareFeet(q.Unit, area), f.tape(q.Item.Girth, units.Nearest))
		}
		if len(cost) > 0 {
			note("costs %s.", number(decimal.Sum(cost[0], cost[1:]...)))
		}
		area, cost = nil, nil
	}
	return notes
}

// squareFeet adds areas up, to the next tenth of a square foot up.
func squareFeet(unit string, areas []decimal.Decimal) string {
	sum := decimal.Sum(areas[0], areas[1:]...).Rat()
	side := big.NewRat(12, 1) // of a square foot
	if unit == "mm" {
		side = big.NewRat(3048, 10)
	}
	sum.Mul(sum, big.NewRat(10, 1)).Quo(sum, side.Mul(side, side))
	tenths, rest := new(big.Int).QuoRem(sum.Num(), sum.Denom(), new(big.Int))
	if rest.Sign() > 0 {
		tenths.Add(tenths, big.NewInt(1))
	}
	return decimal.NewFromBigInt(tenths, -1).StringFixed(1)
}

// quantity is a length on the tape, else a number.
func (f *figures) quantity(q detail.Quantity, d decimal.Decimal) string {
	if unit, err := units.ParseUnit(q.Unit); err == nil {
		if l, err := units.FromDecimal(d, unit); err == nil {
			return strings.TrimPrefix((&figures{unit: f.unit}).tape(l, units.Up), "~")
		}
	}
	return number(d)
}

// order is what to ask for.
func (f *figures) order(q detail.Quantity) string {
	n := number(q.Packs)
	plural := "s"
	if n == "1" {
		plural = ""
	}
	switch {
	case q.Leftover:
		return "left over"
	case q.Unit == "cartridge":
		return n + " cartridge" + plural
	case q.Unit != "each" && !q.Item.Roll.IsZero():
		return n + " roll" + plural + " of " + f.quantity(q, q.Pack)
	case q.Unit != "each" && len(q.Item.Stock) > 0:
		return n + " of " + f.quantity(q, q.Pack)
	case q.Unit == "each" && q.Item.Pack > 0:
		return n + " pack" + plural + " of " + number(q.Pack)
	case q.Unit == "each":
		return n
	}
	return f.quantity(q, q.Gross)
}

// upward says how the lengths of a takeoff are rounded.
func (f *figures) upward() string {
	step := "sixteenth"
	if f.unit == units.MM {
		step = "millimetre"
	}
	return "Lengths to the next " + step + " up; the order by the exact ones."
}

// number writes a decimal in full.
func number(d decimal.Decimal) string {
	r := d.Rat()
	places, _ := r.FloatPrec()
	return r.FloatString(places)
}

// cuts is how stock lengths are cut up, and what stays.
func (p *page) cuts(cuts []detail.Cut, cutting []detail.Cutting, leftovers []detail.Leftover) {
	var item *rules.Item
	for _, c := range cuts {
		if item == nil {
			p.heading("Cut list")
		}
		if c.Item != item {
			item = c.Item
			p.gap()
			p.text("", "  ", "%s: %s", or(item.Title, item.Name), fewest(cutting, item))
		}
		p.text(fmt.Sprintf("  %3d x ", c.Times), "        ", "%s", p.cut(&c))
	}
	if len(leftovers) == 0 {
		return
	}
	p.gap()
	p.text("", "  ", "Keep, long enough to use again:")
	for _, s := range leftovers {
		p.text(fmt.Sprintf("  %3d x ", s.Count), "        ", "%s of %s", p.tape(s.Length, units.Down), s.Item)
	}
}

// cut says how one stock length is cut up.
func (f *figures) cut(c *detail.Cut) string {
	text := f.tape(c.Stock, units.Nearest)
	if c.Leftover {
		text += " left over"
	}
	var lengths []string
	for _, l := range c.Lengths {
		lengths = append(lengths, f.tape(l, units.Up))
	}
	text += ": " + strings.Join(repeats(lengths), " + ")
	if !c.Kerf.IsZero() {
		text += "; kerf " + f.tape(c.Kerf, units.Up)
	}
	if !c.Offcut.IsZero() {
		text += "; left over " + f.tape(c.Offcut, units.Down)
	}
	return text
}

// fewest says how good the cut list of an item is.
func fewest(cutting []detail.Cutting, item *rules.Item) string {
	for _, c := range cutting {
		if c.Item != item {
			continue
		}
		text := count(c.Stocks, "stock length", "stock lengths")
		switch {
		case c.Cost.IsZero() && c.Proved:
			return text + ", the fewest there can be"
		case c.Cost.IsZero():
			return fmt.Sprintf("%s; no list takes fewer than %d", text, c.Bound)
		case c.Proved:
			return fmt.Sprintf("%s for %s, the least there can be", text, number(c.Cost))
		}
		return fmt.Sprintf("%s for %s; no list costs less than %s", text, number(c.Cost), number(c.Least))
	}
	return ""
}
