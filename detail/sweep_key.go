package detail

import (
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// A sweepKey is all on which the verdict of a value depends, as whole numbers: which multiples of a step, or which
// lengths, each limit lies between. As long as each limit is a straight line over the axis, no part of a key can go
// from one number to another and come back. So two values with equal keys have nothing else between them, and neither
// the solver nor a grid of samples is trusted for that.
type sweepKey []keyPart

// A keyPart is floor(raw / unit); where unit is 0, the sign of raw.
type keyPart struct{ floor, raw, unit int64 }

// steps adds how many whole units are in a value.
func (k *sweepKey) steps(raw, unit int64) {
	floor := raw / unit
	if raw%unit < 0 {
		floor--
	}
	*k = append(*k, keyPart{floor, raw, unit})
}

// both adds between or on which multiples of a unit a value lies.
func (k *sweepKey) both(raw, unit int64) {
	k.steps(raw, unit)
	k.steps(-raw, unit)
}

// sign adds whether a value is below, at or above 0.
func (k *sweepKey) sign(raw int64) {
	*k = append(*k, keyPart{max(-1, min(1, raw)), raw, 0})
}

// number adds what is a number as it stands: a count, a kind, how many there are of something.
func (k *sweepKey) number(n int64) { k.steps(n, 1) }

// rat adds the sign of a value that is no length; its size serves to guess only.
func (k *sweepKey) rat(x *big.Rat) {
	scaled := new(big.Rat).Mul(x, big.NewRat(1_000_000_000_000, 1))
	q := new(big.Int).Quo(scaled.Num(), scaled.Denom())
	raw := int64(1) << 62 * int64(x.Sign())
	if q.IsInt64() && abs(q.Int64()) < 1<<62 {
		raw = q.Int64()
	}
	*k = append(*k, keyPart{int64(x.Sign()), raw, 0})
}

// agrees tells whether two values have equal keys.
func (t *tried) agrees(o *tried) bool {
	return slices.EqualFunc(t.key, o.key, func(a, b keyPart) bool { return a.floor == b.floor })
}

// split guesses a number between two whose keys differ at which a part changes: of the part that changes most, its middle
// change.
func (t *tried) split(o *tried) int64 {
	mid := t.at + (o.at-t.at)/2
	if len(t.key) != len(o.key) {
		return mid
	}
	part, most := -1, int64(0)
	for i := range t.key {
		if d := abs(o.key[i].floor - t.key[i].floor); d > most && t.key[i].unit == o.key[i].unit {
			part, most = i, d
		}
	}
	if part < 0 {
		return mid
	}
	a, b := t.key[part], o.key[part]
	var target int64 // the first raw value past the change
	switch up := b.floor > a.floor; {
	case a.unit == 0 && a.floor == 0:
		target = b.floor
	case a.unit == 0:
		target = 0
	case up:
		target = (a.floor + (most+1)/2) * a.unit
	default:
		target = (a.floor-(most-1)/2)*a.unit - 1
	}
	if a.raw == b.raw {
		return mid
	}
	// at + (target - a.raw) · (o.at - t.at) / (b.raw - a.raw), up to a whole number
	n := new(big.Int).Mul(big.NewInt(target-a.raw), big.NewInt(o.at-t.at))
	d := big.NewInt(b.raw - a.raw)
	if d.Sign() < 0 {
		n.Neg(n)
		d.Neg(d)
	}
	n.Add(n, d).Sub(n, big.NewInt(1))
	n.Div(n, d)
	if !n.IsInt64() {
		return mid
	}
	return max(t.at+1, min(o.at-1, t.at+max(-1<<61, min(1<<61, n.Int64()))))
}

// panels adds what panels are there, and which of them the ribs leave a flat.
func (k *sweepKey) panels(b *binding) {
	for _, side := range b.panels {
		k.number(int64(len(side)))
		for _, p := range side {
			cut := int64(0)
			if p.Cut {
				cut = 1
			}
			k.number(cut)
			k.sign(p.Flat().Ticks())
		}
	}
	for _, z := range b.run.Zones {
		k.sign(b.run.Length.Ticks() - z.To.Ticks())
	}
}

// depend finds the expressions that vary along the axis, and whether one of them is no straight line.
func (s *sweeper) depend() {
	names := map[string][]string{
		"panel":  {"panel.width", "panel.flat", "panel.cut", "run.length", "scope.length"},
		"length": {"panel.width", "panel.flat", "panel.cut", "run.length", "scope.length"},
		"slope":  {"slope"},
		"input":  {s.axis.Input},
	}[s.axis.Of]
	s.varies, s.curved = map[rules.Expr]bool{}, false
	uses := func(e rules.Expr) bool {
		return slices.ContainsFunc(names, func(n string) bool { return s.detail.Uses(e, n) })
	}
	mark := func(e rules.Expr) {
		if e == nil || !uses(e) {
			return
		}
		s.varies[e] = true
		s.curved = s.curved || !straight(e, s.detail, uses)
	}
	for _, q := range s.detail.Requires {
		mark(q.Cond)
	}
	for _, e := range s.detail.Elements {
		mark(e.When)
		for _, r := range e.Rules {
			mark(r.When)
			mark(r.Value)
			// Two roundings to a tick, of a place and of a rule measured from it, needn't go the same way.
			if s.needed[e.Name] && s.varies[r.Value] && (r.Measure == rules.Extend || e.Scope.How == "at" && r.Measure != rules.Length) {
				s.curved = true
			}
		}
	}
}

// straight tells whether an expression is made of straight lines: that two of its parts that vary are never multiplied, nor
// anything divided by one.
func straight(e rules.Expr, d *rules.Detail, varies func(rules.Expr) bool) bool {
	switch e := e.(type) {
	case *rules.Ref:
		if let := d.Let(e.Name); let != nil {
			return straight(let.Value, d, varies)
		}
	case *rules.Unary:
		return straight(e.X, d, varies)
	case *rules.Binary:
		if e.Op == "*" && varies(e.X) && varies(e.Y) || e.Op == "/" && varies(e.Y) {
			return false
		}
		return straight(e.X, d, varies) && straight(e.Y, d, varies)
	case *rules.Call:
		for _, x := range e.Args {
			if !straight(x, d, varies) {
				return false
			}
		}
	}
	return true
}

// A tracer adds to a key where an expression bends.
type tracer struct {
	key  *sweepKey
	env  *env
	seen map[string]bool // lets
}

// trace adds how an expression's comparisons come out, which of its arguments is the least or the greatest, and what
// is rounded to.
func (k *sweepKey) trace(e rules.Expr, at *env) {
	tracer{k, at, map[string]bool{}}.visit(e)
}

func (t tracer) visit(e rules.Expr) {
	switch e := e.(type) {
	case *rules.Ref:
		if let := t.env.detail.Let(e.Name); let != nil && !t.seen[e.Name] {
			t.seen[e.Name] = true
			t.visit(let.Value)
		}
	case *rules.Unary:
		t.visit(e.X)
	case *rules.Binary:
		t.visit(e.X)
		t.visit(e.Y)
		switch e.Op {
		case "<", "<=", "=", ">=", ">":
			t.order(e.X, e.Y)
		}
	case *rules.Call:
		for _, x := range e.Args {
			t.visit(x)
		}
		switch e.Func {
		case "min", "max":
			for i := range e.Args {
				for j := range i {
					t.order(e.Args[i], e.Args[j])
				}
			}
		case "abs":
			if x, err := rules.Eval(e.Args[0], t.env); err == nil {
				t.key.rat(x.Num)
			}
		default: // floor, ceil
			if x, err := rules.Eval(e, t.env); err == nil && x.Num.Num().IsInt64() {
				t.key.number(max(-1<<61, min(1<<61, x.Num.Num().Int64())))
			}
		}
	}
}

// order adds which of two values is the greater. One that can't be computed here decides nothing here.
func (t tracer) order(x, y rules.Expr) {
	a, err1 := rules.Eval(x, t.env)
	b, err2 := rules.Eval(y, t.env)
	if err1 == nil && err2 == nil && a.Num != nil && b.Num != nil {
		t.key.rat(new(big.Rat).Sub(a.Num, b.Num))
	}
}
