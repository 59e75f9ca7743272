package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	unformed = "item  a { pack 5 }\n# of b\nitem b\n"
	formed   = "item a { pack 5 }\n# of b\nitem b\n"
	change   = "@@ -1,3 +1,3 @@\n-item  a { pack 5 }\n+item a { pack 5 }\n # of b\n item b\n"
)

func TestFmt(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a.rules")
	require.NoError(t, os.WriteFile(name, []byte(unformed), 0o640))
	run := func(want string, args ...string) {
		t.Helper()
		status, stdout, stderr := lapwright(t, unformed, append([]string{"fmt"}, args...)...)
		assert.Equal(t, well, status)
		assert.Empty(t, stderr)
		assert.Equal(t, want, stdout)
	}
	run(formed, "-")
	run(formed+formed, name, "-")
	run("--- "+name+"\n+++ "+name+"\n"+change, "-d", name)
	assert.Equal(t, unformed, read(t, name))

	link := filepath.Join(filepath.Dir(name), "link.rules")
	require.NoError(t, os.Symlink("a.rules", link))
	run("--- "+link+"\n+++ "+link+"\n"+change, "-w", "-d", link)
	assert.Equal(t, formed, read(t, name))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.Equal(t, os.ModeSymlink, info.Mode().Type(), "a link stays a link")
	info, err = os.Stat(name)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	run("", "-w", "-d", name)
	left, err := os.ReadDir(filepath.Dir(name))
	require.NoError(t, err)
	assert.Len(t, left, 2, "nothing else is left there")
}

func read(t *testing.T, name string) string {
	t.Helper()
	src, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(src)
}

// What can't be formatted leaves every file as it is.
func TestFmtRefuses(t *testing.T) {
	dir := t.TempDir()
	good, bad, large := filepath.Join(dir, "good.rules"), filepath.Join(dir, "bad.rules"), filepath.Join(dir, "large.rules")
	require.NoError(t, os.WriteFile(good, []byte(unformed), 0o644))
	require.NoError(t, os.WriteFile(bad, []byte("item { }"), 0o644))
	require.NoError(t, os.WriteFile(large, []byte(strings.Repeat("#\n", 300_000)), 0o644))
	for said, args := range map[string][]string{
		"bad.rules:1:6: error[":         {"-w", good, bad},
		"there is no such file":         {"-w", good, filepath.Join(dir, "none.rules")},
		"is a directory":                {"-w", good, dir},
		"error[file-too-large]":         {"-w", good, large},
		"fmt needs rule files":          {"-d"},
		"-w can't write into standard":  {"-w", good, "-"},
		"flag provided but not defined": {"-x", good},
	} {
		status, stdout, stderr := lapwright(t, unformed, append([]string{"fmt"}, args...)...)
		assert.Equal(t, unusable, status, said)
		assert.Empty(t, stdout, said)
		assert.Contains(t, stderr, said)
		assert.Equal(t, unformed, read(t, good), said)
	}
}

func TestCheckSARIF(t *testing.T) {
	dir := t.TempDir()
	good, bad := filepath.Join(dir, "good.rules"), filepath.Join(dir, "bad.rules")
	require.NoError(t, os.WriteFile(good, []byte(formed), 0o644))
	require.NoError(t, os.WriteFile(bad, []byte("item { }"), 0o644))
	status, stdout, stderr := lapwright(t, "", "check", "-format", "sarif", good)
	assert.Equal(t, well, status)
	assert.Contains(t, stdout, `"ruleId": "unused-item"`)
	assert.Empty(t, stderr)
	status, stdout, stderr = lapwright(t, "", "check", "-format", "sarif", bad, good)
	assert.Equal(t, failed, status)
	assert.Equal(t, 3, strings.Count(stdout, `"ruleId"`))
	assert.Contains(t, stdout, `"uri": "`+filepath.ToSlash(bad)+`"`)
	assert.Empty(t, stderr)
	status, stdout, stderr = lapwright(t, "", "check", "-format", "sarif", good, filepath.Join(dir, "none.rules"))
	assert.Equal(t, unusable, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "there is no such file")
}

// TestUnified applies the differences of random texts to the first of the two, which gives the second.
func TestUnified(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	for range 3000 {
		var a []string
		for range r.IntN(30) {
			a = append(a, fmt.Sprintf("line %d\n", r.IntN(15)))
		}
		b := append([]string(nil), a...)
		for range r.IntN(4) {
			if i := r.IntN(len(b) + 1); i < len(b) && r.IntN(2) == 0 {
				b = append(b[:i], b[i+1:]...)
			} else {
				b = append(b[:i], append([]string{fmt.Sprintf("line %d\n", r.IntN(30))}, b[i:]...)...)
			}
		}
		before, after := strings.Join(a, ""), strings.Join(b, "")
		if r.IntN(5) == 0 {
			after = strings.TrimSuffix(after, "\n")
		}
		diff := unified("x", []byte(before), []byte(after))
		require.Equal(t, before == after, diff == "")
		require.Equal(t, after, patched(t, before, diff), diff)
	}
	assert.Equal(t, "--- x\n+++ x\n@@ -0,0 +1,1 @@\n+a\n\\ No newline at end of file\n", unified("x", nil, []byte("a")))
}

// patched applies a unified diff.
func patched(t *testing.T, before, diff string) string {
	t.Helper()
	if diff == "" {
		return before
	}
	from := strings.SplitAfter(before, "\n")
	var out strings.Builder
	at, last := 0, ""
	take := func(text string) {
		require.Less(t, at, len(from))
		require.Equal(t, from[at], text)
		at++
	}
	lines := strings.SplitAfter(strings.TrimSuffix(diff, "\n"), "\n")[2:]
	lines[len(lines)-1] += "\n"
	for i, line := range lines {
		text := line[1:]
		if i+1 < len(lines) && lines[i+1][0] == '\\' {
			text = strings.TrimSuffix(text, "\n")
		}
		switch line[0] {
		case '@':
			var start, count, to, lines int
			_, err := fmt.Sscanf(line, "@@ -%d,%d +%d,%d @@", &start, &count, &to, &lines)
			require.NoError(t, err)
			if count > 0 {
				start--
			}
			for ; at < start; at++ {
				out.WriteString(from[at])
			}
			if lines > 0 {
				to--
			}
			require.Equal(t, strings.Count(out.String(), "\n"), to)
		case ' ':
			take(text)
			out.WriteString(text)
		case '-':
			take(text)
		case '+':
			out.WriteString(text)
		case '\\':
			require.NotEmpty(t, last)
		}
		last = text
	}
	out.WriteString(strings.Join(from[at:], ""))
	return out.String()
}
