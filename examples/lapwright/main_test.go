package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden sheets anew")

// lapwright runs a command as a user would.
func lapwright(t *testing.T, stdin string, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, diag bytes.Buffer
	status = host{strings.NewReader(stdin), &out, &diag}.run(context.Background(), args)
	return status, out.String(), diag.String()
}

func TestTheDemonstrationIsLaidOut(t *testing.T) {
	status, sheet, stderr := lapwright(t, "", "layout")
	assert.Equal(t, well, status)
	assert.Empty(t, stderr)
	golden(t, "boathouse.txt", sheet)
	for _, columns := range []string{"40", "80", "140"} {
		_, sheet, _ := lapwright(t, "", "layout", "-columns", columns)
		limit := map[string]int{"40": 40, "80": 80, "140": 140}[columns]
		for line := range strings.Lines(sheet) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), limit, line)
		}
	}
}

// golden compares with a file of testdata that was read by eye.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestTheDemonstrationGivesTheSameBytesTwice(t *testing.T) {
	_, first, _ := lapwright(t, "", "layout", "-format", "json")
	_, second, _ := lapwright(t, "", "layout", "-format", "json")
	assert.True(t, json.Valid([]byte(first)))
	assert.Equal(t, first, second)
}

func TestTheDemonstrationFromFilesIsTheEmbeddedOne(t *testing.T) {
	_, embedded, _ := lapwright(t, "", "layout")
	status, read, stderr := lapwright(t, "", "layout", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json")
	assert.Equal(t, well, status, stderr)
	assert.Equal(t, embedded, read)
}

func TestTheDemonstrationsWorkedExamplesHold(t *testing.T) {
	fsys := os.DirFS("demo")
	book, _, err := rules.Load(fsys, demoRules)
	require.NoError(t, err)
	require.NotEmpty(t, book.Examples)
	for _, result := range detail.Examples(t.Context(), fsys, book) {
		assert.NoError(t, result.Err, result.Example.Name)
		assert.Empty(t, result.Failures, result.Example.Name)
	}
}

func TestStandardInputIsAFile(t *testing.T) {
	_, want, _ := lapwright(t, "", "layout", "-format", "json")
	job, err := os.ReadFile("demo/boathouse.json")
	require.NoError(t, err)
	status, got, stderr := lapwright(t, string(job), "layout", "-format", "json", "-rules", "demo/boathouse.rules", "-job", "-")
	assert.Equal(t, well, status, stderr)
	assert.Equal(t, want, got)

	rules, err := os.ReadFile("demo/boathouse.rules")
	require.NoError(t, err)
	status, sheet, stderr := lapwright(t, string(rules), "layout", "-rules", "-", "-job", "demo/boathouse.json")
	assert.Equal(t, well, status, stderr)
	assert.Contains(t, sheet, "RUN ridge")
}

func TestTheDemonstrationAsADrawingAndForASpreadsheet(t *testing.T) {
	for _, format := range []string{"svg", "html", "csv"} {
		status, got, stderr := lapwright(t, "", "layout", "-format", format)
		assert.Equal(t, well, status, stderr)
		golden(t, "boathouse."+format, got)
	}
	_, one, _ := lapwright(t, "", "layout", "-format", "svg", "-only", "ridge")
	assert.Contains(t, one, "RUN ridge")
	assert.NotContains(t, one, "RUN high side")
	status, stdout, stderr := lapwright(t, "", "layout", "-format", "svg", "-only", "ridge 2")
	assert.Equal(t, unusable, status)
	assert.Empty(t, stdout)
	assert.Equal(t, "lapwright: the report has no run or plane \"ridge 2\"\n", stderr)
}

func TestUnits(t *testing.T) {
	for unit, want := range map[string]string{"in": `"376 in"`, "mm": `"9550.4 mm"`} {
		_, report, _ := lapwright(t, "", "layout", "-format", "json", "-unit", unit)
		assert.Contains(t, report, want)
	}
}

func TestAFileIsWrittenWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "sheet.txt")
	_, want, _ := lapwright(t, "", "layout")
	status, stdout, stderr := lapwright(t, "", "layout", "-o", name)
	assert.Equal(t, well, status, stderr)
	assert.Empty(t, stdout)
	got, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Equal(t, want, string(got))

	status, stdout, stderr = lapwright(t, "", "layout", "-o", dir)
	assert.Equal(t, unusable, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "is no plain file")

	status, _, _ = lapwright(t, "", "layout", "-o", filepath.Join(dir, "no such folder", "sheet.txt"))
	assert.Equal(t, unusable, status)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing else is left behind")
}

