package main

import (
	"fmt"
	"sync"
	"time"

	"github.com/lapwright/lapwright/rules"
)

// A table measures one thing and prints it.
type table struct {
	name  string
	print func(rounds int)
}

var tables = []table{
	{"fasteners of 1,000 equal panels", func(n int) { fasteners(n, equal(1000)) }},
	{"fasteners of 1,000 different panels", func(n int) { fasteners(n, different(1000)) }},
	{"fasteners of 10 equal panels", func(n int) { fasteners(n, equal(10)) }},
	{"fasteners of 10 different panels", func(n int) { fasteners(n, different(10)) }},
	{"fasteners of 100,000 equal panels", func(n int) { fasteners(min(n, 3), equal(100_000)) }},
	{"fasteners of 100,000 different panels", func(n int) { fasteners(min(n, 3), different(100_000)) }},
	{"a million panels, the time a mark beside that of a thousand", million},
	{"memory of a fresh layout, 100,000 panels", memory},
	{"a batch of 64 runs of 1,000 panels on two cores", cores},
	{"a cap of 10 equal panels", func(n int) { caps(n, equal(10)) }},
	{"a cap of 1,000 equal panels", func(n int) { caps(n, equal(1000)) }},
	{"a cap of 1,000 different panels", func(n int) { caps(n, different(1000)) }},
	{"a check of what was fixed, 1,000 equal panels", func(n int) { inspections(n, equal(1000)) }},
	{"a check of what was fixed, 1,000 different panels", func(n int) { inspections(n, different(1000)) }},
	{"JSON of a report, 1,000 equal panels", written},
	{"a sweep, and mutation", searches},
	{"a keystroke: one declaration changed, the book checked, 100 panels laid out", keystrokes},
	{"a book of 2 KB", func(n int) { library(n, books(2<<10)) }},
	{"a book of 200 KB", func(n int) { library(n, books(200<<10)) }},
}

// contenders lay the fasteners of a roof, each into a slice that it keeps where it can.
func contenders(b *rules.Book, r *roof) []contender {
	var h hand
	var d decimals
	var out []mark
	var decimalOut []decimalMark
	decimalRibs := inInches(r.ribs)
	inExpr, inCEL, inStarlark := newExpr(), newCEL(), newStarlark()
	into := prepare(b, "fasteners")
	return []contender{
		{"hand loop, int64", func() { out = h.lay(r.ribs, out[:0]) }},
		{"library", func() { into.lay(r) }},
		{"library, a whole report", func() { whole(b, "fasteners", r) }},
		{"hand loop, decimals", func() { decimalOut = d.lay(decimalRibs, decimalOut[:0]) }},
		{"expr", func() { out = layWith(inExpr, r.ribs, out[:0]) }},
		{"Starlark", func() { out = inStarlark.run(r.ribs, out[:0]) }},
		{"CEL", func() { out = layWith(inCEL, r.ribs, out[:0]) }},
	}
}

func fasteners(rounds int, r *roof) {
	list := contenders(loadBook(), r)
	marks := len(new(hand).lay(r.ribs, nil))
	times, ratios := race(rounds, list)
	fmt.Printf("%-28s %12s %12s\n", fmt.Sprintf("%d marks", marks), "ns a mark", "hand loops")
	for i, c := range list {
		fmt.Printf("%-28s %12.1f %12.2f\n", c.name, nsEach(times[i], marks), ratios[i])
	}
}

func nsEach(t time.Duration, marks int) float64 { return float64(t.Nanoseconds()) / float64(marks) }

func million(rounds int) {
	b := loadBook()
	for _, make := range []func(int) *roof{equal, different} {
		few, many, into := make(1_000), make(1_000_000), prepare(b, "fasteners")
		times, _ := race(min(rounds, 3), []contender{
			{"", func() { into.lay(few) }}, {"", func() { into.lay(many) }},
		})
		one, other := nsEach(times[0], len(new(hand).lay(few.ribs, nil))), nsEach(times[1], len(new(hand).lay(many.ribs, nil)))
		fmt.Printf("%.1f and %.1f ns a mark: %.2f times\n", one, other, other/one)
	}
}

func memory(int) {
	b := loadBook()
	for _, make := range []func(int) *roof{equal, different} {
		r := make(100_000)
		marks := float64(len(new(hand).lay(r.ribs, nil)))
		for name, lay := range map[string]func(){
			"a layout": func() { prepare(b, "fasteners").lay(r) }, "a report": func() { whole(b, "fasteners", r) },
		} {
			objects, bytes := allocated(lay)
			fmt.Printf("%s: %.4f objects and %.1f bytes a mark beyond the mark itself\n",
				name, float64(objects)/marks, float64(bytes)/marks-16)
		}
	}
}

// cores tells what a second core gains a batch of runs, beside what it gains the hand loop.
func cores(rounds int) {
	b := loadBook()
	var roofs []*roof
	for i := range 64 {
		roofs = append(roofs, different(1000+i))
	}
	batch := func(workers int, lay func(worker int, r *roof)) func() {
		return func() {
			var wait sync.WaitGroup
			for w := range workers {
				wait.Go(func() {
					for i := w; i < len(roofs); i += workers {
						lay(w, roofs[i])
					}
				})
			}
			wait.Wait()
		}
	}
	var hands [2]hand
	var outs [2][]mark
	byHand := func(w int, r *roof) { outs[w] = hands[w].lay(r.ribs, outs[w][:0]) }
	intos := [2]*prepared{prepare(b, "fasteners"), prepare(b, "fasteners")}
	library := func(w int, r *roof) { intos[w].lay(r) }
	times, _ := race(rounds, []contender{
		{"", batch(1, byHand)}, {"", batch(2, byHand)}, {"", batch(1, library)}, {"", batch(2, library)},
	})
	gain := func(one, two time.Duration) float64 { return float64(one) / float64(two) }
	hand := gain(times[0], times[1])
	ours := gain(times[2], times[3])
	fmt.Printf("the hand loop gains %.2f, the library %.2f: %.2f of it\n", hand, ours, ours/hand)
}

func library(rounds int, b book) {
	list := []contender{
		{"rules, parsed and checked", b.load}, {"rules, parsed", b.parse}, {"HCL, parsed", b.parseHCL}, {"CUE, parsed", b.parseCUE},
	}
	sizes := []int{len(b.rules), len(b.rules), len(b.hcl), len(b.cue)}
	times, _ := race(rounds, list)
	fmt.Printf("%-28s %12s %12s\n", "", "µs", "MB/s")
	for i, c := range list {
		fmt.Printf("%-28s %12.0f %12.2f\n", c.name, float64(times[i].Nanoseconds())/1e3, float64(sizes[i])/float64(times[i].Nanoseconds())*1e3)
	}
}

func keystrokes(rounds int) {
	lines, press, whole := keystroke()
	times, ratios := race(max(rounds, 15), []contender{{"", press}, {"", whole}})
	fmt.Printf("%d lines: %.2f ms; where all is read again %.2f ms, %.0f times as much\n",
		lines, float64(times[0].Microseconds())/1e3, float64(times[1].Microseconds())/1e3, ratios[1])
}
