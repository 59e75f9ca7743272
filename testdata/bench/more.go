package main

import (
	"context"
	"fmt"
	"io"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/mutation"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// caps tells what pieces cost, beside a loop that finds as few, and nothing more.
func caps(rounds int, r *roof) {
	var out []stretch
	into := prepare(loadBook(), "cap")
	out = fewestPieces(r.ribs, out)
	times, _ := race(min(rounds, 3), []contender{
		{"a loop for as few pieces", func() { out = fewestPieces(r.ribs, out[:0]) }},
		{"library, the best of the fewest", func() { into.lay(r) }},
	})
	fmt.Printf("%d pieces: the library %.0f ns a piece; a loop that finds as few, and not the best of them, %.1f\n",
		len(out), nsEach(times[1], len(out)), nsEach(times[0], len(out)))
}

// measured is what someone would hand to the library.
func measured(f fixed, panels int) *detail.Measured {
	all := make([]int, panels)
	for i := range all {
		all[i] = i + 1
	}
	m := &detail.Measured{}
	for name, list := range map[string][]int64{"cleat_screws": f.cleats, "closure_screws": f.closures, "rivets": f.rivets} {
		one := detail.Measure{Run: "peak", Detail: "fasteners", Element: name, At: make([]units.Length, len(list))}
		for i, at := range list {
			one.At[i] = ticks(at)
		}
		if name != "cleat_screws" {
			one.Scopes = all
		}
		m.List = append(m.List, one)
	}
	return m
}

func inspect(b *rules.Book, r *roof, m *detail.Measured) *detail.Inspection {
	in, err := raised.Inspect(context.Background(), b,
		&detail.Job{Runs: []*geom.Run{r.run}, Uses: []detail.Use{{Detail: "fasteners"}}}, m)
	check(err)
	return in
}

func inspections(rounds int, r *roof) {
	b, f := loadBook(), found(r)
	m, kept := measured(f, len(r.ribs)-1), false
	times, ratios := race(rounds, []contender{
		{"hand check, int64", func() { kept = f.holds(r.ribs) }},
		{"library, an inspection", func() { inspect(b, r, m) }},
		{"library, laid afresh", func() { whole(b, "fasteners", r) }},
	})
	if !kept {
		panic("what the hand loop lays fails the hand check")
	}
	marks := len(f.cleats) + len(f.closures) + len(f.rivets)
	fmt.Printf("%-28s %12s %12s\n", fmt.Sprintf("%d marks", marks), "ns a mark", "hand checks")
	for i, name := range []string{"hand check, int64", "library, an inspection", "library, a whole report"} {
		fmt.Printf("%-28s %12.1f %12.2f\n", name, nsEach(times[i], marks), ratios[i])
	}
}

func written(rounds int) {
	b, r := loadBook(), equal(1000)
	rep := whole(b, "fasteners", r)
	var bytes counter
	check(rep.WriteJSON(&bytes, units.In))
	times, _ := race(rounds, []contender{{"", func() { check(rep.WriteJSON(io.Discard, units.In)) }}})
	fmt.Printf("%d marks, %d bytes: %.2f ms, %.0f ns a mark, %.0f MB/s\n", len(rep.Marks), bytes,
		float64(times[0].Microseconds())/1e3, nsEach(times[0], len(rep.Marks)), float64(bytes)/float64(times[0].Nanoseconds())*1e3)
}

// A counter counts the bytes written to it.
type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}

// sweep asks on which panels from 12 to 24 in the fasteners can be built: every width, none left out.
func sweep(b *rules.Book) *detail.SweepReport {
	rep, err := raised.Sweep(context.Background(), b, detail.SweepSpec{
		Detail: "fasteners", Along: detail.SweepAxis{Of: "panel"}, From: "12 in", To: "24 in", RibHeight: "1 in",
	})
	check(err)
	return rep
}

// mutate changes the book's every number, comparator and severity, and looks whether its examples notice.
func mutate() *mutation.Report {
	rep, err := mutation.Run(context.Background(), files, "bench.rules", mutation.Options{Tries: 10})
	check(err)
	return rep
}

func searches(rounds int) {
	b := loadBook()
	ranges, changes := len(sweep(b).Lines[0].Ranges), len(mutate().Changes)
	times, _ := race(min(rounds, 3), []contender{{"", func() { sweep(b) }}, {"", func() { mutate() }}})
	fmt.Printf("a sweep of panels from 12 in to 24 in, %d ranges: %.1f ms\n", ranges, float64(times[0].Microseconds())/1e3)
	fmt.Printf("mutation of a book of %d changes: %.1f ms, %.2f ms a change\n", changes,
		float64(times[1].Microseconds())/1e3, float64(times[1].Microseconds())/1e3/float64(changes))
}
