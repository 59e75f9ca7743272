package rules

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var fence = regexp.MustCompile("(?ms)^```(rules|rules error)\n(.*?)^```$")

// TestLanguageExamples loads every example of LANGUAGE.md.
func TestLanguageExamples(t *testing.T) {
	page, err := os.ReadFile("LANGUAGE.md")
	require.NoError(t, err)
	blocks := fence.FindAllSubmatchIndex(page, -1)
	require.Equal(t, strings.Count(string(page), "```rules"), len(blocks), "a fence that isn't run")
	items := itemLines(string(page[blocks[0][4]:blocks[0][5]]))
	for _, b := range blocks {
		kind, src := string(page[b[2]:b[3]]), string(page[b[4]:b[5]])
		line := 1 + strings.Count(string(page[:b[4]]), "\n")
		t.Run(fmt.Sprintf("line %d", line), func(t *testing.T) {
			first := strings.Fields(regexp.MustCompile(`(?m)^\s*#.*$`).ReplaceAllString(src, ""))[0]
			whole := src
			switch {
			case !slices.Contains(fileStarts, first):
				whole = `book "A" { mark 1/16 in zones edge, corner } ` + items + " detail shown for edge peak {\n" + src + "\n}"
			case first == "detail":
				whole = items + "\n" + src
			}
			_, ds, err := Load(files("x.rules", whole), "x.rules")
			require.NoError(t, err)
			if kind == "rules" {
				assert.NoError(t, ds.Err())
				return
			}
			_, want, ok := strings.Cut(strings.SplitN(src, "\n", 2)[0], "# ")
			require.True(t, ok, "the first line names the code")
			assert.True(t, ds.HasErrors())
			for _, d := range ds {
				if d.Severity == Error {
					assert.Equal(t, want, d.Code, d.Summary)
				}
			}
		})
	}
}

// itemLines joins the items of a source, so that an example's own lines keep their numbers.
func itemLines(src string) string {
	var items []string
	for _, line := range strings.Split(src, "\n") {
		if strings.HasPrefix(line, "item ") {
			items = append(items, line)
		}
	}
	return strings.Join(items, " ")
}

// The page lists the reserved words, and every keyword.
func TestLanguagePageIsComplete(t *testing.T) {
	page, err := os.ReadFile("LANGUAGE.md")
	require.NoError(t, err)
	_, list, _ := strings.Cut(string(page), "\n> ")
	list, _, _ = strings.Cut(list, "\n\n")
	assert.Equal(t, reserved[:], strings.Fields(strings.ReplaceAll(list, "\n>", "")))
	_, grammar, _ := strings.Cut(string(page), "```ebnf")
	grammar, _, _ = strings.Cut(grammar, "```")
	for _, w := range keywords() {
		assert.Contains(t, grammar, `"`+w+`"`)
	}
	for _, g := range givens {
		assert.Contains(t, string(page), "`"+g.name+"`")
	}
	for _, k := range edgeKinds {
		assert.Contains(t, string(page), k)
	}
}
