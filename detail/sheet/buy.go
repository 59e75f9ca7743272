package sheet

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// takeoff is what to buy.
func (p *page) takeoff(r *detail.Report) {
	if len(r.Takeoff) == 0 {
		return
	}
	p.heading("Takeoff")
	var rows [][]string
	for _, q := range r.Takeoff {
		rows = append(rows, []string{or(q.Item.Title, q.Item.Name), quantity(q, q.Net), quantity(q, q.Waste), quantity(q, q.Gross), order(q)})
	}
	p.table("", []string{"Item", "Net", "Waste", "Gross", "Order"}, rows)
	p.gap()
	p.text("", "", "Lengths to the next sixteenth up; the order by the exact ones.")
}

// quantity is a length on the tape, else a number.
func quantity(q detail.Quantity, d decimal.Decimal) string {
	if unit, err := units.ParseUnit(q.Unit); err == nil {
		if l, err := units.FromDecimal(d, unit); err == nil {
			s, _ := l.Tape(sixteenth, units.Up)
			return s
		}
	}
	return number(d)
}

// order is what to ask for.
func order(q detail.Quantity) string {
	n := number(q.Packs)
	plural := "s"
	if n == "1" {
		plural = ""
	}
	switch {
	case q.Unit == "cartridge":
		return n + " cartridge" + plural
	case q.Unit != "each" && !q.Item.Roll.IsZero():
		return n + " roll" + plural + " of " + quantity(q, q.Pack)
	case q.Unit != "each" && len(q.Item.Stock) > 0:
		return n + " of " + quantity(q, q.Pack)
	case q.Unit == "each" && q.Item.Pack > 0:
		return n + " pack" + plural + " of " + number(q.Pack)
	case q.Unit == "each":
		return n
	}
	return quantity(q, q.Gross)
}

// number writes a decimal in full.
func number(d decimal.Decimal) string {
	r := d.Rat()
	places, _ := r.FloatPrec()
	return r.FloatString(places)
}

// cuts is how stock lengths are cut up.
func (p *page) cuts(r *detail.Report) {
	var item *rules.Item
	for _, c := range r.Cuts {
		if item == nil {
			p.heading("Cut list")
		}
		if c.Item != item {
			item = c.Item
			p.gap()
			p.text("", "  ", "%s: %s", or(item.Title, item.Name), fewest(r, item))
		}
		var lengths []string
		for _, l := range c.Lengths {
			lengths = append(lengths, p.tape(l, units.Up))
		}
		text := strings.Join(repeats(lengths), " + ")
		if !c.Kerf.IsZero() {
			text += "; kerf " + p.tape(c.Kerf, units.Up)
		}
		if !c.Offcut.IsZero() {
			text += "; left over " + p.tape(c.Offcut, units.Down)
		}
		p.text(fmt.Sprintf("  %3d x ", c.Times), "        ", "%s: %s", p.tape(c.Stock, units.Nearest), text)
	}
}

// fewest says how good the cut list of an item is.
func fewest(r *detail.Report, item *rules.Item) string {
	for _, c := range r.Cutting {
		if c.Item != item {
			continue
		}
		text := count(c.Stocks, "stock length", "stock lengths")
		if c.Proved {
			return text + ", the fewest there can be"
		}
		return fmt.Sprintf("%s; no list takes fewer than %d", text, c.Bound)
	}
	return ""
}
