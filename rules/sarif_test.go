package rules

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSARIF holds logs against the golden ones, which testdata/schemacheck holds against the format's schema.
func TestSARIF(t *testing.T) {
	for _, name := range []string{"overrides", "mark", "kept_names"} {
		src, err := os.ReadFile("testdata/check/" + name + ".rules")
		require.NoError(t, err)
		_, ds, err := Load(os.DirFS("testdata/check"), name+".rules")
		require.NoError(t, err)
		var b strings.Builder
		require.NoError(t, ds.SARIF(&b))
		golden := "testdata/sarif/" + name + ".sarif"
		if *update {
			require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		assert.Equal(t, string(want), b.String(), name)
		assert.Equal(t, strings.Count(string(src), "### "), strings.Count(b.String(), `"ruleId"`))
	}
}

// TestSARIFPlaces checks what the files of TestSARIF don't have: a file's name that a reference can't hold as it is,
// characters of two code units, and no place at all.
func TestSARIFPlaces(t *testing.T) {
	ds := Diagnostics{{Code: "b"}, {
		Span: Span{"parts/50% a:b.rules", Place{9, 2, 6, 4}, Place{13, 2, 10, 6}}, Severity: Warning, Code: "a",
		Summary: "first", Detail: "second", Suggestion: "third",
		Related: []Related{{Text: "nowhere"}, {Span: Span{File: "c.rules"}, Text: "in that file"}},
	}}
	var b strings.Builder
	require.NoError(t, ds.SARIF(&b))
	var log struct {
		Runs []struct {
			Tool    any
			Results []map[string]any
		}
	}
	require.NoError(t, json.Unmarshal([]byte(b.String()), &log))
	number := func(n int) float64 { return float64(n) } // as JSON is read
	assert.Equal(t, map[string]any{"driver": map[string]any{"name": "lapwright", "rules": []any{
		map[string]any{"id": "a"}, map[string]any{"id": "b"},
	}}}, log.Runs[0].Tool)
	assert.Equal(t, []map[string]any{
		{"ruleId": "b", "ruleIndex": number(1), "level": "error", "message": map[string]any{"text": ""}},
		{
			"ruleId": "a", "ruleIndex": number(0), "level": "warning",
			"message": map[string]any{"text": "first. second. Help: third"},
			"locations": []any{map[string]any{"physicalLocation": map[string]any{
				"artifactLocation": map[string]any{"uri": "parts/50%25%20a:b.rules"},
				"region":           map[string]any{"startLine": number(2), "startColumn": number(4), "endLine": number(2), "endColumn": number(6)},
			}}},
			"relatedLocations": []any{map[string]any{
				"id": number(1), "message": map[string]any{"text": "in that file"},
				"physicalLocation": map[string]any{"artifactLocation": map[string]any{"uri": "c.rules"}},
			}},
		},
	}, log.Runs[0].Results)
}
