package detail_test

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
)

// must is for what is known to be right.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// peak is a job of one high side, 54 in long, with three panels.
func peak() *detail.Job {
	return must(detail.ReadJob(strings.NewReader(`{"name": "Boathouse (invented)", "runs": [{
		"id": "peak", "edge": "peak", "length": "54 in", "slope": "3:12", "panels": {"first": "18 in"},
		"profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"}}]}`)))
}

// Rules that can't all be kept are told: where, by how much, and which lines stand against each other.
func ExampleLay_conflict() {
	book := shed(`
detail closure for edge peak {
	row screws in each panel {
		spacing <= 5 in
		count   <= 3
		clear   >= 1 1/2 in from rib
	}
}`)
	report := must(detail.Lay(context.Background(), book, peak()))
	v := report.Violations[0]
	fmt.Println(v.Severity, v.Rule, "in", v.Scope.Kind, v.Scope.N, "off by", v.By.In(units.In))
	fmt.Println(v.Message(units.In))
	for _, c := range v.Conflict {
		fmt.Println(" ", c.Span, c.Rule)
	}
	// Output:
	// must closure.screws.spacing in panel 1 off by 0.5 in
	// screws in panel 1 of run peak: the distance from the end (half the spacing) is 3 in, required <= 2.5 in
	//   shed.rules:4:3 closure.screws.spacing
	//   shed.rules:5:3 closure.screws.count
}

// A host stops a layout by its context.
func ExampleLay_stopped() {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := detail.Lay(ctx, closures(), peak())
	fmt.Println(errors.Is(err, context.Canceled))
	// Output: true
}
