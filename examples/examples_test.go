package examples_test

import (
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// met are the names that a host meets first, by package: each has an example.
var met = map[string][]string{
	"units": {"Parse", "Length_Tape", "Length_Format", "ParseSlope", "ParseVolume"},
	"geom":  {"NewRun", "NewPlane", "Roof"},
	"rules": {"Load", "Diagnostics", "Options_Format", "Reloader", "Options_Load"},
	"detail": {
		"ReadJob", "Lay", "Lay_conflict", "Lay_stopped", "Limits", "Report", "Report_WriteJSON", "Layouter", "AddUp", "Inspect", "Check", "Examples", "Options_Sweep",
		"Options_Compare", "Options_Lay",
	},
	"detail/sheet":    {"Options_Text", "Options_SVG", "Options_HTML", "Options_CSV", "Takeoff"},
	"detail/mutation": {"Run"},
	"detail/schema":   {"Files"},
}

// TestExamplesThatRun: at least forty, with one for each name that a host meets first. One without output to compare
// isn't run, and doesn't count.
func TestExamplesThatRun(t *testing.T) {
	all := 0
	for dir, names := range runnable(t) {
		all += len(names)
		for _, name := range met[dir] {
			assert.True(t, names[name], "%s has no example of %s that runs", dir, name)
		}
	}
	assert.GreaterOrEqual(t, all, 40)
	t.Log(all, "examples")
}

// runnable are the examples with an output, by the folder of their package.
func runnable(t *testing.T) map[string]map[string]bool {
	t.Helper()
	found := map[string]map[string]bool{}
	for dir := range met {
		found[dir] = map[string]bool{}
		tests, err := fs.Glob(os.DirFS(filepath.Join("..", dir)), "*_test.go")
		require.NoError(t, err)
		for _, name := range tests {
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", dir, name), nil, parser.ParseComments)
			require.NoError(t, err)
			if !strings.HasSuffix(file.Name.Name, "_test") {
				continue // it sees what a host can't
			}
			for _, x := range doc.Examples(file) {
				if x.Output != "" {
					found[dir][x.Name] = true
				}
			}
		}
	}
	return found
}
