package main

import (
	"bytes"
	"context"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/units"
)

// names are the values of a flag that may be given more than once.
type names []string

func (f *names) String() string { return "" }

func (f *names) Set(name string) error {
	*f = append(*f, name)
	return nil
}

// takeoff adds up what any number of jobs take.
func (h host) takeoff(ctx context.Context, args []string) int {
	flags := h.flags("takeoff -rules F -job F [-job F …] [-format text|json] [-unit in|ft|mm] [-columns N] [-o F]")
	rulesFile := flags.String("rules", "", "the rule `file`")
	var jobFiles names
	flags.Var(&jobFiles, "job", "a job `file`; may be given more than once")
	format := flags.String("format", "text", "`text`, a sheet for the buyer and the shop, or json, the exact takeoff")
	unitName := flags.String("unit", "in", "the `unit` of lengths in json: in, ft or mm")
	columns := flags.Int("columns", 80, "the sheet's `width`, from 40 up")
	output := flags.String("o", "-", "the `file` to write")
	if status, done := h.parse(flags, args); done {
		return status
	}
	unit, unitErr := units.ParseUnit(*unitName)
	standard := 0
	for _, name := range append(names{*rulesFile}, jobFiles...) {
		if name == "-" {
			standard++
		}
	}
	switch {
	case flags.NArg() > 0:
		return h.refuse("takeoff takes no file but by its flags: write -job before %q", flags.Arg(0))
	case *rulesFile == "" || len(jobFiles) == 0:
		return h.refuse("takeoff needs -rules and at least one -job")
	case standard > 1:
		return h.refuse("only one file can come from standard input")
	case *format != "text" && *format != "json":
		return h.refuse("there is no -format %q: use text or json", *format)
	case unitErr != nil || unit > units.MM:
		return h.refuse("there is no -unit %q: use in, ft or mm", *unitName)
	case *columns < 40:
		return h.refuse("-columns is %d: a sheet is at least 40 wide", *columns)
	}
	book, _ := h.load(place(*rulesFile))
	if book == nil {
		return unusable
	}
	var reports []*detail.Report
	musts := 0
	for _, name := range jobFiles {
		job, ok := h.job(place(name))
		if !ok {
			return unusable
		}
		report, err := detail.Lay(ctx, book, job)
		if ctx.Err() != nil {
			return h.refuse("interrupted")
		}
		if err != nil {
			return h.refuseAt(place(name).name, err)
		}
		reports = append(reports, report)
		musts += broken(report)
	}
	total, err := detail.AddUp(ctx, reports...)
	if ctx.Err() != nil {
		return h.refuse("interrupted")
	}
	if err != nil {
		return h.refuse("%v", err)
	}
	var out bytes.Buffer
	if *format == "json" {
		err = total.WriteJSON(&out, unit)
	} else {
		err = sheet.Options{Columns: *columns}.Takeoff(&out, total)
	}
	if err == nil {
		err = h.write(*output, out.Bytes())
	}
	if err != nil {
		return h.refuse("%v", err)
	}
	return h.met(musts)
}

// met says how many rules are broken, if any, and is the exit status.
func (h host) met(musts int) int {
	if musts == 0 {
		return well
	}
	h.refuse("not all can be met; rules that must hold are broken in %d places", musts)
	return failed
}
