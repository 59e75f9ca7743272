package rules

import (
	"math/big"
	"slices"
	"strings"
)

// Ranges are the values that expressions of a detail can have: over every roof, and over all that the `where` of its
// inputs lets through. They are not safe for concurrent use.
type Ranges struct {
	draft *draft
	where []Expr
}

// A narrowing is what conditions leave of a name's values; nil where they set no bound.
type narrowing struct{ lo, hi *big.Rat }

// Ranges returns the ranges of the detail's expressions where the conditions hold. Of a condition it takes comparisons
// of a name with what has a bound, joined by `and`; whatever else a condition says leaves the ranges as wide as they
// are.
func (d *Detail) Ranges(where ...Expr) *Ranges {
	r := &Ranges{&draft{Detail: d, inputs: map[string]*Input{}, narrowed: map[string]narrowing{}}, where}
	for _, in := range d.Inputs {
		r.draft.inputs[in.Name.Text] = in
	}
	for _, name := range []string{"run.length", "scope.length", "panel.width"} {
		r.draft.narrowed[name] = narrowing{lo: big.NewRat(1, 1)} // none is shorter than a tick
	}
	r.forget()
	seen := map[string]bool{}
	for _, c := range where {
		r.narrow(c, seen)
	}
	if len(where) > 0 {
		r.forget()
	}
	return r
}

// forget drops the forms of lets, which bounds that are known now would make narrower.
func (r *Ranges) forget() {
	r.draft.lets, r.draft.folded = map[string]*letState{}, map[string]Value{}
	for _, l := range r.draft.Lets {
		r.draft.lets[l.Name.Text] = &letState{let: l, ok: true}
	}
}

// Of returns the least and the greatest value that an expression can have, in the units of Value; nil where no bound is
// known. The bounds are certain, and need not be reached.
func (r *Ranges) Of(e Expr) (lo, hi *big.Rat) {
	form, ok := r.draft.linear(e)
	if !ok {
		return nil, nil
	}
	return form.bounds()
}

// narrow takes a condition for given.
func (r *Ranges) narrow(e Expr, seen map[string]bool) {
	switch e := e.(type) {
	case *Ref:
		if let := r.draft.Let(e.Name); let != nil && !seen[e.Name] {
			seen[e.Name] = true
			r.narrow(let.Value, seen)
		}
	case *Binary:
		switch e.Op {
		case "and":
			r.narrow(e.X, seen)
			r.narrow(e.Y, seen)
		case "<", "<=", "=", ">=", ">":
			r.compared(e.X, e.Op, e.Y)
			r.compared(e.Y, mirrored(e.Op), e.X)
		}
	}
}

func (r *Ranges) compared(x Expr, op string, y Expr) {
	name, ok := x.(*Ref)
	if !ok || r.draft.Let(name.Name) != nil {
		return
	}
	lo, hi := r.Of(y)
	n := r.draft.narrowed[name.Name]
	if strings.HasPrefix(op, ">") || op == "=" {
		n.lo = some([]*big.Rat{n.lo, lo}, 1)
	}
	if strings.HasPrefix(op, "<") || op == "=" {
		n.hi = some([]*big.Rat{n.hi, hi}, -1)
	}
	r.draft.narrowed[name.Name] = n
}

// Never reports whether it is certain that a condition holds nowhere.
func (r *Ranges) Never(cond Expr) bool {
	return r.decided(cond, false, map[string]bool{}) || r.draft.Ranges(slices.Concat(r.where, []Expr{cond})...).empty()
}

// empty tells whether the conditions leave a name no value.
func (r *Ranges) empty() bool {
	for name := range r.draft.narrowed {
		if lo, hi, _ := r.draft.bounds(&Ref{Name: name}); lo != nil && hi != nil && lo.Cmp(hi) > 0 {
			return true
		}
	}
	return false
}

// Always reports whether it is certain that a condition holds everywhere, if all names in it have values.
func (r *Ranges) Always(cond Expr) bool { return r.decided(cond, true, map[string]bool{}) }

// decided tells whether a condition certainly comes to a value.
func (r *Ranges) decided(e Expr, want bool, seen map[string]bool) bool {
	switch e := e.(type) {
	case *Ref:
		if let := r.draft.Let(e.Name); let != nil && !seen[e.Name] {
			seen[e.Name] = true
			return r.decided(let.Value, want, seen)
		}
	case *Unary:
		return e.Op == "not" && r.decided(e.X, !want, seen)
	case *Binary:
		switch {
		case e.Op == "and" && want, e.Op == "or" && !want:
			return r.decided(e.X, want, seen) && r.decided(e.Y, want, seen)
		case e.Op == "and" || e.Op == "or":
			return r.decided(e.X, want, seen) || r.decided(e.Y, want, seen)
		}
		return r.ordered(e, want)
	}
	return false
}

// ordered decides a comparison by what its sides differ.
func (r *Ranges) ordered(e *Binary, want bool) bool {
	lo, hi := r.Of(&Binary{Span: e.Span, Op: "-", X: e.X, Y: e.Y})
	over := func(least int) bool { return lo != nil && lo.Sign() >= least } // x - y > 0 where least is 1, >= 0 where 0
	under := func(most int) bool { return hi != nil && hi.Sign() <= -most } // and the other way round
	switch e.Op {
	case "<":
		return want && under(1) || !want && over(0)
	case "<=":
		return want && under(0) || !want && over(1)
	case ">=":
		return want && over(0) || !want && under(1)
	case ">":
		return want && over(1) || !want && under(0)
	case "=":
		return want && over(0) && under(0) || !want && (over(1) || under(1))
	}
	return false
}
