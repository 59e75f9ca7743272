package units

import (
	"errors"
	"math/big"
)

// Parse reads a length exactly: 16 in, 3/4 in, 1 3/4 in, 0.024 in, 10 ft, 10 ft 6 1/2 in, 400 mm, 2.5 cm, 1.2 m, or
// as on a tape: 10', 6 1/2", 10' 6 1/2", 10'-6 1/2". One minus may stand before the whole. Spaces may be left out
// or doubled, but none stands round the slash of a fraction. At most 64 bytes, 32 in a number.
//
// The error is a [*ParseError]: [ErrSyntax], [ErrInexact] where the length is no whole number of ticks of 1e-9 mm,
// [ErrOverflow] over 1,000 km.
func Parse(s string) (Length, error) {
	sc := scan("length", s)
	sc.spaces()
	start := sc.pos
	negative := sc.accept('-')
	sum := sc.length()
	if err := sc.done(); err != nil {
		return Length{}, err
	}
	if negative {
		sum.Neg(sum)
	}
	l, err := FromRat(sum, Exact)
	switch {
	case errors.Is(err, ErrInexact):
		sc.fail(start, ErrInexact, "can't be held exactly: use a fraction down to 1/512 in, or at most 8 decimals of an inch or 9 of a millimetre")
	case err != nil:
		sc.fail(start, ErrOverflow, "is over 1,000 km, the longest that can be held")
	}
	if sc.err != nil {
		return Length{}, sc.err
	}
	return l, nil
}

// MustParse is [Parse] for texts that are known to be right; it panics on any other.
func MustParse(s string) Length {
	l, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return l
}

// length reads a length without its sign, in ticks.
func (s *scanner) length() *big.Rat {
	start := s.pos
	first := s.number()
	unit, tape := s.unit()
	sum := ticks(first, unit)
	s.spaces()
	if s.err != nil || unit != Ft || s.pos == len(s.text) {
		return sum
	}
	if tape && s.accept('-') {
		s.spaces()
	}
	at := s.pos
	inches := s.number()
	if second, quote := s.unit(); s.err == nil && (second != In || quote != tape) {
		s.fail(at, ErrSyntax, `only inches follow feet: write 10 ft 6 1/2 in or 10' 6 1/2"`)
	}
	if !first.IsInt() {
		s.fail(start, ErrSyntax, "feet before inches must be a whole number")
	}
	if inches.Cmp(big.NewRat(12, 1)) >= 0 {
		s.fail(at, ErrSyntax, "inches after feet must be below 12")
	}
	return sum.Add(sum, ticks(inches, In))
}

func ticks(n *big.Rat, u Unit) *big.Rat {
	return new(big.Rat).Mul(n, new(big.Rat).SetInt64(u.scale().ticks))
}

// unit reads a unit and whether it is a tape's quote.
func (s *scanner) unit() (u Unit, tape bool) {
	s.spaces()
	at := s.pos
	if s.accept('\'') {
		return Ft, true
	}
	if s.accept('"') {
		return In, true
	}
	name := s.word()
	if name == "" {
		s.fail(at, ErrSyntax, "a unit is missing%s: write %s after the number", s.found(), unitNames)
		return 0, false
	}
	u, err := ParseUnit(name)
	if err != nil {
		s.fail(at, ErrSyntax, "unknown unit %q: use %s", name, unitNames)
	}
	return u, false
}
