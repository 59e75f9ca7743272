package detail_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/require"
)

// memory is a file system of names and texts.
type memory map[string]string

func (m memory) Open(name string) (fs.File, error) {
	text, ok := m[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return fstest.MapFS{name: {Data: []byte(text)}}.Open(name)
}

// one is a case of one rule file, read within the default limits.
func one(name, want string, source func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(*testing.T) error { return loads(source(), rules.Limits{}) }}
}

// raised is one where a host takes files of any size.
func raised(name, want string, source func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(*testing.T) error {
		return loads(source(), rules.Limits{FileBytes: 1 << 30, TotalBytes: 1 << 30})
	}}
}

// slow is a case that short tests leave out.
func slow(c hostileCase) hostileCase {
	c.slow = true
	return c
}

func text(s string) func() string { return func() string { return s } }

func repeated(s string, n int) func() string { return func() string { return strings.Repeat(s, n) } }

var hostileRules = []hostileCase{
	one("a million nested parentheses", "larger than 262144 bytes; a host raises this limit by rules.Limits.FileBytes", repeated("(", 1_000_000)),
	one("parentheses up to the file's limit", "more than 100 deep; a host raises this limit by rules.Limits.Nesting",
		func() string { return aRow("spacing <= " + strings.Repeat("(", 200_000)) }),
	raised("a million nested parentheses where files may be large", "rules.Limits.Nesting",
		func() string { return aRow("spacing <= " + strings.Repeat("(", 1_000_000)) }),
	raised("a million braces", "rules.Limits.Nesting", repeated("{", 1_000_000)),
	slow(raised("a million nested blocks", "rules.Limits.Nesting", repeated("detail d { ", 1_000_000))),
	slow(raised("a million words", "more than 200000 words; a host raises this limit by rules.Limits.Words", repeated("a ", 1_000_000))),
	slow(raised("a million closing braces", "rules.Limits.Words", repeated("} ", 1_000_000))),
	one("a number with an exponent", "error", func() string { return aRow("spacing <= 1e999999999 in") }),
	one("a number of 10,000 digits", "at most 32 digits; a host raises this limit by rules.Limits.NumberBytes",
		func() string { return aRow("spacing <= " + strings.Repeat("9", 10_000) + " in") }),
	one("10,000 digits after the point", "rules.Limits.NumberBytes", func() string { return aRow("spacing <= 1." + strings.Repeat("3", 10_000) + " in") }),
	one("200,000 digits up to the file's limit", "rules.Limits.NumberBytes", func() string { return aRow("spacing <= 1" + strings.Repeat("0", 200_000) + " in") }),
	one("a length over 1,000 km", "error[", func() string { return aRow("spacing <= 1000001 m") }),
	one("a length divided by nothing", "error[", func() string { return aRow("spacing <= 1 in / (1 - 1)") }),
	one("a product that doubles its digits forty times", "error[", func() string {
		return anElement("let v0 = 3.7\n" + doubling(40) + "\nrow r of a along run { spacing <= 1 in * v40 }")
	}),
	one("invalid UTF-8 in a text", "not UTF-8", text("item a \"a\xff\xfe\" { pack 5 }")),
	one("invalid UTF-8 between words", "not UTF-8", repeated("\xff\xc0\x80", 50_000)),
	one("a NUL in a text", "control character (U+0000)", text("item a \"a\x00\" { pack 5 }")),
	one("a NUL between words", "U+0000", text("item a\x00 \"a\" { pack 5 }")),
	one("text that turns what is read after it", "control character (U+202E)", text("item a \"\u202e\" { pack 5 }")),
	one("a byte-order mark and CRLF", "", text("\ufeff"+strings.ReplaceAll(aRow("spacing <= 10 in\nend <= 1 in"), "\n", "\r\n"))),
	one("a byte-order mark in the middle", "error[", text("item a \ufeff \"a\" { pack 5 }")),
	one("UTF-16", "error[", func() string { return strings.Join(strings.Split(aRow("spacing <= 10 in"), ""), "\x00") }),
	one("a text without end", "no closing quote", text(`item a "`+strings.Repeat("a", 4_000))),
	slow(one("quotes up to the file's limit", "error[", repeated("\"\n", 130_000))),
	one("a text of 200,000 bytes", "longer than 4096 bytes; a host raises this limit by rules.Limits.TextBytes",
		text(`item a "`+strings.Repeat("a", 200_000)+`" { pack 5 }`)),
	one("a name of 200,000 letters", "this name is longer than 200 letters", text("detail d \"d\" for edge "+strings.Repeat("a", 200_000)+" { }")),
	slow(one("signs of other languages up to the file's limit", "error[", repeated("; ", 130_000))),
	slow(one("a sum of 40,000 terms", "at most 1000 terms, this one has 40001; a host raises this limit by rules.Limits.Terms",
		func() string { return aRow("spacing <= 1 in" + strings.Repeat("+1", 40_000)) })),
	slow(one("200,000 signs before a number", "rules.Limits.", func() string { return aRow("spacing <= " + strings.Repeat("-", 199_000) + "1 in") })),
	slow(one("nots before a condition", "rules.Limits.", func() string {
		return aRow("spacing <= 1 in when " + strings.Repeat("not ", 60_000) + "run.edge is eave")
	})),
	slow(one("10,000 items of one name", "declared", func() string { return numbered(10_000, `item a "a" { pack 5 }`, "\n") })),
	slow(raised("20,000 items", "more than 10000 declarations; a host raises this limit by rules.Limits.Declarations",
		func() string { return numbered(20_000, "item i# \"i\" { pack 5 }", "\n") })),
	slow(raised("10,000 details that extend one another", "error[", func() string {
		return "item a \"a\" { pack 5 }\ndetail d0 \"d\" for edge eave { row r of a along run { spacing <= 9 in } }\n" +
			chained(9_000, "detail d# \"d\" extends d@ { }\n")
	})),
	one("details that extend one another in a circle", "circle", text("detail a \"a\" extends b { }\ndetail b \"b\" extends a { }")),
	one("rows that refer in a circle", "circle", func() string {
		return anElement("row p of a along run { spacing <= 9 in clear >= 1 in from q }\nrow q of a along run { spacing <= 9 in clear >= 1 in from p }")
	}),
	slow(one("a thousand rows that refer in a circle", "circle", func() string {
		rows := chained(1_000, "row r# of a along run { spacing <= 9 in clear >= 1 in from r@ }\n")
		return anElement("row r0 of a along run { spacing <= 9 in clear >= 1 in from r1000 }\n" + rows)
	})),
	one("names that stand for one another", "error[", func() string { return anElement("let p = q\nlet q = p\nrow r of a along run { spacing <= p }") }),
	one("a scope in each gap of a scope, 1,000 deep", "", func() string {
		return anElement("row r0 of a along run { spacing <= 9 in }\n" + chained(200, "row r# of a in each gap of r@ { spacing <= 9 in }\n"))
	}),
}

