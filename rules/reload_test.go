package rules

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"
)

// Whatever is changed, a Reloader returns what Load returns: each rule file of the tests is edited again and again.
func TestReloaderLoadsAsLoad(t *testing.T) {
	t.Parallel()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	edits := 40
	if testing.Short() {
		edits = 2
	}
	good, bad := 0, 0
	for _, root := range []string{"testdata", "../testdata/cases", "../testdata/measures", "../examples/lapwright/demo"} {
		err := fs.WalkDir(os.DirFS(root), ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !bytes.HasSuffix([]byte(name), []byte(".rules")) {
				return err
			}
			src, err := fs.ReadFile(os.DirFS(root), name)
			require.NoError(t, err)
			var r Reloader
			var earlier, kept *Book
			for range edits {
				files := overlay{os.DirFS(root), name, src}
				book, ds, err := Load(files, name)
				again, found, failed := r.Load(files, name)
				require.Equal(t, err, failed, "%s:\n%s", name, src)
				require.Equal(t, ds, found, "%s:\n%s", name, src)
				require.Equal(t, book, again, "%s:\n%s", name, src)
				require.Equal(t, earlier, kept, "%s: the book of an earlier load:\n%s", name, src)
				earlier, kept = book, again
				if book != nil {
					good++
				} else {
					bad++
				}
				src = edited(rng, src)
			}
			return nil
		})
		require.NoError(t, err)
	}
	require.Greater(t, good, 20)
	require.Greater(t, bad, 20)
}

// An overlay is a file system with another text of one file.
type overlay struct {
	fs.FS
	name string
	text []byte
}

func (o overlay) Open(name string) (fs.File, error) {
	if name == o.name {
		return fstest.MapFS{name: {Data: o.text}}.Open(name)
	}
	return o.FS.Open(name)
}

// edited is a text with one line left out, doubled, put in or moved, or one digit changed: mostly still a good one.
func edited(rng *rand.Rand, src []byte) []byte {
	lines := bytes.SplitAfter(bytes.Clone(src), []byte("\n"))
	at := rng.IntN(len(lines))
	insert := func(text string) []byte {
		return bytes.Join([][]byte{bytes.Join(lines[:at], nil), []byte(text), bytes.Join(lines[at:], nil)}, nil)
	}
	switch rng.IntN(9) {
	case 0:
		return insert(string(lines[at]))
	case 1:
		lines[at] = nil
		return bytes.Join(lines, nil)
	case 2:
		if i := bytes.IndexAny(src, "0123456789"); i >= 0 {
			changed := bytes.Clone(src)
			changed[i] = byte('1' + rng.IntN(9))
			return changed
		}
	case 3:
		return insert("# a note\n")
	case 4:
		return insert("item extra \"x\" { pack 10 }\n")
	}
	return insert("\n")
}

// A keystroke costs the declaration that it is in, and not the book.
func TestReloaderReadsOnlyWhatChanged(t *testing.T) {
	src := largeBook(64 << 10)
	var r Reloader
	load := func() {
		_, ds, err := r.Load(fstest.MapFS{"a.rules": {Data: src}}, "a.rules")
		require.NoError(t, err)
		require.NoError(t, ds.Err())
	}
	load()
	before := r.last
	src = bytes.Replace(src, []byte("24 in)"), []byte("25 in)"), 1)
	load()
	fresh := 0
	for key, c := range r.last {
		if before[key] != c {
			fresh++
		}
	}
	require.Equal(t, 1, fresh)
	require.Len(t, r.last, len(before))
	r.Limits.Words = 100
	_, ds, err := r.Load(fstest.MapFS{"a.rules": {Data: src}}, "a.rules")
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(ds), CodeTooManyWords)
}
