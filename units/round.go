package units

import (
	"fmt"
	"math/big"
)

// Rounding is what to do with a value that falls between two that can be held.
type Rounding uint8

// The roundings. On stations they go left and right along the run, so negative values round the same way as positive.
const (
	Exact   Rounding = iota // don't: the value is an error
	Down                    // toward minus infinity
	Up                      // toward plus infinity
	Nearest                 // to the nearer; a tie goes up
)

var errOffStep = fmt.Errorf("lies between two steps: %w", ErrInexact)

// Round returns the multiple of step that mode says. A step of 0 or less is [ErrZero]; a length off the step under
// [Exact] is [ErrInexact]; a result beyond [MaxTicks] is [ErrOverflow].
func (l Length) Round(step Length, mode Rounding) (Length, error) {
	if step.ticks <= 0 {
		return Length{}, fmt.Errorf("a rounding step must be above 0: %w", ErrZero)
	}
	rest := l.ticks % step.ticks
	if rest < 0 {
		rest += step.ticks
	}
	down := l.ticks - rest
	up, err := roundUp(rest, step.ticks, mode)
	switch {
	case err != nil:
		return Length{}, err
	case up:
		return FromTicks(down + step.ticks)
	}
	return FromTicks(down)
}

// roundUp says whether rest/step, in [0, 1), goes up to 1.
func roundUp(rest, step int64, mode Rounding) (bool, error) {
	switch {
	case rest == 0 || mode == Down:
		return false, nil
	case mode == Up:
		return true, nil
	case mode == Nearest:
		return rest >= step-rest, nil
	}
	return false, errOffStep
}

// roundRat rounds r to a whole number.
func roundRat(r *big.Rat, mode Rounding) (*big.Int, error) {
	if r.IsInt() {
		return new(big.Int).Set(r.Num()), nil
	}
	// The denominator is above 0, so Euclid's division is the floor.
	floor, rest := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int))
	switch {
	case mode == Down:
		return floor, nil
	case mode == Up, mode == Nearest && rest.Lsh(rest, 1).Cmp(r.Denom()) >= 0:
		return floor.Add(floor, big.NewInt(1)), nil
	case mode == Nearest:
		return floor, nil
	}
	return nil, errOffStep
}
