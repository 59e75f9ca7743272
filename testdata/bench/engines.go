package main

import (
	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"
	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/ext"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"
)

// An engine lays the fasteners of bench.rules by rules written in its own language: the places in a row are an
// expression of the scope's length, the spacing, the count, and what is kept free at its ends.
type engine interface {
	// row returns the marks of one scope.
	row(from, length, most, count, free int64, out []mark, scope int32) []mark
	// middle returns the middle of a panel, or panics where it is too near a rib.
	middle(from, to int64) int64
}

// layWith is the loop over the scopes that a host writes round such an engine.
func layWith(e engine, ribs []int64, out []mark) []mark {
	out = e.row(0, ribs[len(ribs)-1], 10*inch, 1, 0, out, 0)
	for i, to := range ribs[1:] {
		out = e.row(ribs[i], to-ribs[i], 5*inch, 4, closureOff, out, int32(i))
	}
	for i, to := range ribs[1:] {
		out = append(out, mark{e.middle(ribs[i], to), int32(i)})
	}
	return out
}

// exprRules are rules in expr: a program for each rule, compiled once.
type exprRules struct{ places, center *vm.Program }

// exprScope is what its programs know of a scope.
type exprScope struct {
	From, To, Length, Most, Count, Free, Step int
}

const exprPlaces = `
let n = max(Count, int(ceil(Length / Most)));
let steps = int(floor(Length / Step));
let rest = Length % Step;
let g0 = int(floor(Length / (n * Step)));
let g = find(g0..g0+4, {
  (n - 1) * # + int(floor(# / 2)) * 2 - (rest > 0 && (# % 2 == 0 || rest > Step / 2) ? 1 : 0) >= steps
});
let middle = steps - (n - 1) * g;
let start = (int(floor(middle / 2)) + (middle % 2 != 0 && rest > 0 ? 1 : 0)) * Step;
start >= Free && Length - start - (n - 1) * g * Step >= Free ? map(0..n-1, From + start + # * g * Step) : []`

const exprCenter = `
let half = int(floor((To - From) / 2));
half < Free ? -1 : From + half`

func newExpr() *exprRules {
	compile := func(code string) *vm.Program {
		p, err := expr.Compile(code, expr.Env(exprScope{}))
		check(err)
		return p
	}
	return &exprRules{compile(exprPlaces), compile(exprCenter)}
}

func (e *exprRules) row(from, length, most, count, free int64, out []mark, scope int32) []mark {
	v, err := expr.Run(e.places, exprScope{
		From: int(from), Length: int(length), Most: int(most), Count: int(count), Free: int(free), Step: int(step),
	})
	check(err)
	for _, x := range v.([]any) {
		out = append(out, mark{int64(x.(int)), scope})
	}
	return out
}

func (e *exprRules) middle(from, to int64) int64 {
	v, err := expr.Run(e.center, exprScope{From: int(from), To: int(to), Free: int(rivetOff)})
	check(err)
	return checked(int64(v.(int)))
}

func checked(middle int64) int64 {
	if middle < 0 {
		panic("a rivet too near a rib")
	}
	return middle
}

// celRules are the same rules in CEL.
type celRules struct{ places, center cel.Program }

const celPlaces = `
cel.bind(n, math.greatest(count, (length + most - 1) / most),
cel.bind(steps, length / step,
cel.bind(rest, length % step,
cel.bind(g, lists.range(5).map(d, length / (n * step) + d).filter(g,
  (n - 1) * g + g / 2 * 2 - (rest > 0 && (g % 2 == 0 || rest > step / 2) ? 1 : 0) >= steps)[0],
cel.bind(middle, steps - (n - 1) * g,
cel.bind(first, (middle / 2 + (middle % 2 != 0 && rest > 0 ? 1 : 0)) * step,
  first >= free && length - first - (n - 1) * g * step >= free
    ? lists.range(n).map(k, start + first + k * g * step) : []))))))`

const celCenter = `
cel.bind(half, (to - start) / 2, half < free ? -1 : start + half)`

