package main

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/units"
)

// inspect holds what was measured on a finished roof against the rules.
func (h host) inspect(ctx context.Context, args []string) int {
	flags := h.flags("inspect -rules F -job F -measured F [-tolerance L] [-format text|json|sarif|svg|html] [-unit in|ft|mm] [-columns N] [-o F]")
	rulesFile := flags.String("rules", "", "the rule `file`")
	jobFile := flags.String("job", "", "the job `file`")
	measuredFile := flags.String("measured", "",
		"the `file` of measurements: JSON, or a table where its name ends in .csv")
	tolerance := flags.String("tolerance", "",
		"what fails by no more than this `length` is advice, such as 1/8in; if not given, the measurements' own")
	format := flags.String("format", "text",
		"`text`, a sheet for the inspector, json, the exact findings, sarif, for a host of code, or a drawing or page of what was measured: svg, html")
	unitName := flags.String("unit", "in", "the `unit` of lengths: in, ft or mm")
	columns := flags.Int("columns", 80, "the sheet's `width`, from 40 up")
	output := flags.String("o", "-", "the `file` to write")
	if status, done := h.parse(flags, args); done {
		return status
	}
	unit, unitErr := units.ParseUnit(*unitName)
	standard := 0
	for _, name := range []string{*rulesFile, *jobFile, *measuredFile} {
		if name == "-" {
			standard++
		}
	}
	switch {
	case flags.NArg() > 0:
		return h.refuse("inspect takes no file but by its flags: what is %q?", flags.Arg(0))
	case *rulesFile == "" || *jobFile == "" || *measuredFile == "":
		return h.refuse("inspect needs -rules, -job and -measured")
	case standard > 1:
		return h.refuse("only one file can come from standard input")
	case !slices.Contains([]string{"text", "json", "sarif", "svg", "html"}, *format):
		return h.refuse("there is no -format %q: use text, json, sarif, svg or html", *format)
	case unitErr != nil || unit > units.MM:
		return h.refuse("there is no -unit %q: use in, ft or mm", *unitName)
	case *columns < 40:
		return h.refuse("-columns is %d: a sheet is at least 40 wide", *columns)
	}
	book, _ := h.load(place(*rulesFile))
	if book == nil {
		return unusable
	}
	job, ok := h.job(place(*jobFile))
	if !ok {
		return unusable
	}
	measured, ok := h.measured(place(*measuredFile))
	if !ok {
		return unusable
	}
	if *tolerance != "" {
		var err error
		if measured.Tolerance, err = units.Parse(bare(*tolerance)); err != nil {
			return h.refuse("-tolerance: %v", err)
		}
	}
	in, err := detail.Inspect(ctx, book, job, measured)
	if ctx.Err() != nil {
		return h.refuse("interrupted")
	}
	if err != nil {
		return h.refuseAt(place(*measuredFile).name, err)
	}
	var out bytes.Buffer
	options := sheet.Options{Columns: *columns, Unit: unit}
	drawn := *in.Report // under a name that no one takes for a layout to build by
	drawn.Job = strings.TrimSpace(drawn.Job + " as measured: what is not drawn was not measured")
	switch *format {
	case "json":
		err = in.WriteJSON(&out, unit)
	case "sarif":
		findings := in.Diagnostics(unit)
		place(*rulesFile).rename(findings)
		err = findings.SARIF(&out)
	case "svg":
		err = options.SVG(&out, &drawn)
	case "html":
		err = options.HTML(&out, &drawn)
	default:
		err = options.Inspection(&out, in)
	}
	if err != nil {
		return h.refuse("%v", err)
	}
	if err := h.write(*output, out.Bytes()); err != nil {
		return h.refuse("%v", err)
	}
	if n := broken(in.Report); n > 0 {
		fmt.Fprintf(h.stderr, "lapwright: rules that must hold are broken in %d places\n", n)
		return failed
	}
	return well
}

// measured reads measurements and says what is wrong with them.
func (h host) measured(p source) (*detail.Measured, bool) {
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
	read := detail.ReadMeasured
	if strings.HasSuffix(strings.ToLower(p.base), ".csv") {
		read = detail.Options{}.ReadMeasuredCSV
	}
	m, err := read(f)
	if err != nil {
		h.refuseAt(p.name, err)
		return nil, false
	}
	return m, true
}
