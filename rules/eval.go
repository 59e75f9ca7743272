package rules

import (
	"fmt"
	"math/big"
	"slices"
)

// maxBits bounds the numerator and the denominator of everything that is computed.
const maxBits = 4096

// An EvalError is why an expression has no value, and the place in it.
type EvalError struct {
	Span
	Code string // no-value, divide-by-zero, too-large or wrong-dimension
	Text string
}

// Error returns the place and the reason.
func (e *EvalError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Start.Line, e.Start.Column, e.Text)
}

// Eval computes an expression exactly. A checked expression fails only where a divisor is zero, a name has no
// value here, or a number grows past its limit; the error is then an *EvalError. `and` and `or` look at their
// second part only if the first doesn't decide.
func Eval(e Expr, env Env) (Value, error) {
	switch e := e.(type) {
	case *Literal:
		return e.Value, nil
	case *Ref:
		if v, ok := env.Lookup(e.Name); ok {
			return v, nil
		}
		return Value{}, evalError(e, CodeNoValue, "%s has no value here", e.Name)
	case *Unary:
		return evalUnary(e, env)
	case *Binary:
		return evalBinary(e, env)
	case *Call:
		return evalCall(e, env)
	case *Is:
		x, err := Eval(e.X, env)
		if err != nil {
			return Value{}, err
		}
		if x.Dim != Word {
			return Value{}, evalError(e, CodeWrongDimension, "`is` asks about a word, and this is %s", x.Dim)
		}
		return condition(slices.Contains(x.Words, e.Word.Text)), nil
	}
	return Value{}, &EvalError{Code: CodeNoValue, Text: "there is no expression"}
}

func evalError(at Node, code, format string, args ...any) *EvalError {
	return &EvalError{Span: at.Pos(), Code: code, Text: fmt.Sprintf(format, args...)}
}

func condition(b bool) Value { return Value{Dim: Condition, Bool: b} }

func evalUnary(e *Unary, env Env) (Value, error) {
	x, err := Eval(e.X, env)
	if err != nil {
		return Value{}, err
	}
	dim, ok := unaryDim(e.Op, x.Dim)
	if !ok {
		return Value{}, evalError(e, CodeWrongDimension, "`%s` doesn't take %s", e.Op, x.Dim)
	}
	if dim == Condition {
		return condition(!x.Bool), nil
	}
	return Value{Dim: dim, Num: new(big.Rat).Neg(x.Num)}, nil
}

func evalBinary(e *Binary, env Env) (Value, error) {
	x, err := Eval(e.X, env)
	if err != nil {
		return Value{}, err
	}
	if x.Dim == Condition && (e.Op == "and" && !x.Bool || e.Op == "or" && x.Bool) {
		return x, nil
	}
	y, err := Eval(e.Y, env)
	if err != nil {
		return Value{}, err
	}
	dim, ok := binaryDim(e.Op, x.Dim, y.Dim)
	if !ok {
		return Value{}, evalError(e, CodeWrongDimension, "`%s` doesn't go with %s and %s", e.Op, x.Dim, y.Dim)
	}
	num := new(big.Rat)
	switch e.Op {
	case "and", "or":
		return y, nil
	case "+":
		num.Add(x.Num, y.Num)
	case "-":
		num.Sub(x.Num, y.Num)
	case "*":
		num.Mul(x.Num, y.Num)
	case "/":
		if y.Num.Sign() == 0 {
			return Value{}, evalError(e.Y, CodeDivideByZero, "this is zero, and nothing is divided by zero")
		}
		num.Quo(x.Num, y.Num)
	default:
		return condition(ordered(e.Op, x.Num.Cmp(y.Num))), nil
	}
	return bounded(e, dim, num)
}

// ordered tells whether an ordering of two values, as Cmp gives it, meets a comparator.
func ordered(op string, order int) bool {
	switch op {
	case "<":
		return order < 0
	case "<=":
		return order <= 0
	case "=":
		return order == 0
	case ">=":
		return order >= 0
	default:
		return order > 0
	}
}

func bounded(at Node, dim Dim, num *big.Rat) (Value, error) {
	if num.Num().BitLen() > maxBits || num.Denom().BitLen() > maxBits {
		return Value{}, evalError(at, CodeTooLarge, "the number grows past %d bits", maxBits)
	}
	return Value{Dim: dim, Num: num}, nil
}

func evalCall(e *Call, env Env) (Value, error) {
	args, dims := make([]Value, len(e.Args)), make([]Dim, len(e.Args))
	for i, a := range e.Args {
		v, err := Eval(a, env)
		if err != nil {
			return Value{}, err
		}
		args[i], dims[i] = v, v.Dim
	}
	dim, wrong := callDim(e.Func, dims)
	if wrong != "" {
		return Value{}, evalError(e, CodeWrongDimension, "%s", wrong)
	}
	num := args[0].Num
	switch e.Func {
	case "min", "max":
		for _, a := range args[1:] {
			if order := a.Num.Cmp(num); e.Func == "min" && order < 0 || e.Func == "max" && order > 0 {
				num = a.Num
			}
		}
	case "abs":
		num = new(big.Rat).Abs(num)
	case "floor":
		num = floor(num)
	case "ceil":
		num = floor(new(big.Rat).Neg(num))
		num.Neg(num)
	}
	return Value{Dim: dim, Num: num}, nil
}

// floor is the greatest whole number that isn't over r.
func floor(r *big.Rat) *big.Rat {
	// Div rounds down here, because a denominator is always positive.
	return new(big.Rat).SetInt(new(big.Int).Div(r.Num(), r.Denom()))
}

// Let returns the detail's let of that name, or nil.
func (d *Detail) Let(name string) *Let {
	for _, l := range d.Lets {
		if l.Name.Text == name {
			return l
		}
	}
	return nil
}

// Input returns the detail's input of that name, or nil.
func (d *Detail) Input(name string) *Input {
	for _, in := range d.Inputs {
		if in.Name.Text == name {
			return in
		}
	}
	return nil
}

// Uses reports whether an expression depends on a name, itself or through the lets of the detail.
func (d *Detail) Uses(e Expr, name string) bool {
	found := false
	d.eachRef(e, func(r *Ref) { found = found || r.Name == name })
	return found
}

// eachRef calls f for each name in an expression and in the lets that it stands on, each let once.
func (d *Detail) eachRef(e Expr, f func(*Ref)) {
	seen := map[string]bool{}
	var visit func(Expr)
	visit = func(e Expr) {
		eachRef(e, func(r *Ref) {
			f(r)
			if seen[r.Name] {
				return
			}
			seen[r.Name] = true
			if l := d.Let(r.Name); l != nil {
				visit(l.Value)
			}
		})
	}
	visit(e)
}

// eachRef calls f for each name written in an expression, left to right.
func eachRef(e Expr, f func(*Ref)) {
	switch e := e.(type) {
	case *Ref:
		f(e)
	case *Unary:
		eachRef(e.X, f)
	case *Binary:
		eachRef(e.X, f)
		eachRef(e.Y, f)
	case *Call:
		for _, a := range e.Args {
			eachRef(a, f)
		}
	case *Is:
		eachRef(e.X, f)
	}
}
