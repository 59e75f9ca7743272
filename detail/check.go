package detail

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// maxTogether bounds the lines of one element, and the requirements of one detail, that are held against one another.
// Of more nothing is said.
const maxTogether = 40

// Check finds what is wrong with a book that Load takes, and shows only over all roofs or where an example is laid out:
// lines that can never hold together, conditions that never hold, a `should` that can never be kept or that a `must`
// covers, an example that lays nothing. What it reports is certain; it doesn't find everything. Job files that examples
// name are read from fsys, next to the rule file; where it is nil, examples on a job are not looked at.
//
// An error says that the context ended.
func Check(ctx context.Context, fsys fs.FS, book *rules.Book) (rules.Diagnostics, error) {
	c := &checker{book: book, files: map[string]int{}, said: map[string]bool{}}
	for i, f := range book.Files {
		c.files[f.Name] = i
	}
	for _, d := range book.Details {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c.detail(d)
	}
	for _, ex := range book.Examples {
		if err := c.example(ctx, fsys, ex); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(c.found, func(a, b rules.Diagnostic) int { return c.byPlace(a.Span, b.Span) })
	return c.found, nil
}

// A checker gathers what Check finds.
type checker struct {
	book  *rules.Book
	files map[string]int // a file's place in the order of reading
	found rules.Diagnostics
	said  map[string]bool // what is reported
	in    rules.Span      // the detail that is checked
}

// own tells whether a line stands in the detail that is checked, and not in one that it extends.
func (c *checker) own(p part) bool {
	return p.span.File == c.in.File && c.in.Start.Offset <= p.span.Start.Offset && p.span.End.Offset <= c.in.End.Offset
}

func (c *checker) byPlace(a, b rules.Span) int {
	return cmp.Or(cmp.Compare(c.files[a.File], c.files[b.File]), cmp.Compare(a.Start.Offset, b.Start.Offset))
}

// report adds a diagnostic at a line, with the others as places that take part, unless the same is reported already
// or is of the details extended alone, which report it themselves.
func (c *checker) report(d rules.Diagnostic, at part, others []part) {
	others = slices.Clone(others)
	slices.SortStableFunc(others, func(a, b part) int { return c.byPlace(a.span, b.span) })
	key := d.Code + " " + place(at.span)
	for _, p := range others {
		key += " " + place(p.span)
		d.Related = append(d.Related, rules.Related{Span: p.span, Text: p.role})
	}
	if c.said[key] || !c.own(at) && !slices.ContainsFunc(others, c.own) {
		return
	}
	c.said[key] = true
	d.Span = at.span
	c.found = append(c.found, d)
}

// contradiction reports parts that can never hold together, at the last of them that is a line of its own.
func (c *checker) contradiction(parts []part, summary, detail string) {
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b part) int { return c.byPlace(a.span, b.span) })
	last := len(parts) - 1
	for i, p := range parts {
		if p.rule != nil {
			last = i
		}
	}
	c.report(rules.Diagnostic{
		Code: rules.CodeContradiction, Summary: summary, Detail: detail,
		Suggestion: "change one of them, or give them conditions that never meet",
	}, parts[last], slices.Concat(parts[:last], parts[last+1:]))
}

// A part is a line that takes part in what is reported.
type part struct {
	span rules.Span
	role string // as another place's text
	rule *rules.Rule
	cond rules.Expr // a condition that is taken for given
}

// smallest drops parts, from the last on, as long as what is left still never holds.
func smallest(parts []part, never func([]part) bool) []part {
	for i := len(parts) - 1; i >= 0; i-- {
		if without := slices.Delete(slices.Clone(parts), i, i+1); never(without) {
			parts = without
		}
	}
	return parts
}

// detail checks one detail's requirements, then its elements on the roofs that meet them.
func (c *checker) detail(d *rules.Detail) {
	c.in = d.Span
	given := c.requirements(d)
	for _, e := range d.Elements {
		c.element(d, e, given)
	}
}

// requirements checks that the requirements of a detail can be met together, and returns those that must be.
func (c *checker) requirements(d *rules.Detail) (given []part) {
	for _, q := range d.Requires {
		if q.Cond == nil || q.Should || len(given) == maxTogether {
			continue
		}
		mine := part{span: q.Span, role: "this is required too"}
		never := func(of []part) bool { return d.Ranges(conditions(of)...).Never(q.Cond) }
		if never(given) {
			c.contradiction(append(smallest(given, never), mine), fmt.Sprintf("no roof meets the requirements of `%s`",
				d.Name), "")
			continue
		}
		mine.role, mine.cond = "on a roof that meets this", q.Cond
		given = append(given, mine)
	}
	for _, q := range d.Requires {
		if q.Cond == nil || !q.Should {
			continue
		}
		mine := part{span: q.Span}
		always := func(of []part) bool { return d.Ranges(conditions(of)...).Always(q.Cond) }
		never := func(of []part) bool { return d.Ranges(conditions(of)...).Never(q.Cond) }
		switch {
		case always(given):
			of := smallest(given, always)
			for i := range of {
				of[i].role = "this covers it"
			}
			c.covered(mine, of)
		case never(given):
			c.neverKept(mine, smallest(given, never))
		}
	}
	return given
}

func conditions(parts []part) (list []rules.Expr) {
	for _, p := range parts {
		if p.cond != nil {
			list = append(list, p.cond)
		}
	}
	return list
}

// covered reports a should that other lines cover.
func (c *checker) covered(should part, by []part) {
	if !c.own(should) {
		return // it says something in the detail extended
	}
	c.report(rules.Diagnostic{
		Severity:   rules.Warning,
		Code:       rules.CodeCoveredShould,
		Summary:    "this `should` asks for nothing more than what must be",
		Suggestion: "leave it out, or ask for more",
	}, should, by)
}

// neverKept reports a should that the musts leave no room for.
func (c *checker) neverKept(should part, by []part) {
	c.report(rules.Diagnostic{
		Severity:   rules.Warning,
		Code:       rules.CodeNeverKept,
		Summary:    "this `should` can never be kept: what must be stands against it",
		Suggestion: "leave it out, or change its limit",
	}, should, by)
}
