package rules

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// meaning writes a tree without its places; of a literal, what was written without its blanks.
func meaning(v any) string {
	var b strings.Builder
	var write func(reflect.Value)
	write = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer, reflect.Interface:
			if v.IsNil() {
				b.WriteString("nil")
				return
			}
			if l, ok := v.Interface().(*Literal); ok {
				b.WriteString(strings.Join(strings.Fields(l.Text), ""))
				return
			}
			write(v.Elem())
		case reflect.Struct:
			if v.Type() == reflect.TypeFor[Span]() {
				return
			}
			b.WriteString(v.Type().Name() + "{")
			for i := range v.NumField() {
				write(v.Field(i))
				b.WriteByte(' ')
			}
			b.WriteByte('}')
		case reflect.Slice:
			b.WriteByte('[')
			for i := range v.Len() {
				write(v.Index(i))
				b.WriteByte(' ')
			}
			b.WriteByte(']')
		default:
			fmt.Fprintf(&b, "%#v", v.Interface())
		}
	}
	write(reflect.ValueOf(v))
	return b.String()
}

// wordsAndComments lists what a source has in order; a comment after a word on its line is marked.
func wordsAndComments(src []byte) []string {
	s := scan("x.rules", src, Limits{}.withDefaults())
	var out []string
	next := 0
	for i, t := range s.tokens {
		for next < len(s.comments) && s.comments[next].Start.Offset < s.spans[i].Start.Offset {
			c := s.comments[next]
			text := strings.TrimRight(c.Text, " \t")
			if i > 0 && s.spans[i-1].End.Line == c.Start.Line {
				text = "after " + text
			}
			out = append(out, text)
			next++
		}
		if t.Type != lexer.EOF {
			out = append(out, strings.Join(strings.Fields(t.Value), ""))
		}
	}
	return out
}

// checkFormat formats a source that can be read, and holds the result against it.
func checkFormat(t *testing.T, name string, src []byte) []byte {
	t.Helper()
	out, ds := formatFile(name, src, Limits{})
	require.Empty(t, ds)
	again, ds := formatFile(name, out, Limits{})
	require.Empty(t, ds, "%s\nformatted:\n%s", src, out)
	require.Equal(t, string(out), string(again), "formatted twice:\n%s", src)
	require.Equal(t, wordsAndComments(src), wordsAndComments(out), "%s\nformatted:\n%s", src, out)
	before, _ := parseFile(name, src, Limits{})
	after, _ := parseFile(name, out, Limits{})
	require.Equal(t, meaning(before.decls), meaning(after.decls))
	for line := range strings.Lines(string(out)) {
		require.Equal(t, strings.TrimRight(line, " \t\r\n")+"\n", line)
	}
	return out
}

// TestFormatRepository formats every rule file of the module and every example of its pages.
func TestFormatRepository(t *testing.T) {
	formatted := 0
	try := func(name string, src []byte) {
		if _, ds := parseFile(name, src, Limits{}); len(ds) > 0 {
			out, found := formatFile(name, src, Limits{})
			require.Nil(t, out, name)
			require.Equal(t, ds, found, name)
			return
		}
		formatted++
		checkFormat(t, name, src)
	}
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err == nil && filepath.Ext(path) == ".rules" {
			src, err := os.ReadFile(path)
			require.NoError(t, err)
			try(path, src)
		}
		return err
	}))
	example := regexp.MustCompile("(?s)```rules[^\n]*\n(.*?)```")
	for _, page := range []string{"LANGUAGE.md", "CODES.md"} {
		src, err := os.ReadFile(page)
		require.NoError(t, err)
		for _, m := range example.FindAllSubmatch(src, -1) {
			try(page, m[1])
			try(page, []byte("detail shown for edge peak {\n"+string(m[1])+"\n}"))
		}
	}
	require.Greater(t, formatted, 100)
}

