// Package detailtest runs the worked examples of a rule book as tests, and holds reports against golden files.
//
//	func TestHouse(t *testing.T) {
//		detailtest.Examples(t, os.DirFS("."), "house.rules")
//	}
package detailtest

import (
	"bytes"
	"context"
	"io/fs"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// T is what a test offers: *testing.T does.
type T interface {
	Helper()
	Errorf(format string, args ...any)
}

// A Runner is a test with subtests of its own kind: *testing.T is one.
type Runner[S T] interface {
	T
	Run(name string, subtest func(S)) bool
}

// Examples loads a rule file and runs each of its worked examples as a subtest of t. A book that can't be used, one
// without an example, and each expectation that doesn't hold is an error of the test, with what was expected and found
// side by side. It returns the results, for tests that want more of the reports.
func Examples[S Runner[S]](t S, fsys fs.FS, name string) []detail.ExampleResult {
	t.Helper()
	book, found, err := rules.Load(fsys, name)
	if err == nil {
		err = found.Err()
	}
	if err != nil {
		t.Errorf("%v", err)
		return nil
	}
	results := detail.Examples(context.Background(), fsys, book)
	if len(results) == 0 {
		t.Errorf("%s has no example", name)
	}
	for i := range results {
		r := &results[i]
		t.Run(r.Example.Name, func(t S) {
			t.Helper()
			if !r.OK() {
				t.Errorf("%s", r.Text())
			}
		})
	}
	return results
}

// Golden holds a text, such as a report as JSON or a sheet, against the golden file of a name, and shows the first line
// that differs. If refresh is not nil the text is given to it instead, to be written as the new golden file: a test
// sets it where its switch says so.
//
//	var update = flag.Bool("update", false, "write the golden files anew")
func Golden(t T, golden fs.FS, name string, got []byte, refresh func(name string, data []byte) error) {
	t.Helper()
	if refresh != nil {
		if err := refresh(name, got); err != nil {
			t.Errorf("%s can't be refreshed: %v", name, err)
		}
		return
	}
	want, err := fs.ReadFile(golden, name)
	if err != nil {
		t.Errorf("%v", err)
		return
	}
	if bytes.Equal(want, got) {
		return
	}
	was, now := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
	line := 0
	for line < min(len(was), len(now)) && was[line] == now[line] {
		line++
	}
	at := func(lines []string) string {
		if line < len(lines) {
			return lines[line]
		}
		return "(the end)"
	}
	t.Errorf("%s differs from line %d on\n  golden  %s\n  now     %s", name, line+1, at(was), at(now))
}
