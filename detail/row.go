package detail

import (
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"sort"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A line is what a limit of the solver stands for: a rule, the book's `mark`, an item's stock or roll, or an
// obstacle.
type line struct {
	name string
	span rules.Span
	rule *rules.Rule
	item bool // stock or roll
	mark bool
	near []band // of a clear: the features whose keep-outs its limit is, left to right
	wide int64  // of these, the widest
}

// lines are the rules of a placement with the book's mark and its item's stock, in the order of their places:
// the order in which the solver blames them.
func (l *layer) lines(w *work) []line {
	var list []line
	for _, r := range w.element.Rules {
		list = append(list, line{name: r.ID, span: r.Span, rule: r})
	}
	if !l.book.Mark.IsZero() {
		list = append(list, line{name: "mark", span: l.book.MarkSpan, mark: true})
	}
	if it := w.element.Item; it != nil && w.element.Kind == rules.Pieces && len(it.Stock) > 0 {
		list = append(list, line{name: it.Name + ".stock", span: it.Stock[0].Span, item: true})
	}
	if it := w.element.Item; it != nil && w.element.Kind == rules.Strip && !it.Roll.IsZero() {
		list = append(list, line{name: it.Name + ".roll", span: it.RollSpan, item: true})
	}
	slices.SortStableFunc(list, func(a, b line) int {
		return cmp.Or(cmp.Compare(l.files[a.span.File], l.files[b.span.File]), cmp.Compare(a.span.Start.Offset, b.span.Start.Offset))
	})
	return list
}

// limits gathers what the solver needs of one scope: limits, and for each the line that it stands for.
type limits struct {
	list  []chain.Limit
	lines []line
}

// empty gives the room of limits that nobody needs any more.
func (s *limits) empty() *limits {
	s.list, s.lines = s.list[:0], s.lines[:0]
	return s
}

func (s *limits) add(ln line, lim chain.Limit) {
	s.list = append(s.list, lim)
	s.lines = append(s.lines, ln)
}

// addBound adds the minimum and the maximum of a rule.
func (s *limits) addBound(ln line, b bound, minimum, maximum chain.Kind, lim chain.Limit) {
	if b.hasMin {
		lim.Kind, lim.Value = minimum, b.min
		s.add(ln, lim)
		lim.Joined = true
	}
	if b.hasMax {
		lim.Kind, lim.Value = maximum, b.max
		s.add(ln, lim)
	}
}

// A solution is the layout of a scope, counted from its start; equal scopes share it.
type solution struct {
	at     []int64
	pieces []chain.Piece
	chain.Result
	breaches []chain.Breach
	round    units.Rounding // Scope.Round
}

// row lays the marks of a scope.
func (l *layer) row(w *work, sc Scope) error {
	from, to := sc.From.Ticks(), sc.To.Ticks()
	p := chain.Row{Length: to - from, Lay: rowLays[w.element.Lay]}
	s, err := l.rowLimits(w, &sc, l.room.empty())
	if err != nil {
		return err
	}
	p.Limits = s.list
	sol, err := l.solveRow(&p)
	if err != nil {
		return l.refine(err, w, sc, s)
	}
	if err := l.spend(len(sol.at)); err != nil {
		return err
	}
	sc.Round = sol.round
	sc.First = len(w.marks)
	w.marks = slices.Grow(w.marks, len(sol.at))
	for part := range slices.Chunk(sol.at, many) {
		if err := l.ctx.Err(); err != nil {
			return err
		}
		for _, at := range part {
			w.marks = append(w.marks, from+at)
		}
	}
	sc.Last = len(w.marks)
	w.scopes = append(w.scopes, sc)
	l.explain(w, sol, s)
	l.report(w, sc, sol, s, from, from, to)
	return nil
}

var rowLays = map[string]chain.Lay{"": chain.Even, "even": chain.Even, "stepped": chain.Stepped, "centered": chain.Centered}

// solveRow solves a row, or finds it among those solved before.
func (l *layer) solveRow(p *chain.Row) (*solution, error) {
	l.key = appendProblem(l.key[:0], 'r', p.Lay, []int64{p.Length}, p.Limits)
	if s := l.solved[string(l.key)]; s != nil {
		return s, nil
	}
	if err := l.afford(leastMarks(p)); err != nil {
		return nil, err
	}
	at, res, err := l.solver.Row(l.ctx, p, nil)
	if err != nil {
		return nil, err
	}
	s := &solution{at: at, Result: res}
	if res.Conflict != nil || slices.Contains(res.Kept, false) {
		if s.breaches, err = l.checkRow(p, at); err != nil {
			return nil, err
		}
	}
	if len(res.Conflict) > 0 {
		parted, err := l.aroundHoles(p, s)
		if err != nil {
			return nil, err
		}
		if parted != nil {
			s = parted
		}
	}
	if s.round, err = l.tapeRounding(p, s.at, len(s.breaches)); err != nil {
		return nil, err
	}
	l.solved[string(l.key)] = s
	return s, nil
}

// many marks or scopes are worked through before it is asked whether the context ended: a few milliseconds' worth.
const many = 1 << 18

// checkRow is chain.CheckRow, which isn't waited for where the context ends: with very many marks it takes long.
func (l *layer) checkRow(p *chain.Row, at []int64) ([]chain.Breach, error) {
	if len(at) < many {
		return chain.CheckRow(p, at), nil
	}
	found := make(chan []chain.Breach, 1)
	go func() { found <- chain.CheckRow(p, at) }()
	select {
	case breaches := <-found:
		return breaches, nil
	case <-l.ctx.Done():
		return nil, l.ctx.Err()
	}
}

// tapeRounding finds the way in which marks can be rounded to the sixteenth of a tape, from the scope's start, without
// breaking more limits; the step is not asked, since marks off it were never on the tape.
func (l *layer) tapeRounding(p *chain.Row, at []int64, breaches int) (units.Rounding, error) {
	const sixteenth = units.TicksPerInch / 16
	if !slices.ContainsFunc(at, func(t int64) bool { return t%sixteenth != 0 }) {
		return units.Exact, nil
	}
	free := *p
	free.Limits = slices.DeleteFunc(slices.Clone(p.Limits), func(lim chain.Limit) bool { return lim.Kind == chain.Step })
	for _, way := range []units.Rounding{units.Down, units.Up} {
		moved := make([]int64, 0, len(at))
		for part := range slices.Chunk(at, many) {
			if err := l.ctx.Err(); err != nil {
				return 0, err
			}
			for _, t := range part {
				to := t - t%sixteenth
				if way == units.Up && t%sixteenth != 0 {
					to += sixteenth
				}
				moved = append(moved, to)
			}
		}
		if moved[len(at)-1] > p.Length {
			continue
		}
		broken, err := l.checkRow(&free, moved)
		if err != nil {
			return 0, err
		}
		if len(broken) <= breaches {
			return way, nil
		}
	}
	return units.Exact, nil
}

// appendProblem writes a problem so that equal problems, and no others, are written alike.
func appendProblem(key []byte, kind byte, lay chain.Lay, sizes []int64, list []chain.Limit) []byte {
	key = append(key, kind, byte(lay))
	num := func(v int64) { key = binary.AppendVarint(key, v) }
	for _, v := range sizes {
		num(v)
	}
	for _, lim := range list {
		flags := byte(0)
		for i, on := range []bool{lim.Should, lim.Joined, lim.Fixed, lim.Spans != nil} {
			if on {
				flags |= 1 << i
			}
		}
		key = append(key, byte(lim.Kind), byte(lim.Ends), flags)
		num(lim.Value)
		num(int64(len(lim.Spans)))
		for _, s := range lim.Spans {
			num(s.From)
			num(s.To)
		}
		num(int64(len(lim.Lengths)))
		for _, v := range lim.Lengths {
			num(v)
		}
	}
	return key
}

// rowLimits turns the rules of a row into limits, for one scope, and adds them to s.
func (l *layer) rowLimits(w *work, sc *Scope, s *limits) (*limits, error) {
	from, to := sc.From.Ticks(), sc.To.Ticks()
	for _, o := range w.obstacles {
		if a, b := o.From.Ticks(), o.To.Ticks(); b > from && a < to {
			s.add(line{name: "obstacle " + o.ID}, chain.Limit{Kind: chain.Keep, Spans: []chain.Span{{From: a - from, To: b - from}}, Fixed: true})
		}
	}
	for _, ln := range w.lines {
		if ln.mark {
			s.add(ln, chain.Limit{Kind: chain.Step, Value: l.book.Mark.Ticks()})
			continue
		}
		r := ln.rule
		switch r.Measure {
		case rules.Clear:
			if err := w.clear(s, ln, sc, from, from, to); err != nil {
				return nil, err
			}
		case rules.End:
			for _, end := range endsOf(r) {
				all, bands, err := w.where(r.When, sc, int(end), sc.band())
				if err != nil {
					return nil, err
				}
				if !all && !touches(bands, from, to) {
					continue
				}
				b, err := w.bound(r, sc, int(end))
				if err != nil {
					return nil, err
				}
				lim := chain.Limit{Ends: end, Should: r.Should}
				if !all {
					lim.Spans = spans(bands, from, to)
				}
				lim.Joined = len(s.lines) > 0 && s.lines[len(s.lines)-1].rule == r
				s.addBound(ln, b, chain.EndMin, chain.EndMax, lim)
			}
		case rules.Spacing, rules.Count:
			all, bands, err := w.where(r.When, sc, 0, sc.band())
			if err != nil {
				return nil, err
			}
			if !all && !touches(bands, from, to) {
				continue
			}
			b, err := w.bound(r, sc, 0)
			if err != nil {
				return nil, err
			}
			lim := chain.Limit{Should: r.Should}
			if r.Measure == rules.Count {
				s.addBound(ln, b, chain.CountMin, chain.CountMax, lim)
				continue
			}
			if !all {
				lim.Spans = spans(bands, from, to)
			}
			s.addBound(ln, b, chain.GapMin, chain.GapMax, lim)
		}
	}
	return s, nil
}

// endsOf are the ends of a scope that a rule speaks of, one limit for each.
func endsOf(r *rules.Rule) []chain.Ends {
	switch r.Side {
	case rules.Left:
		return []chain.Ends{chain.LeftEnd}
	case rules.Right:
		return []chain.Ends{chain.RightEnd}
	}
	return []chain.Ends{chain.LeftEnd, chain.RightEnd}
}

// clear adds the keep-outs of a `clear` rule that reach [from, to], counted from origin. A `should` gives each
// feature a limit of its own, so that it is kept feature by feature.
func (w *work) clear(s *limits, ln line, sc *Scope, origin, from, to int64) error {
	r := ln.rule
	all, bands, err := w.where(r.When, sc, 0, band{min(sc.From.Ticks(), from), max(sc.To.Ticks(), to)})
	if err != nil || !all && len(bands) == 0 {
		return err
	}
	b, err := w.bound(r, sc, 0)
	if err != nil {
		return err
	}
	keep := []chain.Span{}
	for _, f := range w.features(r.From, from-b.min, to+b.min) {
		out := chain.Span{From: f.From - b.min, To: f.To + b.min}
		if out.To <= out.From || out.To <= from || out.From >= to && to > from {
			continue
		}
		parts := []chain.Span{out}
		if !all {
			parts = within(out, bands, w.element.Kind == rules.Pieces)
		}
		if len(parts) == 0 {
			continue
		}
		w.keepOut(r, parts, from, to)
		for i := range parts {
			parts[i].From, parts[i].To = parts[i].From-origin, parts[i].To-origin
		}
		if r.Should {
			ln.near, ln.wide = []band{f}, f.To-f.From
			s.add(ln, chain.Limit{Kind: chain.Keep, Value: b.min, Spans: parts, Should: true})
			continue
		}
		ln.near, ln.wide = append(ln.near, f), max(ln.wide, f.To-f.From)
		keep = append(keep, parts...)
	}
	if len(keep) > 0 {
		s.add(ln, chain.Limit{Kind: chain.Keep, Value: b.min, Spans: keep})
	}
	return nil
}

// keepOut notes for the report where a rule keeps marks or laps of [from, to] out; parts that meet are one.
func (w *work) keepOut(r *rules.Rule, parts []chain.Span, from, to int64) {
	rule := slices.Index(w.element.Rules, r)
	for _, part := range parts {
		a, b := max(part.From, from), min(part.To, to)
		if a >= b {
			continue
		}
		for i := len(w.keepOuts) - 1; i >= 0 && i >= len(w.keepOuts)-len(w.element.Rules); i-- {
			if last := &w.keepOuts[i]; last.Rule == int32(rule) && last.From.Ticks() <= a && a <= last.To.Ticks() {
				last.To, a = ticks(max(last.To.Ticks(), b)), b
				break
			}
		}
		if a < b {
			w.keepOuts = append(w.keepOuts, KeepOut{From: ticks(a), To: ticks(b), Rule: int32(rule)})
		}
	}
}

// within keeps of an open keep-out what lies in closed bands; a lap that touches a band is bound whole, so its
// keep-out stays whole where it touches one.
func within(out chain.Span, bands []band, whole bool) []chain.Span {
	var parts []chain.Span
	for _, b := range bands {
		if b.From >= out.To || b.To <= out.From {
			continue
		}
		if whole {
			return []chain.Span{out}
		}
		parts = append(parts, chain.Span{From: max(out.From, b.From-1), To: min(out.To, b.To+1)})
	}
	return parts
}

// features are the bands from which a distance is measured, those that reach into [from, to], left to right.
func (w *work) features(f *rules.Feature, from, to int64) []band {
	var list []band
	add := func(a, b int64) {
		if b >= from && a <= to {
			list = append(list, band{a, b})
		}
	}
	switch f.Of {
	case "rib":
		for i := range w.run.Sides {
			if w.side >= 0 && i != w.side {
				continue
			}
			side := &w.run.Sides[i]
			first := sort.Search(len(side.Ribs), func(n int) bool {
				_, right := side.RibBand(n)
				return right.Ticks() >= from
			})
			for n := first; n < len(side.Ribs); n++ {
				left, right := side.RibBand(n)
				if left.Ticks() > to {
					break
				}
				add(left.Ticks(), right.Ticks())
			}
		}
	case "end":
		add(0, 0)
		add(w.run.Length.Ticks(), w.run.Length.Ticks())
	case "penetration":
		for _, o := range w.obstacles {
			add(o.From.Ticks(), o.To.Ticks())
		}
		for i, at := range []int64{0, w.run.Length.Ticks()} {
			if w.run.Edge == geom.RibLine && w.run.Ends[i] == penetrationEdge {
				add(at, at)
			}
		}
	case "zone":
		for _, z := range w.run.Zones {
			for _, at := range []int64{z.From.Ticks(), z.To.Ticks()} {
				if at > 0 && at < w.run.Length.Ticks() {
					add(at, at)
				}
			}
		}
	case "lap":
		for _, o := range w.beside(f.Name.Text) {
			laps := o.laps()
			first, _ := slices.BinarySearchFunc(laps, from, func(b band, t int64) int { return cmp.Compare(b.To, t) })
			for _, lap := range laps[first:] {
				if lap.From > to {
					break
				}
				add(lap.From, lap.To)
			}
		}
	case "mark":
		for _, o := range w.beside(f.Name.Text) {
			at := o.sorted()
			first, _ := slices.BinarySearch(at, from)
			for _, at := range at[first:] {
				if at > to {
					break
				}
				add(at, at)
			}
		}
	}
	slices.SortFunc(list, byPlace)
	return slices.Compact(list)
}

// beside are the placements of an element that a placement sees: those on its side and those that span them.
func (w *work) beside(name string) []*work {
	var list []*work
	for _, o := range w.work[name] {
		if w.side < 0 || o.side < 0 || o.side == w.side {
			list = append(list, o)
		}
	}
	return list
}

// refine gives a solver's error the place of the rule that it speaks of.
func (l *layer) refine(err error, w *work, sc Scope, s *limits) error {
	var finer chain.ErrFiner
	var limit chain.ErrLimit
	at, what := w.element.Span, w.element.Name
	switch {
	case errors.As(err, &finer):
		at, what = s.lines[finer.Limit].span, s.lines[finer.Limit].name
		err = fmt.Errorf("it comes to less than one step of `mark`, %s; give it at least a step", l.book.Mark)
	case errors.As(err, &limit):
		if limit.Limit >= 0 {
			at, what = s.lines[limit.Limit].span, s.lines[limit.Limit].name
		}
		err = errors.New(limit.Want)
	case errors.Is(err, chain.ErrWork):
		err = fmt.Errorf("it takes more work than one scope may: %w", ErrLimit)
	case errors.Is(err, chain.ErrOverflow):
		err = units.ErrOverflow
	default:
		return err
	}
	return fmt.Errorf("%s: %s in %s: %w", place(at), what, ScopeRef{sc.Kind, sc.N}.in(w.run.ID, sideID(w.run, w.side)), err)
}
