package main

import (
	"encoding/xml"
	"io"
	"strings"
)

// The elements of a JUnit report that build servers read.
type (
	junitSuites struct {
		XMLName  xml.Name     `xml:"testsuites"`
		Tests    int          `xml:"tests,attr"`
		Failures int          `xml:"failures,attr"`
		Errors   int          `xml:"errors,attr"`
		Suites   []junitSuite `xml:"testsuite"`
	}
	junitSuite struct {
		Name     string      `xml:"name,attr"`
		Tests    int         `xml:"tests,attr"`
		Failures int         `xml:"failures,attr"`
		Errors   int         `xml:"errors,attr"`
		Cases    []junitCase `xml:"testcase"`
	}
	junitCase struct {
		Class   string        `xml:"classname,attr"`
		Name    string        `xml:"name,attr"`
		File    string        `xml:"file,attr"`
		Line    int           `xml:"line,attr"`
		Failure *junitFailure `xml:"failure"`
		Error   *junitFailure `xml:"error"`
	}
	junitFailure struct {
		Message string `xml:"message,attr"`
		Text    string `xml:",chardata"`
	}
)

// writeJUnit writes the results as a build server reads them: a failure is an expectation that doesn't hold, an error
// an example that could not be laid.
func writeJUnit(w io.Writer, suites []suite) error {
	all := junitSuites{}
	for _, s := range suites {
		out := junitSuite{Name: s.name, Tests: len(s.results)}
		for i := range s.results {
			r := &s.results[i]
			at := r.Example.Pos()
			c := junitCase{Class: s.book.Name, Name: r.Example.Name, File: at.File, Line: at.Start.Line}
			switch {
			case r.Err != nil:
				out.Errors++
				c.Error = &junitFailure{r.Err.Error(), strings.ToValidUTF8(r.Text(), "\uFFFD")}
			case !r.OK():
				out.Failures++
				c.Failure = &junitFailure{r.Failures[0].Expected, strings.ToValidUTF8(r.Text(), "\uFFFD")}
			}
			out.Cases = append(out.Cases, c)
		}
		all.Tests, all.Failures, all.Errors = all.Tests+out.Tests, all.Failures+out.Failures, all.Errors+out.Errors
		all.Suites = append(all.Suites, out)
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(all); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}
