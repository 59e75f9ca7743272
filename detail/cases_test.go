package detail_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCases runs the worked examples of testdata/cases: what the language says of rows, pieces, zones, obstacles, two
// sides and conflicts, each worked out by hand.
func TestCases(t *testing.T) {
	const dir = "../testdata/cases"
	names, err := filepath.Glob(filepath.Join(dir, "*.rules"))
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			t.Parallel()
			runExamples(t, os.DirFS(dir), filepath.Base(name))
		})
	}
}

// TestConflicts holds which violations are listed, in order, and which rules each is said to conflict with: what
// an example can't say.
func TestConflicts(t *testing.T) {
	type broken struct {
		rule, scope string
		n           int
		by          string
		conflict    []string
	}
	clips := func(detail string, measures ...string) []string {
		var list []string
		for _, m := range measures {
			list = append(list, detail+".clips."+m)
		}
		return list
	}
	want := map[string][]broken{
		"spacing against count": {
			{"too_few.clips.spacing", "run", 1, "1 in", clips("too_few", "spacing", "count")},
			{"too_few.clips.spacing", "run", 1, "2 in", clips("too_few", "spacing", "count")},
			{"too_few.clips.spacing", "run", 1, "1 in", clips("too_few", "spacing", "count")},
		},
		"keep-outs that leave nothing": {
			{"no_room.clips.clear", "panel", 2, "1", clips("no_room", "clear")},
		},
		"a rule that takes no part isn't named": {
			{"two_of_three.clips.spacing", "run", 1, "3 in", clips("two_of_three", "spacing", "count")},
			{"two_of_three.clips.spacing", "run", 1, "3 in", clips("two_of_three", "spacing", "count")},
		},
		"three rules conflict together": {
			{"three.clips.count", "run", 1, "1", clips("three", "end", "spacing", "count")},
		},
		"an obstacle takes part": {
			{"wide.clips.spacing", "run", 1, "8 in", append(clips("wide", "spacing"), "obstacle penetration 1")},
		},
		"a lap with no place": {
			{"kept_rib.caps.length", "run", 1, "10 in", []string{"kept_rib.caps.length", "kept_rib.caps.clear"}},
		},
		"a requirement is held at each side": {
			{"steep.require#3", "rib", 1, "0.5 in", []string{"steep.require#3"}},
			{"steep.require#3", "rib", 2, "0.5 in", []string{"steep.require#3"}},
			{"steep.require", "side", 2, "1:12", []string{"steep.require"}},
			{"steep.require#3", "rib", 1, "0.5 in", []string{"steep.require#3"}},
		},
		"the earliest lines are named": { // the ends are half of the least spacing, and its breach
			{"earliest.clips.spacing", "run", 1, "2 in", clips("earliest", "count", "spacing")},
			{"earliest.clips.spacing#2", "run", 1, "1.5 in", clips("earliest", "count", "spacing")},
			{"earliest.clips.spacing#2", "run", 1, "3 in", clips("earliest", "count", "spacing")},
			{"earliest.clips.spacing#2", "run", 1, "1.5 in", clips("earliest", "count", "spacing")},
		},
		"strips are numbered and lap":              nil,
		"beyond an obstacle a strip joins nothing": nil,
		"a strip's used length is held against its bounds": {
			{"long.seal.length#2", "run", 1, "12 in", []string{"long.seal.length#2", "long.seal.length"}},
		},
		"a bead's used length is held against its bounds": {
			{"short.seal.length#2", "run", 1, "10 in", []string{"short.seal.length#2"}},
		},
		"marks centred on an end fall off the run": {
			{"beyond.pairs.spacing", "end", 1, "0.5 in", []string{"beyond.pairs.count", "beyond.pairs.spacing"}},
			{"beyond.pairs.spacing", "end", 2, "0.5 in", []string{"beyond.pairs.count", "beyond.pairs.spacing"}},
		},
		"an offset takes marks and beads off the run": {
			{"outward.pins.offset", "end", 1, "2.5 in", []string{"outward.pins.offset"}},
			{"outward.pins.offset", "end", 2, "2.5 in", []string{"outward.pins.offset"}},
			{"outward.dabs.offset", "end", 1, "2 in", []string{"outward.dabs.offset"}},
			{"outward.dabs.offset", "end", 2, "2 in", []string{"outward.dabs.offset"}},
		},
		"a mark exactly at the end stands": nil,
		"marks at one station make no gap, and a gap ends with the run": {
			{"gaps.pins.spacing", "end", 1, "2 in", []string{"gaps.pins.count", "gaps.pins.spacing"}},
			{"gaps.pins.spacing", "end", 2, "2 in", []string{"gaps.pins.count", "gaps.pins.spacing"}},
		},
	}
	for _, file := range []string{"conflicts.rules", "two_sides.rules", "fixed.rules"} {
		_, results := runExamples(t, os.DirFS("../testdata/cases"), file)
		for _, r := range results {
			var found []broken
			for _, v := range r.Report.Violations {
				b := broken{v.Rule, v.Scope.Kind, v.Scope.N, v.By.In(units.In), nil}
				for _, c := range v.Conflict {
					b.conflict = append(b.conflict, c.Rule)
				}
				assert.True(t, v.Minimal, "%s: %s", r.Example.Name, v.Message)
				found = append(found, b)
			}
			assert.Equal(t, want[r.Example.Name], found, r.Example.Name)
			delete(want, r.Example.Name)
		}
	}
	assert.Empty(t, want, "no such example")
}

