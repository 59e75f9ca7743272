package detail

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/units"
)

// Measured is what was measured on a finished roof. ReadMeasured reads it from JSON and ReadMeasuredCSV from a table; a
// host may as well fill it in. Inspect checks either.
type Measured struct {
	Tolerance units.Length // what fails a rule by no more is advice
	List      []Measure
}

// A Measure is what was measured of one element on one run, or on one side of it. An element may have several, each of
// other Scopes.
type Measure struct {
	Place
	Run, Side, Detail, Element string
	// Scopes are the numbers of the scopes that were measured in full: those in which nothing was found count as
	// empty. None: an element along the run or a side was measured in full, any other where something was found.
	Scopes []int
	// Part is the stretch of the run that was measured, of an element along the run or a side; nil: all of it.
	Part   *[2]units.Length
	At     []units.Length // the marks of a row, ascending; two in one place repeat it
	Pieces []Piece        // only From and To are read; ascending by From
	Strips []Strip        // Length too, where a rule sets it: what was cut for the strip
	Beads  []Bead         // At and Length; ascending by At
}

// check gathers what is wrong with measurements in themselves.
func (m *Measured) check(errs *JobErrors) {
	if m.Tolerance.Sign() < 0 {
		errs.add(&JobError{Place: Place{Pointer: "/tolerance"},
			Msg: fmt.Sprintf("the tolerance is %s: want 0 in or more", m.Tolerance)})
	}
	if m.Tolerance.Ticks() > farthest {
		errs.add(&JobError{Place: Place{Pointer: "/tolerance"},
			Msg: fmt.Sprintf("the tolerance is %s: want at most 100 km", m.Tolerance)})
	}
	for i := range m.List {
		m.List[i].check(i, errs)
	}
}

func (m *Measure) check(i int, errs *JobErrors) {
	at := m.Place
	if at.Pointer == "" && at.Line == 0 {
		at.Pointer = "/measured/" + strconv.Itoa(i)
	}
	bad := func(p Place, format string, args ...any) {
		errs.add(&JobError{Place: p, Msg: fmt.Sprintf(format, args...)})
	}
	for _, n := range m.Scopes {
		if n < 1 {
			bad(at, "scopes are counted from 1, so there is no scope %d", n)
		}
	}
	if sorted := slices.Sorted(slices.Values(m.Scopes)); len(slices.Compact(sorted)) < len(m.Scopes) {
		bad(at, "a scope is listed twice")
	}
	if p := m.Part; p != nil && p[0].Cmp(p[1]) >= 0 {
		bad(at, "the part that was measured ends at %s, before or where it starts, at %s", p[1], p[0])
	}
	kinds := 0
	for _, n := range []int{len(m.At), len(m.Pieces), len(m.Strips), len(m.Beads)} {
		if n > 0 {
			kinds++
		}
	}
	if kinds > 1 {
		bad(at, "an element has marks, pieces, strips or beads, and not several of them")
	}
	ascending(at, "at", m.At, errs, func(l units.Length) units.Length { return l })
	ascending(at, "pieces", m.Pieces, errs, func(p Piece) units.Length { return p.From })
	ascending(at, "strips", m.Strips, errs, func(s Strip) units.Length { return s.From })
	ascending(at, "beads", m.Beads, errs, func(b Bead) units.Length { return b.At })
	within := func(p Place, lengths ...units.Length) {
		for _, l := range lengths {
			if max(l.Ticks(), -l.Ticks()) > farthest {
				bad(p, "%s is farther than any run goes: want at most 100 km", l)
			}
		}
	}
	for k, l := range m.At {
		within(at.part("at", k), l)
	}
	for k, p := range m.Pieces {
		within(at.part("pieces", k), p.From, p.To)
		if p.From.Cmp(p.To) >= 0 {
			bad(at.part("pieces", k), "a piece ends at %s, before or where it starts, at %s", p.To, p.From)
		}
	}
	for k, s := range m.Strips {
		within(at.part("strips", k), s.From, s.To, s.Length)
		if s.From.Cmp(s.To) >= 0 {
			bad(at.part("strips", k), "a strip ends at %s, before or where it starts, at %s", s.To, s.From)
		}
		if s.Length.Sign() < 0 {
			bad(at.part("strips", k), "a strip's length is %s: want 0 in or more", s.Length)
		}
	}
	for k, b := range m.Beads {
		within(at.part("beads", k), b.At, b.Length)
		if b.Length.Sign() < 0 {
			bad(at.part("beads", k), "a bead's length is %s: want 0 in or more", b.Length)
		}
	}
}

// farthest bounds stations, so that no difference of two is more than a length can hold.
const farthest = units.MaxTicks / 10

// part is the place of a part of a measurement. One from a table has no deeper place than its line.
func (p Place) part(keys ...any) Place {
	if p.Pointer == "" {
		return p
	}
	return p.child(keys...)
}

// ascending finds the first value of a list that stands before the one before it: out of order, so that one of them may
// be misread. Two in one place are a finding and no error.
func ascending[T any](at Place, key string, list []T, errs *JobErrors, station func(T) units.Length) {
	for i := 1; i < len(list); i++ {
		if before, here := station(list[i-1]), station(list[i]); cmp.Compare(here.Ticks(), before.Ticks()) < 0 {
			errs.add(&JobError{Place: at.part(key, i),
				Msg: fmt.Sprintf("%s comes after %s: list stations from the run's station 0 on", here, before)})
			return
		}
	}
}

// count is how many marks, pieces, strips and beads there are.
func (m *Measure) count() int { return len(m.At) + len(m.Pieces) + len(m.Strips) + len(m.Beads) }
