package examples_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/detailtest"
	"github.com/lapwright/lapwright/detail/mutation"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBooks: the examples of both books hold, and notice every change of them. -short leaves the changes of the
// boathouse out, which are twice as many.
func TestBooks(t *testing.T) {
	for name, dir := range map[string]string{"published.rules": "books", "boathouse.rules": "lapwright/demo"} {
		t.Run(name, func(t *testing.T) {
			files := os.DirFS(dir)
			for _, r := range detailtest.Examples(t, files, name) {
				assert.NotEmpty(t, r.Example.Source, r.Example.Name)
			}
			if testing.Short() && name == "boathouse.rules" {
				t.Log("short: its changes are left out")
				return
			}
			started := time.Now()
			rep, err := mutation.Run(t.Context(), files, name, mutation.Options{})
			require.NoError(t, err)
			_, all := rep.Scores()
			t.Logf("%d changes in %v", len(rep.Changes), time.Since(started))
			assert.Equal(t, all.Of, all.Noticed)
			assert.GreaterOrEqual(t, all.Of, 100)
			assert.True(t, rep.Counts())
			for _, c := range rep.Changes {
				assert.NotEqual(t, mutation.Missed, c.Verdict, "line %d: %s to %s", c.Span.Start.Line, c.Was, c.Now)
			}
		})
	}
}

// TestPublishedRulesNameTheirSources: each line of the published book, but the count of screws that its input gives.
func TestPublishedRulesNameTheirSources(t *testing.T) {
	src, err := os.ReadFile("books/published.rules")
	require.NoError(t, err)
	rules := 0
	for line := range strings.Lines(string(src)) {
		if strings.HasPrefix(line, "example ") {
			break
		}
		rule := strings.ContainsAny(line, "<>") && !strings.Contains(line, "count   >= n")
		if rule {
			rules++
			assert.Contains(t, line, ` source "`)
		}
	}
	assert.GreaterOrEqual(t, rules, 20)
}

// TestTheBoathouseExercisesItsRequirements: also those that only penetrations have.
func TestTheBoathouseExercisesItsRequirements(t *testing.T) {
	files := os.DirFS("lapwright/demo")
	book, found, err := rules.Load(files, "boathouse.rules")
	require.NoError(t, err)
	require.NoError(t, found.Err())
	uses, err := detail.Options{}.Coverage(t.Context(), files, book)
	require.NoError(t, err)
	for _, u := range uses {
		assert.True(t, u.Exercised || !u.Require, u.Rule)
	}
}
