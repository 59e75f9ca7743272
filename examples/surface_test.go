package examples_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostNames is how many exported functions and types the packages that a host can import may have in all. Methods,
// constants and variables aren't counted.
const mostNames = 190

func TestThePublicSurfaceIsSmall(t *testing.T) {
	names := map[string][]string{}
	total := 0
	for file := range imports(t) {
		dir := path.Dir(file)
		if strings.HasSuffix(file, "_test.go") || within(dir, "examples") || slices.Contains(strings.Split(dir, "/"), "internal") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", file), nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range tree.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil && d.Name.IsExported() {
					names[dir] = append(names[dir], d.Name.Name)
				}
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if s, ok := s.(*ast.TypeSpec); ok && s.Name.IsExported() {
						names[dir] = append(names[dir], s.Name.Name)
					}
				}
			}
		}
	}
	for _, dir := range slices.Sorted(maps.Keys(names)) {
		slices.Sort(names[dir])
		total += len(names[dir])
		t.Logf("%-16s %3d: %s", dir, len(names[dir]), strings.Join(names[dir], " "))
	}
	t.Logf("%-16s %3d", "in all", total)
	for _, dir := range []string{"units", "geom", "rules", "detail"} {
		assert.NotEmpty(t, names[dir], "no name of %s was counted", dir)
	}
	assert.LessOrEqual(t, total, mostNames)
}
