package detail

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// env gives an expression its names at one place of a run.
type env struct {
	*binding
	side  int    // whose slope, panels and ribs; index into run.Sides
	scope *Scope // nil: none
	end   int    // 0 none, 1 left, 2 right
	zone  []string
	lets  map[string]rules.Value // those computed here: a let that many lets use is computed once
}

// in moves the env into the zones of another cell.
func (e *env) in(c cell) { e.zone, e.lets = c.zones, nil }

// Lookup implements rules.Env.
func (e *env) Lookup(name string) (rules.Value, bool) {
	if v, ok := e.inputs[name]; ok {
		return v, true
	}
	if let := e.detail.Let(name); let != nil {
		v, ok := e.lets[name]
		if !ok {
			var err error
			if v, err = rules.Eval(let.Value, e); err != nil {
				return v, false
			}
			if e.lets == nil {
				e.lets = map[string]rules.Value{}
			}
			e.lets[name] = v
		}
		return v, true
	}
	side := &e.run.Sides[e.side]
	switch name {
	case "run.length":
		return length(e.run.Length), true
	case "run.edge":
		return word(e.run.Edge), true
	case "slope":
		return rules.Value{Dim: rules.SlopeDim, Num: side.Slope.Rat()}, true
	case "side":
		return word(side.Role), side.Role != ""
	case "rib.width":
		return length(side.Profile.RibWidth), side.HasPanels || e.run.Edge == geom.RibLine
	case "rib.height":
		return length(side.Profile.RibHeight), side.HasPanels || e.run.Edge == geom.RibLine
	case "penetration.width":
		if e.hole == nil {
			return rules.Value{}, false
		}
		return length(width(e.hole)), true
	case "zone":
		return rules.Value{Dim: rules.Word, Words: e.zone}, true
	case "end.kind":
		switch {
		case e.end == 0:
			return rules.Value{}, false
		case e.end == 1 && e.scope.From.Sign() > 0, e.end == 2 && e.scope.To.Cmp(e.run.Length) < 0:
			return rules.Value{Dim: rules.Word}, true // no end of the run: of no kind
		}
		return word(e.run.Ends[e.end-1]), true
	}
	if e.scope == nil {
		return rules.Value{}, false
	}
	switch name {
	case "scope.length":
		return rules.Value{Dim: rules.LengthDim, Num: new(big.Rat).SetInt64(e.scope.To.Ticks() - e.scope.From.Ticks())}, true
	case "panel.width", "panel.flat", "panel.cut":
		p, ok := e.panel()
		switch {
		case !ok:
			return rules.Value{}, false
		case name == "panel.width":
			return length(p.SquareWidth()), true
		case name == "panel.flat":
			return length(p.SquareFlat()), true
		default:
			return rules.Value{Dim: rules.Condition, Bool: p.Cut}, true
		}
	}
	return rules.Value{}, false
}

// panel is the panel that the scope stands for.
func (e *env) panel() (geom.Panel, bool) {
	if e.scope.Kind != "panel" {
		return geom.Panel{}, false
	}
	return e.panels[e.side][e.scope.N-1], true
}

func length(l units.Length) rules.Value {
	return rules.Value{Dim: rules.LengthDim, Num: new(big.Rat).SetInt64(l.Ticks())}
}

func word(s string) rules.Value { return rules.Value{Dim: rules.Word, Words: []string{s}} }

// views are the sides from which an expression is read: the placement's own, or, where it spans the sides and
// asks for the slope, each of them.
func (w *work) views(e rules.Expr) []int {
	if w.side >= 0 {
		return []int{w.side}
	}
	if len(w.run.Sides) > 1 && w.detail.Uses(e, "slope") {
		return []int{0, 1}
	}
	return []int{0}
}

// at is the env of a scope, seen from a side.
func (w *work) at(sc *Scope, side int) *env {
	e := &env{binding: w.binding, side: side, scope: sc}
	if sc.Kind == "end" {
		e.end = sc.N
	}
	return e
}

// cell is a stretch of the run that lies in the same zones throughout, its borders included.
type cell struct {
	band
	zones []string
}

