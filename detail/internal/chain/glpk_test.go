package chain_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The solver's optimum against that of glpsol, an integer programming solver of general use (Debian's glpk-utils).
// The models are written from the language's page, share nothing with the solver but the types, and can be read as
// they stand.

// model is a problem for glpsol in the CPLEX LP format.
type model struct {
	goal     expr // to be made least
	rows     strings.Builder
	bounds   strings.Builder
	integers strings.Builder
}

// expr is a sum of variables, each with its factor.
type expr struct {
	text  strings.Builder
	terms int
}

func (e *expr) add(factor int64, format string, args ...any) *expr {
	if e.terms++; e.terms%12 == 0 {
		e.text.WriteString("\n  ")
	}
	fmt.Fprintf(&e.text, " %+d "+format, append([]any{factor}, args...)...)
	return e
}

func (e *expr) String() string {
	if e.terms == 0 {
		return " nothing" // a row has at least one variable: this one is always 0
	}
	return e.text.String()
}

// say says what the rows after it ask for.
func (m *model) say(format string, args ...any) {
	fmt.Fprintf(&m.rows, "\\ "+format+"\n", args...)
}

func (m *model) row(e *expr, sense string, value int64) {
	fmt.Fprintf(&m.rows, " %s %s %d\n", e, sense, value)
}

func (m *model) binary(format string, args ...any) { m.between(0, 1, format, args...) }

// between makes a variable a whole number from least to most.
func (m *model) between(least, most int64, format string, args ...any) {
	name := fmt.Sprintf(format, args...)
	fmt.Fprintf(&m.bounds, " %d <= %s <= %d\n", least, name, most)
	fmt.Fprintf(&m.integers, " %s\n", name)
}

func (m *model) String() string {
	return "Minimize\n goal:" + m.goal.String() + "\nSubject To\n" + m.rows.String() + " nothing = 0\nBounds\n" +
		m.bounds.String() + "General\n nothing\n" + m.integers.String() + "End\n"
}

// glpsol runs the solver, and counts what that takes.
type glpsol struct {
	path  string
	dir   string
	runs  int
	spent time.Duration // of processor time by its processes, start-up included
}

// patience is how long glpsol may take for one problem: few take over a second, and some of these minutes.
const patience = 10 * time.Second

type tooLong struct{}

// inTime makes a comparison, and tells whether glpsol was done with it in time.
func inTime(compare func()) (ok bool) {
	defer func() {
		if e := recover(); e != nil && e != (tooLong{}) {
			panic(e)
		}
	}()
	compare()
	return true
}

func newGlpsol(t testing.TB) *glpsol {
	t.Helper()
	path, err := exec.LookPath("glpsol")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("glpsol (Debian's glpk-utils) is not on this machine")
		}
		t.Skip("glpsol (Debian's glpk-utils) is not on this machine")
	}
	return &glpsol{path: path, dir: t.TempDir()}
}

// solve returns the least value of the goal, and false where no solution exists. Anything else that glpsol says fails
// the test.
func (g *glpsol) solve(t testing.TB, m *model) (int64, bool) {
	t.Helper()
	in, out := filepath.Join(g.dir, "model.lp"), filepath.Join(g.dir, "answer")
	require.NoError(t, os.WriteFile(in, []byte(m.String()), 0o600))
	require.NoError(t, os.RemoveAll(out))
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	run := exec.CommandContext(ctx, g.path, "--lp", in, "-w", out)
	said, err := run.CombinedOutput()
	if run.ProcessState != nil {
		g.runs++
		g.spent += run.ProcessState.UserTime() + run.ProcessState.SystemTime()
	}
	if ctx.Err() != nil {
		panic(tooLong{})
	}
	require.NoError(t, err, "%s", said)
	answer, err := os.ReadFile(out)
	require.NoError(t, err, "%s", said)
	value, ok, err := readAnswer(string(answer), string(said))
	require.NoError(t, err, "%s", said)
	return value, ok
}

// readAnswer reads the line "s mip ROWS COLUMNS STATUS VALUE" of a whole answer.
func readAnswer(answer, said string) (value int64, ok bool, err error) {
	if !strings.HasSuffix(answer, "\ne o f\n") {
		return 0, false, fmt.Errorf("answer has no end")
	}
	for line := range strings.Lines(answer) {
		f := strings.Fields(line)
		if len(f) == 0 || f[0] != "s" {
			continue
		}
		if len(f) != 6 || f[1] != "mip" {
			return 0, false, fmt.Errorf("not the status of a whole-number problem: %q", line)
		}
		switch f[4] {
		case "o":
			value, err = strconv.ParseInt(f[5], 10, 64)
			return value, true, err
		case "n":
			return 0, false, nil
		case "u": // the search for whole numbers never began: nothing solves it even in fractions
			if strings.Contains(said, "PROBLEM HAS NO PRIMAL FEASIBLE SOLUTION") {
				return 0, false, nil
			}
		}
		return 0, false, fmt.Errorf("neither an optimum nor a proof that there is none: %q", line)
	}
	return 0, false, fmt.Errorf("answer has no status")
}

func TestReadAnswer(t *testing.T) {
	for _, c := range []struct {
		name, answer, said string
		value              int64
		ok, fails          bool
	}{
		{"optimum", "c x\ns mip 2 2 o 17\nj 1 0\ne o f\n", "", 17, true, false},
		{"none", "s mip 2 2 n 0\ne o f\n", "", 0, false, false},
		{"none in fractions", "s mip 2 2 u 0\ne o f\n", "PROBLEM HAS NO PRIMAL FEASIBLE SOLUTION\n", 0, false, false},
		{"not known", "s mip 2 2 u 0\ne o f\n", "TIME LIMIT EXCEEDED\n", 0, false, true},
		{"not the best", "s mip 2 2 f 17\ne o f\n", "", 0, false, true},
		{"a fraction", "s mip 2 2 o 17.5\ne o f\n", "", 0, true, true},
		{"cut off", "s mip 2 2 o 17\n", "", 0, false, true},
		{"no status", "c x\ne o f\n", "", 0, false, true},
		{"of another kind", "s bas 2 2 f f 17\ne o f\n", "", 0, false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			value, ok, err := readAnswer(c.answer, c.said)
			if c.fails {
				require.Error(t, err)
				return
			}
			require.NoError(t, err)
			require.Equal(t, c.value, value)
			require.Equal(t, c.ok, ok)
		})
	}
}

// rounds is how many problems a comparison takes.
func rounds() int {
	switch {
	case os.Getenv("LAPWRIGHT_LONG") == "1":
		return 1000
	case testing.Short():
		return 4
	}
	return 50
}

// seeded gives a generator whose seed is printed: CHAIN_SEED repeats one.
func seeded(t testing.TB) *rand.Rand {
	seed := rand.Uint64()
	if s := os.Getenv("CHAIN_SEED"); s != "" {
		var err error
		seed, err = strconv.ParseUint(s, 10, 64)
		require.NoError(t, err)
	}
	t.Logf("CHAIN_SEED=%d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}
