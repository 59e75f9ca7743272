package rules

import (
	"maps"
	"math/big"
	"slices"
	"strings"
)

// maxTerms bounds the names that a linear form keeps apart; of a longer one nothing is said.
const maxTerms = 64

// A linear is an expression as a constant and multiples of what isn't constant, so that what two limits have
// in common falls away in their difference.
type linear struct {
	constant *big.Rat
	terms    map[string]term
}

type term struct {
	times  *big.Rat
	lo, hi *big.Rat // what it can be; nil: no bound known
	exact  bool     // it takes every value between its bounds, whatever the others are
}

// difference is x - y; not ok if they can't be compared.
func (d *draft) difference(x, y Expr) (linear, bool) {
	a, ok := d.linear(x)
	if !ok {
		return linear{}, false
	}
	b, ok := d.linear(y)
	if !ok {
		return linear{}, false
	}
	return a.plus(b, -1)
}

func (l linear) plus(m linear, times int64) (linear, bool) {
	factor := big.NewRat(times, 1)
	sum := linear{new(big.Rat).Add(l.constant, new(big.Rat).Mul(factor, m.constant)), maps.Clone(l.terms)}
	for key, t := range m.terms {
		t.times = new(big.Rat).Mul(factor, t.times)
		if mine, ok := sum.terms[key]; ok {
			t.times.Add(t.times, mine.times)
		}
		sum.terms[key] = t
		if t.times.Sign() == 0 {
			delete(sum.terms, key)
		}
	}
	return sum, len(sum.terms) <= maxTerms && sum.small()
}

func (l linear) scale(by *big.Rat) (linear, bool) {
	scaled := linear{new(big.Rat).Mul(l.constant, by), map[string]term{}}
	for key, t := range l.terms {
		if t.times = new(big.Rat).Mul(t.times, by); t.times.Sign() != 0 {
			scaled.terms[key] = t
		}
	}
	return scaled, scaled.small()
}

func (l linear) small() bool {
	fits := func(r *big.Rat) bool { return r.Num().BitLen() <= maxBits && r.Denom().BitLen() <= maxBits }
	for _, t := range l.terms {
		if !fits(t.times) {
			return false
		}
	}
	return fits(l.constant)
}

// exact tells whether the bounds of the whole are reached.
func (l linear) exact() bool {
	for _, t := range l.terms {
		if !t.exact {
			return false
		}
	}
	return true
}

// bounds are the least and the greatest value; nil where none is known.
func (l linear) bounds() (lo, hi *big.Rat) {
	lo, hi = new(big.Rat).Set(l.constant), new(big.Rat).Set(l.constant)
	add := func(sum, bound, times *big.Rat) *big.Rat {
		if sum == nil || bound == nil {
			return nil
		}
		return sum.Add(sum, new(big.Rat).Mul(bound, times))
	}
	// In the order of their names, so that nothing depends on the order of a map.
	for _, key := range slices.Sorted(maps.Keys(l.terms)) {
		t := l.terms[key]
		low, high := t.lo, t.hi
		if t.times.Sign() < 0 {
			low, high = high, low
		}
		lo, hi = add(lo, low, t.times), add(hi, high, t.times)
	}
	return lo, hi
}

// linear is the linear form of an expression; not ok if it isn't a number or grows too large.
func (d *draft) linear(e Expr) (linear, bool) {
	if v, err := Eval(e, constants{d}); err == nil {
		return linear{v.Num, map[string]term{}}, v.Num != nil
	}
	switch e := e.(type) {
	case *Ref:
		if l := d.lets[e.Name]; l != nil && l.ok {
			if l.form == nil {
				form, ok := d.linear(l.let.Value)
				l.form, l.formed = &form, ok
			}
			return *l.form, l.formed
		}
	case *Unary:
		if x, ok := d.linear(e.X); ok && e.Op == "-" {
			return x.scale(big.NewRat(-1, 1))
		}
	case *Binary:
		x, okX := d.linear(e.X)
		y, okY := d.linear(e.Y)
		if !okX || !okY {
			return linear{}, false
		}
		switch {
		case e.Op == "+":
			return x.plus(y, 1)
		case e.Op == "-":
			return x.plus(y, -1)
		case e.Op == "*" && len(x.terms) == 0:
			return y.scale(x.constant)
		case e.Op == "*" && len(y.terms) == 0:
			return x.scale(y.constant)
		case e.Op == "/" && len(y.terms) == 0 && y.constant.Sign() != 0:
			return x.scale(new(big.Rat).Inv(y.constant))
		}
	}
	lo, hi, exact := d.bounds(e)
	return linear{new(big.Rat), map[string]term{canon(e): {big.NewRat(1, 1), lo, hi, exact}}}, true
}

