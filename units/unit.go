package units

import "fmt"

// Unit is a unit of length. The zero value is [In].
type Unit uint8

// The units of length. The foot is the international one, 0.3048 m.
const (
	In Unit = iota
	Ft
	MM
	CM
	M
)

// scale says how ticks become a decimal number of a unit: a unit is `ticks` ticks, and a count of ticks has a finite
// decimal in it when `prime` divides the count: count / prime * lift is then that decimal times 10^places.
type scale struct {
	name   string
	ticks  int64
	prime  int64
	lift   int64
	places int
}

func (s scale) decimal(ticks int64) (n int64, finite bool) {
	return ticks / s.prime * s.lift, ticks%s.prime == 0
}

// scale treats a value that is none of the constants as MM, the unit in which every length is finite.
func (u Unit) scale() scale {
	switch u {
	case In:
		return scale{"in", TicksPerInch, 127, 5, 9} // 25.4e9 = 127 · 10^9 / 5
	case Ft:
		return scale{"ft", 12 * TicksPerInch, 3 * 127, 125, 11} // 304.8e9 = 381 · 10^11 / 125
	case CM:
		return scale{"cm", 10 * TicksPerMM, 1, 1, 10}
	case M:
		return scale{"m", 1000 * TicksPerMM, 1, 1, 12}
	default:
		return scale{"mm", TicksPerMM, 1, 1, 9}
	}
}

// String returns the unit as it is written after a number: in, ft, mm, cm or m.
func (u Unit) String() string { return u.scale().name }

const unitNames = "in, ft, mm, cm or m"

// ParseUnit reads in, ft, mm, cm or m.
func ParseUnit(s string) (Unit, error) {
	for u := In; u <= M; u++ {
		if u.String() == s {
			return u, nil
		}
	}
	return 0, fmt.Errorf("unknown unit %.20q: use %s: %w", s, unitNames, ErrSyntax)
}
