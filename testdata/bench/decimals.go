package main

import "github.com/shopspring/decimal"

// decimalMark is a mark whose station is a decimal, in inches.
type decimalMark struct {
	at    decimal.Decimal
	scope int32
}

var (
	two     = decimal.NewFromInt(2)
	stepIn  = decimal.New(625, -4)
	fiveIn  = decimal.NewFromInt(5)
	tenIn   = decimal.NewFromInt(10)
	closeIn = decimal.New(1875, -3)
	rivetIn = decimal.New(2375, -3)
)

// decimals is the loop of hand.go, its lengths decimals.
type decimals struct {
	width, first, gap decimal.Decimal
	n                 int64
}

func (d *decimals) lay(ribs []decimal.Decimal, out []decimalMark) []decimalMark {
	x, gap, n := spacedDecimals(ribs[len(ribs)-1], tenIn, 1, decimal.Zero)
	for range n {
		out = append(out, decimalMark{x, 0})
		x = x.Add(gap)
	}
	from := ribs[0]
	for i, to := range ribs[1:] {
		if width := to.Sub(from); !width.Equal(d.width) {
			d.width = width
			d.first, d.gap, d.n = spacedDecimals(width, fiveIn, 4, closeIn)
		}
		x := from.Add(d.first)
		for range d.n {
			out = append(out, decimalMark{x, int32(i)})
			x = x.Add(d.gap)
		}
		from = to
	}
	from = ribs[0]
	for i, to := range ribs[1:] {
		half := to.Sub(from).Div(two)
		if half.LessThan(rivetIn) {
			panic("a rivet too near a rib")
		}
		out = append(out, decimalMark{from.Add(half), int32(i)})
		from = to
	}
	return out
}

func spacedDecimals(length, most decimal.Decimal, count int64, free decimal.Decimal) (first, gap decimal.Decimal, n int64) {
	quo, rem := length.QuoRem(most, 0)
	if n = quo.IntPart(); !rem.IsZero() {
		n++
	}
	n = max(count, n)
	steps, rest := length.QuoRem(stepIn, 0)
	number := decimal.NewFromInt
	g, _ := length.QuoRem(stepIn.Mul(number(n)), 0)
	half := func(g decimal.Decimal) decimal.Decimal { h, _ := g.QuoRem(two, 0); return h }
	right2 := func(g decimal.Decimal) decimal.Decimal {
		h := half(g)
		if !rest.IsZero() && (g.Mod(two).IsZero() || rest.Mul(two).GreaterThan(stepIn)) {
			h = h.Sub(number(1))
		}
		return h
	}
	for g.Mul(number(n - 1)).Add(half(g)).Add(right2(g)).LessThan(steps) {
		g = g.Add(number(1))
	}
	middle := steps.Sub(g.Mul(number(n - 1)))
	at := half(middle)
	if !middle.Mod(two).IsZero() && !rest.IsZero() {
		at = at.Add(number(1))
	}
	first, gap = at.Mul(stepIn), g.Mul(stepIn)
	if last := length.Sub(first).Sub(gap.Mul(number(n - 1))); first.LessThan(free) || last.LessThan(free) {
		panic("not the panels that this was written for")
	}
	return first, gap, n
}

// inInches gives the same lengths as decimals.
func inInches(list []int64) []decimal.Decimal {
	out := make([]decimal.Decimal, len(list))
	for i, t := range list {
		mm := decimal.New(t, -9)
		out[i] = mm.DivRound(decimal.New(254, -1), 20)
	}
	return out
}
