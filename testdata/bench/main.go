// Command bench measures the library beside what its job could be done with otherwise, all in one run, and prints
// ratios. Absolute times change from machine to machine and from hour to hour; ratios of neighbours hardly do.
package main

import (
	"flag"
	"fmt"
	"os"
	"runtime"
	"strings"
	"time"
)

func main() {
	rounds := flag.Int("rounds", 7, "times that each is measured; the least counts, which other work on the machine disturbs least")
	only := flag.String("only", "", "measure only tables whose name has this in it")
	flag.Parse()
	fmt.Printf("%s, %d CPUs, %s, %s\n", machine(), runtime.NumCPU(), runtime.Version(), time.Now().Format("2006-01-02"))
	for _, t := range tables {
		if strings.Contains(t.name, *only) {
			fmt.Printf("\n%s\n", t.name)
			t.print(*rounds)
		}
	}
}

// machine is what the processor calls itself.
func machine() string {
	text, _ := os.ReadFile("/proc/cpuinfo")
	for line := range strings.Lines(string(text)) {
		if key, value, ok := strings.Cut(line, ":"); ok && strings.TrimSpace(key) == "model name" {
			return strings.TrimSpace(value)
		}
	}
	return runtime.GOARCH
}

// A contender is one way to do a job, the first of a list the measure of the others.
type contender struct {
	name string
	run  func()
}

// race runs all contenders in turn, round after round, and gives for each the least time of a run, and its ratio to the
// first's.
func race(rounds int, list []contender) (times []time.Duration, ratios []float64) {
	const least = 2 * time.Millisecond
	repeat := make([]int, len(list))
	for i, c := range list {
		took := timed(1, c.run) // warm, too
		repeat[i] = int(least/max(took, 1)) + 1
	}
	times, ratios = make([]time.Duration, len(list)), make([]float64, len(list))
	for round := range rounds {
		for i, c := range list {
			runtime.GC() // nobody pays for another's garbage
			if took := timed(repeat[i], c.run) / time.Duration(repeat[i]); round == 0 || took < times[i] {
				times[i] = took
			}
		}
	}
	for i, t := range times {
		ratios[i] = float64(t) / float64(times[0])
	}
	return times, ratios
}

func timed(times int, run func()) time.Duration {
	start := time.Now()
	for range times {
		run()
	}
	return time.Since(start)
}

// allocated gives what one run allocates: objects and bytes.
func allocated(run func()) (objects, bytes uint64) {
	var before, after runtime.MemStats
	run()
	runtime.GC()
	runtime.ReadMemStats(&before)
	run()
	runtime.ReadMemStats(&after)
	return after.Mallocs - before.Mallocs, after.TotalAlloc - before.TotalAlloc
}