// doubling is names of which each is the square of the one before.
func doubling(n int) string { return chained(n, "let v# = v@ * v@\n") }

// chained writes a format n times: # is 1 to n, and @ the number before.
func chained(n int, format string) string {
	var b strings.Builder
	for i := 1; i <= n; i++ {
		b.WriteString(numbers(format, i))
	}
	return b.String()
}

var hostileFiles = []hostileCase{
	{name: "a line of 100 MB", want: "larger than 262144 bytes; a host raises this limit by rules.Limits.FileBytes", run: func(*testing.T) error {
		_, _, err := rules.Load(longLine(100<<20), "a.rules")
		return err
	}},
	{name: "a line of 100 MB where files may have 16", want: "larger than 16777216 bytes; a host raises this limit by rules.Limits.FileBytes", slow: true, run: func(*testing.T) error {
		_, _, err := rules.Options{Limits: rules.Limits{FileBytes: 16 << 20, TotalBytes: 1 << 30}}.Load(longLine(100<<20), "a.rules")
		return err
	}},
	include("../../etc/passwd", "leaves the file system"),
	include("/etc/passwd", "not a path relative to this file"),
	include(`..\\..\\etc\\passwd`, "not a path relative to this file"),
	include("a.rules", "in a circle: a.rules, a.rules"),
	include("none.rules", "a.rules:1:1: open none.rules: file does not exist"),
	{name: "a circle of includes", want: "in a circle", run: func(*testing.T) error {
		_, ds, err := rules.Load(memory{"a.rules": `include "b.rules"`, "b.rules": `include "c.rules"`, "c.rules": `include "a.rules"`}, "a.rules")
		return errors.Join(err, ds.Err())
	}},
	{name: "a thousand files that include one another", want: "more than 16 deep; a host raises this limit by rules.Limits.IncludeDepth",
		run: func(*testing.T) error {
			_, ds, err := rules.Load(endlessIncludes{}, "0.rules")
			return errors.Join(err, ds.Err())
		}},
	{name: "two includes of each file, twelve deep", want: "", run: func(*testing.T) error {
		m := memory{"13.rules": `item a "a" { pack 5 }`, "13b.rules": ""}
		for i := range 13 {
			m[numbers("#.rules", i)] = numbers(`include "%.rules" include "%b.rules"`, i)
			m[numbers("#b.rules", i)] = numbers(`include "%.rules" include "%b.rules"`, i)
		}
		_, ds, err := rules.Load(m, "0.rules")
		return errors.Join(err, ds.Err())
	}},
	{name: "files of 4 MB together", slow: true, want: "the files together are larger than 4194304 bytes; a host raises this limit by rules.Limits.TotalBytes",
		run: func(*testing.T) error {
			m := memory{"a.rules": numbered(20, `include "#.rules"`, "\n")}
			for i := range 20 {
				m[numbers("#.rules", i)] = strings.Repeat(" ", 250_000)
			}
			_, ds, err := rules.Load(m, "a.rules")
			return errors.Join(err, ds.Err())
		}},
	{name: "files of 700,000 words together", slow: true, want: "more than 500000 words; a host raises this limit by rules.Limits.TotalWords", run: func(*testing.T) error {
		m := memory{"a.rules": numbered(20, `include "#.rules"`, "\n")}
		for i := range 20 {
			m[numbers("#.rules", i)] = strings.Repeat("#\n", 90_000)
		}
		_, ds, err := rules.Load(m, "a.rules")
		return errors.Join(err, ds.Err())
	}},
	{name: "a link out of the tree", want: "escapes", run: func(t *testing.T) error {
		dir := t.TempDir()
		outside := filepath.Join(t.TempDir(), "x.rules")
		require.NoError(t, os.WriteFile(outside, []byte(`item a "a" { pack 5 }`), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "a.rules"), []byte(`include "x.rules"`), 0o644))
		require.NoError(t, os.Symlink(outside, filepath.Join(dir, "x.rules")))
		root, err := os.OpenRoot(dir)
		require.NoError(t, err)
		defer root.Close()
		_, ds, err := rules.Load(root.FS(), "a.rules")
		return errors.Join(err, ds.Err())
	}},
	{name: "a folder for a file", want: "d: is a directory", run: func(t *testing.T) error {
		dir := t.TempDir()
		require.NoError(t, os.Mkdir(filepath.Join(dir, "d"), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "a.rules"), []byte(`include "d"`), 0o644))
		_, ds, err := rules.Load(os.DirFS(dir), "a.rules")
		return errors.Join(err, ds.Err())
	}},
}

func include(path, want string) hostileCase {
	return one("include of "+path, want, text(`include "`+path+`"`))
}

// longLine is a file system each file of which is one line of that many bytes, made as it is read.
type longLine int64

func (l longLine) Open(string) (fs.File, error) {
	return &lineFile{Reader: io.LimitReader(spaces{}, int64(l))}, nil
}

type lineFile struct {
	fs.File
	io.Reader
}

func (f *lineFile) Read(b []byte) (int, error) { return f.Reader.Read(b) }
func (*lineFile) Close() error                 { return nil }

type spaces struct{}

func (spaces) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = ' '
	}
	return len(b), nil
}

// endlessIncludes is a file system in which each file includes the next.
type endlessIncludes struct{}

func (endlessIncludes) Open(name string) (fs.File, error) {
	n := 0
	for _, c := range strings.TrimSuffix(name, ".rules") {
		n = 10*n + int(c-'0')
	}
	return memory{name: numbers(`include "%.rules"`, n)}.Open(name)
}
