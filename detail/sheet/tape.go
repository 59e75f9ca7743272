package sheet

import "github.com/lapwright/lapwright/units"

// sixteenth is the finest step of the tape that the sheet is read against.
var sixteenth = units.MustParse("1/16 in")

// tape is a length as on the tape, with a ~ where that is not the very length.
func (p *page) tape(l units.Length, mode units.Rounding) string {
	s, exact := l.Tape(sixteenth, mode)
	if exact {
		return s
	}
	p.rounded = true
	return "~" + s
}

// mark is a mark on the tape, from where its scope starts: rounded to the side that keeps its rules, or, where neither
// keeps them all, toward the middle of the scope.
func (p *page) mark(at, from, to units.Length, round units.Rounding) string {
	if round == units.Exact {
		round = units.Down
		if 2*at.Ticks() < from.Ticks()+to.Ticks() {
			round = units.Up
		}
	}
	return p.tape(at, round)
}

// span is a stretch that has to be covered: rounded outward.
func (p *page) span(from, to units.Length) string {
	return p.tape(from, units.Down) + " to " + p.tape(to, units.Up)
}

// place is a stretch to look for, not to make: to the nearest.
func (p *page) place(from, to units.Length) string {
	if from == to {
		return p.tape(from, units.Nearest)
	}
	return p.tape(from, units.Nearest) + " to " + p.tape(to, units.Nearest)
}

// less is a - b; an overflow is kept as the page's error.
func (p *page) less(a, b units.Length) units.Length {
	d, err := a.Sub(b)
	if p.err == nil {
		p.err = err
	}
	return d
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
