package main

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/units"
)

// The demonstration: invented details and an invented job.
const (
	demoRules = "boathouse.rules"
	demoJob   = "boathouse.json"
)

//go:embed demo
var demo embed.FS

// layout lays a job out and writes the report.
func (h host) layout(ctx context.Context, args []string) int {
	flags := h.flags("layout [-rules F -job F] [-format text|json|svg|html|csv] [-unit in|ft|mm] [-only ID] [-columns N] [-o F]")
	rulesFile := flags.String("rules", "", "the rule `file`")
	jobFile := flags.String("job", "", "the job `file`")
	format := flags.String("format", "text", "`text`, html or svg, a sheet for the crew; csv, for a spreadsheet; json, the exact report")
	unitName := flags.String("unit", "in", "the `unit` of lengths: in, ft or mm")
	only := flags.String("only", "", "in svg, the `id` of the run or plane to draw alone")
	columns := flags.Int("columns", 80, "the sheet's `width`, from 40 up")
	output := flags.String("o", "-", "the `file` to write")
	if status, done := h.parse(flags, args); done {
		return status
	}
	unit, unitErr := units.ParseUnit(*unitName)
	switch {
	case flags.NArg() > 0:
		return h.refuse("layout takes no file but by its flags: what is %q?", flags.Arg(0))
	case (*rulesFile == "") != (*jobFile == ""):
		return h.refuse("layout needs -rules and -job, or neither of them for the demonstration")
	case *rulesFile == "-" && *jobFile == "-":
		return h.refuse("the rules and the job can't both come from standard input")
	case !slices.Contains([]string{"text", "json", "svg", "html", "csv"}, *format):
		return h.refuse("there is no -format %q: use text, json, svg, html or csv", *format)
	case *only != "" && *format != "svg":
		return h.refuse("-only is for svg: a %s sheet shows all", *format)
	case unitErr != nil || unit > units.MM:
		return h.refuse("there is no -unit %q: use in, ft or mm", *unitName)
	case *columns < 40:
		return h.refuse("-columns is %d: a sheet is at least 40 wide", *columns)
	}

	rulesPlace, jobPlace := place(*rulesFile), place(*jobFile)
	if *rulesFile == "" {
		rulesPlace, jobPlace = embedded(demoRules), embedded(demoJob)
	}
	book, _ := h.load(rulesPlace)
	if book == nil {
		return unusable
	}
	job, ok := h.job(jobPlace)
	if !ok {
		return unusable
	}
	report, err := detail.Lay(ctx, book, job)
	if ctx.Err() != nil {
		return h.refuse("interrupted")
	}
	if err != nil {
		return h.refuseAt(jobPlace.name, err)
	}

	var out bytes.Buffer
	options := sheet.Options{Columns: *columns, Unit: unit, Only: *only}
	switch *format {
	case "json":
		err = report.WriteJSON(&out, unit)
	case "svg":
		err = options.SVG(&out, report)
	case "html":
		err = options.HTML(&out, report)
	case "csv":
		err = options.CSV(&out, report)
	default:
		err = options.Text(&out, report)
	}
	if err != nil {
		return h.refuse("%v", err)
	}
	if err := h.write(*output, out.Bytes()); err != nil {
		return h.refuse("%v", err)
	}
	return h.met(broken(report))
}

// broken counts the violations that are no mere advice.
func broken(r *detail.Report) int {
	n := r.UnlistedMust
	for _, v := range r.Violations {
		if v.Severity == "must" {
			n++
		}
	}
	return n
}

// job reads a job and says what is wrong with it.
func (h host) job(p source) (*detail.Job, bool) {
	in, err := p.open(h.stdin)
	if err != nil {
		h.refuse("%v", err)
		return nil, false
	}
	defer in.Close()
	f, err := in.Open(p.base)
	if err != nil {
		h.refuse("%v", plain(p.name, err))
		return nil, false
	}
	defer f.Close()
	job, err := detail.ReadJob(f)
	if err != nil {
		h.refuseAt(p.name, err)
		return nil, false
	}
	return job, true
}

// refuseAt says what is wrong with a job, one line for each thing.
func (h host) refuseAt(name string, err error) int {
	var faults *detail.JobErrors
	if !errors.As(err, &faults) {
		return h.refuse("%v", err)
	}
	for line := range strings.Lines(faults.Error()) {
		fmt.Fprintf(h.stderr, "%s:%s\n", name, strings.TrimSuffix(line, "\n"))
	}
	return unusable
}
