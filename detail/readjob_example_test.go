package detail_test

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func ExampleReadJob() {
	job, err := detail.ReadJob(strings.NewReader(`{
	  "name": "Boathouse",
	  "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"},
	  "runs": [{"id": "peak-1", "edge": "peak", "length": "31 ft 4 in", "slope": "3:12", "panels": {"first": "7 in"}}]
	}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	run := job.Runs[0]
	fmt.Println(run.ID, run.Length, run.Sides[0].Slope, len(run.Sides[0].Ribs), "ribs")
	// Output: peak-1 376 in 3:12 21 ribs
}

func ExampleReadJob_errors() {
	_, err := detail.ReadJob(strings.NewReader(`{"runs": [
	  {"id": "peak-1", "edge": "peak", "lenght": "31 ft 4 in", "slope": "3:12"},
	  {"id": "peak-2", "edge": "peak", "length": 376, "slope": "3:12"}
	]}`))
	var wrong *detail.JobErrors
	if errors.As(err, &wrong) {
		for _, e := range wrong.List {
			fmt.Printf("line %d, %s: %s (%s?)\n", e.Line, e.Pointer, e.Msg, e.Suggestion)
		}
	}
	// Output:
	// line 2, /runs/0/lenght: a run has no key "lenght" (length?)
	// line 3, /runs/1/length: a number where a length is wanted: write it with its unit, such as "16 in", "10 ft 6 1/2 in" or "400 mm" (?)
}

func ExampleOptions_ReadJob() {
	small := detail.Options{Limits: detail.Limits{JobBytes: 8}}
	_, err := small.ReadJob(strings.NewReader(`{"runs": []}`))
	fmt.Println(err, errors.Is(err, detail.ErrLimit))
	// Output: too many bytes in the job: the limit is 8, and a host raises it by detail.Limits.JobBytes true
}

// A host that has its roofs in types of its own needs no JSON.
func ExampleJob() {
	slope, err := units.ParseSlope("3:12")
	if err != nil {
		fmt.Println(err)
		return
	}
	eave, err := geom.NewRun(geom.Spec{
		ID: "eave-1", Edge: "eave", Length: units.MustParse("20 ft"),
		Sides: []geom.SideSpec{{Slope: slope}},
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	job := detail.Job{
		Name: "Boathouse",
		Runs: []*geom.Run{eave},
		Uses: []detail.Use{{Detail: "drip_edge", Runs: []string{"eave-1"}, Inputs: []detail.Input{{Name: "lap", Value: "2 in"}}}},
	}
	fmt.Println(job.Runs[0].ID, job.Uses[0].Detail)
	// Output: eave-1 drip_edge
}

func ExampleReport_WriteJSON() {
	report := &detail.Report{Job: "Boathouse", Bare: []string{"eave-1"}}
	var b strings.Builder
	if err := report.WriteJSON(&b, units.In); err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(b.String()) {
		if strings.Contains(line, "job") || strings.Contains(line, "bare") {
			fmt.Fprint(os.Stdout, line)
		}
	}
	// Output:
	//   "job": "Boathouse",
	//   "bare": ["eave-1"],
}