func newCEL() *celRules {
	var names []cel.EnvOption
	for _, n := range []string{"start", "to", "length", "most", "count", "free", "step"} {
		names = append(names, cel.Variable(n, cel.IntType))
	}
	names = append(names, ext.Bindings(), ext.Math(), ext.Lists())
	env, err := cel.NewEnv(names...)
	check(err)
	compile := func(code string) cel.Program {
		ast, issues := env.Compile(code)
		check(issues.Err())
		p, err := env.Program(ast, cel.EvalOptions(cel.OptOptimize))
		check(err)
		return p
	}
	return &celRules{compile(celPlaces), compile(celCenter)}
}

func (c *celRules) row(from, length, most, count, free int64, out []mark, scope int32) []mark {
	v, _, err := c.places.Eval(map[string]any{
		"start": from, "length": length, "most": most, "count": count, "free": free, "step": step,
	})
	check(err)
	list := v.Value().([]ref.Val)
	for _, x := range list {
		out = append(out, mark{x.Value().(int64), scope})
	}
	return out
}

func (c *celRules) middle(from, to int64) int64 {
	v, _, err := c.center.Eval(map[string]any{"start": from, "to": to, "free": rivetOff})
	check(err)
	return checked(v.Value().(int64))
}

// starlarkRules are the same rules in Starlark, which has loops and functions: the whole run is one call.
type starlarkRules struct{ lay starlark.Value }

const starlarkSource = `
def spaced(length, most, count, free):
    n = max(count, (length + most - 1) // most)
    steps, rest = length // STEP, length % STEP
    g = length // (n * STEP)
    for _ in range(5):
        less = 1 if rest > 0 and (g % 2 == 0 or rest > STEP // 2) else 0
        if (n - 1) * g + g // 2 * 2 - less >= steps:
            break
        g += 1
    middle = steps - (n - 1) * g
    first = (middle // 2 + (1 if middle % 2 != 0 and rest > 0 else 0)) * STEP
    if first < free or length - first - (n - 1) * g * STEP < free:
        fail("not the panels that this was written for")
    return first, g * STEP, n

def lay(ribs):
    out = []
    first, gap, n = spaced(ribs[-1], 10 * INCH, 1, 0)
    for k in range(n):
        out.append((first + k * gap, 0))
    for i in range(len(ribs) - 1):
        start = ribs[i]
        first, gap, n = spaced(ribs[i + 1] - start, 5 * INCH, 4, CLOSURE)
        for k in range(n):
            out.append((start + first + k * gap, i))
    for i in range(len(ribs) - 1):
        half = (ribs[i + 1] - ribs[i]) // 2
        if half < RIVET:
            fail("a rivet too near a rib")
        out.append((ribs[i] + half, i))
    return out
`

func newStarlark() *starlarkRules {
	globals, err := starlark.ExecFileOptions(&syntax.FileOptions{}, new(starlark.Thread), "bench.star", starlarkSource, starlark.StringDict{
		"INCH": starlark.MakeInt64(inch), "STEP": starlark.MakeInt64(step),
		"CLOSURE": starlark.MakeInt64(closureOff), "RIVET": starlark.MakeInt64(rivetOff),
	})
	check(err)
	globals.Freeze()
	return &starlarkRules{globals["lay"]}
}

func (s *starlarkRules) run(ribs []int64, out []mark) []mark {
	list := make([]starlark.Value, len(ribs))
	for i, r := range ribs {
		list[i] = starlark.MakeInt64(r)
	}
	v, err := starlark.Call(new(starlark.Thread), s.lay, starlark.Tuple{starlark.NewList(list)}, nil)
	check(err)
	marks := v.(*starlark.List)
	for i := range marks.Len() {
		pair := marks.Index(i).(starlark.Tuple)
		at, _ := pair[0].(starlark.Int).Int64()
		scope, _ := pair[1].(starlark.Int).Int64()
		out = append(out, mark{at, int32(scope)})
	}
	return out
}
