package detail

import (
	"math/big"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// inPieces is the quantity of an item that is counted.
func inPieces(it *rules.Item, shares []*share) Quantity {
	n, parts := int64(0), []Part{}
	for _, s := range shares {
		n += s.marks
		s.Net = decimal.NewFromInt(s.marks)
		parts = append(parts, s.Part)
	}
	q := quantity(it, "each", decimal.NewFromInt(n), decimal.NewFromInt(max(1, it.Pack)))
	q.From = parts
	return q
}

// byLength is the quantity of an item that is used by length: cartridges where it comes in such, else a length, in
// packs of a roll.
func byLength(it *rules.Item, shares []*share) Quantity {
	var all big.Int
	for _, s := range shares {
		all.Add(&all, &s.ticks)
	}
	lengths := []*big.Int{&all, ticksOf(it.Roll), ticksOf(it.Girth)}
	for _, s := range shares {
		lengths = append(lengths, &s.ticks)
	}
	unit := unitOf(lengths...)
	amount := func(t *big.Int) decimal.Decimal { return lengthIn(unit, t) }
	pack := decimal.NewFromInt(1)
	if !it.Cartridge.IsZero() {
		unit = "cartridge"
		amount = func(t *big.Int) decimal.Decimal { return cartridges(it, t) }
	} else if !it.Roll.IsZero() {
		pack = lengthIn(unit, ticksOf(it.Roll))
	}
	q := quantity(it, unit, amount(&all), pack)
	if unit == "cartridge" {
		q.Yield = yield(it)
	} else {
		q.Area = q.Gross.Mul(lengthIn(unit, ticksOf(it.Girth)))
	}
	for _, s := range shares {
		s.Net = amount(&s.ticks)
		if !s.Net.IsZero() {
			q.From = append(q.From, s.Part)
		}
	}
	return q
}

// quantity adds the waste to a net quantity and rounds up to packs, once.
func quantity(it *rules.Item, unit string, net, pack decimal.Decimal) Quantity {
	waste := net.Mul(it.Waste)
	gross := net.Add(waste)
	return Quantity{Item: it, Unit: unit, Net: net, Waste: waste, Gross: gross, Pack: pack, Packs: ceilQuo(gross, pack)}
}

// cartridges is how many a length of bead takes, rounded up at six decimals.
func cartridges(it *rules.Item, length *big.Int) decimal.Decimal {
	volume := new(big.Rat).Mul(new(big.Rat).SetInt(length), section(it.Bead))
	return roundUp(volume.Quo(volume, it.Cartridge.Rat()), 6)
}

// yield is how many feet of bead a cartridge makes, rounded down at six decimals.
func yield(it *rules.Item) decimal.Decimal {
	area := section(it.Bead)
	feet := area.Quo(it.Cartridge.Rat(), area.Mul(area, big.NewRat(12*units.TicksPerInch, 1)))
	const millionth = 1_000_000
	n := new(big.Int).Mul(feet.Num(), big.NewInt(millionth))
	return decimal.NewFromBigInt(n.Quo(n, feet.Denom()), -6)
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

func ticksOf(l units.Length) *big.Int { return big.NewInt(l.Ticks()) }

// unitOf is the unit in which lengths are written: inches if each has a finite decimal in them, else mm.
func unitOf(lengths ...*big.Int) string {
	for _, t := range lengths {
		if _, finite := new(big.Rat).SetFrac(t, big.NewInt(units.TicksPerInch)).FloatPrec(); !finite {
			return "mm"
		}
	}
	return "in"
}

// lengthIn is a length as a decimal number of one of these units.
func lengthIn(unit string, t *big.Int) decimal.Decimal {
	if unit == "mm" {
		return decimal.NewFromBigInt(t, -9)
	}
	inches := new(big.Rat).SetFrac(t, big.NewInt(units.TicksPerInch))
	n, _ := inches.FloatPrec()
	return roundUp(inches, int32(n)) // nothing is left to round
}

// ceilQuo divides and rounds up to a whole number, without decimal's global precision.
func ceilQuo(a, b decimal.Decimal) decimal.Decimal {
	return roundUp(new(big.Rat).Quo(a.Rat(), b.Rat()), 0)
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