// cells cuts a run at the borders of its zones.
func cells(r *geom.Run) []cell {
	cuts := []int64{0, r.Length.Ticks()}
	for _, z := range r.Zones {
		cuts = append(cuts, z.From.Ticks(), z.To.Ticks())
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var list []cell
	for i := 1; i < len(cuts); i++ {
		c := cell{band: band{cuts[i-1], cuts[i]}}
		for _, z := range r.Zones {
			if z.From.Ticks() <= c.From && c.To <= z.To.Ticks() {
				c.zones = append(c.zones, z.Kind)
			}
		}
		list = append(list, c)
	}
	return list
}

// near are the cells that touch a band.
func (b *binding) near(within band) []cell {
	first, _ := slices.BinarySearchFunc(b.cells, within.From, func(c cell, t int64) int { return cmp.Compare(c.To, t) })
	last := first
	for last < len(b.cells) && b.cells[last].From <= within.To {
		last++
	}
	return b.cells[first:last]
}

// where finds the part of a band in which a condition holds for a scope: everywhere, or in the bands given, which may
// reach past it. A nil condition holds everywhere.
func (w *work) where(when rules.Expr, sc *Scope, end int, within band) (everywhere bool, bands []band, err error) {
	if when == nil {
		return true, nil, nil
	}
	zoned := w.detail.Uses(when, "zone")
	for _, side := range w.views(when) {
		e := w.at(sc, side)
		if end != 0 {
			e.end = end
		}
		if !zoned {
			v, err := rules.Eval(when, e)
			if err != nil || v.Bool {
				return err == nil, nil, err
			}
			continue
		}
		for _, c := range w.near(within) {
			e.in(c)
			v, err := rules.Eval(when, e)
			if err != nil {
				return false, nil, err
			}
			if v.Bool {
				bands = append(bands, c.band)
			}
		}
	}
	slices.SortFunc(bands, byPlace)
	return false, merge(bands), nil
}

// byPlace orders bands from left to right.
func byPlace(a, b band) int {
	return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To))
}

// merge joins sorted bands that touch.
func merge(bands []band) []band {
	var out []band
	for _, b := range bands {
		if n := len(out); n > 0 && b.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, b.To)
			continue
		}
		out = append(out, b)
	}
	return out
}

// anywhere tells whether a condition holds in any part of a scope.
func (w *work) anywhere(when rules.Expr, sc Scope) (bool, error) {
	all, bands, err := w.where(when, &sc, 0, sc.band())
	if err != nil {
		return false, err
	}
	return all || touches(bands, sc.From.Ticks(), sc.To.Ticks()), nil
}

func touches(bands []band, from, to int64) bool {
	for _, b := range bands {
		if b.From <= to && from <= b.To {
			return true
		}
	}
	return false
}

// spans turns bands into those of the solver, counted from a scope's start; those beyond the scope fall away.
func spans(bands []band, from, to int64) []chain.Span {
	list := []chain.Span{}
	for _, b := range bands {
		if b.From <= to && from <= b.To {
			list = append(list, chain.Span{From: b.From - from, To: b.To - from})
		}
	}
	return list
}

// A bound is what a rule asks for in a scope: at least min, at most max, where they are given.
type bound struct {
	min, max       int64
	hasMin, hasMax bool
}

// bound evaluates a rule for a scope, in ticks or in counts. A maximum rounds down and a minimum up; with two
// sides to be read from, the stricter counts.
func (w *work) bound(r *rules.Rule, sc *Scope, end int) (bound, error) {
	var out bound
	w.exercise(r)
	for _, side := range w.views(r.Value) {
		e := w.at(sc, side)
		if end != 0 {
			e.end = end
		}
		v, err := rules.Eval(r.Value, e)
		if err != nil {
			return out, err
		}
		lo, hi, err := whole(v.Num)
		if err != nil {
			return out, fmt.Errorf("%s: %w", place(r.Span), err)
		}
		if r.Op == rules.Equal && lo != hi {
			if v.Dim == rules.Number {
				return out, fmt.Errorf("%s: %s comes to %s, no whole number", place(r.Span), r.ID, v.Num.RatString())
			}
			// Less than a tick apart: the nearer, or the lower where they are as near.
			if half := new(big.Rat).Add(new(big.Rat).SetInt64(lo), big.NewRat(1, 2)); v.Num.Cmp(half) > 0 {
				lo = hi
			} else {
				hi = lo
			}
		}
		switch r.Op {
		case rules.Less:
			out.atMost(hi - 1)
		case rules.AtMost:
			out.atMost(lo)
		case rules.Equal:
			out.atMost(lo)
			out.atLeast(lo)
		case rules.AtLeast:
			out.atLeast(hi)
		case rules.Greater:
			out.atLeast(lo + 1)
		}
	}
	return out, nil
}

func (b *bound) atMost(v int64) {
	if !b.hasMax || v < b.max {
		b.max, b.hasMax = v, true
	}
}

func (b *bound) atLeast(v int64) {
	if !b.hasMin || v > b.min {
		b.min, b.hasMin = v, true
	}
}

// whole rounds a number down and up, and refuses what is past the longest length.
func whole(x *big.Rat) (lo, hi int64, err error) {
	q, rem := new(big.Int), new(big.Int)
	q.DivMod(x.Num(), x.Denom(), rem) // Euclidean: down, since the divisor is positive
	if !q.IsInt64() || q.Int64() > units.MaxTicks-1 || q.Int64() < -units.MaxTicks {
		return 0, 0, fmt.Errorf("the value is over 1,000 km: %w", units.ErrOverflow)
	}
	lo = q.Int64()
	if rem.Sign() == 0 {
		return lo, lo, nil
	}
	return lo, lo + 1, nil
}

// place writes where a span starts.
func place(s rules.Span) string {
	return fmt.Sprintf("%s:%d:%d", s.File, s.Start.Line, s.Start.Column)
}
