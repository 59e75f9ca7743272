package detailtest_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail/detailtest"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestBook is all that a firm writes.
func TestBook(t *testing.T) {
	detailtest.Examples(t, os.DirFS("../../testdata/cases"), "rows.rules")
}

// A recorder is a test that only notes what it is told: no *testing.T is needed.
type recorder struct {
	name string
	log  *[]string
}

func (recorder) Helper() {}

func (r recorder) Errorf(format string, args ...any) {
	*r.log = append(*r.log, r.name+": "+fmt.Sprintf(format, args...))
}

func (r recorder) Run(name string, subtest func(recorder)) bool {
	subtest(recorder{name, r.log})
	return true
}

const wrong = `book "House (invented)" { mark 1/16 in }
detail eave for edge eave { row clips along run { spacing <= 18 in  end >= 1 in } }
example "two clips on 24 in" {
  on edge eave length 24 in
  lay eave
  expect clips at 6 in, 17 in
  source "the second is wrong on purpose"
}
example "one clip on 18 in" {
  on edge eave length 18 in
  lay eave
  expect clips at 9 in
  source "worked by hand"
}
`

func TestAFailureIsShownSideBySide(t *testing.T) {
	var log []string
	results := detailtest.Examples(recorder{"all", &log}, fstest.MapFS{"house.rules": {Data: []byte(wrong)}}, "house.rules")
	require.Len(t, results, 2)
	assert.False(t, results[0].OK())
	assert.True(t, results[1].OK())
	want := `two clips on 24 in: house.rules:3:1: "two clips on 24 in"
  line 6: expect clips at 6 in, 17 in
    expected  [-------------o--------------------------o-----------------]
    found     [-------------o-----------------------------o--------------]
              0 in                                                   24 in
    expected      found
    6 in          6 in
    17 in         18 in   <
    why       eave.clips.spacing <= 18 in asks for 2
`
	assert.Equal(t, []string{want}, log)
}

func TestABookThatCantBeUsedFails(t *testing.T) {
	for src, want := range map[string]string{
		"detail eave for edge eave { row clips along run { spacing <= 5 } }":      "wrong-dimension",
		"detail eave for edge eave { row clips along run { spacing <= 5 in } }":   "has no example",
		"detail eave for edge eave { row clips along run { spacing <= 5 in } } }": "unexpected",
	} {
		var log []string
		detailtest.Examples(recorder{"all", &log}, fstest.MapFS{"house.rules": {Data: []byte(src)}}, "house.rules")
		require.Len(t, log, 1)
		assert.Contains(t, log[0], want)
	}
}

func TestGolden(t *testing.T) {
	files := fstest.MapFS{"sheet.txt": {Data: []byte("one\ntwo\n")}}
	var log []string
	test := recorder{"golden", &log}
	detailtest.Golden(test, files, "sheet.txt", []byte("one\ntwo\n"), nil)
	assert.Empty(t, log)
	detailtest.Golden(test, files, "sheet.txt", []byte("one\nthree\n"), nil)
	detailtest.Golden(test, files, "other.txt", nil, nil)
	require.Len(t, log, 2)
	assert.Equal(t, "golden: sheet.txt differs from line 2 on\n  golden  two\n  now     three", log[0])
	assert.True(t, strings.Contains(log[1], "other.txt"))

	detailtest.Golden(test, files, "sheet.txt", []byte("new\n"), func(name string, data []byte) error {
		files[name] = &fstest.MapFile{Data: data}
		return nil
	})
	detailtest.Golden(test, files, "sheet.txt", []byte("new\n"), nil)
	assert.Len(t, log, 2)
}
