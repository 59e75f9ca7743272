package detail_test

import (
	"context"
	"fmt"
	"os"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// closures is a book of one detail, invented.
func closures() *rules.Book {
	book, findings, err := rules.Load(fstest.MapFS{"house.rules": {Data: []byte(`
		book "House (invented)" { mark 1/16 in }
		item screw "flat-head screw" { pack 250  waste 5% }
		detail closure "Closure" for edge peak {
			row screws of screw in each panel {
				spacing <= 5 in
				count   >= 4
				clear   >= 1 1/2 in from rib
			}
		}
		example "a whole panel" {
			on edge peak length 9 ft slope 3:12 panels 18 in rib 3/4 in x 1 3/4 in
			lay closure
			expect count of screws in panel 2 = 4
			expect screws in panel 2 at 2 in
			source "the second is wrong on purpose"
		}`)}}, "house.rules")
	if err == nil {
		err = findings.Err()
	}
	if err != nil {
		panic(err)
	}
	return book
}

// Lay takes a book and a job and gives a report: what goes where, what to buy, what can't be met.
func ExampleLay() {
	peak, err := geom.NewRun(geom.Spec{
		ID: "peak-1", Edge: "peak", Length: units.MustParse("3 ft 6 in"),
		Sides: []geom.SideSpec{{Panels: &geom.Panels{
			First: units.MustParse("18 in"),
			Profile: geom.Profile{
				Cover: units.MustParse("18 in"), RibWidth: units.MustParse("3/4 in"), RibHeight: units.MustParse("1 3/4 in"),
			},
		}}},
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := detail.Lay(context.Background(), closures(), &detail.Job{Name: "Boathouse", Runs: []*geom.Run{peak}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, sc := range report.Scopes {
		fmt.Print(sc.Kind, " ", sc.N, ":")
		for _, m := range report.Marks[sc.First:sc.Last] {
			fmt.Print(" ", m.At)
		}
		fmt.Println()
	}
	for i := range report.Violations {
		fmt.Println(report.Violations[i].Message(units.In))
	}
	for _, q := range report.Takeoff {
		fmt.Println(q.Item.Title, q.Net, q.Unit)
	}
	// Output:
	// panel 1: 2.25 in 6.75 in 11.25 in 15.75 in
	// panel 2: 20.25 in 24.75 in 29.25 in 33.75 in
	// panel 3: 37.875 in 39.0625 in 40.25 in 41.4375 in
	// flat-head screw 12 each
}

// Worked examples of a book say what it should come to; what isn't so is listed with what was found.
func ExampleExamples() {
	for _, x := range detail.Examples(context.Background(), os.DirFS("."), closures()) {
		fmt.Println(x.Example.Name, x.OK())
		for _, f := range x.Failures {
			fmt.Printf("%s\n  found %s\n", f.Expected, f.Found)
		}
	}
	// Output:
	// a whole panel false
	// expect screws in panel 2 at 2 in
	//   found 2.25 in, 6.75 in, 11.25 in, 15.75 in
}
