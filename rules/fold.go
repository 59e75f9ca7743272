package rules

// How tightly operators bind; a comparison takes no comparison for an operand.
const (
	bindsOr = iota + 1
	bindsAnd
	bindsNot
	bindsCompare
	bindsAdd
	bindsMul
	bindsMinus
)

func binds(op string) int {
	switch op {
	case "or":
		return bindsOr
	case "and":
		return bindsAnd
	case "+", "-":
		return bindsAdd
	case "*", "/":
		return bindsMul
	}
	return bindsCompare
}

// expr folds the flat list of an expression into a tree.
func (p *parser) expr(e *expression) Expr {
	terms := 1 + len(e.First.Prefix)
	for _, o := range e.Rest {
		terms++
		if o.With != nil {
			terms += len(o.With.Prefix)
		}
	}
	if terms > p.limits.Terms {
		p.diags.add(p.span(e.Tokens), CodeTooManyTerms, "an expression has at most %d terms, this one has %d"+raise("Terms"), p.limits.Terms, terms).
			suggest("name parts of it with `let`")
		at := p.span(e.Tokens)
		p.lost[p.src[at.Start.Offset:at.End.Offset]] = true
		return &Ref{at, "?"}
	}
	f := folder{p, e.First, e.Rest}
	return f.fold(0).Expr
}

// A folder climbs by precedence. next is the operand to read, rest what follows it.
type folder struct {
	*parser
	next operand
	rest []operation
}

// A folded expression knows its first and last word, parentheses round it included, which its own span leaves
// out.
type folded struct {
	Expr
	first, last int
}

// fold reads an operand and all operators that bind more tightly than a bound.
func (f *folder) fold(bound int) folded {
	x := f.operand()
	for len(f.rest) > 0 {
		o := f.rest[0]
		op, at := "is", 0
		if o.Op != nil {
			op, at = o.Op.Value, o.Op.Pos.Column
		} else {
			at = o.Is.Token.Pos.Column
		}
		b := binds(op)
		if b <= bound {
			return x
		}
		f.rest = f.rest[1:]
		if b == bindsCompare && isComparison(x.Expr) {
			f.diags.add(f.spans[at], CodeChainedCompare, "a comparison can't be compared again").
				suggest("join two comparisons with `and`: `1 in < x and x < 3 in`")
		}
		if o.Is != nil {
			x = folded{&Is{f.between(x.first, at), x.Expr, f.tokenName(o.Is.Token)}, x.first, at}
			continue
		}
		f.next = *o.With
		y := f.fold(b)
		x = folded{&Binary{f.between(x.first, y.last), op, x.Expr, y.Expr}, x.first, y.last}
	}
	return x
}

func isComparison(x Expr) bool {
	if b, ok := x.(*Binary); ok {
		return binds(b.Op) == bindsCompare
	}
	_, ok := x.(*Is)
	return ok
}

// operand reads one operand with its prefixes.
func (f *folder) operand() folded {
	if len(f.next.Prefix) == 0 {
		o, first := f.next, 0
		for v := o.Tokens[0].Value; v == "-" || v == "not"; v = o.Tokens[first].Value {
			first++ // the prefixes, which are read already
		}
		return folded{f.atom(o), o.Tokens[first].Pos.Column, o.Tokens[len(o.Tokens)-1].Pos.Column}
	}
	prefix := f.next.Prefix[0]
	f.next.Prefix = f.next.Prefix[1:]
	b := bindsMinus
	if prefix.Value == "not" {
		b = bindsNot
	} else {
		f.minus[prefix.Pos.Column] = true
	}
	first, x := prefix.Pos.Column, f.fold(b)
	return folded{&Unary{f.between(first, x.last), prefix.Value, x.Expr}, first, x.last}
}

func (f *folder) atom(o operand) Expr {
	switch last := o.Tokens[len(o.Tokens)-1].Pos.Column; {
	case o.Literal != nil:
		return f.literal(*o.Literal)
	case o.Call != nil:
		c := &Call{Span: f.between(o.Call.Pos.Column, last), Func: o.Call.Value}
		for i := range o.Args {
			c.Args = append(c.Args, f.expr(&o.Args[i]))
		}
		return c
	case o.Ref != nil:
		return &Ref{f.spans[last], o.Ref.Value}
	}
	return f.expr(o.Inner)
}
