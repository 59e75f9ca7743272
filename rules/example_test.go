package rules_test

import (
	"fmt"
	"os"
	"testing/fstest"

	"github.com/lapwright/lapwright/rules"
)

// A book is read from any file system: a folder, an embedded one, or texts in memory.
func ExampleLoad() {
	files := fstest.MapFS{"house.rules": {Data: []byte(`
		book "House" { edition "2026.1"  mark 1/16 in }
		item screw "flat-head screw" { pack 250 }
		detail cleat "Cleat" for edge peak {
			row screws of screw along run { spacing <= 10 in  end <= 3 in }
		}`)}}
	book, findings, err := rules.Load(files, "house.rules")
	if err != nil || findings.Err() != nil {
		fmt.Println(err, findings.Err())
		return
	}
	for _, e := range book.Detail("cleat").Elements {
		for _, r := range e.Rules {
			fmt.Println(r.ID)
		}
	}
	// Output:
	// cleat.screws.spacing
	// cleat.screws.end
}

// A diagnostic is data; drawn, it shows the line, and the word that was meant.
func ExampleDiagnostic_Draw() {
	src := []byte("item screw \"screw\" { pack 250 }\n" +
		"detail cleat \"Cleat\" for edge peak {\n" +
		"  row screws of srew along run { spacing <= 10 in }\n" +
		"}\n")
	_, findings, err := rules.Load(fstest.MapFS{"house.rules": {Data: src}}, "house.rules")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range findings {
		if err := d.Draw(os.Stdout, func(string) []byte { return src }); err != nil {
			fmt.Println(err)
		}
	}
	// Output:
	// house.rules:3:17: error[unknown-name]: there is no item `srew`
	//     3 |   row screws of srew along run { spacing <= 10 in }
	//       |                 ^^^^
	//   help: did you mean `screw`?
}

// An editor loads on each keystroke; what has not changed is not read again.
func ExampleReloader() {
	var reloader rules.Reloader
	for _, pack := range []string{"100", "250"} {
		files := fstest.MapFS{"a.rules": {Data: []byte("item screw \"screw\" { pack " + pack + " }\n" +
			"detail eave for edge eave { row screws of screw along run { spacing <= 10 in } }\n")}}
		book, findings, err := reloader.Load(files, "a.rules")
		if err != nil || findings.Err() != nil {
			panic("not a book")
		}
		fmt.Println(book.Items[0].Pack)
	}
	// Output:
	// 100
	// 250
}
