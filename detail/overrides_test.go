package detail

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// overrides are lines of a base detail, the line that a detail extending it writes, and the verdict on that. The
// element is a row in each panel, or pieces along the run where a line speaks of laps or lengths. Where keep-outs at the
// ends change, the ends have a maximum of their own: the default one follows the keep-outs.
var overrides = []struct{ base, line, verdict string }{
	{"spacing <= 5 in", "spacing <= 6 in", "looser"},
	{"spacing <= 5 in", "spacing <= 5 1/16 in", "looser"},
	{"spacing < 5 in", "spacing <= 5 in", "looser"},
	{"spacing <= x", "spacing <= 2 * x", "looser"},
	{"spacing <= 5 in", "spacing <= 5 in + x", "looser"},
	{"spacing <= panel.width / 3", "spacing <= panel.width / 2", "looser"},
	{"spacing <= 5 in  end <= 1 in", "end <= 2 in", "looser"},
	{"spacing <= 5 in", "end <= 4 in", "looser"}, // over half of the spacing, which was the limit till then
	{"spacing <= 8 in  count >= 4", "count >= 3", "looser"},
	{"spacing <= 12 in  spacing >= 5 in  count >= 4", "should count >= 4", "looser"},
	{"spacing <= 5 in  count <= 3", "count <= 5", "looser"},
	{"spacing <= 12 in  end <= 9 in  end >= 7 in", "end >= 2 in", "looser"},
	{"spacing <= 12 in  end <= 3 in  clear >= 3 in from rib", "clear >= 1 in from rib", "looser"},
	{"spacing <= 6 in  end <= 5 in  clear >= x + 1 in from rib", "clear >= x from rib", "looser"},
	{"lap >= 6 in  length <= 40 in", "lap >= 2 in", "looser"},
	{"lap >= 6 in  length <= 40 in", "length <= 60 in", "looser"},

	{"spacing <= 5 in", "spacing <= 4 in", "tighter"},
	{"spacing <= 5 in", "spacing < 5 in", "tighter"},
	{"spacing <= 5 in", "spacing <= min(5 in, panel.width / 4)", "tighter"},
	{"spacing <= 2 * x", "spacing <= x", "tighter"},
	{"spacing <= 5 in", "count >= 5", "tighter"},
	{"spacing <= 5 in", "end <= 1 in", "tighter"},
	{"spacing <= 8 in  count >= 2", "count >= 4", "tighter"},
	{"spacing <= 12 in  spacing >= 4 in  should count >= 4", "count >= 4", "tighter"},
	{"spacing <= 12 in  end <= 3 in  clear >= 1 in from rib", "clear >= 3 in from rib", "tighter"},
	{"spacing <= 12 in  end <= 9 in  end >= 2 in", "end >= 7 in", "tighter"},
	{"lap >= 2 in  length <= 40 in", "lap >= 10 in", "tighter"},
	{"lap >= 6 in  length <= 60 in", "length <= 30 in", "tighter"},

	{"spacing <= 5 in", "spacing <= 127 mm", "equal"},
	{"spacing <= 5 in", "spacing <= 10 in / 2", "equal"},
	{"spacing <= 2 * x", "spacing <= x + x", "equal"},
	{"spacing <= 8 in  count >= 4", "count >= 2 + 2", "equal"},
	{"spacing <= 6 in  end <= 2 in", "end <= max(1 in, 2 in)", "equal"},
	{"spacing <= 6 in  end <= 5 in  clear >= x from rib", "clear >= 2 * x / 2 from rib", "equal"},
	{"lap >= 6 in  length <= 40 in", "lap >= 1/2 ft", "equal"},

	{"spacing <= 5 in", "spacing <= panel.width / 3", "at times looser"},
	{"spacing <= 2 * x", "spacing <= 5 in", "at times looser"},
	{"spacing <= 12 in  end <= x  clear >= 1 1/2 in from rib", "clear >= panel.width / 9 from rib", "at times looser"},
	{"lap >= 5 in  length <= 16 in", "lap >= 2 * x", "at times looser"},
	{"lap >= 4 in  length <= 40 in", "length <= run.length / 2 + 10 in", "at times looser"},

	{"spacing <= 8 in  end = 1 in", "end = 4 in", "undecided"},
	{"spacing <= 5 in  count = 3", "count = 4", "undecided"},
	{"spacing <= 8 in  count >= 3", "count >= ceil(panel.width / 5 in)", "undecided"},
	{"spacing <= 2 * x", "spacing <= x * x / 1 in", "undecided"},
	{"spacing <= 12 in  end <= x  clear >= 2 in from rib", "clear >= x * x / 3 in from rib", "undecided"},
	{"lap >= 4 in  length = 40 in", "length = 30 in", "undecided"},
}

