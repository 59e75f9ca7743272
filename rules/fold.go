package rules

import "github.com/alecthomas/participle/v2/lexer"

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
	if n := 1 + len(e.Rest); n > p.limits.Terms {
		p.diags.add(p.span(e.Tokens), CodeTooManyTerms, "an expression has at most %d terms, this one has %d", p.limits.Terms, n).
			suggest("name parts of it with `let`")
		return &Literal{Span: p.span(e.Tokens)}
	}
	f := folder{p, e.First, e.Rest}
	return f.fold(0)
}

// A folder climbs by precedence. next is the operand to read, rest what follows it.
type folder struct {
	*parser
	next operand
	rest []operation
}

// fold reads an operand and all operators that bind more tightly than a bound.
func (f *folder) fold(bound int) Expr {
	x := f.prefixed(f.next.Prefix)
	for len(f.rest) > 0 {
		o := f.rest[0]
		op := "is"
		if o.Op != nil {
			op = o.Op.Value
		}
		b := binds(op)
		if b <= bound {
			return x
		}
		f.rest = f.rest[1:]
		if b == bindsCompare && compares(x) {
			at := f.spans[f.tokenOf(o).Pos.Column]
			f.diags.add(at, CodeChainedCompare, "a comparison can't be compared again").suggest("join two comparisons with `and`: `1 in < x and x < 3 in`")
		}
		if o.Is != nil {
			w := f.tokenName(o.Is.Token)
			x = &Is{f.join(x, w), x, w}
			continue
		}
		f.next = *o.With
		y := f.fold(b)
		x = &Binary{f.join(x, y), op, x, y}
	}
	return x
}

func (f *folder) tokenOf(o operation) lexer.Token {
	if o.Op != nil {
		return *o.Op
	}
	return o.Is.Token
}

// compares tells whether an expression, not in parentheses, is a comparison.
func compares(x Expr) bool {
	switch x := x.(type) {
	case *Binary:
		return binds(x.Op) == bindsCompare
	case *Is:
		return true
	}
	return false
}

// prefixed reads an operand with what is left of its prefixes.
func (f *folder) prefixed(prefix []lexer.Token) Expr {
	if len(prefix) == 0 {
		return f.atom(f.next)
	}
	f.next.Prefix = prefix[1:]
	b := bindsMinus
	if prefix[0].Value == "not" {
		b = bindsNot
	}
	x := f.fold(b)
	return &Unary{f.join(f.tokenName(prefix[0]), x), prefix[0].Value, x}
}

func (f *folder) atom(o operand) Expr {
	last := o.Tokens[len(o.Tokens)-1].Pos.Column
	switch {
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

// join is the span from one node to another.
func (f *folder) join(x, y Node) Span {
	return Span{f.scanner.file, x.Pos().Start, y.Pos().End}
}
