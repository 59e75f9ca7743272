package rules

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// files makes a file system of names and texts.
func files(pairs ...string) fstest.MapFS {
	m := fstest.MapFS{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = &fstest.MapFile{Data: []byte(pairs[i+1])}
	}
	return m
}

func codes(ds Diagnostics) string {
	var out []string
	for _, d := range ds {
		out = append(out, fmt.Sprintf("%s %s", d.Span, d.Code))
	}
	return strings.Join(out, "; ")
}

func TestLoadPrintedBook(t *testing.T) {
	b, ds, err := Load(os.DirFS("testdata"), "boathouse.rules")
	require.NoError(t, err)
	require.Empty(t, ds)
	assert.Equal(t, "Boathouse standard details", b.Name)
	assert.Len(t, b.Items, 5)
	assert.Len(t, b.Details, 2)
	assert.Len(t, b.Examples, 1)
}

const anItem = `item a "a" { pack 3 }`

func TestInclude(t *testing.T) {
	use := `detail d "d" for edge eave { row r of a along run { spacing <= 5 in } }`
	b, ds, err := Load(files(
		"firm/house.rules", `book "House" { } include "parts/items.rules" include "./parts/more.rules" `+use,
		"firm/parts/items.rules", `book "Items" { } `+anItem,
		"firm/parts/more.rules", `include "../parts/items.rules" include "items.rules"`,
	), "firm/house.rules")
	require.NoError(t, err)
	require.Empty(t, ds)
	assert.Equal(t, "House", b.Name, "an included book doesn't serve")
	var names []string
	for _, f := range b.Files {
		names = append(names, f.Name)
	}
	assert.Equal(t, []string{"firm/house.rules", "firm/parts/items.rules", "firm/parts/more.rules"}, names, "each once, in the order read")
}

func TestIncludeErrors(t *testing.T) {
	for _, c := range []struct{ path, want string }{
		{"../x.rules", "house.rules:1:1 include-outside"},
		{"a/../../x.rules", "house.rules:1:1 include-outside"},
		{"/x.rules", "house.rules:1:1 include-outside"},
		{`..\\x.rules`, "house.rules:1:1 include-outside"},
		{"", "house.rules:1:1 include-outside"},
		{".", "house.rules:1:1 include-outside"},
		{"house.rules", "house.rules:1:1 include-circle"},
	} {
		_, ds, err := Load(files("house.rules", `include "`+c.path+`"`, "x.rules", anItem), "house.rules")
		require.NoError(t, err, c.path)
		assert.Equal(t, c.want, codes(ds), c.path)
	}

	_, ds, err := Load(files("a.rules", `include "b.rules"`, "b.rules", `include "c.rules"`, "c.rules", "\n  include \"b.rules\""), "a.rules")
	require.NoError(t, err)
	assert.Equal(t, "c.rules:2:3 include-circle", codes(ds))
	assert.Contains(t, ds[0].Summary, "b.rules, c.rules, b.rules")

	_, _, err = Load(files("a.rules", "\n include \"nowhere.rules\""), "a.rules")
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.ErrorContains(t, err, "a.rules:2:2: ")
	_, _, err = Load(files(), "a.rules")
	assert.ErrorIs(t, err, fs.ErrNotExist)
	for _, name := range []string{"../a.rules", "/a.rules", "", "."} {
		_, _, err = Load(files("a.rules", ""), name)
		assert.ErrorIs(t, err, fs.ErrInvalid, name)
	}
	_, _, err = Load(files("d/a.rules", ""), "d")
	assert.Error(t, err, "a folder")
}

func TestLoadLimits(t *testing.T) {
	chain := fstest.MapFS{}
	for i := range 20 {
		chain[fmt.Sprintf("%d.rules", i)] = &fstest.MapFile{Data: fmt.Appendf(nil, "include \"%d.rules\"", i+1)}
	}
	_, _, err := Load(chain, "0.rules")
	require.ErrorIs(t, err, ErrLimit)
	assert.ErrorContains(t, err, "15.rules:1:1: 16.rules: files include one another more than 16 deep")

	_, _, err = Load(files("a.rules", strings.Repeat("\xff", 10<<20)), "a.rules")
	require.ErrorIs(t, err, ErrLimit)
	assert.ErrorContains(t, err, "a.rules:1:1: the file is larger than 262144 bytes")

	_, _, err = Options{Limits{TotalBytes: 40}}.Load(files("a.rules", `include "b.rules"`, "b.rules", anItem+"# more"), "a.rules")
	require.ErrorIs(t, err, ErrLimit)
	assert.ErrorContains(t, err, "a.rules:1:1: b.rules:1:1: the files together")

	_, ds, err := Options{Limits{Diagnostics: 2}}.Load(files("a.rules", strings.Repeat("item and { }\n", 9)), "a.rules")
	require.NoError(t, err)
	require.Len(t, ds, 3)
	assert.Equal(t, "7 more not shown", ds[2].Summary)
}

// An endless file is read no further than the limit.
func TestEndlessFile(t *testing.T) {
	begin := time.Now()
	_, _, err := Load(endless{}, "a.rules")
	assert.ErrorIs(t, err, ErrLimit)
	assert.Less(t, time.Since(begin), 20*time.Second)
	_, _, err = Load(unreadable{}, "a.rules")
	assert.ErrorIs(t, err, errBroken)
	assert.ErrorContains(t, err, "a.rules")
}

type endless struct{ fs.File }

func (e endless) Open(string) (fs.File, error) { return e, nil }
func (endless) Close() error                   { return nil }
func (endless) Read(b []byte) (int, error)     { return copy(b, "item a "), nil }

type unreadable struct{ fs.File }

var errBroken = errors.New("the disk is broken")

func (u unreadable) Open(string) (fs.File, error) { return u, nil }
func (unreadable) Close() error                   { return nil }
func (unreadable) Read([]byte) (int, error)       { return 0, errBroken }

// Mistakes of reading and of meaning come in one pass, the second only where they aren't a mere consequence of
// the first.
func TestAllErrorsInOnePass(t *testing.T) {
	_, ds, err := Load(files("a.rules", `include "b.rules"
item a "a" { pack }
item
z 3
detail d "d" for edge eave {
  input w: lenth
  row r of a along run { spacing <= w spacing <= 5 }
  row s of c along run { spacing <= keep_off }
  row u of along run { spacing <= 5 in }
  step "x" sets r, s, u row v of z along run { spacing <= 5 in }
}
detail e "e" extends a b { row r { spacing <= 5 } }
`, "b.rules", "\nitem b \"b\" { roll 3 }"), "a.rules")
	require.NoError(t, err)
	assert.Equal(t, []string{
		"a.rules:2:19 unexpected-word", "a.rules:4:3 unexpected-word", "a.rules:6:12 unexpected-word", "a.rules:7:50 wrong-dimension",
		"a.rules:8:12 unknown-name", "a.rules:8:37 unknown-name", "a.rules:9:18 unexpected-word", "a.rules:12:24 unexpected-word",
		"b.rules:2:19 wrong-dimension",
	}, strings.Split(codes(ds), "; "))
}
