package geom

import (
	"cmp"
	"math/big"
	"math/bits"
)

// wide is a 128-bit whole number: a product of two lengths on a plane, or a few of them added.
type wide struct {
	hi int64
	lo uint64
}

func mul(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	return wide{int64(hi) - a>>63&b - b>>63&a, lo}
}

func (w wide) plus(v wide) wide {
	lo, carry := bits.Add64(w.lo, v.lo, 0)
	return wide{w.hi + v.hi + int64(carry), lo}
}

func (w wide) minus(v wide) wide {
	lo, borrow := bits.Sub64(w.lo, v.lo, 0)
	return wide{w.hi - v.hi - int64(borrow), lo}
}

func (w wide) cmp(v wide) int {
	if c := cmp.Compare(w.hi, v.hi); c != 0 {
		return c
	}
	return cmp.Compare(w.lo, v.lo)
}

func (w wide) sign() int { return w.cmp(wide{}) }

func (w wide) big() *big.Int {
	n := new(big.Int).Lsh(big.NewInt(w.hi), 64)
	return n.Add(n, new(big.Int).SetUint64(w.lo))
}

// mulDiv returns a · b / c rounded down and what is left, for 0 <= a <= c and c above 0.
func mulDiv(a, b, c int64) (quotient, rest int64) {
	size := max(b, -b)
	hi, lo := bits.Mul64(uint64(a), uint64(size))
	q, r := bits.Div64(hi, lo, uint64(c)) // hi is below c: a is at most c
	switch {
	case b >= 0:
		return int64(q), int64(r)
	case r == 0:
		return -int64(q), 0
	}
	return -int64(q) - 1, c - int64(r)
}

// root returns ±√(num/den), with the sign of sign, rounded down and up to whole numbers.
func root(sign int, num, den *big.Int) (down, up *big.Int) {
	down = new(big.Int).Quo(num, den)
	down.Sqrt(down)
	up = new(big.Int).Set(down)
	square := new(big.Int).Mul(down, down)
	if square.Mul(square, den).Cmp(num) != 0 {
		up.Add(up, big.NewInt(1))
	}
	if sign < 0 {
		return up.Neg(up), down.Neg(down)
	}
	return down, up
}

// overRoot returns n/√u rounded down and up.
func overRoot(n, u *big.Int) (down, up *big.Int) { return root(n.Sign(), product(n, n), u) }

// timesRoot returns n·√u/d rounded down and up; d isn't 0.
func timesRoot(n, u, d *big.Int) (down, up *big.Int) {
	return root(n.Sign()*d.Sign(), product(n, n, u), product(d, d))
}

func product(factors ...*big.Int) *big.Int {
	n := big.NewInt(1)
	for _, f := range factors {
		n.Mul(n, f)
	}
	return n
}
