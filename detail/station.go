package detail

import (
	"fmt"
	"math/bits"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// fixed is what fixes the marks of an `at` scope: its feature's middle, the lines for `offset`, `count` and `spacing`
// that bind there, in their order, and what each comes to.
type fixed struct {
	feature int64
	by      []line
	values  []int64 // of each line; an offset is toward the run's far end
}

// fix gathers what fixes the station of an `at` scope. Of two lines for one measure the later counts.
func (w *work) fix(sc *Scope) (*fixed, error) {
	f := &fixed{feature: sc.From.Ticks()}
	for _, ln := range w.lines {
		if ln.rule == nil || ln.rule.Measure != rules.Offset && ln.rule.Measure != rules.Count && ln.rule.Measure != rules.Spacing {
			continue
		}
		on, err := w.binds(ln.rule, sc, 0)
		if err != nil {
			return nil, err
		}
		if !on {
			continue
		}
		b, err := w.bound(ln.rule, sc, 0)
		if err != nil {
			return nil, err
		}
		v := b.min
		switch {
		case ln.rule.Measure != rules.Offset && v < 0:
			return nil, fmt.Errorf("%s: %s can't be negative in %s %d of run %s", place(ln.span), ln.name, sc.Kind, sc.N, w.run.ID)
		case ln.rule.Measure != rules.Offset:
		case sc.Kind == "end" && sc.N == 2:
			v = -v
			fallthrough
		default:
			if _, err := units.FromTicks(f.feature + v); err != nil {
				return nil, fmt.Errorf("%s: %s: %w", place(ln.span), ln.name, err)
			}
		}
		for i, other := range f.by {
			if other.rule.Measure == ln.rule.Measure {
				f.by = append(f.by[:i], f.by[i+1:]...)
				f.values = append(f.values[:i], f.values[i+1:]...)
				break
			}
		}
		f.by, f.values = append(f.by, ln), append(f.values, v)
	}
	return f, nil
}

// all are all lines, as a set.
const all = ^uint(0)

// marks are the station, and how many marks are centred on it how far apart, by some of the lines alone: line i
// takes part where bit i of set is 1.
func (f *fixed) marks(set uint) (at, n, gap int64) {
	at, n = f.feature, 1
	for i, ln := range f.by {
		if set>>i&1 == 0 {
			continue
		}
		switch v := f.values[i]; ln.rule.Measure {
		case rules.Offset:
			at += v
		case rules.Count:
			n = v
		default:
			gap = v
		}
	}
	return at, n, gap
}

// start is the first of n marks centred on a station.
func start(at, n, gap int64) int64 { return at - (n-1)*gap/2 }

// station lays the mark or marks of an `at` scope: one, or `count` of them centred on the feature at the given
// spacing. Nothing is left to choose, so each rule that is broken conflicts with the lines that fix the marks.
func (l *layer) station(w *work, sc Scope) error {
	f, err := w.fix(&sc)
	if err != nil {
		return err
	}
	at, n, gap := f.marks(all)
	if n > int64(l.limits.Marks) {
		return limitError("marks and pieces in a report", "Marks", l.limits.Marks)
	}
	if err := l.spend(int(n)); err != nil {
		return err
	}
	if gap > 0 && n > 1 && (gap > units.MaxTicks/n || max(at, -at) > units.MaxTicks-n*gap) {
		return fmt.Errorf("%s: %d marks at a spacing of %s: %w", place(w.element.Span), n, ticks(gap), units.ErrOverflow)
	}
	first := start(at, n, gap)
	if why, out := w.barred(&sc, first, n, gap); out {
		w.skip(sc, why)
		return nil
	}
	sc.First = len(w.marks)
	for k := range n {
		w.marks = append(w.marks, first+k*gap)
	}
	sc.Last = len(w.marks)
	w.scopes = append(w.scopes, sc)
	w.offRun(sc, f, w.marks[sc.First:sc.Last])

	s := &limits{}
	for _, ln := range w.lines {
		if ln.rule != nil && ln.rule.Measure == rules.Clear {
			if err := w.clear(s, ln, &sc, 0, first, first+(n-1)*gap); err != nil {
				return err
			}
		}
	}
	sol := &solution{at: w.marks[sc.First:sc.Last]}
	sol.breaches = chain.CheckRow(&chain.Row{Length: w.run.Length.Ticks(), Limits: s.list}, sol.at)
	l.reportFixed(w, sc, sol, s, f.by)
	return nil
}

// barred says what stands where one of n marks of an `at` scope is wanted, so that the scope is left out.
func (w *work) barred(sc *Scope, first, n, gap int64) (why string, out bool) {
	for k := range n {
		for _, o := range w.obstacles {
			if x := first + k*gap; o.From.Ticks() < x && x < o.To.Ticks() {
				return "obstacle " + o.ID, true
			}
		}
	}
	for k := range n {
		if id := w.blocked(sc, first+k*gap); id != "" {
			return "obstacle " + id, true
		}
	}
	return "", false
}

// offRun reports the marks that an element's own lines take off the run. Where the feature itself is off it, as a
// mark of another row may be, that row's lines answer for it.
func (w *work) offRun(sc Scope, f *fixed, at []int64) {
	length := w.run.Length.Ticks()
	off := func(x int64) bool { return x < 0 || x > length }
	if off(f.feature) || w.run.Edge == penetrationEdge {
		return // a ring goes on, and what is at a penetration is not along a run
	}
	var conflict []RuleRef
	blamed := -1
	for _, x := range at {
		if !off(x) {
			continue
		}
		if blamed < 0 {
			set := f.offRun(off)
			for i, ln := range f.by {
				if set>>i&1 == 0 {
					continue
				}
				conflict = append(conflict, RuleRef{Rule: ln.name, Span: ln.span})
				if blamed < 0 || ln.rule.Measure == rules.Spacing {
					blamed = i
				}
			}
		}
		v := w.blame(sc, f.by[blamed], "must", x, x)
		v.What, v.Found, v.Minimal, v.Conflict = "the station", Amount{Length: ticks(x)}, true, conflict
		if v.Required, v.By = (Amount{Op: ">="}), (Amount{Length: ticks(-x)}); x > length {
			v.Required, v.By = Amount{Op: "<=", Length: w.run.Length}, Amount{Length: ticks(x - length)}
		}
		w.broken = append(w.broken, v)
	}
}

// offRun is the smallest set of lines, of these the earliest, by which alone a mark is off the run.
func (f *fixed) offRun(off func(int64) bool) uint {
	for size := range len(f.by) {
		for set := range uint(1) << len(f.by) {
			at, n, gap := f.marks(set)
			if bits.OnesCount(set) == size+1 && n > 0 && (off(start(at, n, gap)) || off(start(at, n, gap)+(n-1)*gap)) {
				return set
			}
		}
	}
	return 0
}
