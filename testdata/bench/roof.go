package main

import (
	"embed"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

const (
	inch     = units.TicksPerInch
	step     = inch / 16 // the book's mark
	ribWidth = inch * 3 / 4
)

//go:embed bench.rules
var files embed.FS

// A roof is one run, as the library takes it and as a loop does.
type roof struct {
	run  *geom.Run
	ribs []int64 // one at each end too
}

// equal is a run of panels 18 in wide.
func equal(panels int) *roof {
	ribs := make([]int64, panels+1)
	for i := range ribs {
		ribs[i] = int64(i) * 18 * inch
	}
	return newRoof(ribs)
}

// different is a run of panels of which no two are alike: 18 in and up to 1/4 in more, as they come to lie on a roof, in
// no order. The last is as wide as brings the length to the next 10 in.
func different(panels int) *roof {
	more := inch / 4 / int64(panels)
	ribs := make([]int64, panels+1)
	for i := 1; i < panels; i++ {
		// A step that is prime to panels goes through all of them once.
		ribs[i] = ribs[i-1] + 18*inch + int64(i)*7919%int64(panels)*more
	}
	const round = 10 * inch
	ribs[panels] = (ribs[panels-1] + 18*inch + round - 1) / round * round
	return newRoof(ribs)
}

func newRoof(ribs []int64) *roof {
	r := &roof{ribs: ribs}
	panels := &geom.Panels{Profile: geom.Profile{Cover: ticks(40 * inch), RibWidth: ticks(ribWidth), RibHeight: ticks(inch)}}
	for _, at := range ribs {
		panels.Ribs = append(panels.Ribs, ticks(at))
	}
	var err error
	r.run, err = geom.NewRun(geom.Spec{
		ID: "peak", Edge: "peak", Length: ticks(ribs[len(ribs)-1]), Sides: []geom.SideSpec{{Panels: panels}},
	}, len(ribs))
	check(err)
	return r
}

func loadBook() *rules.Book {
	book, findings, err := rules.Load(files, "bench.rules")
	check(err)
	check(findings.Err())
	return book
}

func ticks(t int64) units.Length {
	l, err := units.FromTicks(t)
	check(err)
	return l
}

func check(err error) {
	if err != nil {
		panic(err)
	}
}
