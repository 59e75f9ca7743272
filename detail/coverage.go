package detail

import (
	"cmp"
	"context"
	"io/fs"
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// A RuleUse says what the worked examples of a book have seen of one line of it.
type RuleUse struct {
	Rule      string // its ID, in the first detail that it stands in
	Span      rules.Span
	Require   bool // a requirement, which is never binding
	Exercised bool // it took part where an example was laid
	Binding   bool // without it an example would be laid otherwise
	Violated  bool // an example saw it broken
}

// Coverage finds which lines of a book its worked examples exercise, make binding and see violated. It lists each rule
// and requirement of the book once, in the order of the files, also where details take it from one another. Examples
// that can't be laid are left out. An error means that the context ended.
func (o Options) Coverage(ctx context.Context, fsys fs.FS, book *rules.Book) ([]RuleUse, error) {
	uses, at := linesOf(book)
	type laid struct {
		job    *Job
		report *Report
		took   map[rules.Span]bool
	}
	var examples []laid
	for _, ex := range book.Examples {
		job, err := exampleJob(fsys, ex)
		if err != nil {
			continue
		}
		o.took = map[rules.Node]bool{}
		report, err := o.Lay(ctx, book, job)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			continue
		}
		one := laid{job, report, map[rules.Span]bool{}}
		for n := range o.took {
			one.took[n.Pos()] = true
			uses[at[n.Pos()]].Exercised = true
		}
		for i := range report.Violations {
			if k, ok := at[report.Violations[i].Span]; ok {
				uses[k].Violated = true
			}
		}
		examples = append(examples, one)
	}
	o.took = nil
	for i := range uses {
		u := &uses[i]
		if u.Require || !u.Exercised {
			continue
		}
		without := bookWithout(book, u.Span)
		for _, ex := range examples {
			if u.Binding || !ex.took[u.Span] {
				continue
			}
			report, err := o.Lay(ctx, without, ex.job)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			u.Binding = err != nil || !ex.report.laidAs(report)
		}
	}
	return uses, nil
}

// linesOf lists the rules and requirements of a book by their places.
func linesOf(book *rules.Book) (uses []RuleUse, at map[rules.Span]int) {
	at = map[rules.Span]int{}
	files := map[string]int{}
	for i, f := range book.Files {
		files[f.Name] = i
	}
	for _, d := range book.Details {
		for _, q := range d.Requires {
			uses = append(uses, RuleUse{Rule: q.ID, Span: q.Span, Require: true})
		}
		for _, e := range d.Elements {
			for _, r := range e.Rules {
				uses = append(uses, RuleUse{Rule: r.ID, Span: r.Span})
			}
		}
	}
	slices.SortStableFunc(uses, func(a, b RuleUse) int {
		x, y := a.Span, b.Span
		return cmp.Or(cmp.Compare(files[x.File], files[y.File]), cmp.Compare(x.Start.Offset, y.Start.Offset))
	})
	uses = slices.CompactFunc(uses, func(a, b RuleUse) bool { return a.Span == b.Span })
	for i, u := range uses {
		at[u.Span] = i
	}
	return uses, at
}

// bookWithout is a book without the rule at a place, in every detail that has it.
func bookWithout(book *rules.Book, at rules.Span) *rules.Book {
	changed := *book
	changed.Details = slices.Clone(book.Details)
	here := func(r *rules.Rule) bool { return r.Span == at }
	for i, d := range changed.Details {
		for k, e := range d.Elements {
			if !slices.ContainsFunc(e.Rules, here) {
				continue
			}
			if changed.Details[i] == d {
				other := *d
				other.Elements = slices.Clone(d.Elements)
				changed.Details[i] = &other
			}
			element := *e
			element.Rules = slices.DeleteFunc(slices.Clone(e.Rules), here)
			changed.Details[i].Elements[k] = &element
		}
	}
	return &changed
}

// laidAs tells whether two reports of one job put everything in the same places.
func (r *Report) laidAs(other *Report) bool {
	return slices.Equal(r.Marks, other.Marks) && slices.Equal(r.Pieces, other.Pieces) &&
		slices.Equal(r.Strips, other.Strips) && slices.Equal(r.Beads, other.Beads)
}
