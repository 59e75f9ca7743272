package main

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const writeChild = "LAPWRIGHT_WRITE"

// textOf is the one or the other of two texts of a megabyte.
func textOf(i int) string { return strings.Repeat(strconv.Itoa(i%2), 1<<20) }

// A process that is killed at any moment leaves the old file or the new one, never a part.
func TestWriteIsKilled(t *testing.T) {
	if name := os.Getenv(writeChild); name != "" { // the other process: it writes the one text and the other, again and again
		fmt.Println("writing")
		for i := 0; ; i++ {
			require.NoError(t, host{}.write(name, []byte(textOf(i))))
		}
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	kills := 60
	if testing.Short() {
		kills = 4
	}
	var found [2]int
	for range kills {
		name := filepath.Join(t.TempDir(), "sheet.txt")
		require.NoError(t, os.WriteFile(name, []byte(textOf(1)), 0o644))
		child := exec.Command(os.Args[0], "-test.run=^TestWriteIsKilled$")
		child.Env = append(os.Environ(), writeChild+"="+name)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		_, err = bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		time.Sleep(time.Duration(r.IntN(20_000)) * time.Microsecond)
		require.NoError(t, child.Process.Kill())
		require.Error(t, child.Wait(), "it was killed while it wrote")
		switch got := read(t, name); got {
		case textOf(0):
			found[0]++
		case textOf(1):
			found[1]++
		default:
			t.Fatalf("a part: %d bytes", len(got))
		}
	}
	t.Logf("%d times the one text, %d times the other", found[0], found[1])
}

// A full disk, here a limit on the size of files, leaves the old file and nothing beside it.
func TestWriteOnAFullDisk(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "sheet.txt")
	require.NoError(t, os.WriteFile(name, []byte("old"), 0o644))
	full := func(bytes uint64) (undo func()) {
		var before syscall.Rlimit
		require.NoError(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before))
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: bytes, Max: before.Max}))
		return func() { require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before)) }
	}
	commands := [][]string{
		{"layout", "-o", name},
		{"layout", "-format", "html", "-o", name},
		{"takeoff", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-o", name},
	}
	if testing.Short() {
		commands = commands[:1]
	}
	for _, args := range commands {
		undo := full(1000)
		status, stdout, stderr := lapwright(t, "", args...)
		undo()
		assert.Equal(t, unusable, status, "%q", args)
		assert.Empty(t, stdout)
		assert.Contains(t, stderr, "can't write "+name+": file too large")
		assert.Equal(t, "old", read(t, name), "%q", args)
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Len(t, left, 1, "%q leaves nothing beside it", args)
		status, _, _ = lapwright(t, "", args...)
		assert.NotEqual(t, unusable, status)
		assert.NotEqual(t, "old", read(t, name))
		require.NoError(t, os.WriteFile(name, []byte("old"), 0o644))
	}
}

// A folder that nothing can be written into is named, and the file in it stays.
func TestWriteIntoAReadOnlyFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "shut")
	require.NoError(t, os.Mkdir(dir, 0o755))
	name := filepath.Join(dir, "sheet.txt")
	require.NoError(t, os.WriteFile(name, []byte("old"), 0o644))
	require.NoError(t, os.Chmod(dir, 0o555))
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if os.Getuid() == 0 { // whom no folder's mode stops: as somebody else then, on this thread
		require.NoError(t, os.Chmod(filepath.Dir(filepath.Dir(dir)), 0o755))
		require.NoError(t, syscall.Setfsuid(65534))
		defer func() { require.NoError(t, syscall.Setfsuid(0)) }()
	}
	status, stdout, stderr := lapwright(t, "", "layout", "-o", name)
	assert.Equal(t, unusable, status)
	assert.Empty(t, stdout)
	assert.Contains(t, stderr, "can't write "+name+": permission denied")
	assert.Equal(t, "old", read(t, name))
}

// What can't be written to standard output is said as well.
func TestWriteToAFullDevice(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	require.NoError(t, err)
	defer full.Close()
	var said strings.Builder
	for _, args := range [][]string{{"layout"}, {"fmt", "demo/boathouse.rules"}} {
		said.Reset()
		assert.Equal(t, unusable, host{strings.NewReader(""), full, &said}.run(t.Context(), args), "%q", args)
		assert.Contains(t, said.String(), "no space left on device", "%q", args)
	}
}
