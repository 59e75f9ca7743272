// Package machines holds the bytes that the command-line host writes on one machine against those on others.
package machines

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
	"github.com/tetratelabs/wazero/sys"
)

// Each command writes something of its own about the demonstration.
var commands = [][]string{
	{"layout"},
	{"layout", "-unit", "mm"},
	{"layout", "-format", "json"},
	{"layout", "-format", "svg"},
	{"layout", "-format", "html"},
	{"layout", "-format", "csv"},
	{"takeoff", "-rules", "boathouse.rules", "-job", "boathouse.json"},
	{"takeoff", "-rules", "boathouse.rules", "-job", "boathouse.json", "-format", "json"},
	{"sweep", "-rules", "boathouse.rules", "-detail", "high_side_cap", "-panel", "17in..18in"},
	{"check", "boathouse.rules"},
}

const folder = "../../examples/lapwright/demo"

// build builds the host and returns the program's name.
func build(t *testing.T, name string, env, flags []string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	cmd := exec.Command("go", append(append([]string{"build"}, flags...), "-o", file, "./examples/lapwright")...)
	cmd.Dir, cmd.Env = "../..", append(os.Environ(), env...)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return file
}

type written struct {
	status      int
	out, errors string
}

// runs runs every command of a program of this machine.
func runs(t *testing.T, program string, env ...string) (list []written) {
	t.Helper()
	for _, args := range commands {
		var out, errors bytes.Buffer
		cmd := exec.Command(program, args...)
		cmd.Stdout, cmd.Stderr, cmd.Env, cmd.Dir = &out, &errors, append(os.Environ(), env...), folder
		if err := cmd.Run(); cmd.ProcessState == nil {
			require.NoError(t, err)
		}
		list = append(list, written{cmd.ProcessState.ExitCode(), out.String(), errors.String()})
	}
	return list
}

func TestTheSameBytesEverywhere(t *testing.T) {
	host := build(t, "host", nil, nil)
	want := runs(t, host)
	for i, w := range want {
		require.LessOrEqual(t, w.status, 1, "%q: %s", commands[i], w.errors)
		require.NotEmpty(t, w.out, "%q", commands[i])
	}
	same := func(t *testing.T, got []written) {
		t.Helper()
		for i := range want {
			require.Equal(t, want[i], got[i], "%q", commands[i])
		}
	}
	for _, env := range [][]string{
		{"GOMAXPROCS=1"},
		{"GOMAXPROCS=8"},
		{"TZ=Asia/Kathmandu", "LANG=tr_TR.UTF-8", "LC_ALL=tr_TR.UTF-8"},
		{"GOGC=1"},
	} {
		t.Run(env[0], func(t *testing.T) { same(t, runs(t, host, env...)) })
	}
	t.Run("with the race detector", func(t *testing.T) { same(t, runs(t, build(t, "host", []string{"CGO_ENABLED=1"}, []string{"-race"}))) })
	t.Run("with 32 bits", func(t *testing.T) { same(t, runs(t, build(t, "host", []string{"GOARCH=386", "CGO_ENABLED=0"}, nil))) })
	t.Run("with JSON's second version", func(t *testing.T) { same(t, runs(t, build(t, "host", []string{"GOEXPERIMENT=jsonv2"}, nil))) })
	t.Run("wasm", func(t *testing.T) { same(t, runsInWasm(t)) })
}

// runsInWasm runs every command in a machine that has one folder, no clock and one thread.
func runsInWasm(t *testing.T) (list []written) {
	ctx := context.Background()
	code, err := os.ReadFile(build(t, "host.wasm", []string{"GOOS=wasip1", "GOARCH=wasm"}, nil))
	require.NoError(t, err)
	machine := wazero.NewRuntime(ctx)
	defer machine.Close(ctx)
	wasi_snapshot_preview1.MustInstantiate(ctx, machine)
	host, err := machine.CompileModule(ctx, code)
	require.NoError(t, err)
	for _, args := range commands {
		var out, errors bytes.Buffer
		config := wazero.NewModuleConfig().WithName("").WithArgs(append([]string{"lapwright"}, args...)...).WithStdout(&out).WithStderr(&errors).
			WithEnv("PWD", "/").WithFSConfig(wazero.NewFSConfig().WithReadOnlyDirMount(folder, "/"))
		status := 0
		if _, err := machine.InstantiateModule(ctx, host, config); err != nil {
			exit, ok := err.(*sys.ExitError)
			require.True(t, ok, "%q: %v", args, err)
			status = int(exit.ExitCode())
		}
		list = append(list, written{status, out.String(), errors.String()})
	}
	return list
}
