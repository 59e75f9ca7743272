package verify

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
)

// A value is what an expression comes to: a number, a truth, or the words that apply. Lengths are in ticks, areas
// and volumes in ticks squared and cubed, slopes and percents plain ratios, so that one arithmetic serves them all.
type value struct {
	num   num
	yes   bool
	words []string
}

// names gives the value of a name, if this place has one.
type names func(name string) (value, bool)

// eval computes a checked expression. What can't be computed ends in an error that names the expression's part.
func eval(e rules.Expr, look names) (value, error) {
	switch e := e.(type) {
	case *rules.Literal:
		return value{e.Value.Num, e.Value.Bool, e.Value.Words}, nil
	case *rules.Ref:
		v, ok := look(e.Name)
		if !ok {
			return value{}, fmt.Errorf("%s has no value here", e.Name)
		}
		return v, nil
	case *rules.Unary:
		x, err := eval(e.X, look)
		if err != nil {
			return value{}, err
		}
		if e.Op == "not" {
			return value{yes: !x.yes}, nil
		}
		return value{num: neg(x.num)}, nil
	case *rules.Binary:
		return evalBinary(e, look)
	case *rules.Call:
		return evalCall(e, look)
	case *rules.Is:
		x, err := eval(e.X, look)
		return value{yes: slices.Contains(x.words, e.Word.Text)}, err
	}
	return value{}, fmt.Errorf("unknown expression %T", e)
}

func evalBinary(e *rules.Binary, look names) (value, error) {
	x, err := eval(e.X, look)
	if err != nil {
		return value{}, err
	}
	switch { // the right side may have no value where the left decides
	case e.Op == "and" && !x.yes:
		return value{yes: false}, nil
	case e.Op == "or" && x.yes:
		return value{yes: true}, nil
	}
	y, err := eval(e.Y, look)
	if err != nil {
		return value{}, err
	}
	switch e.Op {
	case "and", "or":
		return value{yes: y.yes}, nil
	case "+":
		return value{num: add(x.num, y.num)}, nil
	case "-":
		return value{num: sub(x.num, y.num)}, nil
	case "*":
		return value{num: mul(x.num, y.num)}, nil
	case "/":
		if y.num.Sign() == 0 {
			return value{}, fmt.Errorf("division by zero")
		}
		return value{num: quo(x.num, y.num)}, nil
	case "<":
		return value{yes: less(x.num, y.num)}, nil
	case "<=":
		return value{yes: !less(y.num, x.num)}, nil
	case "=":
		if x.num == nil {
			return value{yes: slices.Equal(x.words, y.words)}, nil
		}
		return value{yes: equal(x.num, y.num)}, nil
	case ">=":
		return value{yes: !less(x.num, y.num)}, nil
	case ">":
		return value{yes: less(y.num, x.num)}, nil
	}
	return value{}, fmt.Errorf("unknown operation %q", e.Op)
}

func evalCall(e *rules.Call, look names) (value, error) {
	var args []num
	for _, a := range e.Args {
		v, err := eval(a, look)
		if err != nil {
			return value{}, err
		}
		args = append(args, v.num)
	}
	result := args[0]
	switch e.Func {
	case "min":
		for _, a := range args {
			result = smaller(result, a)
		}
	case "max":
		for _, a := range args {
			result = larger(result, a)
		}
	case "floor":
		result = down(result)
	case "ceil":
		result = up(result)
	case "abs":
		result = new(big.Rat).Abs(result)
	default:
		return value{}, fmt.Errorf("unknown function %q", e.Func)
	}
	return value{num: result}, nil
}

// asWritten is the text of an expression in its rule file, its blanks made one; "" where the file is not at hand.
func asWritten(b *rules.Book, e rules.Expr) string {
	s := e.Pos()
	for _, f := range b.Files {
		if f.Name == s.File && s.Start.Offset <= s.End.Offset && s.End.Offset <= len(f.Source) {
			return oneBlank(string(f.Source[s.Start.Offset:s.End.Offset]))
		}
	}
	return ""
}

func oneBlank(s string) string { return strings.Join(strings.Fields(s), " ") }
