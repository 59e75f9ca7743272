package rules

import (
	"math/big"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestVerdicts holds the verdict on a replaced limit against samples of what its names can be: what is called
// tighter is nowhere looser, and what is called looser is so somewhere at the corners.
func TestVerdicts(t *testing.T) {
	t.Parallel()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 3))
	book, _ := load(t, `detail d for edge eave {
  input x: length = 2 mm where x >= 1 mm and 4 mm >= x
  input y: length = 2 mm where y <= 3 mm
  let z = x / 2 - 1 mm
  row r in each panel { spacing <= x spacing <= y }
}`)
	d := &draft{Detail: book.detail("d"), inputs: map[string]*Input{}, lets: map[string]*letState{}, folded: map[string]Value{}}
	for _, in := range d.Inputs {
		d.inputs[in.Name.Text] = in
	}
	d.lets["z"] = &letState{let: d.Lets[0], done: true, ok: true, dim: LengthDim}

	const mm = 1_000_000_000
	var expr func(depth int) Expr
	expr = func(depth int) Expr {
		if depth == 0 {
			return []Expr{
				&Ref{Name: "x"}, &Ref{Name: "y"}, &Ref{Name: "z"}, &Ref{Name: "panel.width"},
				lit(LengthDim, (r.Int64N(12)-3)*mm/2, 1), lit(LengthDim, r.Int64N(8)*mm, 1),
			}[r.IntN(6)]
		}
		x, y := expr(depth-1), expr(r.IntN(depth))
		switch r.IntN(6) {
		case 0:
			return &Call{Func: []string{"min", "max"}[r.IntN(2)], Args: []Expr{x, y}}
		case 1:
			return &Binary{Op: []string{"*", "/"}[r.IntN(2)], X: x, Y: lit(Number, r.Int64N(5)+1, 2)}
		case 2:
			return &Unary{Op: "-", X: x}
		case 3:
			return &Call{Func: "abs", Args: []Expr{x}}
		}
		return &Binary{Op: []string{"+", "-"}[r.IntN(2)], X: x, Y: y}
	}
	at := func(e Expr, x, y, w int64) *big.Rat {
		env := values{}
		for name, v := range map[string]*big.Rat{"x": big.NewRat(x*mm, 4), "y": big.NewRat(y*mm, 4), "panel.width": big.NewRat(w*mm, 4)} {
			env[name] = Value{Dim: LengthDim, Num: v}
		}
		z, err := Eval(d.Lets[0].Value, env)
		require.NoError(t, err)
		env["z"] = z
		v, err := Eval(e, env)
		require.NoError(t, err)
		return v.Num
	}
	counts, total := map[verdict]int{}, 2000
	if testing.Short() {
		total = 300
	}
	for i := range total {
		old := &Rule{Op: []Op{Less, AtMost, AtLeast, Greater}[r.IntN(4)], Value: expr(r.IntN(3))}
		now := &Rule{Op: old.Op, Value: expr(r.IntN(3))}
		if r.IntN(3) == 0 { // nearly the same
			now.Value = &Binary{Op: "-", X: old.Value, Y: expr(0)}
		}
		if r.IntN(2) == 0 {
			now.Op = map[Op]Op{Less: AtMost, AtMost: Less, AtLeast: Greater, Greater: AtLeast}[old.Op]
		}
		v := d.compare(old, now)
		counts[v]++
		worst := false
		for x := int64(4); x <= 16; x += 4 {
			for _, y := range []int64{-40_000, -8, 0, 5, 12} {
				for _, w := range []int64{0, 1, 9, 40_000} {
					order := at(now.Value, x, y, w).Cmp(at(old.Value, x, y, w)) * old.Op.direction()
					strict := (old.Op == Less || old.Op == Greater) && now.Op != old.Op
					if order < 0 || order == 0 && strict {
						worst = true
					}
				}
			}
		}
		what := old.Op.String() + " " + canon(old.Value) + " to " + now.Op.String() + " " + canon(now.Value)
		switch v {
		case tighter:
			require.False(t, worst, "case %d: %s is looser somewhere", i, what)
		case looser:
			require.True(t, worst, "case %d: %s is looser nowhere", i, what)
		}
	}
	t.Logf("tighter %d, looser %d, undecided %d", counts[tighter], counts[looser], counts[undecided])
	for v, n := range counts {
		assert.Greater(t, n, total/10, "verdict %d is too rare to be tested", v)
	}
}

// TestLoadMangled loads a sound book with words taken out, doubled or changed for one another: whatever comes of
// it, nothing panics, and there is a book exactly when there is no error.
func TestLoadMangled(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 4))
	src, err := os.ReadFile("testdata/boathouse.rules")
	require.NoError(t, err)
	var lines []string // of words, as the source has them: a comment ends with its line
	for line := range strings.Lines(string(src)) {
		line, _, _ = strings.Cut(line, "#")
		lines = append(lines, line)
	}
	words := strings.Fields(strings.Join(lines, " "))
	books := 0
	for range 200 {
		mangled := append([]string(nil), words...)
		for range r.IntN(3) + 1 {
			i, j := r.IntN(len(mangled)), r.IntN(len(mangled))
			switch r.IntN(4) {
			case 0:
				mangled = append(mangled[:i], mangled[i+1:]...)
			case 1:
				mangled[i] = mangled[j]
			case 2:
				mangled[i], mangled[j] = mangled[j], mangled[i]
			case 3:
				mangled[i] += " " + mangled[j]
			}
		}
		book, ds, err := Load(fstest.MapFS{"x.rules": {Data: []byte(strings.Join(mangled, " "))}}, "x.rules")
		require.NoError(t, err)
		require.Equal(t, book == nil, ds.HasErrors())
		if book != nil {
			books++
		}
	}
	t.Logf("%d of 200 are books still", books)
}
