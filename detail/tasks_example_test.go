package detail_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// shed is a book of one detail for an eave, invented.
func shed(text string) *rules.Book {
	book, findings, err := rules.Load(fstest.MapFS{"shed.rules": {Data: []byte(text)}}, "shed.rules")
	if err == nil {
		err = findings.Err()
	}
	if err != nil {
		panic(err)
	}
	return book
}

const (
	eaveRules = `book "Shed (invented)" { edition "1" mark 1/16 in }
item trim "eave trim" { stock 10 ft }
detail eave "Eave" for edge eave {
  input tight: length = 10 in where tight >= 4 in
  row screws along run { spacing <= tight  end <= 2 in }
  pieces trim of trim along run { lap >= 2 in  length >= 24 in }
}
example "a short eave" {
  on edge eave length 3 ft slope 3:12
  lay eave
  expect count of screws = 5
}`
	eaveJob = `{"name": "Shed (invented)", "runs": [{"id": "front", "edge": "eave", "length": "3 ft", "slope": "3:12"}]}`
)

func shedJob() *detail.Job {
	job, err := detail.ReadJob(strings.NewReader(eaveJob))
	if err != nil {
		panic(err)
	}
	return job
}

// An inspection holds what a tape found against the rules; what differs from the drawn layout and keeps them is fine.
func ExampleInspect() {
	measured, err := detail.ReadMeasured(strings.NewReader(`{"tolerance": "1/8 in", "measured": [
		{"run": "front", "detail": "eave", "element": "screws", "at": ["1 in", "10 in", "22 in", "31 in", "35 in"]}]}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	in, err := detail.Inspect(context.Background(), shed(eaveRules), shedJob(), measured)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range in.Report.Violations {
		fmt.Println(v.Message(units.In))
	}
	for _, m := range in.Mends {
		fmt.Println("add at", m.Add)
	}
	// Output:
	// screws in run front: spacing is 12 in, required <= 10 in
	// add at [16 in]
}

// Measurements come from a spreadsheet too.
func ExampleOptions_ReadMeasuredCSV() {
	const head = "run,detail,element,scope,at\n"
	table := head + "front,eave,screws,1,1 in\nfront,eave,screws,1,10 in\n"
	m, err := detail.Options{}.ReadMeasuredCSV(strings.NewReader(table))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range m.List {
		fmt.Println(x.Run, x.Element, x.At)
	}
	_, err = detail.Options{}.ReadMeasuredCSV(strings.NewReader(head + "front,eave,screws,1,10\n"))
	fmt.Println(err)
	// Output:
	// front screws [1 in 10 in]
	// 2:21: at: length "10": a unit is missing at the end: write in, ft, mm, cm or m after the number
}

// Where along a range of lengths can a detail be built?
func ExampleOptions_Sweep() {
	report, err := detail.Options{}.Sweep(context.Background(), shed(eaveRules), detail.SweepSpec{
		Detail: "eave", Along: detail.SweepAxis{Of: "length"}, From: "12 in", To: "36 in",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range report.Lines[0].Ranges {
		fmt.Println(r.From, "to", r.To, r.Verdict)
	}
	// Output:
	// { 12 in } to { 24 in } rules conflict
	// { 24 in } to { 36 in } can be built
}

// Compare says what a new edition changes on the jobs at hand.
func ExampleOptions_Compare() {
	next := shed(strings.Replace(eaveRules, "= 10 in where", "= 6 in where", 1))
	c, err := detail.Options{}.Compare(context.Background(), shed(eaveRules), next, []*detail.Job{shedJob()})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range c.Jobs[0].Elements {
		fmt.Println(e.Element, e.Old, "to", e.New)
	}
	// Output:
	// screws 5 to 7
}

// Coverage says which lines of a book its worked examples never saw.
func ExampleOptions_Coverage() {
	uses, err := detail.Options{}.Coverage(context.Background(), nil, shed(eaveRules))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, u := range uses {
		fmt.Println(u.Rule, "exercised", u.Exercised, "binding", u.Binding, "violated", u.Violated)
	}
	// Output:
	// eave.screws.spacing exercised true binding true violated false
	// eave.screws.end exercised true binding true violated false
	// eave.trim.lap exercised true binding false violated false
	// eave.trim.length exercised true binding false violated false
}

// Check finds what can never hold together, on any roof.
func ExampleCheck() {
	book := shed(`book "Shed (invented)" {}
detail eave "Eave" for edge eave { row screws along run { spacing <= 4 in  spacing >= 6 in  count >= 2 } }`)
	findings, err := detail.Check(context.Background(), nil, book)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range findings {
		fmt.Println(d.Code, "in line", d.Start.Line)
	}
	// Output:
	// contradiction in line 2
	// contradiction in line 2
}

// A limit that is reached says which, and how it is raised.
func ExampleLimits() {
	small := detail.Options{Limits: detail.Limits{Marks: 3}}
	_, err := small.Lay(context.Background(), shed(eaveRules), shedJob())
	fmt.Println(errors.Is(err, detail.ErrLimit), err)
	// Output:
	// true too many marks and pieces in a report: the limit is 3, and a host raises it by detail.Limits.Marks
}

// A context that ends stops the work.
func ExampleOptions_Lay() {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := detail.Options{}.Lay(ctx, shed(eaveRules), shedJob())
	fmt.Println(errors.Is(err, context.Canceled))
	// Output:
	// true
}

// A result is walked without a copy: marks of a scope stand together.
func ExampleReport() {
	report, err := detail.Lay(context.Background(), shed(eaveRules), shedJob())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range report.Scopes {
		p := report.Placements[s.Placement]
		if p.Element.Kind != rules.Row {
			continue // its pieces, strips or beads are report.Pieces[s.First:s.Last], and so on
		}
		for _, m := range report.Marks[s.First:s.Last] {
			fmt.Println(p.Element.Name, m.At)
		}
	}
	for _, c := range report.Pieces {
		fmt.Println("a piece from", c.From, "to", c.To)
	}
	// Output:
	// screws 2 in
	// screws 10 in
	// screws 18 in
	// screws 26 in
	// screws 34 in
	// a piece from 0 in to 36 in
}
