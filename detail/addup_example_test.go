package detail_test

import (
	"context"
	"fmt"
	"strings"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// AddUp buys for two jobs together: the pieces of both are cut from the fewest stock lengths, after what is left over.
func ExampleAddUp() {
	book, _, err := rules.Load(fstest.MapFS{"eave.rules": {Data: []byte(`
item trim "eave trim" { stock 10 ft  kerf 1/8 in }
detail eave for edge eave { pieces trim of trim along run { lap >= 2 in } }`)}}, "eave.rules")
	if err != nil {
		fmt.Println(err)
		return
	}
	var reports []*detail.Report
	for _, text := range []string{
		`{"name": "shed", "runs": [{"id": "eave", "edge": "eave", "length": "15 ft", "slope": "3:12"}]}`,
		`{"name": "porch", "runs": [{"id": "eave", "edge": "eave", "length": "4 ft 6 in", "slope": "3:12"}],
		  "stock": [{"item": "trim", "length": "3 ft"}]}`,
	} {
		job, err := detail.ReadJob(strings.NewReader(text))
		if err != nil {
			fmt.Println(err)
			return
		}
		report, err := detail.Lay(context.Background(), book, job)
		if err != nil {
			fmt.Println(err)
			return
		}
		reports = append(reports, report)
	}
	sum, err := detail.AddUp(context.Background(), reports...)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, q := range sum.Lines {
		fmt.Println(q.Item.Title, q.Packs, "of", q.Pack, q.Unit)
		for _, p := range q.From {
			fmt.Println(" ", p.Job, p.Detail.Name+"."+p.Element.Name, p.Runs, p.Net, q.Unit)
		}
	}
	for _, c := range sum.Cuts {
		fmt.Println(c.Times, "x", c.Stock, c.Lengths, "left over", c.Offcut)
	}
	for _, s := range sum.Leftovers {
		fmt.Println("keep", s.Count, "x", s.Length)
	}
	// Output:
	// eave trim 2 of 120 in
	//   shed eave.trim [eave] 182 in
	//   porch eave.trim [eave] 54 in
	// 1 x 120 in [120 in] left over 0 in
	// 1 x 120 in [62 in 54 in] left over 3.75 in
	// keep 1 x 36 in
}
