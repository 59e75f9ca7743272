package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
)

// compare says what a new edition of a book changes on some jobs.
func (h host) compare(ctx context.Context, args []string) int {
	flags := h.flags("compare -old F -new F -job F [-job F …] [-format text|json] [-o F]")
	oldFile := flags.String("old", "", "the rule `file` in force")
	newFile := flags.String("new", "", "the rule `file` to come")
	var jobFiles names
	flags.Var(&jobFiles, "job", "a job `file`; may be given more than once")
	format := flags.String("format", "text", "`text` for a reader, or json, exact")
	output := flags.String("o", "-", "the `file` to write")
	if status, done := h.parse(flags, args); done {
		return status
	}
	jobFiles = append(jobFiles, flags.Args()...)
	switch {
	case *oldFile == "" || *newFile == "" || len(jobFiles) == 0:
		return h.refuse("compare needs -old, -new and at least one -job")
	case *format != "text" && *format != "json":
		return h.refuse("there is no -format %q: use text or json", *format)
	}
	old, _ := h.load(place(*oldFile))
	new, _ := h.load(place(*newFile))
	if old == nil || new == nil {
		return unusable
	}
	var jobs []*detail.Job
	for _, name := range jobFiles {
		job, ok := h.job(place(name))
		if !ok {
			return unusable
		}
		jobs = append(jobs, job)
	}
	c, err := detail.Options{}.Compare(ctx, old, new, jobs)
	switch {
	case ctx.Err() != nil:
		return h.refuse("interrupted")
	case err != nil:
		return h.refuse("%v", err)
	}
	var out bytes.Buffer
	if *format == "json" {
		if err := c.WriteJSON(&out); err != nil {
			return h.refuse("%v", err)
		}
	} else {
		writeComparison(&out, c)
	}
	if err := h.write(*output, out.Bytes()); err != nil {
		return h.refuse("%v", err)
	}
	for _, j := range c.Jobs {
		if j.NewRefused != "" && j.OldRefused == "" {
			return failed
		}
		for _, v := range j.Come {
			if v.Severity == "must" {
				return failed
			}
		}
	}
	return well
}

// writeComparison writes what changes, in lines of at most 80 columns.
func writeComparison(b *bytes.Buffer, c *detail.Comparison) {
	edition := func(e detail.ComparedBook) string {
		digest := strings.TrimPrefix(e.Digest, "sha256:")
		return strings.TrimSpace(e.Edition + " (sha256 " + digest[:min(12, len(digest))] + ")")
	}
	writeWrapped(b, "", c.New.Name)
	writeWrapped(b, "  ", "edition "+edition(c.New)+" beside "+edition(c.Old))
	for _, j := range c.Jobs {
		fmt.Fprintln(b)
		writeWrapped(b, "", "JOB "+j.Job)
		for _, r := range []struct{ which, why string }{{"old", j.OldRefused}, {"new", j.NewRefused}} {
			if r.why != "" {
				writeWrapped(b, "  ", "The "+r.which+" edition can't lay it: "+r.why)
			}
		}
		if len(j.Elements)+len(j.Come)+len(j.Gone) == 0 && j.OldRefused+j.NewRefused == "" {
			fmt.Fprintln(b, "  nothing changes")
		}
		for _, e := range j.Elements {
			where := "run " + e.Run
			if e.Side != "" {
				where += ", side " + e.Side
			}
			writeWrapped(b, "  ", fmt.Sprintf("%s.%s on %s: %d, was %d; %d moved, in %d places", e.Detail, e.Element, where,
				e.New, e.Old, e.Moved, e.Scopes))
			writeWrapped(b, "    ", "first "+e.First)
			writeLines(b, e.Lines)
		}
		writeViolations(b, "comes", j.Come)
		writeViolations(b, "goes", j.Gone)
	}
	fmt.Fprintln(b)
	if len(c.Takeoff) == 0 {
		fmt.Fprintln(b, "No quantity changes.")
		return
	}
	fmt.Fprintf(b, "%-20s %-10s %14s %14s %8s %8s\n", "All jobs", "unit", "net was", "now", "packs", "now")
	for _, q := range c.Takeoff {
		fmt.Fprintf(b, "%-20s %-10s %14s %14s %8s %8s\n", q.Item, q.Unit, q.OldNet, q.NewNet, q.OldPacks, q.NewPacks)
	}
}

// writeViolations writes violations that come or go; the lines behind them stand once after those of one rule.
func writeViolations(b *bytes.Buffer, what string, list []detail.ComparedViolation) {
	for i, v := range list {
		writeWrapped(b, "  ", what+": "+v.Severity+" "+v.Rule+" ("+v.At+"): "+v.Message)
		if i+1 == len(list) || list[i+1].Rule != v.Rule {
			writeLines(b, v.Lines)
		}
	}
}

// writeLines writes the lines of the rules behind a change.
func writeLines(b *bytes.Buffer, lines []detail.ComparedLine) {
	for _, l := range lines {
		if l.Old != "" {
			writeWrapped(b, "    ", "- "+l.Old+"  ("+l.OldAt+")")
		}
		if l.New != "" {
			writeWrapped(b, "    ", "+ "+l.New+"  ("+l.NewAt+")")
		}
	}
}

// writeWrapped writes a text in lines of at most 80 columns, as far as its words let it.
func writeWrapped(b *bytes.Buffer, indent, text string) {
	line := indent
	for _, word := range strings.Fields(text) {
		if len(line)+1+len(word) > 80 && strings.TrimSpace(line) != "" {
			fmt.Fprintln(b, line)
			line = indent + "  "
		}
		if strings.TrimSpace(line) != "" {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(b, line)
}
