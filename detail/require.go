package detail

import (
	"math/big"

	"github.com/lapwright/lapwright/rules"
)

// require checks the requirements that speak of a side, or with -1 of the run and its ends.
func (l *layer) require(b *binding, side int) error {
	for _, q := range b.detail.Requires {
		if q.Clear != nil {
			if b.run.Edge == penetrationEdge && side == 0 {
				b.exercise(q)
				if err := l.requireClear(b, q); err != nil {
					return err
				}
			}
			continue
		}
		if isField(b.run) && b.run.Edge != fieldEdge {
			continue // of a plane as a whole
		}
		w := &work{binding: b, side: side, element: &rules.Element{}}
		for _, sc := range w.required(q) {
			if err := l.ctx.Err(); err != nil {
				return err
			}
			b.exercise(q)
			e, ok, err := w.holds(q, &sc)
			if err != nil {
				return err
			}
			if ok {
				continue
			}
			broken := w.blame(sc, line{name: q.ID, span: q.Span}, "must", sc.From.Ticks(), sc.To.Ticks())
			if q.Should {
				broken.Severity = "should"
			}
			broken.Measure, broken.Because, broken.Source = "require", q.Because, q.Source
			l.compare(&broken, q.Cond, e)
			if !q.Should {
				broken.Conflict, broken.Minimal = []RuleRef{{Rule: q.ID, Span: q.Span}}, true
			}
			l.violate(broken)
		}
	}
	return nil
}

// exercise notes that a rule or requirement took part, where that is asked for.
func (b *binding) exercise(n rules.Node) {
	if b.took != nil {
		b.took[n] = true
	}
}

// holds tells whether a requirement holds in a scope, seen from each side, and from where it was seen.
func (w *work) holds(q *rules.Require, sc *Scope) (e *env, ok bool, err error) {
	for _, side := range w.views(q.Cond) {
		e = w.at(sc, side)
		v, err := rules.Eval(q.Cond, e)
		if err != nil || !v.Bool {
			return e, false, err
		}
	}
	return e, true, nil
}

// required are the places where a requirement is checked, on the side that w is for.
func (w *work) required(q *rules.Require) []Scope {
	of := w.detail.RequireScope(q)
	if perSide := of != "end" && of != "run"; perSide != (w.side >= 0) {
		return nil
	}
	if of == "side" && len(w.run.Sides) == 1 {
		of = "run"
	}
	w.element.Scope = &rules.ScopeDecl{Of: of, How: "in", Every: 1}
	return w.enumerate()
}

// compare says what was found, required and missed where a condition is a comparison; of any other it only says
// that it doesn't hold.
func (l *layer) compare(v *Violation, cond rules.Expr, e rules.Env) {
	v.What, v.Required, v.Found, v.By = "the condition", Amount{Text: l.source(cond.Pos())}, Amount{Text: "not so"}, Amount{Text: "-"}
	c, ok := cond.(*rules.Binary)
	if !ok {
		return
	}
	switch c.Op {
	case "<", "<=", "=", ">=", ">":
	default:
		return
	}
	x, err1 := rules.Eval(c.X, e)
	y, err2 := rules.Eval(c.Y, e)
	if err1 != nil || err2 != nil || x.Num == nil || y.Num == nil {
		return
	}
	off := new(big.Rat).Sub(x.Num, y.Num)
	v.What = l.source(c.X.Pos())
	v.Required, v.Found, v.By = amount(c.Op, y), amount("", x), amount("", rules.Value{Dim: x.Dim, Num: off.Abs(off)})
}
