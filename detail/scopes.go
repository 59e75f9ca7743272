package detail

import (
	"slices"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// sides are the sides on which an element stands: -1 where it spans them.
func (b *binding) sides(s *rules.ScopeDecl) []int {
	if isField(b.run) && s.Name == nil {
		if s.Of == b.run.Edge {
			return []int{0}
		}
		return nil
	}
	switch s.Of {
	case "run", "end":
		return []int{-1}
	case "side", "panel", "rib":
		all := make([]int, len(b.run.Sides))
		for i := range all {
			all[i] = i
		}
		return all
	}
	var of []int
	for _, w := range b.work[s.Name.Text] {
		of = append(of, w.side)
	}
	return of
}

// enumerate lists the scopes of a placement, from left to right.
func (w *work) enumerate() []Scope {
	s := w.element.Scope
	length := w.run.Length.Ticks()
	var list []Scope
	var ring *geom.Ring
	if s.Name != nil {
		ring = w.referred().ring()
	}
	add := func(n int, from, to int64) {
		list = append(list, Scope{Kind: s.Of, N: n, From: ticks(from), To: ticks(to), Ring: ring})
	}
	switch s.Of {
	case "run":
		add(1, 0, length)
	case "side":
		add(w.side+1, 0, length)
	case "end":
		add(1, 0, 0)
		add(2, length, length)
	case "panel":
		for i, p := range w.panels[w.side] {
			if from, to := p.From.Ticks(), p.To.Ticks(); s.How == "in" {
				add(i+1, from, to)
			} else {
				mid := from + (to-from)/2
				add(i+1, mid, mid)
			}
		}
	case "rib":
		first := s.From
		if first == 0 {
			first = s.Every
		}
		if w.run.Edge == geom.RibLine {
			if n := w.run.Sides[w.side].On.N; n >= first && (n-first)%s.Every == 0 {
				add(n, 0, length)
			}
			break
		}
		for i, rib := range w.run.Sides[w.side].Ribs {
			if at := rib.Ticks(); i+1 >= first && (i+1-first)%s.Every == 0 && 0 <= at && at <= length {
				add(i+1, at, at)
			}
		}
	case "penetration":
		add(w.run.Sides[w.side].On.N, 0, 0)
	case "mark":
		for i, at := range w.referred().sorted() {
			add(i+1, at, at)
		}
	case "gap":
		at := slices.Compact(slices.Clone(w.referred().sorted()))
		if ring != nil {
			at = allRound(at, ring.Length.High.Ticks())
		} else if s.How == "in" && w.run.Edge != penetrationEdge { // at a penetration there is no run with ends
			on := slices.DeleteFunc(at, func(t int64) bool { return t < 0 || t > length }) // a gap is of the run
			at = append(append([]int64{0}, on...), length)
		}
		n := 0
		for i := 1; i < len(at); i++ {
			if at[i] <= at[i-1] {
				continue
			}
			n++
			if s.How == "in" {
				add(n, at[i-1], at[i])
			} else {
				mid := at[i-1] + (at[i]-at[i-1])/2
				add(n, mid, mid)
			}
		}
	case "piece":
		for i, p := range w.referred().pieces {
			add(i+1, p.From.Ticks(), p.To.Ticks())
		}
	case "lap":
		for i, lap := range w.referred().laps() {
			mid := lap.From + (lap.To-lap.From)/2
			add(i+1, mid, mid)
		}
	}
	return list
}

// allRound are stations of a ring from its low point up to where the first comes round again.
func allRound(at []int64, length int64) []int64 {
	if len(at) == 0 {
		return nil
	}
	for i, t := range at {
		at[i] = ((t % length) + length) % length
	}
	slices.Sort(at)
	at = slices.Compact(at)
	return append(at, at[0]+length)
}

// referred is the placement that the scope's name refers to, on the same side.
func (w *work) referred() *work {
	for _, o := range w.work[w.element.Scope.Name.Text] {
		if o.side == w.side {
			return o
		}
	}
	return &work{}
}

// sorted are the marks from left to right, once all of them are laid.
func (w *work) sorted() []int64 {
	if w.order == nil {
		w.order = slices.Clone(w.marks)
		slices.Sort(w.order)
	}
	return w.order
}

// laps are the bands in which neighbouring pieces overlap, or stand apart, from left to right.
func (w *work) laps() []band {
	if w.bands == nil {
		for k := 1; k < len(w.pieces); k++ {
			if w.pieces[k].Joint {
				w.bands = append(w.bands, bandOf(w.pieces[k-1], w.pieces[k]))
			}
		}
	}
	return w.bands
}

// A band is a closed stretch of the run.
type band struct{ From, To int64 }

func (sc *Scope) band() band { return band{sc.From.Ticks(), sc.To.Ticks()} }

func bandOf(left, right Piece) band {
	a, b := right.From.Ticks(), left.To.Ticks()
	return band{min(a, b), max(a, b)}
}

// obstaclesOf are the obstacles that bind a side, -1 standing for all, from left to right.
func obstaclesOf(r *geom.Run, side int) []geom.Obstacle {
	var list []geom.Obstacle
	for _, o := range r.Obstacles {
		if side < 0 || o.Side == "" || o.Side == r.Sides[side].ID {
			list = append(list, o)
		}
	}
	slices.SortStableFunc(list, func(a, b geom.Obstacle) int { return a.From.Cmp(b.From) })
	return list
}

// covered tells whether obstacles leave nothing of a scope, and names the first of them.
func (w *work) covered(sc Scope) (string, bool) {
	from, to := sc.From.Ticks(), sc.To.Ticks()
	if from == to {
		for _, o := range w.obstacles {
			if o.From.Ticks() < from && from < o.To.Ticks() {
				return o.ID, true
			}
		}
		return "", false
	}
	if free := w.stretches(from, to); len(free) > 0 {
		return "", false
	}
	for _, o := range w.obstacles {
		if o.To.Ticks() > from {
			return o.ID, true
		}
	}
	return "", false
}

// stretches are the parts of [from, to] between obstacles, those of no length left out.
func (w *work) stretches(from, to int64) []band {
	var free []band
	for _, o := range w.obstacles {
		a, b := o.From.Ticks(), o.To.Ticks()
		if b <= from || a >= to {
			continue
		}
		if a > from {
			free = append(free, band{from, a})
		}
		from = max(from, b)
	}
	if from < to {
		free = append(free, band{from, to})
	}
	return free
}
