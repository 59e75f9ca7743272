package units

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
)

const (
	// maxVolume bounds a [Volume]: 1,000 l.
	maxVolume int64 = 1_000_000_000_000_000_000
	// cubicTicks is how many cubed ticks of a length make one tick of a volume: 1e-12 ml is 1e18 of (1e-9 mm)³.
	cubicTicks int64 = 1_000_000_000_000_000_000
)

// The scales of a volume's tick of 1e-12 ml. A US fluid ounce is 231/128 in³, exactly 29.5735295625 ml.
var (
	fluidOunce = scale{"floz", 29_573_529_562_500, 473_176_473, 16, 6} // 473176473 · 10^6 / 16
	millilitre = scale{"ml", 1_000_000_000_000, 1, 1, 12}
)

// Volume is an exact volume: a whole number of ticks of 1e-12 ml, from 0 to 1,000 l. The zero value is 0.
// Volumes are equal exactly when == says so.
type Volume struct{ ticks int64 }

func volume(ticks int64) (Volume, error) {
	if ticks > maxVolume || ticks < 0 {
		return Volume{}, fmt.Errorf("a volume is from 0 to 1,000 l: %w", ErrOverflow)
	}
	return Volume{ticks}, nil
}

// ParseVolume reads a volume exactly: 10.1 floz (US fluid ounces), 300 ml. It is never negative.
// The error is a [*ParseError].
func ParseVolume(s string) (Volume, error) {
	sc := scan("volume", s)
	sc.spaces()
	start := sc.pos
	if sc.peek() == '-' {
		sc.fail(start, ErrSyntax, "a volume is never negative")
	}
	n := sc.number()
	sc.spaces()
	at := sc.pos
	unit := millilitre
	switch name := sc.word(); name {
	case "floz":
		unit = fluidOunce
	case "ml":
	case "":
		sc.fail(at, ErrSyntax, "a unit is missing%s: write floz or ml after the number", sc.found())
	default:
		sc.fail(at, ErrSyntax, "unknown unit %q: use floz or ml", name)
	}
	if err := sc.done(); err != nil {
		return Volume{}, err
	}
	v, err := wholeVolume(n.Mul(n, new(big.Rat).SetInt64(unit.ticks)), Exact)
	switch {
	case errors.Is(err, ErrInexact):
		sc.fail(start, ErrInexact, "can't be held exactly: use at most 2 decimals of a fluid ounce or 12 of a millilitre")
	case err != nil:
		sc.fail(start, ErrOverflow, "is over 1,000 l, the most that can be held")
	}
	if sc.err != nil {
		return Volume{}, sc.err
	}
	return v, nil
}

// VolumeFromRat returns a volume of r cubic ticks, (1e-9 mm)³, rounded to 1e-12 ml as told; [ErrInexact] under
// [Exact], [ErrOverflow] below 0 and over 1,000 l.
func VolumeFromRat(r *big.Rat, mode Rounding) (Volume, error) {
	return wholeVolume(new(big.Rat).Quo(r, big.NewRat(cubicTicks, 1)), mode)
}

func wholeVolume(r *big.Rat, mode Rounding) (Volume, error) {
	n, err := roundRat(r, mode)
	if err != nil {
		return Volume{}, err
	}
	if !n.IsInt64() {
		return volume(math.MaxInt64)
	}
	return volume(n.Int64())
}

// Rat returns the volume in cubic ticks of [Length], (1e-9 mm)³, as a new rational number: divided by an area in
// square ticks it is a length in ticks.
func (v Volume) Rat() *big.Rat {
	r := big.NewRat(v.ticks, 1)
	return r.Mul(r, big.NewRat(cubicTicks, 1))
}

// Add returns v + w, or [ErrOverflow].
func (v Volume) Add(w Volume) (Volume, error) { return volume(v.ticks + w.ticks) }

// Cmp returns -1 where v < w, 0 where they are equal, 1 where v > w.
func (v Volume) Cmp(w Volume) int { return cmp.Compare(v.ticks, w.ticks) }

// IsZero reports whether v is 0.
func (v Volume) IsZero() bool { return v.ticks == 0 }

// String writes the volume exactly as a plain decimal, 10.1 floz, or in ml where fluid ounces have no finite decimal.
// [ParseVolume] reads it back.
func (v Volume) String() string {
	s := fluidOunce
	n, finite := s.decimal(v.ticks)
	if !finite {
		s = millilitre
		n = v.ticks
	}
	return plain(n, s.places) + " " + s.name
}

// MarshalText writes the volume as [Volume.String] does. In JSON a volume is a string.
func (v Volume) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads what [ParseVolume] reads. In JSON a volume is a string; a number is an error.
func (v *Volume) UnmarshalText(text []byte) error {
	parsed, err := ParseVolume(string(text))
	if err == nil {
		*v = parsed
	}
	return err
}
