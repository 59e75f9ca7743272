package examples_test

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the outputs on the pages anew")

var (
	block = regexp.MustCompile("(?s)(`([a-z.]+)`:\n\n)?```([a-z]+)\n(.*?)```\n")
	exit  = regexp.MustCompile(`(?m)^exit status \d+\n`)
)

// TestPages does what a reader of the pages does: writes each file that is named before a block, runs each command, and
// finds what the page shows. Only the commands of a console, which fetch the library, are not run: it is there.
func TestPages(t *testing.T) {
	for _, page := range []string{"FROM_ZERO.md", "FIRST_RULE.md"} {
		t.Run(page, func(t *testing.T) {
			if testing.Short() {
				t.Log("short: builds no programs")
				return
			}
			dir := host(t, map[string]string{"main.go": "package main\n\nimport _ \"github.com/lapwright/lapwright/detail\"\n\nfunc main() {}\n"})
			text, err := os.ReadFile(page)
			require.NoError(t, err)
			printed, shown := "", 0
			got := block.ReplaceAllStringFunc(string(text), func(b string) string {
				part := block.FindStringSubmatch(b)
				switch name, language, body := part[2], part[3], part[4]; {
				case name != "":
					require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(body), 0o644))
				case language == "sh":
					c := exec.Command("sh", "-c", body)
					c.Dir = dir
					out, _ := c.CombinedOutput() // a check that finds something fails, and its words are compared
					printed = exit.ReplaceAllString(string(out), "")
				case language == "text":
					shown++
					return "```text\n" + printed + "```\n"
				default:
					assert.Equal(t, "console", language)
				}
				return b
			})
			assert.Positive(t, shown)
			if *update {
				require.NoError(t, os.WriteFile(page, []byte(got), 0o644))
				return
			}
			assert.Equal(t, strings.Split(string(text), "\n"), strings.Split(got, "\n"))
		})
	}
}
