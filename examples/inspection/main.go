// Command inspection shows how a host inspects a roof: it reads a rule book, a job and what an inspector measured, and
// says what fails, what mends it and what is still to be measured. All of it is invented.
package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"os"
	"strings"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

const book = `book "Boathouse details (invented)" { mark 1/16 in }
item screw "No. 10 x 1 in pan-head screw" { pack 100 }
detail closure "Closure under the cap" for edge peak {
  row screws of screw in each panel {
    spacing <= 5 in            because "the tape seals only where it is squeezed"
    clear   >= 1 in from rib
  }
  caution "Sweep up drill shavings at once."
}`

const job = `{"name": "Boathouse (invented)", "runs": [{"id": "high side", "edge": "peak", "length": "54 in", "slope": "3:12",
  "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"}, "panels": {"first": "18 in"}}]}`

// A table as an inspector's tape and a spreadsheet give it: two panels of three.
const measured = `run,detail,element,scope,at
high side,closure,screws,1,2 1/4 in
high side,closure,screws,1,6 3/4 in
high side,closure,screws,1,11 1/4 in
high side,closure,screws,1,15 3/4 in
high side,closure,screws,2,20 1/4 in
high side,closure,screws,2,24 3/4 in
high side,closure,screws,2,33 3/4 in
`

func main() {
	if err := run(os.Stdout); err != nil {
		log.Fatal(err)
	}
}

func run(w io.Writer) error {
	rulebook, findings, err := rules.Load(fstest.MapFS{"house.rules": {Data: []byte(book)}}, "house.rules")
	if err != nil {
		return err
	}
	if err := findings.Err(); err != nil {
		return err
	}
	roof, err := detail.ReadJob(strings.NewReader(job))
	if err != nil {
		return err
	}
	tape, err := detail.Options{}.ReadMeasuredCSV(strings.NewReader(measured))
	if err != nil {
		return err
	}
	tape.Tolerance = units.MustParse("1/8 in")
	in, err := detail.Inspect(context.Background(), rulebook, roof, tape)
	if err != nil {
		return err
	}
	for _, v := range in.Report.Violations {
		fmt.Fprintf(w, "%s: %s, off by %s (%s, %s)\n", v.Severity, v.Message(units.In), v.By.In(units.In), v.Rule, v.Span)
		if v.Because != "" {
			fmt.Fprintf(w, "  because %s\n", v.Because)
		}
	}
	for _, m := range in.Mends {
		if len(m.Add) > 0 {
			fmt.Fprintf(w, "%s %d of %s: add %s at %v\n", m.Scope.Kind, m.Scope.N, m.Run, m.Element, m.Add)
		}
	}
	for _, u := range in.Unmeasured {
		fmt.Fprintf(w, "not measured: %s of %s in %s %v\n", u.Element, u.Run, u.Kind, u.Scopes)
	}
	for _, c := range in.Report.Cautions {
		fmt.Fprintf(w, "caution: %s\n", c)
	}
	return nil
}
