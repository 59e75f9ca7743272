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

func TestJobsAreAddedUp(t *testing.T) {
	args := []string{"takeoff", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-job", "testdata/shed.json"}
	status, sheet, stderr := lapwright(t, "", args...)
	assert.Equal(t, well, status, stderr)
	golden(t, "takeoff.txt", sheet)
	for line := range strings.Lines(sheet) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), 80, line)
	}
	_, exact, _ := lapwright(t, "", append(args, "-format", "json")...)
	var got struct {
		Jobs      []string
		Takeoff   []struct{ Item, Net, Packs string }
		Leftovers []struct{ Item, Length string }
	}
	require.NoError(t, json.Unmarshal([]byte(exact), &got))
	assert.Len(t, got.Jobs, 2)
	assert.NotEmpty(t, got.Takeoff)

	job, err := os.ReadFile("testdata/shed.json")
	require.NoError(t, err)
	status, piped, stderr := lapwright(t, string(job), append(args[:6:6], "-", "-format", "json")...)
	assert.Equal(t, well, status, stderr)
	assert.Equal(t, exact, piped)
}

func TestWhatTakeoffCantDo(t *testing.T) {
	for _, c := range []struct {
		says string
		args []string
	}{
		{"needs -rules and at least one -job", nil},
		{"needs -rules and at least one -job", []string{"-job", "demo/boathouse.json"}},
		{"needs -rules and at least one -job", []string{"-rules", "demo/boathouse.rules"}},
		{"write -job before", []string{"-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "testdata/shed.json"}},
		{"only one file", []string{"-rules", "-", "-job", "-"}},
		{"there is no -format", []string{"-rules", "a", "-job", "b", "-format", "svg"}},
		{"there is no -unit", []string{"-rules", "a", "-job", "b", "-unit", "yd"}},
		{"at least 40 wide", []string{"-rules", "a", "-job", "b", "-columns", "39"}},
		{"there is no such file", []string{"-rules", "demo/boathouse.rules", "-job", "none.json"}},
		{"there is no such file", []string{"-rules", "none.rules", "-job", "demo/boathouse.json"}},
	} {
		status, stdout, stderr := lapwright(t, "", append([]string{"takeoff"}, c.args...)...)
		assert.Equal(t, unusable, status)
		assert.Empty(t, stdout)
		assert.Contains(t, stderr, c.says)
	}
}

func TestABrokenRuleIsToldWithTheTakeoff(t *testing.T) {
	args := files(t, strings.Replace(someRules, "10 in }", "10 in count <= 2 }", 1), someJob)
	status, stdout, stderr := lapwright(t, "", append([]string{"takeoff"}, args[1:]...)...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stdout, "Takeoff")
	assert.Contains(t, stderr, "not all can be met")
	out := filepath.Join(t.TempDir(), "takeoff.txt")
	_, _, _ = lapwright(t, "", append([]string{"takeoff", "-o", out}, args[1:]...)...)
	written, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.Equal(t, stdout, string(written))
}
