package units

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// ParsePercent reads a percent exactly, 5%, 2.5% or 2 1/2%, and returns it as a decimal fraction: 0.05 for 5%.
// It is never negative. The error is a [*ParseError]; [ErrInexact] where the fraction has no finite decimal.
func ParsePercent(s string) (decimal.Decimal, error) {
	sc := scan("percent", s)
	sc.spaces()
	start := sc.pos
	if sc.peek() == '-' {
		sc.fail(start, ErrSyntax, "a percent is never negative")
	}
	n := sc.number()
	sc.spaces()
	if !sc.accept('%') {
		sc.fail(sc.pos, ErrSyntax, "a percent sign is missing%s: write 5%%", sc.found())
	}
	if err := sc.done(); err != nil {
		return decimal.Decimal{}, err
	}
	d, ok := finite(n.Quo(n, big.NewRat(100, 1)))
	if !ok {
		sc.fail(start, ErrInexact, "has no finite decimal: use a decimal such as 33.3%%")
		return decimal.Decimal{}, sc.err
	}
	return d, nil
}

// finite returns r as a decimal without trailing zeros, if it has a finite one.
func finite(r *big.Rat) (decimal.Decimal, bool) {
	// 10^places · r is whole for the least places that hold all twos and fives of the denominator.
	places, exact := r.FloatPrec()
	if !exact {
		return decimal.Decimal{}, false
	}
	power := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	n := new(big.Int).Mul(r.Num(), power)
	return decimal.NewFromBigInt(n.Quo(n, r.Denom()), -int32(places)), true
}
