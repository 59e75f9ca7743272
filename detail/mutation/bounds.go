package mutation

import (
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// A reach is what an expression can come to: from lo to hi, ends included; nil where no bound is known.
type reach struct{ lo, hi *big.Rat }

// reachOf bounds an expression of a detail: inputs by their `where`, lengths and slopes of a roof from zero on.
func reachOf(d *rules.Detail, e rules.Expr) reach {
	switch e := e.(type) {
	case *rules.Literal:
		return reach{e.Value.Num, e.Value.Num}
	case *rules.Ref:
		if in := d.Input(e.Name); in != nil {
			return letIn(in)
		}
		switch e.Name {
		case "run.length", "panel.width", "panel.flat", "rib.width", "rib.height", "scope.length", "slope":
			return reach{lo: new(big.Rat)}
		}
	}
	return reach{}
}

// outdoes tells whether all that is in reach is at most, or at least, a number, so that a min or max never needs it.
func (r reach) outdoes(v *big.Rat, of string) bool {
	if of == "min" {
		return r.hi != nil && r.hi.Cmp(v) <= 0
	}
	return r.lo != nil && r.lo.Cmp(v) >= 0
}

// letIn bounds an input by the comparisons with a number that its `where` joins with `and`.
func letIn(in *rules.Input) reach {
	var r reach
	var visit func(rules.Expr)
	visit = func(e rules.Expr) {
		b, ok := e.(*rules.Binary)
		if !ok {
			return
		}
		if b.Op == "and" {
			visit(b.X)
			visit(b.Y)
			return
		}
		x, isRef := b.X.(*rules.Ref)
		y, isLit := b.Y.(*rules.Literal)
		if !isRef || !isLit || x.Name != in.Name.Text {
			return
		}
		switch b.Op {
		case ">", ">=", "=":
			if v := y.Value.Num; r.lo == nil || v.Cmp(r.lo) > 0 {
				r.lo = v
			}
		}
		switch b.Op {
		case "<", "<=", "=":
			if v := y.Value.Num; r.hi == nil || v.Cmp(r.hi) < 0 {
				r.hi = v
			}
		}
	}
	visit(in.Where)
	return r
}

// outdone tells whether a number never decides the min or max that it stands in, since another part always outdoes it
// or is as good.
func outdone(d *rules.Detail, e rules.Expr, l *rules.Literal) bool {
	switch e := e.(type) {
	case *rules.Unary:
		return outdone(d, e.X, l)
	case *rules.Binary:
		return outdone(d, e.X, l) || outdone(d, e.Y, l)
	case *rules.Call:
		if i := slices.Index(e.Args, rules.Expr(l)); i >= 0 && (e.Func == "min" || e.Func == "max") {
			for k, other := range e.Args {
				if k != i && reachOf(d, other).outdoes(l.Value.Num, e.Func) {
					return true
				}
			}
			return false
		}
		return slices.ContainsFunc(e.Args, func(a rules.Expr) bool { return outdone(d, a, l) })
	}
	return false
}
