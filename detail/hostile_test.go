package detail_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	hostileMemory = 512 << 20 // bytes
	hostileTime   = time.Second
	hostileChild  = "LAPWRIGHT_HOSTILE"
)

// TestHostile runs each case of hostileCases in a process that may have 512 MB of memory. Each ends within a second of
// one processor's time (what else runs on the machine is not its fault) in the error that it should, or in none. Short
// tests, which the race detector slows down, hold no time.
func TestHostile(t *testing.T) {
	if os.Getenv(hostileChild) != "" {
		runHostile(t)
		return
	}
	if !testing.Short() {
		require.GreaterOrEqual(t, len(hostileCases()), 40)
	}
	child := exec.Command(os.Args[0], "-test.run=^TestHostile$", "-test.v", "-test.short="+strconv.FormatBool(testing.Short()))
	child.Env = append(os.Environ(), hostileChild+"=1", "GOMAXPROCS=1", "GOMEMLIMIT=320MiB")
	out, err := child.CombinedOutput()
	require.NoError(t, err, "%s", out)
	for _, line := range regexp.MustCompile(`(?m)^.*hostile: .*$`).FindAllString(string(out), -1) {
		t.Log(strings.TrimSpace(line))
	}
	used := int64(child.ProcessState.SysUsage().(*syscall.Rusage).Maxrss) * 1024
	t.Logf("most memory: %d MB", used>>20)
	if !testing.Short() {
		assert.Less(t, used, int64(hostileMemory))
	}
}

// runHostile is the other process.
func runHostile(t *testing.T) {
	if !testing.Short() { // the race detector has maps of its own
		limit := syscall.Rlimit{Cur: hostileMemory, Max: hostileMemory}
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_DATA, &limit))
	}
	slowest, which := time.Duration(0), ""
	for i, c := range hostileCases() {
		if testing.Short() && (c.slow || i%3 != 0) {
			continue
		}
		start := processor(t)
		err := c.run(t)
		took := processor(t) - start
		if took > slowest {
			slowest, which = took, c.name
		}
		t.Logf("%s: %v", c.name, took)
		if !testing.Short() {
			assert.Less(t, took, hostileTime, c.name)
		}
		if c.want == "" {
			assert.NoError(t, err, c.name)
			continue
		}
		if assert.Error(t, err, c.name) {
			assert.Contains(t, err.Error(), c.want, c.name)
			assert.Less(t, len(err.Error()), 20_000, c.name)
			if strings.Contains(c.want, "Limits.") {
				assert.ErrorIs(t, err, rules.ErrLimit, c.name)
			}
		}
	}
	t.Logf("hostile: the slowest is %q, %v", which, slowest)
}

// processor is the time that this process had so far of all processors.
func processor(t *testing.T) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// A hostileCase is an input, what is done with it, and a part of the error that it ends in; "" for none.
type hostileCase struct {
	name string
	want string
	run  func(t *testing.T) error
	slow bool // left out of short tests, as are two of three others
}

func hostileCases() (list []hostileCase) {
	for _, of := range [][]hostileCase{hostileRules, hostileFiles, hostileJobs, hostileLayouts, hostileMeasurements} {
		list = append(list, of...)
	}
	return list
}

// loads is what is wrong with a rule file, of the warnings nothing.
func loads(source string, limits rules.Limits) error {
	_, ds, err := rules.Options{Limits: limits}.Load(memory{"a.rules": source}, "a.rules")
	drawn := &strings.Builder{}
	if err := ds.Draw(drawn, func(string) []byte { return []byte(source) }); err != nil || drawn.Len() > 500_000 {
		return fmt.Errorf("%d diagnostics take %d bytes: %v", len(ds), drawn.Len(), err)
	}
	return errors.Join(err, ds.Err())
}

// reads is what is wrong with a job.
func reads(source string, limits detail.Limits) error {
	_, err := detail.Options{Limits: limits}.ReadJob(strings.NewReader(source))
	return err
}

// lays lays a job out by a book, both sound.
func lays(t *testing.T, source, job string, limits detail.Limits) (*detail.Report, error) {
	book, ds, err := rules.Load(memory{"a.rules": source}, "a.rules")
	require.NoError(t, errors.Join(err, ds.Err()))
	o := detail.Options{Limits: limits}
	j, err := o.ReadJob(strings.NewReader(job))
	require.NoError(t, err)
	return o.Lay(context.Background(), book, j)
}

// numbers is a format with a number in the place of each #, the one before it of each @ and the one after it of each %.
func numbers(format string, n int) string {
	return strings.NewReplacer("#", strconv.Itoa(n), "@", strconv.Itoa(n-1), "%", strconv.Itoa(n+1)).Replace(format)
}

// numbered joins what a format makes of 0 to n-1.
func numbered(n int, format, between string) string {
	var b strings.Builder
	for i := range n {
		if i > 0 {
			b.WriteString(between)
		}
		b.WriteString(numbers(format, i))
	}
	return b.String()
}

// anElement is a book with one detail that has the text given in it.
func anElement(text string) string {
	return "item a \"a\" { pack 5 }\ndetail d \"d\" for edge eave {\n" + text + "\n}\n"
}

func aRow(limits string) string { return anElement("row r of a along run { " + limits + " }") }

func aRun(length, more string) string {
	return fmt.Sprintf(`{"profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"},
 "runs": [{"id": "r", "edge": "eave", "length": %q, "slope": "3:12"%s}]}`, length, more)
}
