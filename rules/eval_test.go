package rules

import (
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// values is an Env of a map.
type values map[string]Value

func (v values) Lookup(name string) (Value, bool) {
	x, ok := v[name]
	return x, ok
}

func lit(d Dim, n, m int64) *Literal { return &Literal{Value: Value{Dim: d, Num: big.NewRat(n, m)}} }

// parseExpr reads an expression through the parser, as the value of a let.
func parseExpr(t testing.TB, src string) Expr {
	t.Helper()
	f, ds := parseFile("expr.rules", []byte("detail d for edge eave { let x = "+src+" }"), Limits{})
	require.NoError(t, ds.Err())
	return f.decls[0].(*detailNode).Body[0].(*Let).Value
}

func TestEval(t *testing.T) {
	env := values{
		"panel.width": {Dim: LengthDim, Num: big.NewRat(18*25_400_000_000, 1)},
		"slope":       {Dim: SlopeDim, Num: big.NewRat(1, 4)},
		"panel.cut":   condition(true),
		"zone":        {Dim: Word, Words: []string{"edge", "corner"}},
		"none":        {Dim: Word},
	}
	const in = 25_400_000_000
	for src, want := range map[string]Value{
		"1 + 2 * 3":                          {Dim: Number, Num: big.NewRat(7, 1)},
		"(1 + 2) * 3":                        {Dim: Number, Num: big.NewRat(9, 1)},
		"10 - 2 - 3":                         {Dim: Number, Num: big.NewRat(5, 1)},
		"-2 * 3":                             {Dim: Number, Num: big.NewRat(-6, 1)},
		"1 / 3":                              {Dim: Number, Num: big.NewRat(1, 3)},
		"1 ft + 1/2 in":                      {Dim: LengthDim, Num: big.NewRat(in*25, 2)},
		"panel.width / 3":                    {Dim: LengthDim, Num: big.NewRat(in*6, 1)},
		"panel.width / 5 in":                 {Dim: Number, Num: big.NewRat(18, 5)},
		"ceil(panel.width / 5 in)":           {Dim: Number, Num: big.NewRat(4, 1)},
		"floor(0 - 1/2 in / 1 in)":           {Dim: Number, Num: big.NewRat(-1, 1)},
		"ceil(0 - 1/2 in / 1 in)":            {Dim: Number, Num: big.NewRat(0, 1)},
		"ceil(-7 / 1)":                       {Dim: Number, Num: big.NewRat(-7, 1)},
		"2 in * 3 in / 6 in":                 {Dim: LengthDim, Num: big.NewRat(in, 1)},
		"2 in * (3 in * 1 in) / (1 in*1 in)": {Dim: LengthDim, Num: big.NewRat(6*in, 1)},
		"slope * panel.width":                {Dim: LengthDim, Num: big.NewRat(in*9, 2)},
		"3 in / slope":                       {Dim: LengthDim, Num: big.NewRat(in*12, 1)},
		"slope / 1:12":                       {Dim: Number, Num: big.NewRat(3, 1)},
		"5% * panel.width":                   {Dim: LengthDim, Num: big.NewRat(in*9, 10)},
		"panel.width * 5%":                   {Dim: LengthDim, Num: big.NewRat(in*9, 10)},
		"5% + 10%":                           {Dim: PercentDim, Num: big.NewRat(3, 20)},
		"min(3 in, 2 in, 4 in)":              {Dim: LengthDim, Num: big.NewRat(in*2, 1)},
		"max(3 in, 2 in, 4 in)":              {Dim: LengthDim, Num: big.NewRat(in*4, 1)},
		"abs(2 in - 3 in)":                   {Dim: LengthDim, Num: big.NewRat(in, 1)},
		// 10.1 floz is 18.22734375 in³: 1 US gal is 231 in³ (NIST Handbook 44; from memory, not looked up).
		"10.1 floz / (1 in * 1 in)":       {Dim: LengthDim, Num: big.NewRat(254*1822734375, 1)},
		"panel.width < 18 in":             condition(false),
		"panel.width <= 18 in":            condition(true),
		"panel.width = 1 ft 6 in":         condition(true),
		"panel.width >= 457.2 mm":         condition(true),
		"panel.width > 18 in":             condition(false),
		"slope >= 3:12":                   condition(true),
		"panel.cut and not slope > 3:12":  condition(true),
		"not panel.cut or 1 > 2":          condition(false),
		"zone is corner and zone is edge": condition(true),
		"zone is field":                   condition(false),
		"none is field":                   condition(false),
		"panel.cut or 1 / 0 > 1":          condition(true),
		"not panel.cut and 1 / 0 > 1":     condition(false),
	} {
		got, err := Eval(parseExpr(t, src), env)
		require.NoError(t, err, src)
		assert.Equal(t, want.Dim, got.Dim, src)
		assert.Equal(t, want.Bool, got.Bool, src)
		if want.Num != nil {
			assert.Zero(t, want.Num.Cmp(got.Num), "%s: want %s, got %s", src, want.Num, got.Num)
		}
	}
}

func TestEvalFails(t *testing.T) {
	for src, code := range map[string]string{
		"1 / (2 - 2)":               CodeDivideByZero,
		"1 in / (slope * 0)":        CodeNoValue,
		"panel.width":               CodeNoValue,
		"1 + 1 in":                  CodeWrongDimension,
		"1 in < 2":                  CodeWrongDimension,
		"not 1":                     CodeWrongDimension,
		"-(1 < 2)":                  CodeWrongDimension,
		"min(1, 1 in)":              CodeWrongDimension,
		"1 in * 1 in * 1 in * 1 in": CodeWrongDimension,
		"3:12 * 3:12":               CodeWrongDimension,
		"1 / 1 in":                  CodeWrongDimension,
	} {
		_, err := Eval(parseExpr(t, src), values{})
		var e *EvalError
		require.ErrorAs(t, err, &e, src)
		assert.Equal(t, code, e.Code, src)
		assert.Equal(t, 1, e.Start.Line, src)
		assert.Contains(t, err.Error(), "expr.rules:1:", src)
	}
	_, err := Eval(&Is{X: lit(Number, 1, 1)}, values{})
	require.Error(t, err)
	_, err = Eval(nil, values{})
	require.Error(t, err)
}

// A chain of squares has 2^30 digits at its end; it must end in an error soon.
func TestEvalBounded(t *testing.T) {
	src := "detail d for edge eave { let a0 = 1.23456789\n"
	for i := range 30 {
		src += fmt.Sprintf("let a%d = a%d * a%d\n", i+1, i, i)
	}
	src += "row r along run { spacing <= a30 * 1 in } }"
	start := time.Now()
	_, ds, err := Load(fstest.MapFS{"x.rules": {Data: []byte(src)}}, "x.rules")
	require.NoError(t, err)
	require.Len(t, ds, 1)
	assert.Equal(t, CodeTooLarge, ds[0].Code)
	assert.Less(t, time.Since(start), 5*time.Second)
}

// A maker makes random expressions of a dimension, by its own list of what makes which.
type maker struct{ *rand.Rand }

var sample = []struct {
	name string
	dim  Dim
}{
	{"n", Number}, {"l", LengthDim}, {"a", AreaDim}, {"v", VolumeDim}, {"s", SlopeDim}, {"p", PercentDim}, {"c", Condition}, {"w", Word},
}

func (m maker) pick(ops ...string) string { return ops[m.IntN(len(ops))] }

func (m maker) expr(d Dim, depth int) Expr {
	if d == Condition {
		return m.condition(depth)
	}
	if depth == 0 || m.IntN(6) == 0 {
		if m.IntN(3) == 0 {
			return &Ref{Name: sample[d].name}
		}
		return lit(d, m.Int64N(41)-20, m.Int64N(12)+1)
	}
	depth--
	of := func(op string, x, y Dim) Expr { return &Binary{Op: op, X: m.expr(x, depth), Y: m.expr(y, depth)} }
	ways := []func() Expr{
		func() Expr { return of(m.pick("+", "-"), d, d) },
		func() Expr { return of("*", Number, d) },
		func() Expr { return of("*", d, Number) },
		func() Expr { return of("/", d, Number) },
		func() Expr { return of("*", PercentDim, d) },
		func() Expr { return &Unary{Op: "-", X: m.expr(d, depth)} },
		func() Expr { return &Call{Func: "abs", Args: []Expr{m.expr(d, depth)}} },
		func() Expr {
			return &Call{Func: m.pick("min", "max"), Args: []Expr{m.expr(d, depth), m.expr(d, depth), m.expr(d, depth)}}
		},
	}
	switch d {
	case Number:
		ways = append(ways[:4],
			func() Expr { k := Dim(m.IntN(6)); return of("/", k, k) },
			func() Expr { return &Call{Func: m.pick("floor", "ceil"), Args: []Expr{m.expr(Number, depth)}} },
		)
	case LengthDim:
		ways = append(ways,
			func() Expr { return of("*", SlopeDim, LengthDim) },
			func() Expr { return of("*", LengthDim, SlopeDim) },
			func() Expr { return of("/", AreaDim, LengthDim) },
			func() Expr { return of("/", VolumeDim, AreaDim) },
			func() Expr { return of("/", LengthDim, SlopeDim) },
		)
	case AreaDim:
		ways = append(ways,
			func() Expr { return of("*", LengthDim, LengthDim) },
			func() Expr { return of("/", VolumeDim, LengthDim) },
		)
	case VolumeDim:
		ways = append(ways, func() Expr { return of("*", AreaDim, LengthDim) }, func() Expr { return of("*", LengthDim, AreaDim) })
	}
	return ways[m.IntN(len(ways))]()
}

func (m maker) condition(depth int) Expr {
	if depth == 0 {
		return m.oneOf(&Ref{Name: "c"}, &Is{X: &Ref{Name: "w"}, Word: Name{Text: m.pick("edge", "field")}})
	}
	depth--
	switch m.IntN(4) {
	case 0:
		return &Binary{Op: m.pick("and", "or"), X: m.condition(depth), Y: m.condition(depth)}
	case 1:
		return &Unary{Op: "not", X: m.condition(depth)}
	}
	k := Dim(m.IntN(6))
	return &Binary{Op: m.pick("<", "<=", "=", ">=", ">"), X: m.expr(k, depth), Y: m.expr(k, depth)}
}

func (m maker) oneOf(es ...Expr) Expr { return es[m.IntN(len(es))] }

// reckon is a second evaluator, which knows no dimensions: a condition is 1 or 0. It returns nil for a division by
// zero.
func reckon(e Expr, env values) *big.Rat {
	truth := func(b bool) *big.Rat {
		if b {
			return big.NewRat(1, 1)
		}
		return new(big.Rat)
	}
	switch e := e.(type) {
	case *Literal:
		return e.Value.Num
	case *Ref:
		if v := env[e.Name]; v.Num != nil {
			return v.Num
		} else {
			return truth(v.Bool)
		}
	case *Is:
		return truth(e.Word.Text == "edge")
	case *Unary:
		x := reckon(e.X, env)
		switch {
		case x == nil:
			return nil
		case e.Op == "-":
			return new(big.Rat).Sub(new(big.Rat), x)
		}
		return new(big.Rat).Sub(big.NewRat(1, 1), x)
	case *Call:
		var all []*big.Rat
		for _, a := range e.Args {
			x := reckon(a, env)
			if x == nil {
				return nil
			}
			all = append(all, x)
		}
		whole := func(up bool) *big.Rat {
			n, rest := new(big.Int).QuoRem(all[0].Num(), all[0].Denom(), new(big.Int)) // toward zero
			if up && rest.Sign() > 0 {
				n.Add(n, big.NewInt(1))
			}
			if !up && rest.Sign() < 0 {
				n.Sub(n, big.NewInt(1))
			}
			return new(big.Rat).SetInt(n)
		}
		x := all[0]
		for _, y := range all {
			if e.Func == "min" && y.Cmp(x) < 0 || e.Func == "max" && x.Cmp(y) < 0 {
				x = y
			}
		}
		switch e.Func {
		case "floor", "ceil":
			return whole(e.Func == "ceil")
		case "abs":
			if x.Sign() < 0 {
				return new(big.Rat).Neg(x)
			}
		}
		return x
	case *Binary:
		x := reckon(e.X, env)
		if x == nil || e.Op == "and" && x.Sign() == 0 || e.Op == "or" && x.Sign() != 0 {
			return x
		}
		y := reckon(e.Y, env)
		if y == nil {
			return nil
		}
		sum := new(big.Rat)
		switch e.Op {
		case "+":
			return sum.Add(x, y)
		case "-":
			return sum.Sub(x, y)
		case "*":
			return sum.Mul(x, y)
		case "/":
			if y.Sign() == 0 {
				return nil
			}
			return sum.Quo(x, y)
		case "and", "or":
			return y
		}
		return truth(map[string]bool{
			"<": x.Cmp(y) == -1, "<=": x.Cmp(y) != 1, "=": x.Cmp(y) == 0, ">=": x.Cmp(y) != -1, ">": x.Cmp(y) == 1,
		}[e.Op])
	}
	panic("no such expression")
}

func randomValues(r *rand.Rand) values {
	env := values{"w": {Dim: Word, Words: []string{"edge"}}, "c": condition(r.IntN(2) == 0)}
	for _, n := range sample[:6] {
		env[n.name] = Value{Dim: n.dim, Num: big.NewRat(r.Int64N(2000)-1000, r.Int64N(60)+1)}
	}
	return env
}

func TestEvalRandom(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	m := maker{rand.New(rand.NewPCG(seed, 1))}
	failed := 0
	const cases = 20_000
	for i := range cases {
		env := randomValues(m.Rand)
		dim := sample[m.IntN(7)].dim
		e := m.expr(dim, m.IntN(6))
		want := reckon(e, env)
		got, err := Eval(e, env)
		if want == nil {
			failed++
			var zero *EvalError
			require.True(t, errors.As(err, &zero) && zero.Code == CodeDivideByZero, "case %d: %s: %v", i, canon(e), err)
			continue
		}
		require.NoError(t, err, "case %d: %s", i, canon(e))
		require.Equal(t, dim, got.Dim, "case %d: %s", i, canon(e))
		if dim == Condition {
			require.Equal(t, want.Sign() != 0, got.Bool, "case %d: %s", i, canon(e))
			continue
		}
		require.Zero(t, want.Cmp(got.Num), "case %d: %s: want %s, got %s", i, canon(e), want, got.Num)
	}
	t.Logf("%d of %d divide by zero", failed, cases)
}

// A wrong expression may mean anything or nothing, but the checker and Eval agree: what the checker lets through
// has that dimension.
func TestEvalAgreesWithChecker(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	m := maker{rand.New(rand.NewPCG(seed, 2))}
	right := 0
	var wild func(depth int) Expr
	wild = func(depth int) Expr {
		if depth == 0 {
			n := sample[m.IntN(len(sample))]
			if numeric(n.dim) {
				return m.oneOf(&Ref{Name: n.name}, lit(n.dim, m.Int64N(9)-4, 1))
			}
			return &Ref{Name: n.name}
		}
		depth--
		switch m.IntN(5) {
		case 0:
			return &Unary{Op: m.pick("-", "not"), X: wild(depth)}
		case 1:
			call := &Call{Func: m.pick("min", "max", "floor", "ceil", "abs")}
			for range m.IntN(3) + 1 {
				call.Args = append(call.Args, wild(depth))
			}
			return call
		case 2:
			return &Is{X: wild(depth), Word: Name{Text: "edge"}}
		}
		return &Binary{Op: m.pick("+", "-", "*", "/", "<", "<=", "=", ">=", ">", "and", "or"), X: wild(depth), Y: wild(depth)}
	}
	d := &draft{Detail: &Detail{}, inputs: map[string]*Input{}, lets: map[string]*letState{}, folded: map[string]Value{}}
	types := map[string]string{"n": "number", "l": "length", "s": "slope", "p": "percent"}
	for name, kind := range types {
		d.inputs[name] = &Input{Name: Name{Text: name}, Type: Name{Text: kind}}
	}
	d.inputs["w"] = &Input{Name: Name{Text: "w"}, Type: Name{Text: "choice"}, Choices: []Name{{Text: "edge"}}}
	length := &Ref{Name: "l"}
	for name, e := range map[string]Expr{
		"a": &Binary{Op: "*", X: length, Y: length},
		"v": &Binary{Op: "*", X: length, Y: &Binary{Op: "*", X: length, Y: length}},
		"c": &Binary{Op: "<", X: length, Y: lit(LengthDim, 1, 1)},
	} {
		l := &Let{Name: Name{Text: name}, Value: e}
		d.Lets, d.lets[name] = append(d.Lets, l), &letState{let: l}
	}
	for i := range 20_000 {
		c := &checker{reported: map[report]bool{}, book: &Book{}}
		e := wild(m.IntN(4))
		dim, ok := c.dim(e, setting{detail: d, what: "here"})
		require.Equal(t, ok, len(c.diags) == 0, "case %d: %s", i, canon(e))
		got, err := Eval(e, randomValues(m.Rand))
		if !ok {
			continue
		}
		right++
		if err != nil {
			var zero *EvalError
			require.True(t, errors.As(err, &zero) && zero.Code == CodeDivideByZero, "case %d: %s: %v", i, canon(e), err)
			continue
		}
		require.Equal(t, dim, got.Dim, "case %d: %s", i, canon(e))
	}
	t.Logf("%d of 20000 are right", right)
	require.Greater(t, right, 2000)
}
