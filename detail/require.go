package detail

import (
	"fmt"
	"math/big"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// require checks the requirements that speak of a side, or with -1 of the run and its ends.
func (l *layer) require(b *binding, side int) error {
	for _, q := range b.detail.Requires {
		if q.Cond == nil {
			continue // a distance on a plane: the check of the book refuses it until planes are laid
		}
		w := &work{binding: b, side: side, element: &rules.Element{}}
		for _, sc := range w.required(q) {
			if err := l.ctx.Err(); err != nil {
				return err
			}
			e := w.at(&sc, max(side, 0))
			v, err := rules.Eval(q.Cond, e)
			if err != nil {
				return err
			}
			if v.Bool {
				continue
			}
			broken := w.blame(sc, line{name: q.ID, span: q.Span}, "must", 0, sc.From.Ticks(), sc.To.Ticks())
			if q.Should {
				broken.Severity = "should"
			}
			broken.Measure, broken.Because, broken.Source = "require", q.Because, q.Source
			l.compare(&broken, q.Cond, e)
			broken.Message = fmt.Sprintf("%s: found %s, required %s", w.placeOf(sc), broken.Found.In(units.In), l.source(q.Cond.Pos()))
			if !q.Should {
				broken.Conflict, broken.Minimal = []RuleRef{{Rule: q.ID, Span: q.Span}}, true
			}
			l.violate(broken)
		}
	}
	return nil
}

// required are the places where a requirement is checked, by the names that it uses.
func (w *work) required(q *rules.Require) []Scope {
	uses := func(names ...string) bool {
		for _, n := range names {
			if w.detail.Uses(q.Cond, n) {
				return true
			}
		}
		return false
	}
	var of string
	switch {
	case uses("panel.width", "panel.flat", "panel.cut"):
		of = "panel"
	case uses("rib.width", "rib.height"):
		of = "rib"
	case uses("slope", "side"):
		of = "side"
	case uses("end.kind"):
		of = "end"
	default:
		of = "run"
	}
	if perSide := of == "panel" || of == "rib" || of == "side"; perSide != (w.side >= 0) {
		return nil
	}
	scope := &rules.ScopeDecl{Of: of, How: "in", Every: 1}
	if of == "side" && len(w.run.Sides) == 1 {
		scope.Of = "run"
	}
	w.element.Scope = scope
	return w.enumerate()
}

// compare says what was found, required and missed where a condition is a comparison; of any other it only says
// that it doesn't hold.
func (l *layer) compare(v *Violation, cond rules.Expr, e rules.Env) {
	v.Required, v.Found, v.By = Amount{Text: l.source(cond.Pos())}, Amount{Text: "not so"}, Amount{Text: "-"}
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
	v.Required, v.Found, v.By = amount(c.Op, y), amount("", x), amount("", rules.Value{Dim: x.Dim, Num: off.Abs(off)})
}
