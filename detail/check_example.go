package detail

import (
	"context"
	"fmt"
	"io/fs"
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// example reports an example that is laid and lays nothing, so that hardly anything it expects can fail. One that
// can't be laid is for Examples to report.
func (c *checker) example(ctx context.Context, fsys fs.FS, ex *rules.ExampleDecl) error {
	if ex.On != nil && ex.On.Job != "" && fsys == nil {
		return nil
	}
	job, err := exampleJob(fsys, ex)
	if err != nil {
		return nil
	}
	rep, err := Lay(ctx, c.book, job)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil || len(rep.Marks)+len(rep.Pieces)+len(rep.Strips)+len(rep.Beads) > 0:
		return nil
	}
	c.in = ex.Span
	d := rules.Diagnostic{
		Severity:   rules.Warning,
		Code:       rules.CodeLaysNothing,
		Summary:    fmt.Sprintf("the example %q lays nothing", ex.Name),
		Suggestion: "lay it on a run on which its elements stand",
	}
	if len(rep.Bare) == len(rep.Runs) {
		d.Detail = "No detail fits its run."
	}
	var skipped []part
	for _, s := range rep.Skipped {
		e := rep.Placements[s.Placement].Element
		if e.When == nil || s.When != rep.text(e.When.Pos()) || len(skipped) == maxTogether {
			continue
		}
		p := part{span: e.When.Pos(), role: fmt.Sprintf("this leaves `%s` out", e.Name)}
		if !slices.ContainsFunc(skipped, func(o part) bool { return o.span == p.span }) {
			skipped = append(skipped, p)
		}
	}
	c.report(d, part{span: ex.Span}, skipped)
	return nil
}
