package units

import (
	"cmp"
	"fmt"
	"math/big"
)

// maxSlope bounds both terms of a reduced slope, so that two cross products still fit.
const maxSlope = 1_000_000_000

// Slope is an exact rise over run, never negative. The zero value is 0:12. Slopes are equal exactly when == says so.
type Slope struct {
	rise, run int64 // reduced; run is 0 in the zero value only
}

// NewSlope returns rise:run; 3, 12 is 3:12. A negative rise or a run not above 0 is [ErrSyntax]; a reduced term over
// 1e9 is [ErrOverflow].
func NewSlope(rise, run int64) (Slope, error) {
	if rise < 0 || run <= 0 {
		return Slope{}, fmt.Errorf("a slope's rise must not be below 0 and its run must be above 0: %w", ErrSyntax)
	}
	return SlopeFromRat(big.NewRat(rise, run))
}

// SlopeFromRat returns a slope of r, its rise over its run. A negative r is [ErrSyntax]; a reduced term over 1e9 is
// [ErrOverflow].
func SlopeFromRat(r *big.Rat) (Slope, error) {
	limit := big.NewInt(maxSlope)
	switch {
	case r.Sign() < 0:
		return Slope{}, fmt.Errorf("a slope must not be below 0: %w", ErrSyntax)
	case r.Sign() == 0:
		return Slope{}, nil
	case r.Num().Cmp(limit) > 0 || r.Denom().Cmp(limit) > 0:
		return Slope{}, fmt.Errorf("a slope's reduced rise and run are at most 1,000,000,000: %w", ErrOverflow)
	}
	return Slope{r.Num().Int64(), r.Denom().Int64()}, nil
}

// ParseSlope reads a slope exactly: 3:12, 1/2:12, 3 1/2:12, 2.5:12. No space stands round the colon.
// The error is a [*ParseError].
func ParseSlope(s string) (Slope, error) {
	sc := scan("slope", s)
	sc.spaces()
	start := sc.pos
	if sc.peek() == '-' {
		sc.fail(start, ErrSyntax, "a slope is never negative")
	}
	rise := sc.number()
	if !sc.accept(':') {
		sc.fail(sc.pos, ErrSyntax, "a slope is rise:run, such as 3:12, without spaces round the colon%s", sc.found())
	}
	at := sc.pos
	run := sc.number()
	if run.Sign() == 0 {
		sc.fail(at, ErrSyntax, "the run of a slope must be above 0")
	}
	if err := sc.done(); err != nil {
		return Slope{}, err
	}
	slope, err := SlopeFromRat(rise.Quo(rise, run))
	if err != nil {
		sc.fail(start, ErrOverflow, "the reduced rise and run of a slope are at most 1,000,000,000")
		return Slope{}, sc.err
	}
	return slope, nil
}

// Rat returns rise over run as a new rational number: 1/4 for 3:12.
func (s Slope) Rat() *big.Rat { return big.NewRat(s.rise, max(s.run, 1)) }

// Cmp returns -1 where s is flatter than t, 0 where they are equal, 1 where s is steeper.
func (s Slope) Cmp(t Slope) int {
	return cmp.Compare(s.rise*max(t.run, 1), t.rise*max(s.run, 1))
}

// String writes the exact rise in 12: 3:12, 1/2:12, 3 1/2:12. [ParseSlope] reads it back.
func (s Slope) String() string {
	r := s.Rat()
	return mixed(r.Mul(r, big.NewRat(12, 1))) + ":12"
}

// MarshalText writes the slope as [Slope.String] does. In JSON a slope is a string.
func (s Slope) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what [ParseSlope] reads. In JSON a slope is a string; a number is an error.
func (s *Slope) UnmarshalText(text []byte) error {
	parsed, err := ParseSlope(string(text))
	if err == nil {
		*s = parsed
	}
	return err
}
