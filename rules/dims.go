package rules

import (
	"fmt"
	"slices"
)

// numeric tells whether values of a dimension can be added and put in order.
func numeric(d Dim) bool { return d <= PercentDim }

// unaryDim is the dimension of `op x`.
func unaryDim(op string, x Dim) (Dim, bool) {
	if op == "not" {
		return Condition, x == Condition
	}
	return x, op == "-" && numeric(x)
}

// binaryDim is the dimension of `x op y`, if that has a meaning. It is the one table that both the checker and
// Eval go by.
func binaryDim(op string, x, y Dim) (Dim, bool) {
	switch op {
	case "and", "or":
		return Condition, x == Condition && y == Condition
	case "+", "-":
		return x, x == y && numeric(x)
	case "*":
		if !numeric(x) || !numeric(y) {
			return 0, false
		}
		if d, ok := productDim(x, y); ok {
			return d, true
		}
		return productDim(y, x)
	case "/":
		return quotientDim(x, y)
	default:
		return Condition, x == y && numeric(x)
	}
}

// productDim is the dimension of x times y, in this order of the two.
func productDim(x, y Dim) (Dim, bool) {
	switch {
	case x == Number, x == PercentDim && y != Number:
		return y, true
	case x == LengthDim && y == LengthDim:
		return AreaDim, true
	case x == LengthDim && y == AreaDim:
		return VolumeDim, true
	case x == SlopeDim && y == LengthDim:
		return LengthDim, true
	}
	return 0, false
}

func quotientDim(x, y Dim) (Dim, bool) {
	switch {
	case !numeric(x) || !numeric(y):
		return 0, false
	case x == y:
		return Number, true
	case y == Number:
		return x, true
	case x == AreaDim && y == LengthDim, x == LengthDim && y == SlopeDim, x == VolumeDim && y == AreaDim:
		return LengthDim, true
	case x == VolumeDim && y == LengthDim:
		return AreaDim, true
	}
	return 0, false
}

// callDim is the dimension of a function of its arguments, or what is wrong with them.
func callDim(name string, args []Dim) (dim Dim, wrong string) {
	one := name != "min" && name != "max"
	switch {
	case len(args) == 0:
		return 0, fmt.Sprintf("%s is given nothing", name)
	case one && len(args) > 1:
		return 0, fmt.Sprintf("%s takes one value and is given %d", name, len(args))
	case (name == "floor" || name == "ceil") && args[0] != Number:
		return 0, fmt.Sprintf("%s takes a number, and this is %s: divide it by a step first", name, args[0])
	case !numeric(args[0]):
		return 0, fmt.Sprintf("%s doesn't take %s", name, args[0])
	}
	if i := slices.IndexFunc(args, func(d Dim) bool { return d != args[0] }); i > 0 {
		return 0, fmt.Sprintf("%s compares like with like, and is given %s and %s", name, args[0], args[i])
	}
	return args[0], ""
}