// bounds are of an expression that has no linear form of its own.
func (d *draft) bounds(e Expr) (lo, hi *big.Rat, exact bool) {
	switch e := e.(type) {
	case *Ref:
		if in := d.inputs[e.Name]; in != nil {
			lo, hi, exact = in.bounds()
		} else if givenNamed(e.Name) != nil {
			// All that a roof gives is a length or a slope, and none is negative.
			lo, exact = new(big.Rat), true
		}
		n := d.narrowed[e.Name]
		return some([]*big.Rat{lo, n.lo}, 1), some([]*big.Rat{hi, n.hi}, -1), exact
	case *Call:
		switch e.Func {
		case "min", "max":
			lo, hi = d.callBounds(e)
		case "floor", "ceil":
			if x, ok := d.linear(e.Args[0]); ok {
				lo, hi = x.bounds()
				lo, hi = rounded(e.Func, lo), rounded(e.Func, hi)
			}
		case "abs":
			if x, ok := d.linear(e.Args[0]); ok {
				lo, hi = x.bounds()
			}
			lo, hi = some([]*big.Rat{new(big.Rat), lo, negate(hi)}, 1), every([]*big.Rat{negate(lo), hi}, 1)
		}
	}
	return lo, hi, false
}

// rounded is the floor or the ceil of a bound; nil of none.
func rounded(way string, r *big.Rat) *big.Rat {
	switch {
	case r == nil:
		return nil
	case way == "ceil":
		return negate(floor(negate(r)))
	}
	return floor(r)
}

func (d *draft) callBounds(e *Call) (lo, hi *big.Rat) {
	los, his := make([]*big.Rat, len(e.Args)), make([]*big.Rat, len(e.Args))
	for i, a := range e.Args {
		if l, ok := d.linear(a); ok {
			los[i], his[i] = l.bounds()
		}
	}
	if e.Func == "min" {
		return every(los, -1), some(his, -1)
	}
	return some(los, 1), every(his, 1)
}

// some is the extreme of the bounds that are known, every the extreme of all, nil if one isn't known; a sign of
// 1 asks for the greatest, -1 for the least.
func some(bounds []*big.Rat, sign int) *big.Rat {
	var best *big.Rat
	for _, b := range bounds {
		if b != nil && (best == nil || b.Cmp(best) == sign) {
			best = b
		}
	}
	return best
}

func every(bounds []*big.Rat, sign int) *big.Rat {
	if slices.Contains(bounds, nil) {
		return nil
	}
	return some(bounds, sign)
}

// bounds are what the input's `where` lets through, as far as it is comparisons with constants joined by `and`.
func (in *Input) bounds() (lo, hi *big.Rat, exact bool) {
	exact = true
	var visit func(Expr)
	visit = func(e Expr) {
		b, ok := e.(*Binary)
		if ok && b.Op == "and" {
			visit(b.X)
			visit(b.Y)
			return
		}
		if !ok {
			exact = false
			return
		}
		name, limit, op := b.X, b.Y, b.Op
		if _, ok := name.(*Ref); !ok {
			name, limit, op = b.Y, b.X, mirrored(b.Op)
		}
		_, named := name.(*Ref)
		v, err := Eval(limit, constants{})
		if !named || err != nil || v.Num == nil {
			exact = false
			return
		}
		if strings.HasPrefix(op, ">") || op == "=" {
			lo = some([]*big.Rat{lo, v.Num}, 1)
		}
		if strings.HasPrefix(op, "<") || op == "=" {
			hi = some([]*big.Rat{hi, v.Num}, -1)
		}
	}
	if in.Type.Text == "slope" {
		lo = new(big.Rat)
	}
	if in.Where != nil {
		visit(in.Where)
	}
	return lo, hi, exact
}

// mirrored is the comparator of `y op x` where `x op y` is meant.
func mirrored(op string) string {
	switch {
	case strings.HasPrefix(op, "<"):
		return ">" + op[1:]
	case strings.HasPrefix(op, ">"):
		return "<" + op[1:]
	}
	return op
}

// canon writes an expression in one form: two that differ only in spaces, or in how a value is written, come out
// the same. It is empty for none.
func canon(e Expr) string {
	var b strings.Builder
	var write func(Expr)
	write = func(e Expr) {
		switch e := e.(type) {
		case *Literal:
			b.WriteString(e.Value.Dim.String() + " " + e.Value.Num.RatString())
		case *Ref:
			b.WriteString(e.Name)
		case *Unary:
			b.WriteString("(" + e.Op + " ")
			write(e.X)
			b.WriteString(")")
		case *Binary:
			b.WriteString("(")
			write(e.X)
			b.WriteString(" " + e.Op + " ")
			write(e.Y)
			b.WriteString(")")
		case *Call:
			b.WriteString(e.Func + "(")
			for _, a := range e.Args {
				write(a)
				b.WriteString(", ")
			}
			b.WriteString(")")
		case *Is:
			b.WriteString("(")
			write(e.X)
			b.WriteString(" is " + e.Word.Text + ")")
		}
	}
	write(e)
	return b.String()
}
