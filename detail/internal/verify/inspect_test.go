package verify_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// TestEveryLayoutPassesInspection inspects random layouts as if they were built: what is found is what the report says
// can't be met, to the letter, so a layout that keeps the rules passes. Every job has runs with two sides, with zones and
// with obstacles.
func TestEveryLayoutPassesInspection(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	n := 300
	if testing.Short() {
		n = 8
	}
	scopes, unclear := 0, 0
	for i := range n {
		g := &generator{rand.New(rand.NewPCG(seed, uint64(i)))}
		source, job := g.book(), g.job()
		book, j, r, err := laid(t, source, job)
		if errors.Is(err, detail.ErrLimit) {
			continue
		}
		require.NoError(t, err, "%s\n%s", source, job)
		in, err := detail.Inspect(context.Background(), book, j, verify.Measured(r, true))
		require.NoError(t, err, "%s\n%s", source, job)
		require.Empty(t, differences(said(r.Violations), said(in.Report.Violations)), "seed %d, case %d\n%s\n%s", seed, i, source, job)
		require.Equal(t, len(r.Scopes), in.Judged)
		require.Empty(t, in.Unmeasured)

		// All marks of a row together: which belongs to which scope is then for the inspection to find out.
		together, err := detail.Inspect(context.Background(), book, j, verify.Measured(r, false))
		if err != nil {
			require.ErrorContains(t, err, "too many marks lie where")
			unclear++
			continue
		}
		require.LessOrEqual(t, musts(together.Report), musts(r), "seed %d, case %d\n%s\n%s\n%s", seed, i,
			strings.Join(differences(said(r.Violations), said(together.Report.Violations)), "\n"), source, job)
		scopes += in.Judged
	}
	t.Logf("%d scopes inspected; in %d jobs marks lay too thick in laps to tell which piece they belong to", scopes, unclear)
	require.Less(t, unclear, 1+n/20)
	if !testing.Short() {
		require.Greater(t, scopes, 50_000)
	}
}

func musts(r *detail.Report) (n int) {
	for _, v := range r.Violations {
		if v.Severity == "must" {
			n++
		}
	}
	return n
}

// said are violations in words, sorted. Where nothing stands, a layout blames what left no place, and an inspection what
// asks for a mark.
func said(list []detail.Violation) []string {
	var s []string
	for _, v := range list {
		if v.Measure == "count" && v.Found.Text == "0" && v.Required.Op == ">=" && v.Required.Text == "1" {
			v.Rule, v.What = "", "none"
		}
		s = append(s, v.Severity+" "+v.Rule+" "+v.Measure+" "+v.From.String()+" "+v.To.String()+" "+v.Message(units.In)+" by "+v.By.In(units.In))
	}
	slices.Sort(s)
	return s
}

// differences are what only one of two sorted lists says.
func differences(want, got []string) (list []string) {
	for len(want)+len(got) > 0 {
		switch {
		case len(got) == 0 || len(want) > 0 && want[0] < got[0]:
			list, want = append(list, "missing: "+want[0]), want[1:]
		case len(want) == 0 || got[0] < want[0]:
			list, got = append(list, "too much: "+got[0]), got[1:]
		default:
			want, got = want[1:], got[1:]
		}
	}
	return list
}
