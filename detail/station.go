package detail

import (
	"fmt"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// fixed is the station of an `at` scope: its feature's middle with the offset, and the lines that fix it.
func (w *work) fixed(sc *Scope) (at int64, by []line, err error) {
	at = sc.From.Ticks()
	for _, ln := range w.lines {
		if ln.rule == nil || ln.rule.Measure != rules.Offset {
			continue
		}
		on, err := w.binds(ln.rule, sc, 0)
		if err != nil {
			return 0, nil, err
		}
		if !on {
			continue
		}
		b, err := w.bound(ln.rule, sc, 0)
		if err != nil {
			return 0, nil, err
		}
		at = sc.From.Ticks() + b.min
		if sc.Kind == "end" && sc.N == 2 {
			at = sc.From.Ticks() - b.min
		}
		if _, err := units.FromTicks(at); err != nil {
			return 0, nil, fmt.Errorf("%s: %s: %w", place(ln.span), ln.name, err)
		}
		by = []line{ln}
	}
	return at, by, nil
}

// station lays the mark or marks of an `at` scope: one, or `count` of them centred on the feature at the given
// spacing. Nothing is left to choose, so each rule that is broken conflicts with the lines that fix the marks.
func (l *layer) station(w *work, sc Scope) error {
	at, by, err := w.fixed(&sc)
	if err != nil {
		return err
	}
	n, gap := int64(1), int64(0)
	for _, ln := range w.lines {
		if ln.rule == nil || ln.rule.Measure != rules.Count && ln.rule.Measure != rules.Spacing {
			continue
		}
		on, err := w.binds(ln.rule, &sc, 0)
		if err != nil {
			return err
		}
		if !on {
			continue
		}
		b, err := w.bound(ln.rule, &sc, 0)
		if err != nil {
			return err
		}
		if b.min < 0 {
			return fmt.Errorf("%s: %s can't be negative in %s %d of run %s", place(ln.span), ln.name, sc.Kind, sc.N, w.run.ID)
		}
		if by = append(by, ln); ln.rule.Measure == rules.Count {
			n = b.min
		} else {
			gap = b.min
		}
	}
	if n > int64(l.limits.Marks) {
		return limitError("marks and pieces in a report", "Marks", l.limits.Marks)
	}
	if err := l.spend(int(n)); err != nil {
		return err
	}
	if gap > 0 && n > 1 && gap > units.MaxTicks/n {
		return fmt.Errorf("%s: %d marks at a spacing of %s: %w", place(w.element.Span), n, ticks(gap), units.ErrOverflow)
	}
	start := at - (n-1)*gap/2
	for k := range n {
		for _, o := range w.obstacles {
			if x := start + k*gap; o.From.Ticks() < x && x < o.To.Ticks() {
				w.skip(sc, "obstacle "+o.ID)
				return nil
			}
		}
	}
	sc.First = len(w.marks)
	for k := range n {
		w.marks = append(w.marks, start+k*gap)
	}
	sc.Last = len(w.marks)
	w.scopes = append(w.scopes, sc)

	s := &limits{}
	for _, ln := range w.lines {
		if ln.rule != nil && ln.rule.Measure == rules.Clear {
			if err := w.clear(s, ln, &sc, 0, start, start+(n-1)*gap); err != nil {
				return err
			}
		}
	}
	sol := &solution{at: w.marks[sc.First:sc.Last]}
	sol.breaches = chain.CheckRow(&chain.Row{Length: w.run.Length.Ticks(), Limits: s.list}, sol.at)
	l.reportFixed(w, sc, sol, s, by)
	return nil
}