// TestOverrides holds each verdict against random roofs. What is no looser never does with fewer marks or pieces, and
// conflicts wherever the base does; what is no tighter never needs more. What is looser or tighter is seen to be.
func TestOverrides(t *testing.T) {
	require.GreaterOrEqual(t, len(overrides), 40)
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	for i, c := range overrides {
		t.Run(c.verdict+" "+c.line, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, uint64(i)))
			codes := map[string]string{"looser": rules.CodeLooser, "at times looser": rules.CodeLooser, "undecided": rules.CodeUndecided}
			_, ds := overriding(t, c.base, c.line, false)
			if code := codes[c.verdict]; code != "" {
				require.Len(t, ds, 1)
				require.Equal(t, code, ds[0].Code)
			} else {
				require.Empty(t, ds)
			}
			book, ds := overriding(t, c.base, c.line, true)
			require.NoError(t, ds.Err())
			looser, tighter := 0, 0
			for n := 0; n < 60 || n < 600 && !seen(c.verdict, looser, tighter); n++ {
				old, oldOK, oldJSON, now, nowOK, nowJSON, job := layBoth(t, book, r)
				switch {
				case nowOK && (!oldOK || now < old):
					looser++
					require.NotContains(t, []string{"tighter", "equal"}, c.verdict, job)
				case oldOK && (!nowOK || now > old):
					tighter++
					require.NotContains(t, []string{"looser", "equal"}, c.verdict, job)
				}
				if c.verdict == "equal" {
					require.Equal(t, oldJSON, nowJSON, job)
				}
			}
			assert.True(t, seen(c.verdict, looser, tighter), "looser on %d roofs, tighter on %d", looser, tighter)
		})
	}
}

// seen tells whether roofs show what a verdict says. What is looser at times, or
// can't be decided, is looser on some and tighter on others.
func seen(verdict string, looser, tighter int) bool {
	switch verdict {
	case "looser":
		return looser > 0
	case "tighter":
		return tighter > 0
	case "at times looser", "undecided":
		return looser > 0 && tighter > 0
	}
	return true
}

// overriding loads a book of a base detail and one that changes a line, with relax or without.
func overriding(t *testing.T, base, line string, relax bool) (*rules.Book, rules.Diagnostics) {
	t.Helper()
	kind, scope := "row", "in each panel"
	if strings.Contains(base, "lap") {
		kind, scope = "pieces", "along run"
	}
	change := kind + " e { " + line + " }"
	if relax {
		change = "relax e { " + line + " } because \"to see\""
	}
	src := fmt.Sprintf(`book "Overrides (invented)" { mark 1/16 in }
detail old for edge eave {
  input x: length = 2 in where x >= 1 in and x <= 4 in
  let twice = 2 * x
  require twice > 0 in
  %s e %s { %s }
}
detail now extends old { %s }
`, kind, scope, base, change)
	book, ds, err := rules.Load(fstest.MapFS{"o.rules": {Data: []byte(src)}}, "o.rules")
	require.NoError(t, err)
	return book, ds
}

// layBoth lays both details on one random roof: how many marks or pieces each takes, whether it keeps its musts, and
// where they lie.
func layBoth(t *testing.T, book *rules.Book, r *rand.Rand) (old int, oldOK bool, oldJSON string, now int, nowOK bool, nowJSON, job string) {
	t.Helper()
	size := func(n int) string { return fmt.Sprintf("%d/16 in", n) }
	between := func(from, to int) int { return 16*from + r.IntN(16*(to-from)+1) }
	first, cover := between(6, 9), between(9, 24)
	length := first + cover*(1+r.IntN(4))
	x := size(between(1, 4))
	lay := func(name string) (int, bool, string) {
		job = fmt.Sprintf(`{"name": "a roof", "profile": {"cover": %q, "rib_width": "3/4 in", "rib_height": "1 in"},
			"runs": [{"id": "a", "edge": "eave", "slope": "3:12", "length": %q, "panels": {"first": %q}}],
			"use": [{"detail": %q, "runs": ["a"], "inputs": {"x": %q}}]}`, size(cover), size(length), size(first), name, x)
		j, err := ReadJob(strings.NewReader(job))
		require.NoError(t, err, job)
		report, err := Lay(context.Background(), book, j)
		require.NoError(t, err, job)
		var laid struct {
			Marks  []struct{ At []string }
			Pieces []struct{ From, To string }
		}
		text, err := json.Marshal(report)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(text, &laid))
		n := len(laid.Pieces)
		for _, m := range laid.Marks {
			n += len(m.At)
		}
		ok := true
		for _, v := range report.Violations {
			ok = ok && v.Severity != "must"
		}
		return n, ok, fmt.Sprint(laid)
	}
	old, oldOK, oldJSON = lay("old")
	now, nowOK, nowJSON = lay("now")
	return old, oldOK, oldJSON, now, nowOK, nowJSON, job
}
