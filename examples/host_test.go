package examples_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain is a host that reads, computes and writes what any host does, without the library; theirs also uses it.
const plain = `package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/big"
	"os"

	"github.com/alecthomas/participle/v2"
	"github.com/shopspring/decimal"
)

type word struct {
	Name string ` + "`parser:\"@Ident\"`" + `
}

func main() {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	text, err := fs.ReadFile(os.DirFS("."), os.Args[1])
	fmt.Println(ctx.Err(), err)
	tree, err := participle.MustBuild[word]().ParseBytes("", text)
	fmt.Println(tree, err, decimal.RequireFromString("1.5").Div(decimal.New(3, 0)), new(big.Rat))
	fmt.Println(json.NewEncoder(os.Stdout).Encode(tree))
	more()
}
`

const without = "package main\n\nfunc more() {}\n"

const with = `package main

import (
	"context"
	"fmt"
	"os"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

func more() {
	book, found, err := rules.Load(os.DirFS("."), os.Args[1])
	fmt.Println(found, err)
	job, err := detail.ReadJob(os.Stdin)
	fmt.Println(err)
	report, err := detail.Lay(context.Background(), book, job)
	fmt.Println(err)
	fmt.Println(report.WriteJSON(os.Stdout, units.In))
}
`

// host writes a program of a module of its own that imports the library from here.
func host(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	top, err := filepath.Abs("..")
	require.NoError(t, err)
	files["go.mod"] = "module host\n\ngo 1.26\n\nrequire github.com/lapwright/lapwright v0.0.0\n\n" +
		"replace github.com/lapwright/lapwright => " + top + "\n"
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	run(t, dir, "go", "mod", "tidy")
	return dir
}

func run(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	c := exec.Command(name, args...)
	c.Dir = dir
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}

// TestWhatAHostTakesOn: `go list -m all` of a program that imports detail names the library, the three modules, and
// what these need; its build has two of them.
func TestWhatAHostTakesOn(t *testing.T) {
	dir := host(t, map[string]string{"main.go": plain, "more.go": with})
	const library = "github.com/lapwright/lapwright"
	for _, m := range strings.Fields(run(t, dir, "go", "list", "-m", "-f", "{{.Path}}", "all")) {
		if !slices.Contains([]string{"host", library, participle, decimal, testify}, m) {
			assert.True(t, needed(t, dir, m), "%s is none of the three modules, nor do they need it", m)
		}
	}
	built := strings.Fields(run(t, dir, "go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}{{end}}", "."))
	slices.Sort(built)
	assert.Equal(t, []string{participle, library, decimal, "host"}, slices.Compact(built))
}

// needed tells whether one of the three modules asks for a module, or testify's packages import it.
func needed(t *testing.T, dir, m string) bool {
	for line := range strings.Lines(run(t, dir, "go", "mod", "graph")) {
		who, what, _ := strings.Cut(strings.TrimSpace(line), " ")
		if strings.HasPrefix(what, m+"@") && !strings.HasPrefix(who, "github.com/lapwright/") && who != "host" {
			return true
		}
	}
	return strings.Contains(run(t, "..", "go", "mod", "why", "-m", m), testify)
}

// TestWhatAHostGrowsBy: the library adds about 3.2 MB to the stripped program of a host that already reads JSON and
// grammars and computes in decimals, and of the standard library then takes on SHA-256 and regexp. 1 MB was the aim:
// rules, detail and what is under them come to that by their instructions alone.
func TestWhatAHostGrowsBy(t *testing.T) {
	if testing.Short() {
		t.Log("short: builds no programs")
		return
	}
	size := func(more string) int64 {
		dir := host(t, map[string]string{"main.go": plain, "more.go": more})
		run(t, dir, "go", "build", "-ldflags=-s -w", "-o", "host.exe", ".")
		f, err := os.Stat(filepath.Join(dir, "host.exe"))
		require.NoError(t, err)
		return f.Size()
	}
	before, after := size(without), size(with)
	t.Logf("%d bytes without, %d with: %d more", before, after, after-before)
	assert.LessOrEqual(t, after-before, int64(3_500_000))
}
