package cutting_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/detail/internal/cutting"
)

// The least cost against that of glpsol, an integer programming solver of general use (Debian's glpk-utils). The model
// shares nothing with the solver: each stock length is a way along a ruler, on which a piece is a step of its length,
// and as many ways run at once as stock lengths are cut.

// onRuler is a problem as a flow along the ruler, in the CPLEX LP format.
func onRuler(p *cutting.Problem) string {
	longest := int64(0)
	for _, k := range p.Stocks {
		longest = max(longest, k.Length+p.Kerf)
	}
	// What comes to a place goes on from it, as a piece, as waste, or as the end of a stock length.
	balance := make([]strings.Builder, longest+1)
	var goal, cut, names strings.Builder
	add := func(b *strings.Builder, format string, args ...any) { fmt.Fprintf(b, "\n  "+format, args...) }
	for d, x := range p.Demands {
		step := x.Length + p.Kerf
		cut.WriteString("\n")
		for at := int64(0); at+step <= longest; at++ {
			name := fmt.Sprintf("p%d_%d", d, at)
			add(&balance[at], "- %s", name)
			add(&balance[at+step], "+ %s", name)
			add(&cut, "+ %s", name)
			fmt.Fprintf(&names, " %s\n", name)
		}
		fmt.Fprintf(&cut, " >= %d", x.Count)
	}
	for at := range longest {
		add(&balance[at], "- w%d", at)
		add(&balance[at+1], "+ w%d", at)
		fmt.Fprintf(&names, " w%d\n", at)
	}
	limits := ""
	for k, s := range p.Stocks {
		add(&goal, "+ %d s%d", s.Cost, k)
		add(&balance[0], "+ s%d", k)
		add(&balance[s.Length+p.Kerf], "- s%d", k)
		fmt.Fprintf(&names, " s%d\n", k)
		if s.Limit > 0 {
			limits += fmt.Sprintf(" s%d <= %d\n", k, s.Limit)
		}
	}
	rows := cut.String() + "\n"
	for at := range balance {
		rows += balance[at].String() + " = 0\n"
	}
	return "Minimize\n goal:" + goal.String() + "\nSubject To\n" + rows + "Bounds\n" + limits + "General\n" + names.String() + "End\n"
}

// byGlpsol is the least cost by glpsol; false: it isn't done in ten seconds.
func byGlpsol(t *testing.T, path string, p *cutting.Problem) (int64, bool) {
	dir := t.TempDir()
	in, out := filepath.Join(dir, "model.lp"), filepath.Join(dir, "answer")
	require.NoError(t, os.WriteFile(in, []byte(onRuler(p)), 0o600))
	ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
	defer stop()
	said, err := exec.CommandContext(ctx, path, "--lp", in, "-w", out).CombinedOutput()
	if ctx.Err() != nil {
		return 0, false
	}
	require.NoError(t, err, "%s", said)
	answer, err := os.ReadFile(out)
	require.NoError(t, err)
	require.True(t, strings.HasSuffix(string(answer), "\ne o f\n"), "the answer has no end: %s", said)
	for line := range strings.Lines(string(answer)) {
		if f := strings.Fields(line); len(f) == 6 && f[0] == "s" {
			require.Equal(t, []string{"mip", "o"}, []string{f[1], f[4]}, "no optimum of a whole-number problem: %s", said)
			value, err := strconv.ParseInt(f[5], 10, 64)
			require.NoError(t, err)
			return value, true
		}
	}
	t.Fatalf("the answer has no value: %s", said)
	return 0, false
}

// TestAgainstGlpsol holds plans of up to 40 pieces against glpsol: a third from one stock length, a third from several
// with prices, a third with left-overs too.
func TestAgainstGlpsol(t *testing.T) {
	path, err := exec.LookPath("glpsol")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("glpsol (Debian's glpk-utils) is not on this machine")
		}
		t.Skip("glpsol (Debian's glpk-utils) is not on this machine")
	}
	rounds := 50
	switch {
	case os.Getenv("LAPWRIGHT_LONG") == "1":
		rounds = 500
	case testing.Short():
		rounds = 4
	}
	r := seeded(t)
	late, proved := 0, 0
	for i := range rounds {
		p := &cutting.Problem{Stocks: from(60 + r.Int64N(61)), Kerf: r.Int64N(2)}
		if i%3 > 0 {
			p.Stocks[0].Cost = 20 + r.Int64N(20)
			p.Stocks = append(p.Stocks, cutting.Stock{Length: p.Stocks[0].Length * 2 / 3, Cost: 12 + r.Int64N(16)})
		}
		if i%3 > 1 {
			p.Stocks = append(p.Stocks, cutting.Stock{Length: 20 + r.Int64N(40), Limit: 1 + r.Int64N(3)})
		}
		var lengths []int64
		for range 1 + r.IntN(40) {
			lengths = append(lengths, 8+r.Int64N(p.Stocks[0].Length-8))
		}
		p.Demands = demands(lengths...)
		plan := solve(t, p)
		want, done := byGlpsol(t, path, p)
		if !done {
			late++
			require.LessOrEqual(t, plan.Cost-plan.Bound, p.Stocks[0].Cost)
			continue
		}
		slices.Sort(lengths)
		require.Equal(t, want, plan.Cost, "%v from %+v, kerf %d", lengths, p.Stocks, p.Kerf)
		if plan.Proved() {
			proved++
		}
	}
	t.Logf("%d problems alike, %d of them proved by ourselves; glpsol was not done with %d in time", rounds-late, proved, late)
	require.LessOrEqual(t, late, rounds/10)
}
