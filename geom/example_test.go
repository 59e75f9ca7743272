package geom_test

import (
	"fmt"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func ExampleNewRun() {
	slope, _ := units.NewSlope(3, 12)
	run, err := geom.NewRun(geom.Spec{
		ID:     "peak-1",
		Edge:   "peak",
		Length: units.MustParse("31 ft 4 in"),
		Sides: []geom.SideSpec{{
			Slope: slope,
			Panels: &geom.Panels{
				First: units.MustParse("7 in"),
				Profile: geom.Profile{
					Cover:     units.MustParse("18 in"),
					RibWidth:  units.MustParse("3/4 in"),
					RibHeight: units.MustParse("1 3/4 in"),
				},
			},
		}},
		Ends: [2]string{"rake", "wall"},
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	side := &run.Sides[0]
	panels := side.Panels(run.Length)
	last := panels[len(panels)-1]
	fmt.Println(len(side.Ribs), "ribs,", len(panels), "panels")
	fmt.Println("the last is", last.Width(), "wide, cut:", last.Cut)
	// Output:
	// 21 ribs, 22 panels
	// the last is 9 in wide, cut: true
}

func ExampleFieldErrors() {
	_, err := geom.NewRun(geom.Spec{
		ID:     "peak-1",
		Edge:   "paek",
		Length: units.MustParse("10 ft"),
		Zones:  []geom.Zone{{Kind: "corner", To: units.MustParse("12 ft")}},
	}, 0)
	fmt.Println(err)
	// Output:
	// run "peak-1":
	//   /edge: "paek" is no kind of edge: peak is near
	//   /zones/0/to: 144 in is off the run: it ends at 120 in
}

func ExampleSide_RibBand() {
	side := geom.Side{
		HasPanels: true,
		Ribs:      []units.Length{units.MustParse("7 in")},
		Profile:   geom.Profile{Cover: units.MustParse("18 in"), RibWidth: units.MustParse("3/4 in")},
	}
	fmt.Println(side.RibBand(0))
	// Output: 6.625 in 7.375 in
}
