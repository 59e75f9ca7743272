package detail_test

import (
	"context"
	"fmt"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// A host that lays out while its user types prepares the detail once, and has each layout written over the last.
func ExampleLayouter() {
	layouter, err := detail.Options{}.Layouter(closures(), detail.Use{Detail: "closure"})
	if err != nil {
		panic(err)
	}
	layout := &detail.Layout{}
	for _, cover := range []string{"18 in", "12 in"} {
		run, err := geom.NewRun(geom.Spec{
			ID: "peak", Edge: "peak", Length: units.MustParse("36 in"),
			Sides: []geom.SideSpec{{Panels: &geom.Panels{
				First: units.MustParse(cover), Profile: geom.Profile{Cover: units.MustParse(cover), RibWidth: units.MustParse("3/4 in")},
			}}},
		}, 0)
		if err != nil {
			panic(err)
		}
		if err := layouter.Lay(context.Background(), run, layout); err != nil {
			panic(err)
		}
		fmt.Println(len(layout.Marks), "screws, the first at", layout.Marks[0].At, layout.Kept)
	}
	// Output:
	// 8 screws, the first at 2.25 in true
	// 12 screws, the first at 1.3125 in true
}