// TestLeftOut holds why scopes are left out.
func TestLeftOut(t *testing.T) {
	for file, want := range map[string]map[string][]detail.Skip{
		"obstacles.rules": {"scopes in an obstacle are left out": {
			{Placement: 0, Scope: detail.ScopeRef{Kind: "panel", N: 2}, When: "obstacle penetration 1"},
			{Placement: 1, Scope: detail.ScopeRef{Kind: "rib", N: 1}, When: "obstacle penetration 1"},
		}},
		"zones.rules": {"an element's condition leaves scopes out": {
			{Placement: 0, Scope: detail.ScopeRef{Kind: "panel", N: 1}, When: "zone is corner"},
			{Placement: 0, Scope: detail.ScopeRef{Kind: "panel", N: 2}, When: "zone is corner"},
		}},
	} {
		_, results := runExamples(t, os.DirFS("../testdata/cases"), file)
		for name, skips := range want {
			i := slices.IndexFunc(results, func(r detail.ExampleResult) bool { return r.Example.Name == name })
			require.GreaterOrEqual(t, i, 0, name)
			assert.Equal(t, skips, results[i].Report.Skipped, name)
		}
	}
}

// TestBooksCases runs the worked examples of the books that come with the library past the verifier.
func TestBooksCases(t *testing.T) {
	for name, dir := range map[string]string{"published.rules": "books", "boathouse.rules": "lapwright/demo"} {
		t.Run(name, func(t *testing.T) {
			runExamples(t, os.DirFS("../examples/"+dir), name)
		})
	}
}

// TestCasesSayHowTheyWereGot: at least 80 cases say what the language means, each with where its figures come from.
func TestCasesSayHowTheyWereGot(t *testing.T) {
	cases := 0
	for _, dir := range []string{"../testdata/cases", "../testdata/measures"} {
		names, err := filepath.Glob(filepath.Join(dir, "*.rules"))
		require.NoError(t, err)
		for _, name := range names {
			book, found, err := rules.Load(os.DirFS(dir), filepath.Base(name))
			require.NoError(t, err)
			require.NoError(t, found.Err())
			for _, ex := range book.Examples {
				cases++
				assert.NotEmpty(t, ex.Source, "%s: %q", name, ex.Name)
			}
		}
	}
	assert.GreaterOrEqual(t, cases, 80)
	t.Logf("%d cases", cases)
}
