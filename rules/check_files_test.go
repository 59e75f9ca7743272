package rules

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestCheckFiles loads each file of testdata/check alone. What is found in it stands beside the line that causes
// it, `### code: part of the summary`, several parted by `;`; nothing else may be found.
func TestCheckFiles(t *testing.T) {
	names, err := filepath.Glob("testdata/check/*.rules")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			src, err := os.ReadFile(name)
			require.NoError(t, err)
			_, found, err := Options{Limits{Diagnostics: 10_000}}.Load(os.DirFS("testdata/check"), filepath.Base(name))
			require.NoError(t, err)
			compareExpected(t, string(src), found)
		})
	}
}

// compareExpected holds diagnostics against the `###` comments of a source, line by line.
func compareExpected(t *testing.T, src string, found Diagnostics) {
	t.Helper()
	var unmet []string
	for i, line := range strings.Split(src, "\n") {
		_, comment, ok := strings.Cut(line, "### ")
		if !ok {
			continue
		}
		for _, want := range strings.Split(comment, ";") {
			code, text, _ := strings.Cut(strings.TrimSpace(want), ": ")
			at := slices.IndexFunc(found, func(d Diagnostic) bool {
				return d.Start.Line == i+1 && d.Code == code && strings.Contains(d.Summary, text)
			})
			if at < 0 {
				unmet = append(unmet, fmt.Sprintf("%d: %s", i+1, strings.TrimSpace(want)))
				continue
			}
			found = slices.Delete(slices.Clone(found), at, at+1)
		}
	}
	for _, d := range found {
		t.Errorf("not expected: %d:%d: %s: %s", d.Start.Line, d.Start.Column, d.Code, d.Summary)
	}
	for _, want := range unmet {
		t.Errorf("expected and not found: %s", want)
	}
}
