package rules

import (
	"os"
	"reflect"
	"strconv"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEveryLimit holds each field of Limits against files that reach it and are let through, and against the same files
// where it is one less: so no limit can be added without either, nor without its line in the README.
func TestEveryLimit(t *testing.T) {
	const item = `item a "a" { pack 3 }` // 21 bytes, 7 words
	row := func(limit string) fstest.MapFS {
		return files("a.rules", item+` detail d "d" for edge eave { row r of a along run { spacing <= `+limit+` } }`)
	}
	chain := files("a.rules", `include "b.rules"`, "b.rules", `include "c.rules"`, "c.rules", item)
	cases := map[string]struct {
		value int // that the files reach
		files fstest.MapFS
		want  string
	}{
		"FileBytes":    {len(item), files("a.rules", item), "the file is larger than 20 bytes"},
		"TotalBytes":   {55, chain, "the files together are larger than 54 bytes"},
		"IncludeDepth": {3, chain, "files include one another more than 2 deep"},
		"Words":        {8, files("a.rules", item+" # one"), "the file has more than 7 words"},
		"TotalWords":   {14, chain, "the files together have more than 13 words"},
		"Nesting":      {3, row("(1 in)"), "brackets are nested more than 2 deep"},
		"NumberBytes":  {4, row("1.25 in"), "a number has at most 3 digits"},
		"TextBytes":    {5, files("a.rules", `item a "abcde" { pack 3 }`), "this text is longer than 4 bytes"},
		"Terms":        {3, row("1 in + 1 in + 1 in"), "an expression has at most 2 terms, this one has 3"},
		"Declarations": {2, files("a.rules", item+` item b "b" { pack 3 }`), "the file has more than 1 declarations"},
		"Diagnostics":  {2, files("a.rules", item+item+item), ""}, // the rest is counted
	}
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	for _, field := range reflect.VisibleFields(reflect.TypeFor[Limits]()) {
		t.Run(field.Name, func(t *testing.T) {
			c, ok := cases[field.Name]
			require.True(t, ok, "no case")
			load := func(value int) (Diagnostics, error) {
				var o Options
				reflect.ValueOf(&o.Limits).Elem().FieldByIndex(field.Index).SetInt(int64(value))
				_, ds, err := o.Load(c.files, "a.rules")
				if err == nil {
					err = ds.Err()
				}
				return ds, err
			}
			if c.want == "" {
				for value, most := range map[int]int{1: 2, 2: 3, 3: 3} {
					ds, err := load(value)
					assert.NotErrorIs(t, err, ErrLimit)
					assert.Len(t, ds, most)
				}
			} else {
				_, err := load(c.value)
				assert.NoError(t, err, "what reaches it is let through")
				_, err = load(c.value - 1)
				assert.ErrorIs(t, err, ErrLimit)
				assert.ErrorContains(t, err, c.want+"; a host raises this limit by rules.Limits."+field.Name)
			}
			def := reflect.ValueOf(Limits{}.withDefaults()).FieldByIndex(field.Index).Int()
			assert.Contains(t, string(readme), "| `rules.Limits."+field.Name+"` | "+grouped(def)+" |")
		})
	}
	all := Limits{-1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1}
	assert.Equal(t, Limits{}.withDefaults(), all.withDefaults())
}

// grouped is a number with a comma after each thousand.
func grouped(n int64) string {
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
