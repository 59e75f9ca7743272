package sheet_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// frontEave lays a short eave out; all of it is invented.
func frontEave() *detail.Report {
	book, _, err := rules.Load(fstest.MapFS{"shed.rules": {Data: []byte(`book "Shed (invented)" { mark 1/16 in }
item screw "pan-head screw" { pack 100 }
detail eave "Eave" for edge eave { row screws of screw along run { spacing <= 10 in  end <= 2 in } }`)}}, "shed.rules")
	if err != nil {
		panic(err)
	}
	job, err := detail.ReadJob(strings.NewReader(`{"name": "Shed (invented)", "runs": [{"id": "front", "edge": "eave", "length": "2 ft", "slope": "3:12"}]}`))
	if err != nil {
		panic(err)
	}
	report, err := detail.Lay(context.Background(), book, job)
	if err != nil {
		panic(err)
	}
	return report
}

// A sheet for the crew, 40 characters wide; the first lines of it.
func ExampleOptions_Text() {
	var b strings.Builder
	if err := (sheet.Options{Columns: 40}).Text(&b, frontEave()); err != nil {
		fmt.Println(err)
	}
	for _, line := range strings.SplitN(b.String(), "\n", 6)[:5] {
		fmt.Println(line)
	}
	// Output:
	// Job:     Shed (invented)
	// Details: Shed (invented)
	//          sha256:cbabe82e3dd1
	// Result:  every rule that must hold does
}

// A drawing to scale, in millimetres.
func ExampleOptions_SVG() {
	var b strings.Builder
	if err := (sheet.Options{Unit: units.MM}).SVG(&b, frontEave()); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.Count(b.String(), `tabindex="0"`), "marks are drawn")
	// Output:
	// 3 marks are drawn
}

// One page for a browser and for paper, which needs nothing else.
func ExampleOptions_HTML() {
	var b strings.Builder
	if err := (sheet.Options{}).HTML(&b, frontEave()); err != nil {
		fmt.Println(err)
	}
	fmt.Println(strings.Contains(b.String(), "Shed (invented)"), strings.Contains(b.String(), "<script src"))
	// Output:
	// true false
}

// A table for a spreadsheet: of each mark its run, element and station.
func ExampleOptions_CSV() {
	var b strings.Builder
	if err := (sheet.Options{}).CSV(&b, frontEave()); err != nil {
		fmt.Println(err)
	}
	for line := range strings.Lines(b.String()) {
		if f := strings.Split(line, ","); f[0] == "mark" {
			fmt.Println(strings.Join(f[:10], ","))
		}
	}
	// Output:
	// mark,front,,eave,screws,screw,run,1,1,2
	// mark,front,,eave,screws,screw,run,1,2,12
	// mark,front,,eave,screws,screw,run,1,3,22
}

// What several jobs take together.
func ExampleTakeoff() {
	sum, err := detail.AddUp(context.Background(), frontEave(), frontEave())
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := sheet.Takeoff(os.Stdout, sum); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Jobs:    Shed (invented); Shed (invented)
	// Details: Shed (invented)
	//          sha256:cbabe82e3dd1
	//
	// Takeoff
	// --------------------------------------------------------------------------------
	// Item            Net  Waste  Gross          Order
	// pan-head screw    6      0      6  1 pack of 100
	//
	// Lengths to the next sixteenth up; the order by the exact ones.
	//
	// Where it goes
	// --------------------------------------------------------------------------------
	//
	// pan-head screw
	//   Shed (invented)
	//     eave.screws: 3 on front
	//     eave.screws: 3 on front
	//
	// Cautions
	// --------------------------------------------------------------------------------
	//   - Work 6 ft or more above a lower level needs fall protection (29 CFR
	//     1926.501).
	//   - Cut metal edges are sharp: wear gloves, and eye protection when drilling or
	//     cutting.
	//   - Sweep up drill shavings at once: they rust and stain.
	//   - This layout follows the firm's rule book. The panel maker's instructions,
	//     the local code and an engineer's design for wind and snow come first.
}