// TestFormatForm shows the form, by what was written and what comes of it.
func TestFormatForm(t *testing.T) {
	for _, c := range [][2]string{
		{"", ""},
		{"# alone\r\n\r\n\r\n\r\n# two  ", "# alone\n\n# two\n"},
		{"\ufeffitem a", "item a\n"},
		{"item a \"x\"{pack 5}item bcd{ }", "item a   \"x\" { pack 5 }\nitem bcd     { }\n"},
		{"book \"b\"{edition\"1\" mark 1/16in\nzones a,b }", "book \"b\" { edition \"1\"  mark 1/16 in  zones a, b }\n"},
		{"book \"b\"{\nedition\"1\" mark 1/16in zones a,b }", "book \"b\" {\n  edition \"1\"\n  mark    1/16 in\n  zones   a, b\n}\n"},
		{"detail d{row r{spacing<=5 in}}", "detail d {\n  row r { spacing <= 5 in }\n}\n"},
		{"detail d{row r{spacing<=5 in# why\n}}", "detail d {\n  row r {\n    spacing <= 5 in  # why\n  }\n}\n"},
		{"detail d{row r{# why\n\n spacing<=5 in}}", "detail d {\n  row r {  # why\n\n    spacing <= 5 in\n  }\n}\n"},
		{"detail d{row r{spacing<=\n# why\n5 in}}", "detail d {\n  row r {\n    spacing <=\n        # why\n        5 in\n  }\n}\n"},
		{"detail d{}item i detail e{let x= - ( - a-- b )*min (1,-2 in)}\n", "detail d { }\nitem i\ndetail e { let x = -(-a - -b) * min(1, -2 in) }\n"},
		{"detail a {\nnote \"n\"\n\n\n}\n# of b\ndetail b { }", "detail a {\n  note \"n\"\n}\n\n# of b\ndetail b { }\n"},
		{"item i # of i\n# of d\ndetail d {\nnote \"n\"\n}", "item i  # of i\n\n# of d\ndetail d {\n  note \"n\"\n}\n"},
		{
			"detail d extends b { relax r{count>=3\n}because\"x\" # why\nstep \"one\" sets r hold \"look\"\nstep \"three\" sets s }",
			"detail d extends b {\n  relax r { count >= 3 } because \"x\"  # why\n  step \"one\"    sets r\n  hold \"look\"\n  step \"three\"  sets s\n}\n",
		},
		{
			"detail d{row r{\nend left<=3 in because \"x\"\nlay even\ncount = 4\nshould count>=5 source \"y\"\nextend = 1 in when a}}",
			"detail d {\n  row r {\n    end left <= 3 in         because \"x\"\n    lay even\n    count    =  4\n    should count >= 5 source \"y\"\n    extend   =  1 in when a\n  }\n}\n",
		},
		{ // one blank, where a table would be too wide
			"detail d{\nrequire a because \"x\"\nrequire " + strings.Repeat("a", 112) + "\n}",
			"detail d {\n  require a because \"x\"\n  require " + strings.Repeat("a", 112) + "\n}\n",
		},
		{ // too long for one line
			"detail d{let x=" + strings.Repeat("aaaaaaaaa and ", 12) + "b}",
			"detail d {\n  let x = " + strings.Repeat("aaaaaaaaa and ", 7) + "aaaaaaaaa\n      " + strings.Repeat("and aaaaaaaaa ", 4) + "and b\n}\n",
		},
	} {
		assert.Equal(t, c[1], string(checkFormat(t, "x.rules", []byte(c[0]))), c[0])
	}
}

// TestFormatPrinted: of the rule file that shows the language, only what the author put beside the lines moves.
func TestFormatPrinted(t *testing.T) {
	src, err := os.ReadFile("testdata/boathouse.rules")
	require.NoError(t, err)
	out := checkFormat(t, "boathouse.rules", src)
	before, after := strings.Split(strings.TrimLeft(string(src), "\n"), "\n"), strings.Split(string(out), "\n")
	require.Len(t, after, len(before))
	for i := range before {
		if !strings.Contains(before[i], "#") && !strings.HasPrefix(before[i], "  require") {
			assert.Equal(t, before[i], after[i])
		}
	}
}

func TestFormatErrors(t *testing.T) {
	out, ds := formatFile("x.rules", []byte("item i { pack }\nitem j {"), Limits{})
	assert.Nil(t, out)
	assert.Len(t, ds, 2)
	out, ds = formatFile("x.rules", []byte("item i"), Limits{FileBytes: 3})
	assert.Nil(t, out)
	assert.True(t, ds.HasErrors())
}

// TestFormatRandomTrees writes random trees with random blanks, line breaks and comments: they are read back equal,
// and are after formatting.
func TestFormatRandomTrees(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	g := &treeGen{rand.New(rand.NewPCG(seed, 6))}
	trees := 1000
	if testing.Short() {
		trees = 150
	}
	for range trees {
		decls := g.decls()
		w := &treeWriter{Rand: g.Rand}
		w.decls(decls)
		src := []byte(w.String())
		f, ds := parseFile("x.rules", src, Limits{})
		require.Empty(t, ds, "%s", src)
		require.Equal(t, meaning(decls), meaning(f.decls), "%s", src)
		checkFormat(t, "x.rules", src)
	}
}
