// Package examples_test holds the house together: which package may know which, and what a host takes on.
package examples_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	module     = "github.com/lapwright/lapwright/"
	participle = "github.com/alecthomas/participle/v2"
	decimal    = "github.com/shopspring/decimal"
	testify    = "github.com/stretchr/testify"
)

// knows is what each part of the house may import, beside the standard library: the most that is allowed. A package
// obeys the longest entry that it stands under.
var knows = map[string][]string{
	"units":                      {decimal},
	"geom":                       {"units", decimal},
	"rules":                      {"units", "rules", decimal, participle},
	"detail":                     {"units", "geom", "rules", "detail", decimal},
	"detail/internal/chain":      {},
	"detail/internal/cutting":    {},
	"detail/internal/strictjson": {},
	"examples":                   {"units", "geom", "rules", "detail", decimal},
}

// outside are the packages by which a program reaches the machine: only examples know them.
// net/url writes addresses and opens none.
var outside = []string{"os", "net", "syscall", "io/ioutil", "log", "plugin", "unsafe"}

func TestEveryPackageKnowsOnlyWhatTheHouseAllows(t *testing.T) {
	seen := map[string]bool{}
	for file, imports := range imports(t) {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		part, allowed := partOf(file)
		require.NotEmpty(t, part, "%s stands in no part of the house", file)
		seen[part] = true
		for _, path := range imports {
			name, ours := strings.CutPrefix(path, module)
			switch {
			case ours || strings.Contains(strings.Split(path, "/")[0], "."):
				assert.True(t, slices.ContainsFunc(allowed, func(a string) bool { return within(name, a) }),
					"%s imports %s", file, path)
			case part != "examples" && file != "detail/internal/verify/keep.go": // of the tests, where one asks for it
				assert.False(t, path != "net/url" && slices.ContainsFunc(outside, func(o string) bool { return within(path, o) }),
					"%s imports %s: only examples know the machine", file, path)
			}
		}
	}
	for _, part := range []string{"units", "geom", "rules", "detail", "detail/internal/chain", "examples"} {
		assert.True(t, seen[part], "no file of %s was looked at", part)
	}
}

func TestTestifyIsForTestsOnly(t *testing.T) {
	used := false
	for file, imports := range imports(t) {
		if slices.ContainsFunc(imports, func(path string) bool { return within(path, testify) }) {
			used = true
			assert.True(t, strings.HasSuffix(file, "_test.go"), "%s is no test", file)
		}
	}
	assert.True(t, used)
}

func TestAHostTakesOnThreeModules(t *testing.T) {
	text, err := os.ReadFile("../go.mod")
	require.NoError(t, err)
	var direct []string
	for line := range strings.Lines(string(text)) {
		fields := strings.Fields(strings.TrimPrefix(strings.TrimSpace(line), "require "))
		if len(fields) == 2 && strings.Contains(fields[0], ".") && strings.HasPrefix(fields[1], "v") {
			direct = append(direct, fields[0]+" "+fields[1])
		}
	}
	assert.ElementsMatch(t, []string{participle + " v2.1.4", decimal + " v1.6.0", testify + " v1.12.1"}, direct)
}

func TestTheTopLevelIsTheHouse(t *testing.T) {
	entries, err := os.ReadDir("..")
	require.NoError(t, err)
	house := []string{"detail", "rules", "geom", "units", "examples", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md"}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			assert.Contains(t, house, e.Name())
		}
	}
}

// partOf is the part of the house that a file stands in, and what may be imported there.
func partOf(file string) (part string, allowed []string) {
	for p, list := range knows {
		if within(file, p) && len(p) > len(part) {
			part, allowed = p, list
		}
	}
	return part, allowed
}

// within tells whether a slash-separated path is another or stands under it.
func within(path, root string) bool { return path == root || strings.HasPrefix(path, root+"/") }

// imports are the imports of every Go file of the module, by its path from the top.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			_, err := os.Stat(filepath.Join(path, "go.mod"))
			if path != ".." && (err == nil || strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
				return fs.SkipDir // another module, or no package
			}
			return nil
		case filepath.Ext(path) != ".go":
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		name := filepath.ToSlash(strings.TrimPrefix(path, ".."+string(filepath.Separator)))
		found[name] = []string{}
		for _, spec := range file.Imports {
			path, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			found[name] = append(found[name], path)
		}
		return nil
	})
	require.NoError(t, err)
	return found
}
