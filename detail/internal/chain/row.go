package chain

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
)

// Row asks for marks on a line from 0 to Length.
type Row struct {
	Length int64 // up to MaxLength
	Lay    Lay   // Even, Stepped or Centered
	Limits []Limit
}

// MaxLength is the longest scope that can be laid.
const MaxLength = 1e18

// Result says what a layout keeps.
type Result struct {
	Kept     []bool // per limit: false only for a Should that no layout keeps together with what comes before it
	Conflict []int  // the musts that conflict, ascending; nil: all hold; empty: Fixed limits alone leave no layout
	Smallest bool   // Conflict is the smallest such set, of these the earliest; false: irreducible, as far as is known
	Binding  int    // the limit that decides how many there are, -1 for none
	Work     int64  // intervals looked at
}

// A Breach is one place where a layout breaks a limit.
type Breach struct {
	Limit    int
	From, To int64 // the gap, the end gap, the scope for a count, the mark twice for Keep and Step
	Found    int64 // the gap, the end gap, the count, how far the mark stands inside what is kept free or off the step
}

// ErrWork is returned where an answer would take more work or more marks than the stated limit.
var ErrWork = errors.New("chain: more work than the limit allows")

// ErrFiner is returned for a largest gap below one step.
type ErrFiner struct{ Limit int }

func (e ErrFiner) Error() string {
	return fmt.Sprintf("chain: limit %d is finer than the step", e.Limit)
}

// Solver lays rows and pieces. Its zero value is ready; it keeps scratch space from one call to the next and is not
// for concurrent use.
type Solver struct {
	MaxWork        int64 // intervals looked at for one row before it is ErrWork; 0 for 1<<28, a few seconds
	ConflictChecks int   // sets of limits looked at to make a conflict the smallest; 0 for 1<<14
	row            rowScratch
	pieces         pieceLayer
}

const (
	maxMarks    = 1 << 24 // marks in a row
	maxWork     = 1 << 28 // intervals looked at for one row
	maxConflict = 1 << 26 // of those, to make a conflict the smallest
	maxChecks   = 1 << 14 // sets of limits looked at for that
)

type rowScratch struct {
	ctx    context.Context
	work   int64
	limit  int64 // of work
	look   int64 // work at which to look for its end
	checks int   // of sets that may conflict
	grid   grid

	in           []bool // the limits in force
	lines        []int  // of shoulds
	keep         []Span
	late         []Span // those of keep that come after what lies to their right
	zones        []zone
	cuts         []int64
	spare        []seg
	most, fewest int64 // limits of gaps that bind everywhere, in steps
	layer        [2][]seg
	front        front
	stack        stack
	fold         fold
	plain        Plain
	free         []Span // of a plain row
	search       bool   // also where the result could be summed up: for the tests

	relaxed bool  // the musts conflict, and largest gaps give way
	yields  bool  // and so do the maximums of ends
	asked   int64 // marks asked for then
	g       int64 // no gap is over g, then
	full    bool  // more marks are laid than the fewest that could be
}

// Row lays a row and appends its marks to dst, ascending, in fine units. Where the musts conflict it lays what the
// language calls the best layout, evenly whatever the way of laying; no marks at all where what always stands leaves
// no place for one. The error is ErrFiner, ErrWork, the context's, or says which value is out of range.
func (s *Solver) Row(ctx context.Context, p *Row, dst []int64) ([]int64, Result, error) {
	r := &s.row
	r.ctx, r.work, r.look, r.limit, r.checks = ctx, 0, 0, cmp.Or(s.MaxWork, maxWork), cmp.Or(s.ConflictChecks, maxChecks)
	res, start := Result{Binding: -1}, len(dst)
	if err := p.check(); err != nil {
		return dst, res, err
	}
	res.Kept = make([]bool, len(p.Limits))
	if !r.search {
		if at, ok := r.closed(p, &res, dst); ok {
			for i := range res.Kept {
				res.Kept[i] = true
			}
			r.ctx, res.Work = nil, 1
			return at, res, nil
		}
	}
	res.Binding = -1
	err := r.musts(p, &res)
	var n int64
	if err == nil && r.asked > 0 {
		if err = r.shoulds(p); err == nil {
			n, err = r.fit(p)
		}
	}
	counted := r.full
	if err == nil && n > 0 {
		dst, err = r.lay(p, n, dst)
	}
	if err == nil && n > 0 && !r.relaxed {
		res.Binding, err = r.binding(p, n, counted)
	}
	copy(res.Kept, r.in)
	res.Work = r.work
	r.ctx = nil
	if err != nil {
		return dst[:start], res, err
	}
	return dst, res, nil
}

func (p *Row) check() error {
	if p.Length < 0 || p.Length > MaxLength {
		return fmt.Errorf("chain: length %d is outside 0 to %d", p.Length, int64(MaxLength))
	}
	step, steps := int64(1), 0
	for i, l := range p.Limits {
		if l.Kind == Step {
			if step, steps = l.Value, steps+1; step < 1 || step > MaxLength || steps > 1 {
				return fmt.Errorf("chain: limit %d: one step of 1 to %d, not %d", i, int64(MaxLength), step)
			}
		} else if l.Kind > CountMax {
			return fmt.Errorf("chain: limit %d is none for a row", i)
		}
	}
	for i, l := range p.Limits {
		if l.Kind == GapMax && l.Value < step {
			return ErrFiner{i}
		}
	}
	return nil
}

