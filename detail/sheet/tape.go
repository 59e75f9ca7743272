package sheet

import (
	"github.com/lapwright/lapwright/units"
)

// The finest steps of the tapes that a sheet is read against.
var (
	sixteenth  = units.MustParse("1/16 in")
	millimetre = units.MustParse("1 mm")
)

// figures writes lengths as they are read off a tape: in feet, inches and sixteenths, or in millimetres.
type figures struct {
	unit    units.Unit // MM: millimetres
	rounded bool       // a figure carries ~
	err     error      // the first
}

// tape is a length as on the tape, with a ~ where that is not the very length.
func (f *figures) tape(l units.Length, mode units.Rounding) string {
	s, exact := "", true
	if f.unit == units.MM {
		r, err := l.Round(millimetre, mode)
		if err != nil {
			r = l
		}
		s, exact = r.Format(units.MM), r == l
	} else {
		s, exact = l.Tape(sixteenth, mode)
	}
	if exact {
		return s
	}
	f.rounded = true
	return "~" + s
}

// exact is the very length: on the tape where it is a sixteenth, else in decimals.
func (f *figures) exact(l units.Length) string {
	if f.unit == units.MM {
		return l.Format(units.MM)
	}
	s, _ := l.Tape(sixteenth, units.Exact)
	return s
}

// mark is a mark on the tape, from where its scope starts: rounded to the side that keeps its rules, or, where neither
// keeps them all, toward the middle of the scope. The side is known for sixteenths only.
func (f *figures) mark(at, from, to units.Length, round units.Rounding) string {
	if round == units.Exact || f.unit == units.MM {
		round = units.Down
		if 2*at.Ticks() < from.Ticks()+to.Ticks() {
			round = units.Up
		}
	}
	return f.tape(at, round)
}

// span is a stretch that has to be covered: rounded outward.
func (f *figures) span(from, to units.Length) string {
	return f.tape(from, units.Down) + " to " + f.tape(to, units.Up)
}

// place is a stretch to look for, not to make: to the nearest.
func (f *figures) place(from, to units.Length) string {
	if from == to {
		return f.tape(from, units.Nearest)
	}
	return f.tape(from, units.Nearest) + " to " + f.tape(to, units.Nearest)
}

// less is a - b; an overflow is kept as the first error.
func (f *figures) less(a, b units.Length) units.Length {
	d, err := a.Sub(b)
	if f.err == nil {
		f.err = err
	}
	return d
}

// roundings says what a ~ means.
func (f *figures) roundings() string {
	step := "sixteenth"
	if f.unit == units.MM {
		step = "millimetre"
	}
	return "A figure with a ~ is off the " + step + ": a mark is shown to the " + step + " toward the middle of its panel or " +
		"run, a piece, strip or bead to the longer side, any other place to the nearest. Near a limit, measure by the exact report."
}

// repeats are the entries with equal neighbours made one: "4' 2" x2".
func repeats(entries []string) []string {
	var out []string
	for i := 0; i < len(entries); {
		n := 1
		for i+n < len(entries) && entries[i+n] == entries[i] {
			n++
		}
		e := entries[i]
		if n > 1 {
			e += times(n)
		}
		out = append(out, e)
		i += n
	}
	return out
}
