package verify

import (
	"math/big"
	"testing"

	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func lit(a, b int64) rules.Expr { return &rules.Literal{Value: rules.Value{Num: big.NewRat(a, b)}} }

func ref(name string) rules.Expr { return &rules.Ref{Name: name} }

func bin(op string, x, y rules.Expr) rules.Expr { return &rules.Binary{Op: op, X: x, Y: y} }

func call(f string, args ...rules.Expr) rules.Expr { return &rules.Call{Func: f, Args: args} }

func somewhere(name string) (value, bool) {
	switch name {
	case "width":
		return value{num: big.NewRat(7, 2)}, true
	case "zone":
		return value{words: []string{"edge", "corner"}}, true
	case "cut":
		return value{yes: true}, true
	}
	return value{}, false
}

func TestEvalNumbers(t *testing.T) {
	for _, c := range []struct {
		e    rules.Expr
		want *big.Rat
	}{
		{bin("+", ref("width"), lit(1, 3)), big.NewRat(23, 6)},
		{bin("-", lit(1, 3), ref("width")), big.NewRat(-19, 6)},
		{bin("*", ref("width"), lit(2, 1)), big.NewRat(7, 1)},
		{bin("/", ref("width"), lit(2, 1)), big.NewRat(7, 4)},
		{&rules.Unary{Op: "-", X: ref("width")}, big.NewRat(-7, 2)},
		{call("min", ref("width"), lit(3, 1), lit(4, 1)), big.NewRat(3, 1)},
		{call("max", lit(3, 1), ref("width"), lit(1, 1)), big.NewRat(7, 2)},
		{call("floor", lit(-7, 2)), big.NewRat(-4, 1)},
		{call("ceil", lit(-7, 2)), big.NewRat(-3, 1)},
		{call("floor", lit(7, 2)), big.NewRat(3, 1)},
		{call("ceil", lit(7, 2)), big.NewRat(4, 1)},
		{call("ceil", lit(4, 1)), big.NewRat(4, 1)},
		{call("abs", lit(-7, 2)), big.NewRat(7, 2)},
	} {
		got, err := eval(c.e, somewhere)
		require.NoError(t, err)
		assert.Zero(t, got.num.Cmp(c.want), "%v: %s, not %s", c.e, got.num, c.want)
	}
}

func TestEvalConditions(t *testing.T) {
	is := func(word string) rules.Expr { return &rules.Is{X: ref("zone"), Word: rules.Name{Text: word}} }
	not := func(x rules.Expr) rules.Expr { return &rules.Unary{Op: "not", X: x} }
	yes, no, unknown := is("corner"), is("field"), ref("nowhere")
	for _, c := range []struct {
		e    rules.Expr
		want bool
	}{
		{yes, true}, {no, false}, {ref("cut"), true}, {not(ref("cut")), false},
		{bin("and", yes, yes), true}, {bin("and", yes, no), false}, {bin("and", no, unknown), false},
		{bin("or", no, no), false}, {bin("or", no, yes), true}, {bin("or", yes, unknown), true},
		{bin("<", lit(1, 1), lit(1, 1)), false}, {bin("<=", lit(1, 1), lit(1, 1)), true}, {bin("=", lit(2, 2), lit(1, 1)), true},
		{bin(">=", lit(1, 1), lit(2, 1)), false}, {bin(">", lit(2, 1), lit(1, 1)), true}, {bin("<", lit(1, 1), lit(2, 1)), true},
		{bin("=", ref("zone"), ref("zone")), true},
	} {
		got, err := eval(c.e, somewhere)
		require.NoError(t, err)
		assert.Equal(t, c.want, got.yes, "%v", c.e)
	}
}

func TestEvalErrors(t *testing.T) {
	for _, e := range []rules.Expr{
		ref("nowhere"), nil, bin("/", lit(1, 1), lit(0, 1)), bin("%", lit(1, 1), lit(1, 1)), call("sqrt", lit(1, 1)),
		bin("+", ref("nowhere"), lit(1, 1)), bin("+", lit(1, 1), ref("nowhere")), call("abs", ref("nowhere")),
		&rules.Unary{Op: "-", X: ref("nowhere")}, &rules.Is{X: ref("nowhere")},
	} {
		_, err := eval(e, somewhere)
		assert.Error(t, err, "%v", e)
	}
}
