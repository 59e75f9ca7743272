package main

import (
	"flag"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the README's quickstart anew")

// TestTheREADMEShowsTheProgramAndItsOutput holds the README's blocks and the program together.
func TestTheREADMEShowsTheProgramAndItsOutput(t *testing.T) {
	const readme = "../../README.md"
	output, err := exec.Command("go", "run", ".").Output()
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	got := string(text)
	for _, b := range []struct{ language, want string }{
		{"rules", read(t, "eave.rules")}, {"go", read(t, "main.go")}, {"text", string(output)},
	} {
		start := "```" + b.language + "\n"
		before, rest, found := strings.Cut(got, start)
		require.True(t, found, "no block of %s", b.language)
		shown, after, found := strings.Cut(rest, "```\n")
		require.True(t, found)
		if !*update {
			assert.Equal(t, b.want, shown)
		}
		got = before + start + b.want + "```\n" + after
	}
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(got), 0o644))
	}
}

func TestTheProgramIsSmall(t *testing.T) {
	assert.LessOrEqual(t, strings.Count(read(t, "main.go"), "\n"), 40)
}

func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(text)
}