const (
	someRules = `item screw "screw" {}
detail cap "Cap" for edge eave { row screws of screw along run { spacing <= 10 in } }
`
	someJob = `{"runs": [{"id": "eave", "edge": "eave", "slope": "3:12", "length": "10 ft"}]}`
)

// files writes a rule file and a job, and returns the arguments that lay them out.
func files(t *testing.T, rules, job string) []string {
	t.Helper()
	dir := t.TempDir()
	r, j := filepath.Join(dir, "house.rules"), filepath.Join(dir, "job.json")
	require.NoError(t, os.WriteFile(r, []byte(rules), 0o644))
	require.NoError(t, os.WriteFile(j, []byte(job), 0o644))
	return []string{"layout", "-rules", r, "-job", j}
}

func TestBadInputIsRefusedWithItsPlace(t *testing.T) {
	run := func(rest string) string {
		return `{"runs": [{"id": "eave", "edge": "eave", "slope": "3:12", ` + rest + `}]}`
	}
	use := func(detail string) string {
		return strings.TrimSuffix(someJob, "}") + `, "use": [{"detail": "` + detail + `", "runs": ["eave"]}]}`
	}
	panels := `"length": "10 ft", "profile": {"cover": "18 in", "rib_width": "1 in", "rib_height": "1 in"}, "panels": `
	noise := func() string {
		b := make([]byte, 10<<20)
		x := uint32(1)
		for i := range b {
			x = x*1664525 + 1013904223
			b[i] = byte(x >> 24)
		}
		return string(b)
	}()
	for _, c := range []struct{ name, rules, job, says string }{
		{"a million parentheses", `let x = ` + strings.Repeat("(", 1_000_000), someJob, "house.rules:1:"},
		{"a million parentheses in a detail", `detail d "D" for edge eave { let x = ` + strings.Repeat("(", 100_000) + strings.Repeat(")", 100_000) + `}`, someJob, "house.rules:1:"},
		{"noise as rules", noise, someJob, "house.rules"},
		{"an item that is not declared", strings.Replace(someRules, "of screw", "of nail", 1), someJob, "house.rules:2:"},
		{"a unit missing in rules", strings.Replace(someRules, "10 in", "10", 1), someJob, "house.rules:2:"},
		{"an include that is not there", `include "other.rules"` + "\n" + someRules, someJob, "other.rules"},
		{"an include that leaves the folder", `include "../other.rules"` + "\n" + someRules, someJob, "house.rules:1:"},
		{"a million nested lists", someRules, strings.Repeat("[", 1_000_000), "job.json:1:"},
		{"noise as a job", someRules, noise, "job.json:1:"},
		{"no job at all", someRules, "", "job.json:1:"},
		{"an unknown key", someRules, run(`"lenght": "10 ft"`), "length"},
		{"a repeated key", someRules, run(`"length": "10 ft", "length": "11 ft"`), "job.json:1:"},
		{"trailing bytes", someRules, someJob + "x", "job.json:1:79"},
		{"a unit missing", someRules, run(`"length": "10"`), "/runs/0/length"},
		{"a number for a length", someRules, run(`"length": 10`), "/runs/0/length"},
		{"a negative length", someRules, run(`"length": "-10 ft"`), "/runs/0/length"},
		{"ribs out of order", someRules, run(panels + `{"ribs": ["2 ft", "1 ft"]}`), "/runs/0/panels/ribs"},
		{"a detail that no edge fits", someRules, strings.Replace(use("cap"), `"edge": "eave"`, `"edge": "rake"`, 1), "cap"},
		{"an unknown detail", someRules, use("cup"), "cap"},
	} {
		t.Run(c.name, func(t *testing.T) {
			start := time.Now()
			status, stdout, stderr := lapwright(t, "", files(t, c.rules, c.job)...)
			assert.Equal(t, unusable, status)
			assert.Empty(t, stdout)
			assert.Contains(t, stderr, c.says)
			assert.NotContains(t, stderr, "a fault of this program")
			assert.Less(t, len(stderr), 64<<10)
			assert.Less(t, time.Since(start), 10*time.Second)
			t.Logf("%.2000s", stderr)
		})
	}
}

