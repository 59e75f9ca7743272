package detail

import (
	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// surround gives an `around` scope the outline that it goes along, and says what stands in that outline's way.
func (w *work) surround(sc *Scope) (blocked string, err error) {
	sc.To = w.run.Length
	f, err := w.fix(sc)
	if err != nil {
		return "", err
	}
	outside, _, _ := f.marks(all)
	ring, err := w.plane.Ring(w.hole.ID, ticks(outside))
	if err != nil {
		return "", err
	}
	sc.To, sc.Ring = ring.Length.High, &ring
	return ring.Blocked, nil
}

// ring is the outline along which a placement's scopes go; nil on a straight run.
func (w *work) ring() *geom.Ring {
	if len(w.scopes) == 0 {
		return nil
	}
	return w.scopes[0].Ring
}

// blocked names what stands where a mark at a penetration is wanted: another penetration, or the plane's edge.
func (w *work) blocked(sc *Scope, at int64) string {
	if w.run.Edge != penetrationEdge || sc.Ring != nil {
		return ""
	}
	on, ok := w.run.At(0, ticks(at))
	if !ok {
		return w.plane.ID()
	}
	return w.plane.Blocked(on, w.hole.ID)
}

// around lays the marks of a ring. A ring has no ends: its first mark is at the low point, and stands once more, and
// once only, as the last one's neighbour. The solver sees that as a row with a mark at both ends. Where the way round is
// no whole number of steps it is taken as one that is, so that the last gap comes out shorter than the solver thinks.
func (l *layer) around(w *work, sc Scope) error {
	s, err := l.rowLimits(w, &sc, l.room.empty())
	if err != nil {
		return err
	}
	length, step := sc.To.Ticks(), max(l.book.Mark.Ticks(), 1)
	p := chain.Row{Length: (length + step - 1) / step * step, Lay: rowLays[w.element.Lay]}
	var of []int // which limit of s each of p's is
	add := func(i int, lim chain.Limit) { p.Limits, of = append(p.Limits, lim), append(of, i) }
	for i, lim := range s.list {
		lim.Spans = nil // a ring is in its zones as a whole
		if lim.Kind == chain.CountMin || lim.Kind == chain.CountMax {
			lim.Value++
		}
		lim.Joined = lim.Joined && i > 0 && of[len(of)-1] == i-1
		add(i, lim)
		if late := p.Length - length; lim.Kind == chain.GapMin && late > 0 {
			lim.Value, lim.Joined, lim.Spans = lim.Value+late, true, []chain.Span{{From: p.Length, To: p.Length}}
			add(i, lim)
		}
	}
	add(-1, chain.Limit{Kind: chain.EndMax, Ends: chain.LeftEnd | chain.RightEnd, Fixed: true})
	solved, err := l.solveRow(&p)
	if err != nil {
		return l.refine(err, w, sc, s.at(of))
	}
	sol := *solved
	sol.at = nil
	for _, at := range solved.at {
		if at < length && at < p.Length {
			sol.at = append(sol.at, at)
		}
	}
	if sol.Binding >= 0 {
		sol.Binding = of[sol.Binding]
	}
	sol.breaches = brokenAround(s.list, sol.at, length)
	if err := l.spend(len(sol.at)); err != nil {
		return err
	}
	sc.Round, sc.First = sol.round, len(w.marks)
	w.marks = append(w.marks, sol.at...)
	sc.Last = len(w.marks)
	w.scopes = append(w.scopes, sc)
	l.explain(w, &sol, s)
	var conflict []RuleRef
	for _, i := range sol.Conflict {
		if i = of[i]; i >= 0 {
			conflict = append(conflict, refs([]int{i}, s)...)
		}
	}
	for _, b := range sol.breaches {
		v := w.violation(sc, s, b, 0, 0)
		if v.Severity == "must" {
			v.Conflict, v.Minimal = unique(conflict), sol.Smallest
			if conflict == nil {
				v.Conflict, v.Minimal = []RuleRef{{Rule: v.Rule, Span: v.Span}}, true
			}
		}
		w.broken = append(w.broken, v)
	}
	return nil
}

// at are the limits, and lines, that the solver's stand for.
func (s *limits) at(of []int) *limits {
	t := &limits{}
	for _, i := range of {
		if i < 0 {
			t.add(line{}, chain.Limit{})
			continue
		}
		t.add(s.lines[i], s.list[i])
	}
	return t
}

// unique leaves of equal neighbours one.
func unique(list []RuleRef) (out []RuleRef) {
	for _, ref := range list {
		if len(out) == 0 || out[len(out)-1] != ref {
			out = append(out, ref)
		}
	}
	return out
}

// brokenAround are the limits that marks round a ring don't keep, the last mark being the first one's neighbour.
func brokenAround(list []chain.Limit, at []int64, length int64) []chain.Breach {
	var broken []chain.Breach
	for i, lim := range list {
		n := int64(len(at))
		switch lim.Kind {
		case chain.CountMin, chain.CountMax:
			if lim.Kind == chain.CountMin && n < lim.Value || lim.Kind == chain.CountMax && n > lim.Value {
				broken = append(broken, chain.Breach{Limit: i, To: length, Found: n})
			}
		case chain.GapMin, chain.GapMax:
			for k, from := range at {
				to := at[0] + length
				if k+1 < len(at) {
					to = at[k+1]
				}
				gap := to - from
				if lim.Kind == chain.GapMax && gap > lim.Value || lim.Kind == chain.GapMin && gap < lim.Value && n > 1 {
					broken = append(broken, chain.Breach{Limit: i, From: from, To: to, Found: gap})
				}
			}
		}
	}
	return broken
}

// requireClear holds how far a penetration is from a feature of its plane.
func (l *layer) requireClear(b *binding, q *rules.Require) error {
	sc := Scope{Kind: penetrationEdge, N: b.run.Sides[0].On.N}
	w := &work{binding: b, side: 0, element: &rules.Element{Scope: &rules.ScopeDecl{How: "at", Of: penetrationEdge}}}
	want, err := w.bound(q.Clear, &sc, 0)
	if err != nil {
		return err
	}
	least := ticks(max(want.min, 0))
	found, err := b.plane.Clear(b.hole.ID, q.Clear.From.Of, least)
	if err != nil || found.OK || found.None {
		return err
	}
	v := w.blame(sc, line{name: q.ID, span: q.Span}, "must", 0, 0)
	v.Element, v.Measure, v.Because, v.Source = "", "require", q.Because, q.Source
	v.What = "clear from " + q.Clear.From.Of + " (" + found.Nearest + ")"
	v.Required, v.Found = Amount{Op: opText[q.Clear.Op], Length: least}, Amount{Length: found.Found}
	if q.Clear.Op == rules.Greater {
		v.Required.Length = ticks(least.Ticks() - 1)
	}
	v.By = Amount{Length: ticks(least.Ticks() - found.Found.Ticks())}
	if q.Should {
		v.Severity = "should"
	} else {
		v.Conflict, v.Minimal = []RuleRef{{Rule: q.ID, Span: q.Span}}, true
	}
	l.violate(v)
	return nil
}

// width is how wide a penetration is along the eave.
func width(h *geom.Penetration) units.Length {
	if h.Diameter.IsZero() {
		return h.Width
	}
	return h.Diameter
}
