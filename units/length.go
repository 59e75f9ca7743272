package units

import (
	"cmp"
	"fmt"
	"math"
	"math/big"

	"github.com/shopspring/decimal"
)

const (
	// TicksPerMM is the number of ticks of a [Length] in a millimetre.
	TicksPerMM int64 = 1_000_000_000
	// TicksPerInch is the number of ticks of a [Length] in an inch of exactly 25.4 mm.
	TicksPerInch int64 = 25_400_000_000
	// MaxTicks bounds every [Length] on both sides: 1,000 km. The sum of two counts within it can't wrap.
	MaxTicks int64 = 1_000_000_000_000_000_000
)

// Length is an exact length or station: a whole number of ticks of 1e-9 mm, at most [MaxTicks] either way.
// The zero value is 0. Lengths are equal exactly when == says so.
type Length struct{ ticks int64 }

// FromTicks returns a length of n ticks of 1e-9 mm, or [ErrOverflow] beyond [MaxTicks].
func FromTicks(n int64) (Length, error) {
	if n > MaxTicks || n < -MaxTicks {
		return Length{}, errTooLong
	}
	return Length{n}, nil
}

var errTooLong = fmt.Errorf("a length is at most 1,000 km: %w", ErrOverflow)

// FromRat returns a length of r ticks of 1e-9 mm, rounded to a whole tick as told; [ErrInexact] under [Exact],
// [ErrOverflow] beyond [MaxTicks].
func FromRat(r *big.Rat, mode Rounding) (Length, error) {
	n, err := roundRat(r, mode)
	if err != nil {
		return Length{}, err
	}
	if !n.IsInt64() {
		return FromTicks(math.MaxInt64)
	}
	return FromTicks(n.Int64())
}

// FromDecimal returns a length of d units, or [ErrInexact] or [ErrOverflow]. Its cost has a limit whatever the
// exponent of d: a coefficient of over 150 digits is [ErrOverflow].
func FromDecimal(d decimal.Decimal, u Unit) (Length, error) {
	c, exp := d.Coefficient(), int64(d.Exponent())
	switch {
	case c.Sign() == 0:
		return Length{}, nil
	case c.BitLen() > 500:
		return Length{}, fmt.Errorf("a decimal of over 150 digits: %w", ErrOverflow)
	case exp > 20:
		return FromTicks(math.MaxInt64)
	case exp < -200: // even 150 digits leave less than a tick
		return Length{}, errOffStep
	}
	r := new(big.Rat).SetInt(c)
	power := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(max(exp, -exp)), nil))
	if exp < 0 {
		r.Quo(r, power)
	} else {
		r.Mul(r, power)
	}
	return FromRat(r.Mul(r, new(big.Rat).SetInt64(u.scale().ticks)), Exact)
}

// Decimal returns the length as a decimal number of units, without trailing zeros, and whether it has a finite one.
// In mm, cm and m every length has.
func (l Length) Decimal(u Unit) (decimal.Decimal, bool) {
	s := u.scale()
	n, finite := s.decimal(l.ticks)
	if !finite {
		return decimal.Decimal{}, false
	}
	places := s.places
	for places > 0 && n%10 == 0 {
		n, places = n/10, places-1
	}
	return decimal.New(n, -int32(places)), true
}

// Ticks returns the length in ticks of 1e-9 mm.
func (l Length) Ticks() int64 { return l.ticks }

// Rat returns the length in ticks of 1e-9 mm as a new rational number.
func (l Length) Rat() *big.Rat { return new(big.Rat).SetInt64(l.ticks) }

// Add returns l + m, or [ErrOverflow].
func (l Length) Add(m Length) (Length, error) { return FromTicks(l.ticks + m.ticks) }

// Sub returns l - m, or [ErrOverflow].
func (l Length) Sub(m Length) (Length, error) { return FromTicks(l.ticks - m.ticks) }

// Mul returns l · n, or [ErrOverflow].
func (l Length) Mul(n int64) (Length, error) {
	if l.ticks == 0 || n == 0 {
		return Length{}, nil
	}
	if n == math.MinInt64 || max(n, -n) > MaxTicks/l.Abs().ticks {
		return FromTicks(math.MaxInt64)
	}
	return FromTicks(l.ticks * n)
}

// QuoRem returns how many times m goes into l, toward zero, and what is left, which has the sign of l;
// [ErrZero] where m is 0.
func (l Length) QuoRem(m Length) (int64, Length, error) {
	if m.ticks == 0 {
		return 0, Length{}, fmt.Errorf("a length divided by no length: %w", ErrZero)
	}
	return l.ticks / m.ticks, Length{l.ticks % m.ticks}, nil
}

// Neg returns -l.
func (l Length) Neg() Length { return Length{-l.ticks} }

// Abs returns l without its sign.
func (l Length) Abs() Length { return Length{max(l.ticks, -l.ticks)} }

// Cmp returns -1 where l < m, 0 where they are equal, 1 where l > m.
func (l Length) Cmp(m Length) int { return cmp.Compare(l.ticks, m.ticks) }

// Sign returns -1, 0 or 1.
func (l Length) Sign() int { return cmp.Compare(l.ticks, 0) }

// IsZero reports whether l is 0.
func (l Length) IsZero() bool { return l.ticks == 0 }