// musts tries the musts alone. Where they conflict it names the set and relaxes what gives way; asked is 0 if no mark
// can stand.
func (s *rowScratch) musts(p *Row, res *Result) error {
	s.in = s.in[:0]
	for _, l := range p.Limits {
		s.in = append(s.in, !l.Should)
	}
	s.relaxed, s.yields, s.asked, s.g = false, false, 1, far
	n, err := s.fit(p)
	if n > 0 || err != nil {
		return err
	}
	res.Conflict, res.Smallest, err = s.conflict(p)
	if err != nil {
		return err
	}
	return s.relax(p)
}

// fit builds the grid for the limits in force and counts the fewest marks, 0 if no layout keeps them.
func (s *rowScratch) fit(p *Row) (int64, error) {
	if err := s.spend(1); err != nil || !s.build(p, s.in, s.relaxed) {
		return 0, err
	}
	g := &s.grid
	if s.relaxed {
		s.relaxCounts(p)
	}
	return s.count(s.g, g.lo, g.hi)
}

// count gives the fewest marks, from lo to hi, that keep the limits with no gap over most steps; 0 for none.
func (s *rowScratch) count(most, lo, hi int64) (int64, error) {
	g := &s.grid
	hi = min(hi, g.n+1)
	if lo > hi {
		return 0, nil
	}
	s.aim(most)
	k, err := s.fewestMarks(most, hi)
	s.full = k < lo
	if k == 0 || k >= lo || err != nil {
		return k, err
	}
	if most < 1 {
		return 0, nil
	}
	if !g.mins {
		if room, ok := s.room(most); ok {
			if lo > room {
				return 0, nil
			}
			return lo, nil
		}
	}
	if !g.bounded && most >= g.n { // leaving one out between others breaks no minimum: if lo do not fit, no more do
		hi = lo
	}
	if lo > maxMarks && lo <= g.n/max(g.least, 1) {
		return 0, ErrWork
	}
	return s.run(&g.view[0], search{need: lo, cap: hi, most: most, full: true}, nil)
}

// fewestMarks counts the fewest marks up to hi.
func (s *rowScratch) fewestMarks(most, hi int64) (int64, error) {
	v := &s.grid.view[0]
	if most > 0 && v.strides() {
		k, err := s.stride(v, min(most, v.bands[0].max))
		if k > hi {
			k = 0
		}
		return k, err
	}
	return s.run(v, search{need: 1, cap: hi, most: most}, nil)
}

// room counts the most marks that fit where gaps have no minimums: every position allowed, from the first that may be
// first to the last that may be last. Leaving one out after the other gives all counts down to the fewest; where
// there may be exceptions to that it reports false.
func (s *rowScratch) room(most int64) (int64, bool) {
	v := &s.grid.view[0]
	if len(v.first) != 1 || len(v.last) != 1 {
		return 0, false
	}
	first, last := v.first[0], v.last[0]
	total, found := int64(0), false
	for i := 0; i < len(v.segs); {
		// A part is what gaps over keep-outs hold together.
		part, from, to := int64(0), int64(-1), int64(-1)
		for start := true; i < len(v.segs) && (start || v.segs[i].lo-v.segs[i-1].hi <= min(most, v.band(v.segs[i-1].cell, v.segs[i].lo).max)); i++ {
			p := v.segs[i]
			start = false
			if from < 0 && p.hi >= first.From && p.lo <= first.To {
				from = max(p.lo, first.From)
			}
			if p.lo <= last.To && p.hi >= last.From {
				to = min(p.hi, last.To)
			}
			if from >= 0 {
				part += max(0, min(p.hi, last.To)-max(p.lo, from)+1)
			}
		}
		if from >= 0 && from <= to {
			if found {
				return 0, false
			}
			total, found = part, true
		}
	}
	return total, true
}

// aim sets where the marks at the ends may stand when no gap is over most steps.
func (s *rowScratch) aim(most int64) {
	g := &s.grid
	a, b := &g.view[0], &g.view[1]
	a.end.yields, b.end.yields = s.yields, s.yields
	a.first = a.ranges(a.first[:0], g, most, s.relaxed)
	b.first = b.ranges(b.first[:0], g, most, s.relaxed)
	turn := func(dst, src []Span) []Span {
		dst = dst[:0]
		for _, w := range slices.Backward(src) {
			dst = append(dst, Span{g.n - w.To, g.n - w.From})
		}
		return dst
	}
	a.last, b.last = turn(a.last, b.first), turn(b.last, a.first)
}

// shoulds keeps each line of shoulds that can be kept together with those kept before it. What holds together with
// many holds with few, so the next line to leave out is looked for in longer and longer runs of lines, and then by
// halves.
func (s *rowScratch) shoulds(p *Row) error {
	s.lines = s.lines[:0]
	for i, l := range p.Limits {
		if l.Should && !l.Joined {
			s.lines = append(s.lines, i)
		}
	}
	for i := 0; i < len(s.lines); {
		good, bad, run := i, len(s.lines)+1, 1
		for try := len(s.lines); bad-good > 1; {
			s.force(p, good, try, true)
			n, err := s.fit(p)
			if err != nil {
				return err
			}
			if n > 0 {
				good = try
			} else {
				s.force(p, good, try, false)
				bad = try
			}
			if try = (good + bad) / 2; good+run < try {
				try = good + run
			}
			run *= 2
		}
		i = bad
	}
	return nil
}

// force puts lines of shoulds in force, or out of it.
func (s *rowScratch) force(p *Row, from, to int, on bool) {
	for _, i := range s.lines[from:to] {
		s.in[i] = on
		for i++; i < len(p.Limits) && p.Limits[i].Joined; i++ {
			s.in[i] = on
		}
	}
}
