package detail_test

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCheckFiles loads and checks each file of testdata/check. What is found stands beside the line that it is found
// at, `### code: part of the summary`, several parted by `;`; nothing else may be found.
func TestCheckFiles(t *testing.T) {
	files := os.DirFS("../testdata/check")
	names, err := filepath.Glob("../testdata/check/*.rules")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			book, found, err := rules.Load(files, filepath.Base(name))
			require.NoError(t, err)
			require.NotNil(t, book, "%v", found)
			require.Empty(t, found)
			found, err = detail.Check(t.Context(), files, book)
			require.NoError(t, err)
			src, err := os.ReadFile(name)
			require.NoError(t, err)
			for i, line := range strings.Split(string(src), "\n") {
				_, comment, _ := strings.Cut(line, "### ")
				for want := range strings.SplitSeq(comment, ";") {
					code, text, _ := strings.Cut(strings.TrimSpace(want), ": ")
					if code == "" {
						continue
					}
					at := slices.IndexFunc(found, func(d rules.Diagnostic) bool {
						return d.Start.Line == i+1 && d.Code == code && strings.Contains(d.Summary, text)
					})
					if assert.GreaterOrEqual(t, at, 0, "line %d: %s: expected and not found", i+1, want) {
						found = slices.Delete(found, at, at+1)
					}
				}
			}
			for _, d := range found {
				t.Errorf("not expected: %s", d)
			}
		})
	}
}

// foundByCheck are the codes that Check alone finds.
var foundByCheck = []string{
	rules.CodeContradiction, rules.CodeNeverHolds, rules.CodeNeverKept, rules.CodeCoveredShould, rules.CodeLaysNothing,
}

// TestCheckCodes runs the examples of CODES.md that take more than loading, and counts where their codes are expected.
func TestCheckCodes(t *testing.T) {
	page, err := os.ReadFile("../rules/CODES.md")
	require.NoError(t, err)
	_, own, ok := strings.Cut(string(page), "\n## Over all roofs\n")
	require.True(t, ok)
	example := regexp.MustCompile("(?s)\n### ([a-z-]+)\n(.*?)```rules\n(.*?)```")
	var codes []string
	for _, m := range example.FindAllStringSubmatch(own, -1) {
		code, text, src := m[1], m[2], m[3]
		codes = append(codes, code)
		book, ds, err := rules.Load(fstest.MapFS{"example.rules": {Data: []byte(src)}}, "example.rules")
		require.NoError(t, err)
		require.NotNil(t, book, "%s: %v", code, ds)
		ds, err = detail.Check(t.Context(), nil, book)
		require.NoError(t, err)
		if assert.Len(t, ds, 1, code) {
			assert.Equal(t, code, ds[0].Code)
			assert.Equal(t, strings.Contains(text, "A warning: "), ds[0].Severity == rules.Warning, code)
		}
	}
	assert.Equal(t, foundByCheck, codes)
	names, err := filepath.Glob("../testdata/check/*.rules")
	require.NoError(t, err)
	var all []byte
	for _, name := range names {
		src, err := os.ReadFile(name)
		require.NoError(t, err)
		all = append(all, src...)
	}
	for _, code := range foundByCheck {
		assert.GreaterOrEqual(t, strings.Count(string(all), "### "+code), 2, code)
	}
}

func TestCheckStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := detail.Check(ctx, nil, loadPeak(t))
	assert.ErrorIs(t, err, context.Canceled)
}
