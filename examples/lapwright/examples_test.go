package main

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wrongBook has an example that holds, one that doesn't and one that can't be laid.
const wrongBook = `book "House (invented)" { mark 1/16 in }
detail eave for edge eave { row clips along run { spacing <= 18 in } }
example "one clip on 18 in" {
  on edge eave length 18 in
  lay eave
  expect clips at 9 in
}
example "two clips on 24 in" {
  on edge eave length 24 in
  lay eave
  expect clips at 6 in, 17 in
  expect count of clips = 3
}
example "no such job" {
  on job "missing.json"
  lay eave
  expect no violation
}
`

func TestExamplesSayWhatHoldsAndWhatDoesNot(t *testing.T) {
	file := filepath.Join(t.TempDir(), "house.rules")
	require.NoError(t, os.WriteFile(file, []byte(wrongBook), 0o644))
	status, out, stderr := lapwright(t, "", "examples", file)
	assert.Equal(t, failed, status)
	assert.Empty(t, stderr, "no progress where nobody looks")
	golden(t, "examples.txt", strings.ReplaceAll(out, file, "house.rules"))

	status, out, _ = lapwright(t, "", "examples", "-run", "one clip", file)
	assert.Equal(t, well, status)
	assert.NotContains(t, out, "two clips")
	for _, args := range [][]string{
		{"examples"}, {"examples", "-format", "html", file}, {"examples", "-run", "nothing", file}, {"examples", file + "x"},
	} {
		status, out, stderr = lapwright(t, "", args...)
		assert.Equal(t, unusable, status, args)
		assert.Empty(t, out, args)
		assert.NotEmpty(t, stderr, args)
	}
	status, _, stderr = lapwright(t, "detail d for edge eave { row r along run { spacing <= 5 } }", "examples", "-")
	assert.Equal(t, unusable, status, "a book with errors")
	assert.Contains(t, stderr, "wrong-dimension")
}

func TestExamplesAsJUnit(t *testing.T) {
	file := filepath.Join(t.TempDir(), "house.rules")
	require.NoError(t, os.WriteFile(file, []byte(wrongBook), 0o644))
	status, out, _ := lapwright(t, "", "examples", "-format", "junit", file)
	assert.Equal(t, failed, status)
	var read junitSuites
	require.NoError(t, xml.Unmarshal([]byte(out), &read))
	assert.Equal(t, []int{3, 1, 1}, []int{read.Tests, read.Failures, read.Errors})
	cases := read.Suites[0].Cases
	require.Len(t, cases, 3)
	assert.Nil(t, cases[0].Failure)
	assert.Contains(t, cases[1].Failure.Text, "17 in         18 in   <")
	assert.Contains(t, cases[2].Error.Message, "missing.json")
}

func TestMutateNamesWhatNoExampleNotices(t *testing.T) {
	file := filepath.Join(t.TempDir(), "house.rules")
	src := `book "House (invented)" { }
detail eave for edge eave { row clips along run { spacing <= 18 in } }
example "two clips on 24 in" {
  on edge eave length 24 in
  lay eave
  expect clips at 6 in, 18 in
  source "worked by hand: 6 + 12 + 6"
}
`
	require.NoError(t, os.WriteFile(file, []byte(src), 0o644))
	status, out, stderr := lapwright(t, "", "examples", "-mutate", file)
	assert.Equal(t, failed, status)
	assert.Empty(t, stderr, "no progress where nobody looks")
	golden(t, "mutate.txt", strings.ReplaceAll(out, file, "house.rules"))
	for _, more := range [][]string{{"-run", "two"}, {"-format", "junit"}} {
		status, _, _ := lapwright(t, "", append(append([]string{"examples", "-mutate"}, more...), file)...)
		assert.Equal(t, unusable, status, more)
	}
}
