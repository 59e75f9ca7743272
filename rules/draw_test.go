package rules

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestDraw holds what is drawn for each file of testdata/draw against the golden text beside it.
func TestDraw(t *testing.T) {
	names, err := filepath.Glob("testdata/draw/*.rules")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		src, err := os.ReadFile(name)
		require.NoError(t, err)
		_, ds, err := Load(os.DirFS("testdata/draw"), filepath.Base(name))
		require.NoError(t, err)
		var b strings.Builder
		require.NoError(t, ds.Draw(&b, func(string) []byte { return src }))
		for _, line := range strings.Split(b.String(), "\n") {
			assert.LessOrEqual(t, width(line), drawn, line)
			assert.Equal(t, visible(line), line, "a control character is drawn")
		}
		golden := strings.TrimSuffix(name, ".rules") + ".txt"
		if *update {
			require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		assert.Equal(t, string(want), b.String(), name)
	}
}

// Whatever stands before it, the caret is under the word that is wrong.
func TestCaretStaysInPlace(t *testing.T) {
	for _, before := range []string{
		"", "\t", "\t\t  ", "note \"é\" ", "note \"漢字\" ", "note \"한글 e\u0301\" ", "note \"🏠\" ", "note \"\x01\x02\x7f\u202e\xff\" ", "\ufeff",
		"note \"" + strings.Repeat("long ", 40) + "\" ", "note \"" + strings.Repeat("漢", 90) + "\" ",
	} {
		src := before + "wrong" + strings.Repeat(" and more", 30)
		at := strings.Index(src, "wrong")
		d := Diagnostic{Span: Span{"x.rules", Place{at, 1, at + 1, 0}, Place{at + 5, 1, at + 6, 0}}, Summary: "it is wrong"}
		var b strings.Builder
		require.NoError(t, d.Draw(&b, func(string) []byte { return []byte(src) }))
		lines := strings.Split(b.String(), "\n")
		source, carets := lines[1], lines[2]
		i := strings.Index(source, "wrong")
		require.Positive(t, i, source)
		assert.Equal(t, width(source[:i]), strings.Index(carets, "^"), "%s\n%s", source, carets)
		assert.Equal(t, 5, strings.Count(carets, "^"))
		assert.LessOrEqual(t, width(source), drawn)
	}
}

func TestDrawWithoutSource(t *testing.T) {
	d := Diagnostic{Span: Span{"x.rules", Place{3, 1, 4, 4}, Place{9, 1, 10, 10}}, Code: CodeCircle, Summary: "a circle", Suggestion: "cut it"}
	for _, source := range []func(string) []byte{nil, func(string) []byte { return nil }} {
		var b strings.Builder
		require.NoError(t, d.Draw(&b, source))
		assert.Equal(t, "x.rules:1:4: error[circle]: a circle\n  help: cut it\n", b.String())
	}
}

func TestDiagnosticsErr(t *testing.T) {
	assert.NoError(t, Diagnostics(nil).Err())
	assert.NoError(t, Diagnostics{{Severity: Warning, Summary: "x"}}.Err())
	ds := Diagnostics{{Severity: Warning, Summary: "w"}, {Code: "c", Summary: "first"}, {Code: "c", Summary: "second"}}
	assert.EqualError(t, ds.Err(), "error[c]: first (and 1 more)")
	capped := ds.capped(2)
	require.Len(t, capped, 3)
	assert.Equal(t, "error[more-diagnostics]: 1 more not shown", capped[2].String())
	assert.Equal(t, Warning, Diagnostics{{}, {Severity: Warning}}.capped(1)[1].Severity)
}
