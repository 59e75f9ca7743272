package examples_test

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail/detailtest"
	"github.com/lapwright/lapwright/detail/mutation"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withoutExamples are the parts of the boathouse's book that its examples don't cover yet: the details that go on planes
// only, and the items that those take.
var withoutExamples = []string{"field", "hip_cap", "items", "valley_pan"}

// TestBooks: the examples of both books hold, and notice every change of them but in the parts named above. -short
// leaves the changes of the boathouse out, which are twice as many.
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
			t.Logf("%d changes in %v", len(rep.Changes), time.Since(started))
			parts, all := rep.Scores()
			assert.GreaterOrEqual(t, all.Of, 100)
			assert.True(t, rep.Counts())
			var missing []string
			for _, s := range parts {
				if s.Noticed < s.Of {
					missing = append(missing, s.Part)
				}
			}
			slices.Sort(missing)
			if name == "boathouse.rules" {
				assert.Equal(t, withoutExamples, missing)
			} else {
				assert.Empty(t, missing)
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
