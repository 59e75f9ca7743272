package detail

import (
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
)

// element checks the lines of one element: two by two, and all that bind in one scope together.
func (c *checker) element(d *rules.Detail, e *rules.Element, given []part) {
	if len(e.Rules) > maxTogether {
		return
	}
	t := &together{checker: c, detail: d, element: e}
	if e.When != nil {
		p := part{span: e.When.Pos(), role: "where this holds", cond: e.When}
		if t.neverHolds(given, p, fmt.Sprintf("`%s` is laid on no roof: this condition never holds", e.Name)) {
			return
		}
		given = append(slices.Clone(given), p)
	}
	var lines []line // those that bind somewhere
	for _, ln := range c.lines(e) {
		r := ln.rule
		if r != nil && r.When != nil &&
			t.neverHolds(given, part{span: r.When.Pos(), cond: r.When},
				"this line binds on no roof: its condition never holds") {
			continue
		}
		lines = append(lines, ln)
	}
	t.pairs(lines, given)
	t.fixed(lines, given)
	t.groups(lines, given)
}

// lines are the element's rules with the book's mark, where it takes part, and its stock or roll.
func (c *checker) lines(e *rules.Element) []line {
	l := &layer{book: c.book, files: c.files}
	return l.lines(&work{element: e})
}

// together holds the lines of one element against one another.
type together struct {
	*checker
	detail  *rules.Detail
	element *rules.Element
}

// neverHolds reports a condition that holds on no roof that the others leave.
func (t *together) neverHolds(given []part, p part, summary string) bool {
	never := func(of []part) bool { return t.detail.Ranges(conditions(of)...).Never(p.cond) }
	if !never(given) {
		return false
	}
	t.report(rules.Diagnostic{
		Severity: rules.Warning, Code: rules.CodeNeverHolds, Summary: summary,
		Suggestion: "change the condition, or leave out what hangs on it",
	}, p, smallest(given, never))
	return true
}

// of is a line as a part of what is reported.
func (ln line) of() part {
	p := part{span: ln.span, role: "together with this", rule: ln.rule}
	switch {
	case ln.mark:
		p.role = "on this step"
	case ln.item:
		p.role = "out of this"
	case ln.rule.Should:
		p.role = "with this, if it can be"
	}
	return p
}

// sameWhen tells whether two lines bind in the same places, or one of them everywhere.
func (t *together) sameWhen(a, b rules.Expr) bool {
	return a == nil || b == nil || t.text(a) == t.text(b)
}

// text is an expression as written, on one line; "" of none.
func (c *checker) text(e rules.Expr) string {
	if e == nil {
		return ""
	}
	span := e.Pos()
	src := c.book.Files[c.files[span.File]].Source
	return strings.Join(strings.Fields(string(src[span.Start.Offset:span.End.Offset])), " ")
}

func isMin(op rules.Op) bool  { return op == rules.AtLeast || op == rules.Greater || op == rules.Equal }
func isMax(op rules.Op) bool  { return op == rules.AtMost || op == rules.Less || op == rules.Equal }
func strict(op rules.Op) bool { return op == rules.Less || op == rules.Greater }

// pairs looks for two lines of one measure of which the minimum is over the maximum, and for a should that a must
// covers.
func (t *together) pairs(lines []line, given []part) {
	for i, a := range lines {
		for _, b := range lines[i+1:] {
			if a.rule == nil || b.rule == nil || a.rule.Measure != b.rule.Measure || t.given(a.rule.Measure) ||
				!t.sameWhen(a.rule.When, b.rule.When) {
				continue
			}
			t.pair(a, b, given)
			t.pair(b, a, given)
			t.covers(a, b, given)
			t.covers(b, a, given)
		}
	}
}

// given tells whether a measure is no bound but says what is: of two such lines one goes before the other.
func (t *together) given(m rules.Measure) bool {
	switch m {
	case rules.Offset, rules.Extend:
		return true
	case rules.Spacing, rules.Count:
		return t.element.Scope.How == "at"
	}
	return false
}

// pair reports a line whose minimum is over the maximum of another.
func (t *together) pair(least, most line, given []part) {
	a, b := least.rule, most.rule
	if !isMin(a.Op) || !isMax(b.Op) || a.Should && b.Should || a.Side != b.Side && a.Side != rules.BothEnds &&
		b.Side != rules.BothEnds {
		return
	}
	if a.Op == rules.Equal && b.Op == rules.Equal && a.Measure == rules.Length && t.element.Kind >= rules.Strip {
		return // the later says what is used
	}
	diff := &rules.Binary{Op: "-", X: b.Value, Y: a.Value}
	never := func(of []part) bool {
		_, hi := t.detail.Ranges(conditions(of)...).Of(diff)
		return hi != nil && (hi.Sign() < 0 || hi.Sign() == 0 && (strict(a.Op) || strict(b.Op)))
	}
	if !never(given) {
		return
	}
	by := smallest(given, never)
	switch {
	case a.Should:
		t.neverKept(least.of(), append(by, most.of()))
	case b.Should:
		t.neverKept(most.of(), append(by, least.of()))
	default:
		t.contradiction(append(by, least.of(), most.of()), t.never(a.Measure), "")
	}
}

// never says what can't be, of lines of one measure.
func (t *together) never(m rules.Measure) string {
	switch {
	case m == rules.Spacing:
		return fmt.Sprintf("no two marks of `%s` can keep these lines together", t.element.Name)
	case m == rules.Lap:
		return fmt.Sprintf("no two lengths of `%s` can keep these lines together", t.element.Name)
	}
	return fmt.Sprintf("`%s` can never keep these lines together", t.element.Name)
}

// covers reports a should that a must asks for as well.
func (t *together) covers(should, must line, given []part) {
	s, m := should.rule, must.rule
	if !s.Should || m.Should || m.When != nil && t.text(m.When) != t.text(s.When) || m.Side != rules.BothEnds &&
		m.Side != s.Side || featureKey(m.From) != featureKey(s.From) {
		return
	}
	diff := &rules.Binary{Op: "-", X: m.Value, Y: s.Value}
	covered := func(of []part) bool {
		lo, hi := t.detail.Ranges(conditions(of)...).Of(diff)
		// The must is at least as high where it is a minimum, at least as low where it is a maximum.
		high := isMin(m.Op) && lo != nil && (lo.Sign() > 0 || lo.Sign() == 0 && (s.Op != rules.Greater ||
			m.Op == rules.Greater))
		low := isMax(m.Op) && hi != nil && (hi.Sign() < 0 || hi.Sign() == 0 && (s.Op != rules.Less || m.Op == rules.Less))
		return (high || !isMin(s.Op)) && (low || !isMax(s.Op))
	}
	if covered(given) {
		by := smallest(given, covered)
		p := must.of()
		p.role = "this covers it"
		t.covered(should.of(), append(by, p))
	}
}

func featureKey(f *rules.Feature) string {
	switch {
	case f == nil:
		return ""
	case f.Name == nil:
		return f.Of
	}
	return f.Of + " " + f.Name.Text
}
