package rules

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// limitLine is a limit that a file of testdata/check is loaded with: its first line.
var limitLine = regexp.MustCompile(`^# (\w+)=(\d+)\n`)

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
			options := Options{Limits{Diagnostics: 10_000}}
			if limit := limitLine.FindSubmatch(src); limit != nil {
				n, err := strconv.Atoi(string(limit[2]))
				require.NoError(t, err)
				reflect.ValueOf(&options.Limits).Elem().FieldByName(string(limit[1])).SetInt(int64(n))
			}
			_, found, err := options.Load(os.DirFS("testdata/check"), filepath.Base(name))
			if errors.Is(err, ErrLimit) { // it ends the load; the file alone has the diagnostic
				_, found = parseFile(filepath.Base(name), src, options.Limits)
			} else {
				require.NoError(t, err)
			}
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

// TestEachCodeTwice counts where each code is expected: beside lines of testdata/check, in CODES.md, in other tests.
func TestEachCodeTwice(t *testing.T) {
	var lines, tests []byte
	read := func(pattern string) (all []byte) {
		names, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, name := range names {
			src, err := os.ReadFile(name)
			require.NoError(t, err)
			all = append(all, src...)
		}
		return all
	}
	lines, tests = read("testdata/check/*.rules"), read("*_test.go")
	tests = regexp.MustCompile(`(?m)^var (withoutExample|elsewhere) .*$`).ReplaceAll(tests, nil)
	expected := map[string]int{}
	total := 0
	for _, m := range regexp.MustCompile(`### (.*)`).FindAllSubmatch(lines, -1) {
		for _, want := range strings.Split(string(m[1]), ";") {
			code, _, _ := strings.Cut(strings.TrimSpace(want), ":")
			expected[code]++
			total++
		}
	}
	assert.GreaterOrEqual(t, total, 120)
	source, err := os.ReadFile("codes.go")
	require.NoError(t, err)
	names := regexp.MustCompile(`(Code\w+) += "([^"]*)"`).FindAllSubmatch(source, -1)
	require.Len(t, names, len(codesInSource(t)))
	for _, m := range names {
		name, code := string(m[1]), string(m[2])
		n := expected[code] + len(regexp.MustCompile(`\b`+name+`\b`).FindAll(tests, -1))
		if !slices.Contains(withoutExample, code) {
			n++ // TestCodes runs its example
		}
		if !slices.Contains(elsewhere, code) {
			assert.GreaterOrEqual(t, n, 2, code)
		}
	}
}
