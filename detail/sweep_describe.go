package detail

import (
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
)

// describe adds a placement that has been laid to the key of a value.
func (s *sweeper) describe(t *tried, l *layer, w *work) error {
	k := &t.key
	scopes := w.enumerate()
	k.number(int64(len(scopes)))
	t.seen = t.seen || s.leans(w)
	for i := range scopes {
		s.conditions(k, w, &scopes[i])
	}
	step := s.book.Mark.Ticks()
	for i := range w.scopes {
		sc := &w.scopes[i]
		switch {
		case w.element.Kind == rules.Row && w.element.Scope.How == "at":
			if err := w.stationKey(k, sc); err != nil {
				return err
			}
		case w.element.Kind == rules.Row:
			lim, err := l.rowLimits(w, sc, l.room.empty())
			if err != nil {
				return err
			}
			length := sc.To.Ticks() - sc.From.Ticks()
			if step > 0 {
				k.row(lim.list, length, step, w.element.Lay == "stepped")
			} else {
				t.seen = t.seen || s.uneven(w) || !k.freeRow(lim.list, length, w.element.Lay == "stepped")
			}
		case w.element.Kind == rules.Bead:
			t.seen = t.seen || slices.ContainsFunc(w.element.Rules, func(r *rules.Rule) bool { return r.Measure == rules.Length && r.Op != rules.Equal })
		default:
			ext, err := w.extends(sc)
			if err != nil {
				return err
			}
			a, b := sc.From.Ticks()-ext[0], sc.To.Ticks()+ext[1]
			lim, err := l.coverLimits(w, sc, a, b)
			if err != nil {
				return err
			}
			if step > 0 {
				k.pieces(lim.list, b-a, step)
			} else {
				t.seen = true
			}
		}
	}
	return nil
}

// leans tells whether what is laid depends on where the solver put marks or laps of another element: of several
// layouts that are as good, the key doesn't say which it takes.
func (s *sweeper) leans(w *work) bool {
	if of := w.element.Scope.Name; of != nil && len(w.enumerate()) > 0 {
		clear := slices.ContainsFunc(w.element.Rules, func(r *rules.Rule) bool { return r.Measure == rules.Clear })
		if w.element.Kind != rules.Bead && (w.element.Scope.How != "at" || clear) {
			return true
		}
	}
	for _, r := range w.element.Rules {
		if r.From == nil || r.From.Name == nil {
			continue
		}
		for _, o := range w.beside(r.From.Name.Text) {
			if len(o.laps()) > 0 || len(o.marks) > 0 {
				return true
			}
		}
	}
	return false
}

// uneven tells whether a limit of the placement varies along the axis: without a step, sums of limits that were rounded
// to a tick may wander by one.
func (s *sweeper) uneven(w *work) bool {
	return slices.ContainsFunc(w.element.Rules, func(r *rules.Rule) bool { return s.varies[r.Value] })
}

// conditions adds how the conditions and values that vary come out in a scope, and which zones it touches.
func (s *sweeper) conditions(k *sweepKey, w *work, sc *Scope) {
	see := func(e rules.Expr, end chain.Ends) {
		if e == nil || !s.varies[e] {
			return
		}
		for _, view := range w.views(e) {
			at := w.at(sc, view)
			if end != 0 {
				at.end = int(end)
			}
			if !w.detail.Uses(e, "zone") {
				k.trace(e, at)
				continue
			}
			for _, c := range w.cells {
				at.in(c)
				k.trace(e, at)
			}
		}
	}
	see(w.element.When, 0)
	for _, r := range w.element.Rules {
		ends := []chain.Ends{0}
		if r.Measure == rules.End || r.Measure == rules.Extend {
			ends = endsOf(r)
		}
		for _, end := range ends {
			see(r.When, end)
			see(r.Value, end)
		}
	}
	if len(w.run.Zones) > 0 {
		from, to := sc.From.Ticks(), sc.To.Ticks()
		for _, c := range w.cells {
			k.sign(c.From - to)
			k.sign(from - c.To)
		}
	}
}

// header adds what kind of limits there are.
func (k *sweepKey) header(list []chain.Limit) {
	k.number(int64(len(list)))
	for _, l := range list {
		k.number(int64(l.Kind))
		k.number(int64(len(l.Spans)))
	}
}

