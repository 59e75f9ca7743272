package rules_test

import (
	"errors"
	"fmt"
	"os"
	"testing/fstest"

	"github.com/lapwright/lapwright/rules"
)

// Format gives a rule file its one true form, and keeps each comment where it was meant.
func ExampleOptions_Format() {
	out, findings := rules.Options{}.Format("shed.rules", []byte("detail eave \"Eave\" for edge eave{ row screws along run{spacing<=10 in # as ever\n} }"))
	if findings.HasErrors() {
		fmt.Println(findings.Err())
		return
	}
	os.Stdout.Write(out)
	// Output:
	// detail eave "Eave" for edge eave {
	//   row screws along run {
	//     spacing <= 10 in  # as ever
	//   }
	// }
}

// A book that includes another reads both from the file system that the host gives, and nothing outside it.
func ExampleLoad_include() {
	files := fstest.MapFS{
		"base.rules": {Data: []byte(`book "Base (invented)" {}
detail eave "Eave" for edge eave { row screws along run { spacing <= 10 in } }`)},
		"house.rules": {Data: []byte(`include "base.rules"
book "House (invented)" {}
detail tight "Eave by the lake" extends eave { row screws { spacing <= 8 in } }`)},
	}
	book, findings, err := rules.Load(files, "house.rules")
	fmt.Println(book != nil, findings.Err(), err)

	delete(files, "base.rules")
	_, _, err = rules.Load(files, "house.rules")
	fmt.Println(err)
	// Output:
	// true <nil> <nil>
	// house.rules:1:1: open base.rules: file does not exist
}

// Limits bound what a stranger's file may cost.
func ExampleOptions_Load() {
	small := rules.Options{Limits: rules.Limits{FileBytes: 20}}
	_, findings, err := small.Load(fstest.MapFS{"house.rules": {Data: []byte(`book "House (invented)" { mark 1/16 in }`)}}, "house.rules")
	fmt.Println(errors.Is(err, rules.ErrLimit), findings, err)
	// Output:
	// true [] house.rules:1:1: the file is larger than 20 bytes; a host raises this limit by rules.Limits.FileBytes
}

// Diagnostics are data: a host shows them in its own way.
func ExampleDiagnostics() {
	_, findings, err := rules.Load(fstest.MapFS{"house.rules": {Data: []byte("book \"House (invented)\" {}\ndetail eave \"Eave\" for edge eave { row screws along run { spacng <= 10 in } }")}}, "house.rules")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range findings {
		fmt.Println(d.Start.Line, d.Start.Column, d.Severity, d.Code, d.Suggestion)
	}
	// Output:
	// 2 59 error unexpected-word did you mean `spacing`?
}
