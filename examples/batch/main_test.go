package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const eave = `book "Boathouse (invented)" { mark 1/16 in }
item trim "eave trim" { stock 10 ft }
detail eave "Eave" for edge eave {
  row screws in each panel { spacing <= 5 in  clear >= 1 in from rib }
  pieces trim of trim along run { lap >= 4 in  length >= 24 in }
}`

// folder makes a folder with a book and so many jobs, some of which can't be laid.
func folder(t *testing.T, jobs int) string {
	t.Helper()
	dir := t.TempDir()
	var b bytes.Buffer
	for i := range jobs {
		switch i % 50 {
		case 20:
			b.WriteString("{\"name\": \"half\n")
		case 30:
			b.WriteString("\n")
			fallthrough
		default:
			fmt.Fprintf(&b, `{"name": "job %d", "profile": {"cover": "%d in", "rib_width": "1/2 in", "rib_height": "1 in"}, "runs": [{"id": "a", "edge": "eave", "length": "%d/16 in", "slope": "3:12", "panels": {"first": "8 in"}}]}`+"\n", i, 12+i%9, 1000+37*i%9000)
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "eave.rules"), []byte(eave), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "jobs"), b.Bytes(), 0o644))
	return dir
}

func in(dir, out string) []string {
	return []string{filepath.Join(dir, "eave.rules"), filepath.Join(dir, "jobs"), filepath.Join(dir, out)}
}

func runIn(ctx context.Context, dir, out string) error {
	f := in(dir, out)
	return run(ctx, f[0], f[1], f[2], os.Stderr)
}

// The test's own program is the batch where it is asked to be.
func TestMain(m *testing.M) {
	if f := strings.Split(os.Getenv("BATCH"), "\n"); len(f) == 3 {
		if err := run(context.Background(), f[0], f[1], f[2], os.Stderr); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func TestEachJobHasItsResultInOrder(t *testing.T) {
	dir := folder(t, 120)
	require.NoError(t, runIn(t.Context(), dir, "out"))
	got, err := os.ReadFile(filepath.Join(dir, "out"))
	require.NoError(t, err)
	list := strings.Split(strings.TrimSpace(string(got)), "\n")
	require.Len(t, list, 121)
	assert.Contains(t, list[0], `"book":"sha256:`)
	for n, line := range list[1:] {
		assert.Contains(t, line, fmt.Sprintf(`{"n":%d,`, n+1))
		if n%50 == 20 {
			assert.Contains(t, line, `"error":`)
		} else {
			assert.Contains(t, line, fmt.Sprintf(`"name":"job %d"`, n))
		}
	}
	require.NoError(t, runIn(t.Context(), dir, "out"), "all is there")
	again, err := os.ReadFile(filepath.Join(dir, "out"))
	require.NoError(t, err)
	assert.Equal(t, string(got), string(again))
}

// Killed at any moment, twenty times, and started again: the bytes of a batch that was never stopped.
func TestKilledAndStartedAgainItGivesTheSame(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	jobs, trials := 1000, 20
	if testing.Short() {
		jobs, trials = 200, 2
	}
	dir := folder(t, jobs)
	start := func(out string) *exec.Cmd {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), "BATCH="+strings.Join(in(dir, out), "\n"))
		require.NoError(t, cmd.Start())
		return cmd
	}
	require.NoError(t, start("whole").Wait())
	want, err := os.ReadFile(filepath.Join(dir, "whole"))
	require.NoError(t, err)
	killed, partly := 0, 0
	for trial := range trials {
		out := fmt.Sprint("killed ", trial)
		for range 2 {
			cmd, enough := start(out), rng.Int64N(int64(len(want)))
			for begin := time.Now(); time.Since(begin) < time.Minute; time.Sleep(100 * time.Microsecond) {
				if info, err := os.Stat(filepath.Join(dir, out)); err == nil && info.Size() >= enough {
					break
				}
			}
			if cmd.Process.Kill(); cmd.Wait() != nil {
				killed++
			}
			if got, err := os.ReadFile(filepath.Join(dir, out)); err == nil && len(got) > 0 && len(got) < len(want) {
				partly++
			}
		}
		require.NoError(t, start(out).Wait())
		got, err := os.ReadFile(filepath.Join(dir, out))
		require.NoError(t, err)
		require.Equal(t, len(want), len(got), "trial %d", trial)
		require.True(t, bytes.Equal(want, got), "trial %d", trial)
	}
	t.Logf("killed %d times, %d with a part of the results written", killed, partly)
	require.GreaterOrEqual(t, partly, trials)
}

func TestAHalfWrittenLineIsWrittenAnew(t *testing.T) {
	dir := folder(t, 60)
	require.NoError(t, runIn(t.Context(), dir, "out"))
	want, err := os.ReadFile(filepath.Join(dir, "out"))
	require.NoError(t, err)
	for n := 0; n < len(want); n += 397 {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "out"), want[:n], 0o644))
		require.NoError(t, runIn(t.Context(), dir, "out"))
		got, err := os.ReadFile(filepath.Join(dir, "out"))
		require.NoError(t, err)
		require.Equal(t, string(want), string(got), "cut after %d bytes", n)
	}
}

func TestItStopsWhenAskedAndGoesOn(t *testing.T) {
	dir := folder(t, 2000)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	if err := runIn(ctx, dir, "out"); err != nil {
		require.ErrorIs(t, err, context.DeadlineExceeded)
		require.ErrorContains(t, err, "start it again to go on")
	}
	require.NoError(t, runIn(t.Context(), dir, "out"))
	require.NoError(t, runIn(t.Context(), dir, "whole"))
	got, err := os.ReadFile(filepath.Join(dir, "out"))
	require.NoError(t, err)
	want, err := os.ReadFile(filepath.Join(dir, "whole"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(want, got))
}

func TestResultsOfSomethingElseAreLeftAlone(t *testing.T) {
	dir := folder(t, 10)
	out := filepath.Join(dir, "out")
	for text, want := range map[string]string{
		"my letters":                           "name another file",
		"my letters\n":                         "name another file",
		"{\"format\":\"lapwright batch 1\"}\n": "name another file",
		"":                                     "",
	} {
		require.NoError(t, os.WriteFile(out, []byte(text), 0o644))
		err := runIn(t.Context(), dir, "out")
		if want == "" {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, want)
		got, err := os.ReadFile(out)
		require.NoError(t, err)
		require.Equal(t, text, string(got))
	}
	require.NoError(t, os.Remove(out))
	require.NoError(t, runIn(t.Context(), dir, "out"))
	other := folder(t, 5)
	require.NoError(t, os.Rename(filepath.Join(other, "jobs"), filepath.Join(dir, "jobs")))
	require.ErrorContains(t, runIn(t.Context(), dir, "out"), "is of another job")
}