// row adds on which steps the limits of a row come to lie. A mark stands on a multiple of step from the scope's start, so
// that two rows with equal limits in steps allow the same marks.
func (k *sweepKey) row(list []chain.Limit, length, step int64, stepped bool) {
	k.header(list)
	k.steps(length, step)
	for _, l := range list {
		for _, s := range l.Spans {
			k.both(s.From, step)
			k.both(s.To, step)
			if l.Kind != chain.Keep { // where a limit binds: whether it reaches the ends
				k.sign(s.To)
				k.sign(length - s.From)
			}
		}
		v := l.Value
		switch l.Kind {
		case chain.Step, chain.Keep:
		case chain.CountMin, chain.CountMax:
			k.number(v)
		case chain.GapMax:
			k.both(v, step)
			k.steps(v/2, step) // what it lets an end be, and on the right in stepped rows
			k.steps(v/2-length, step)
			if stepped {
				k.steps(v-length, step)
			}
		default: // GapMin, EndMin, EndMax
			k.both(v, step)
			k.both(length-v, step)
		}
	}
}

// freeRow adds how the limits of a row without a step lie to one another, and reports whether that tells all. A layout of so
// many marks exists unless some way round from limit to limit and back is too short: from one bound of a mark to another, by
// a number of largest or of smallest gaps.
func (k *sweepKey) freeRow(list []chain.Limit, length int64, stepped bool) bool {
	k.header(list)
	bounds := []int64{0, length}
	var gaps []int64
	for _, l := range list {
		if l.Kind != chain.Keep && l.Spans != nil {
			return false
		}
		for _, s := range l.Spans {
			bounds = append(bounds, s.From, s.To)
		}
		v := l.Value
		switch l.Kind {
		case chain.CountMin, chain.CountMax:
			k.number(v)
		case chain.EndMin, chain.EndMax:
			bounds = append(bounds, v, length-v)
		case chain.GapMin, chain.GapMax:
			if gaps = append(gaps, v); l.Kind == chain.GapMin {
				continue
			}
			if bounds = append(bounds, v/2, length-v/2); stepped {
				bounds = append(bounds, length-v)
			}
		}
	}
	if len(bounds) > 64 {
		return false
	}
	for i, a := range bounds {
		for _, b := range bounds[:i] {
			k.sign(a - b)
			for _, g := range gaps {
				if g > 0 {
					k.both(a-b, g)
				}
			}
		}
	}
	return true
}

// pieces adds on which steps the limits of pieces come to lie. All pieces but the last end on a multiple of step.
func (k *sweepKey) pieces(list []chain.Limit, length, step int64) {
	k.header(list)
	k.both(length, step)
	longest := func(v int64) {
		k.both(v, step)
		k.both(length-v, step)
	}
	for _, l := range list {
		for _, s := range l.Spans {
			k.both(s.From, step)
			k.both(s.To, step)
			k.sign(s.To)
			k.sign(length - s.From)
		}
		switch l.Kind {
		case chain.Step, chain.Keep:
		case chain.CountMin, chain.CountMax:
			k.number(l.Value)
		case chain.LapMin, chain.LapMax:
			k.both(l.Value, step)
		case chain.Stock:
			for _, v := range l.Lengths {
				longest(v)
			}
		default: // LengthMin, LengthMax
			longest(l.Value)
		}
	}
}

// stationKey adds on which side of each keep-out the fixed marks of a scope stand.
func (w *work) stationKey(k *sweepKey, sc *Scope) error {
	marks := w.marks[sc.First:sc.Last]
	k.number(int64(len(marks)))
	if len(marks) == 0 {
		return nil
	}
	s := &limits{}
	for _, ln := range w.lines {
		if ln.rule != nil && ln.rule.Measure == rules.Clear {
			if err := w.clear(s, ln, sc, 0, marks[0], marks[len(marks)-1]); err != nil {
				return err
			}
		}
	}
	k.header(s.list)
	for _, l := range s.list {
		for _, span := range l.Spans {
			for _, m := range marks {
				k.sign(m - span.From)
				k.sign(span.To - m)
			}
		}
	}
	return nil
}
