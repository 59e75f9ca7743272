package verify

import (
	"math/big"

	"github.com/lapwright/lapwright/units"
)

// num is an exact number; a length is in ticks. Nothing here changes a num once it is made.
type num = *big.Rat

func whole(n int64) num           { return new(big.Rat).SetInt64(n) }
func ticks(l units.Length) num    { return whole(l.Ticks()) }
func add(a, b num) num            { return new(big.Rat).Add(a, b) }
func sub(a, b num) num            { return new(big.Rat).Sub(a, b) }
func mul(a, b num) num            { return new(big.Rat).Mul(a, b) }
func quo(a, b num) num            { return new(big.Rat).Quo(a, b) }
func neg(a num) num               { return new(big.Rat).Neg(a) }
func half(a num) num              { return mul(a, big.NewRat(1, 2)) }
func less(a, b num) bool          { return a.Cmp(b) < 0 }
func equal(a, b num) bool         { return a.Cmp(b) == 0 }
func between(a, x, b num) bool    { return !less(x, a) && !less(b, x) }
func strictlyIn(a, x, b num) bool { return less(a, x) && less(x, b) }
func multipleOf(x, step num) bool { return quo(x, step).IsInt() }

func smaller(a, b num) num {
	if less(b, a) {
		return b
	}
	return a
}

func larger(a, b num) num {
	if less(a, b) {
		return b
	}
	return a
}

// down is the largest whole number that is not over x.
func down(x num) num {
	q := new(big.Int).Div(x.Num(), x.Denom()) // Euclidean: toward minus infinity, the divisor being positive
	return new(big.Rat).SetInt(q)
}

// up is the smallest whole number that is not under x.
func up(x num) num { return neg(down(neg(x))) }

// A band is a closed stretch of a run; a point where both ends are one.
type band struct{ from, to num }

func point(x num) band { return band{x, x} }

func (b band) length() num { return sub(b.to, b.from) }

// touches tells whether two bands share a point, be it a border.
func (b band) touches(c band) bool { return !less(b.to, c.from) && !less(c.to, b.from) }

// overlaps tells whether two bands share more than a border.
func (b band) overlaps(c band) bool { return less(b.from, c.to) && less(c.from, b.to) }

// apart is the distance between two bands; where they overlap it is negative: how far one has to move.
func (b band) apart(c band) num { return larger(sub(c.from, b.to), sub(b.from, c.to)) }

// wider is the band with d more at each end.
func (b band) wider(d num) band { return band{sub(b.from, d), add(b.to, d)} }