func TestAFileThatIsNotThere(t *testing.T) {
	args := files(t, someRules, someJob)
	for i, name := range map[int]string{2: "none.rules", 4: "none.json"} {
		for _, name := range []string{filepath.Join(t.TempDir(), name), filepath.Join("no such folder", name)} {
			wrong := append([]string{}, args...)
			wrong[i] = name
			status, stdout, stderr := lapwright(t, "", wrong...)
			assert.Equal(t, unusable, status)
			assert.Empty(t, stdout)
			assert.Contains(t, stderr, name)
			assert.Contains(t, stderr, "no such file")
		}
	}
}

func TestARunShorterThanAnyRuleAllowsIsLaidOutWithViolations(t *testing.T) {
	rules := `item cap "cap" { stock 10 ft }
detail c "C" for edge eave { pieces cap of cap along run { lap >= 6 in  length >= 30 in } }
`
	status, stdout, stderr := lapwright(t, "", files(t, rules, strings.Replace(someJob, "10 ft", "1/2 in", 1))...)
	assert.Equal(t, failed, status)
	assert.Contains(t, stdout, "Not met")
	assert.Contains(t, stderr, "not all can be met")
}

func TestUsage(t *testing.T) {
	for _, c := range []struct {
		args   string
		status int
		says   string
	}{
		{"", unusable, "Usage"},
		{"lyout", unusable, `no command "lyout"`},
		{"sweep", unusable, "sweep needs -rules and -detail"},
		{"sweep -rules x -detail y", unusable, "sweep needs a range"},
		{"sweep -rules x -detail y -panel 1in..2in -slope 1:12..2:12", unusable, "along one range"},
		{"layout -only ridge", unusable, "-only is for svg: a text sheet shows all"},
		{"layout -format pdf", unusable, "use text, json, svg, html or csv"},
		{"layout -format yaml", unusable, `no -format "yaml"`},
		{"layout -unit cm", unusable, `no -unit "cm"`},
		{"layout -unit parsec", unusable, `no -unit "parsec"`},
		{"layout -columns 10", unusable, "at least 40"},
		{"layout -colour", unusable, "-colour"},
		{"layout house.rules", unusable, `what is "house.rules"`},
		{"layout -rules house.rules", unusable, "-rules and -job"},
		{"layout -rules - -job -", unusable, "standard input"},
		{"check", unusable, "check needs rule files"},
		{"check -format pdf x", unusable, "there is no -format \"pdf\": use text or sarif"},
		{"check none.rules", unusable, "no such file"},
		{"layout -o none/a.txt", unusable, "can't write none/a.txt: there is no folder none\n"},
		{"layout -format svg -only wing", unusable, `no run or plane "wing"`},
		{"layout -format svg -only porch/stack", unusable, `"porch/stack" is drawn on its plane: draw "porch"`},
	} {
		status, stdout, stderr := lapwright(t, "", strings.Fields(c.args)...)
		assert.Equal(t, c.status, status, c.args)
		assert.Empty(t, stdout, c.args)
		assert.Contains(t, stderr, c.says, c.args)
	}
	for _, args := range [][]string{{"help"}, {"-h"}, {"layout", "-h"}, {"check", "--help"}} {
		status, stdout, stderr := lapwright(t, "", args...)
		assert.Equal(t, well, status)
		assert.Contains(t, stdout, "Usage: lapwright")
		assert.Empty(t, stderr)
	}
}

