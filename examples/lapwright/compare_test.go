package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// edition writes the demonstration's book with some words replaced, as a new edition of it.
func edition(t *testing.T, replaced ...string) string {
	t.Helper()
	src, err := os.ReadFile("demo/boathouse.rules")
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "new.rules")
	require.NoError(t, os.WriteFile(file, []byte(strings.NewReplacer(replaced...).Replace(string(src))), 0o644))
	return file
}

func TestCompareSaysWhatANewEditionCosts(t *testing.T) {
	compare := func(file string, more ...string) (int, string) {
		status, out, stderr := lapwright(t, "", append([]string{
			"compare", "-old", "demo/boathouse.rules", "-new", file, "-job", "demo/boathouse.json",
		}, more...)...)
		assert.Empty(t, stderr)
		return status, out
	}
	status, out := compare("demo/boathouse.rules")
	assert.Equal(t, well, status)
	assert.Contains(t, out, "nothing changes")
	assert.Contains(t, out, "No quantity changes.")

	tighter := edition(t, "spacing <= 5 in  ", "spacing <= 4 1/2 in  ", "lap         >= 4 in", "lap         >= 6 in")
	status, out = compare(tighter)
	assert.Equal(t, well, status, "tighter rules that can be kept")
	assert.Contains(t, out, "- lap >= 4 in (boathouse.rules:")
	for line := range strings.Lines(out) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), 80, line)
	}
	status, out = compare(edition(t, "require panel.width <= 24 in", "require panel.width <= 16 in"))
	assert.Equal(t, failed, status, "violations come")
	assert.Contains(t, out, "comes: must high_side_cap.require#2")

	_, out = compare(tighter, "-format", "json")
	assert.True(t, json.Valid([]byte(out)))
	for _, args := range []string{
		"compare", "compare -old x -new y",
		"compare -old demo/boathouse.rules -new demo/boathouse.rules -job demo/boathouse.json -format html",
	} {
		status, out, stderr := lapwright(t, "", strings.Fields(args)...)
		assert.Equal(t, unusable, status)
		assert.Empty(t, out)
		assert.NotEmpty(t, stderr)
	}
}

func TestNewWritesAStarterThatPassesAndOverwritesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "house")
	status, out, _ := lapwright(t, "", "new", dir)
	require.Equal(t, well, status)
	assert.Equal(t, []string{filepath.Join(dir, "house.rules"), filepath.Join(dir, "job.json")}, strings.Fields(out))
	book, job := filepath.Join(dir, "house.rules"), filepath.Join(dir, "job.json")
	for _, args := range [][]string{
		{"check", book}, {"fmt", "-d", book}, {"examples", book}, {"layout", "-rules", book, "-job", job},
	} {
		status, out, stderr := lapwright(t, "", args...)
		assert.Equal(t, well, status, "%v\n%s%s", args, out, stderr)
		assert.Empty(t, stderr, args)
		if args[0] == "fmt" {
			assert.Empty(t, out, "the starter is in its one true form")
		}
	}
	status, _, refused := lapwright(t, "", "new", book)
	assert.Equal(t, unusable, status)
	assert.Contains(t, refused, "house.rules is no folder")
	require.NoError(t, os.WriteFile(job, []byte("mine"), 0o644))
	status, _, refused = lapwright(t, "", "new", dir)
	assert.Equal(t, unusable, status)
	assert.Contains(t, refused, "is there already")
	kept, err := os.ReadFile(job)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept))
	status, _, _ = lapwright(t, "", "new")
	assert.Equal(t, unusable, status)
}