func TestCheck(t *testing.T) {
	status, stdout, stderr := lapwright(t, "", "check", "demo/boathouse.rules", "../quickstart/eave.rules")
	assert.Equal(t, well, status)
	assert.Contains(t, stdout, "demo/boathouse.rules: no error")
	assert.Empty(t, stderr, "nor a warning")

	status, stdout, stderr = lapwright(t, strings.Replace(someRules, "spacing", "spacng", 1), "check", "-")
	assert.Equal(t, failed, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "spacing")
}

// TestCheckReasonsOverAllRoofs: what Load lets pass and no roof can keep is a failed check, in text and in SARIF.
func TestCheckReasonsOverAllRoofs(t *testing.T) {
	status, stdout, stderr := lapwright(t, "", "check", "../../testdata/check/scopes.rules")
	assert.Equal(t, failed, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "../../testdata/check/scopes.rules:16:5: error[contradiction]")
	status, stdout, stderr = lapwright(t, "", "check", "-format", "sarif", "../../testdata/check/scopes.rules")
	assert.Equal(t, failed, status)
	assert.Empty(t, stderr)
	assert.Contains(t, stdout, `"ruleId": "contradiction"`)
	status, _, stderr = lapwright(t, "", "check", "../../testdata/check/examples.rules")
	assert.Equal(t, well, status, "a warning is no error")
	assert.Contains(t, stderr, "warning[lays-nothing]")
}

func TestAFaultOfTheProgramIsNoPanic(t *testing.T) {
	var out, diag bytes.Buffer
	status := host{faulty{}, &out, &diag}.run(context.Background(), []string{"check", "-"})
	assert.Equal(t, unusable, status)
	assert.Empty(t, out.String())
	assert.Contains(t, diag.String(), "a fault of this program")
}

type faulty struct{}

func (faulty) Read([]byte) (int, error) { panic("faulty") }

func TestEndlessInputIsRefused(t *testing.T) {
	for _, args := range [][]string{{"check", "-"}, {"layout", "-rules", "demo/boathouse.rules", "-job", "-"}} {
		var out, diag bytes.Buffer
		status := host{endless{}, &out, &diag}.run(context.Background(), args)
		assert.Equal(t, unusable, status)
		assert.Empty(t, out.String())
		assert.Contains(t, diag.String(), "limit")
	}
}

type endless struct{}

func (endless) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = ' '
	}
	return len(b), nil
}

func TestIncludesNeverLeaveTheFolder(t *testing.T) {
	outer := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(outer, "secret.rules"), []byte(someRules), 0o644))
	inner := filepath.Join(outer, "book")
	require.NoError(t, os.Mkdir(inner, 0o755))
	require.NoError(t, os.Symlink("../secret.rules", filepath.Join(inner, "link.rules")))
	house := filepath.Join(inner, "house.rules")
	require.NoError(t, os.WriteFile(house, []byte(`include "link.rules"`), 0o644))
	status, stdout, stderr := lapwright(t, "", "check", house)
	assert.NotEqual(t, well, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "link.rules")
}

func TestACancelledLayoutStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, diag bytes.Buffer
	status := host{strings.NewReader(""), &out, &diag}.run(ctx, []string{"layout"})
	assert.Equal(t, unusable, status)
	assert.Empty(t, out.String())
}

func TestTheBuiltProgram(t *testing.T) {
	program := filepath.Join(t.TempDir(), "lapwright.exe")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	for args, want := range map[string]int{"layout": well, "help": well, "": unusable, "fmt": unusable} {
		cmd := exec.Command(program, strings.Fields(args)...)
		cmd.Stdout = io.Discard
		_ = cmd.Run()
		assert.Equal(t, want, cmd.ProcessState.ExitCode(), args)
	}
}
