package detail

import (
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
)

// A bookLine is a line that an element is laid by, and what it is a line of: lines of two editions that are of the same
// are one line changed.
type bookLine struct {
	of   string
	text string
	at   rules.Span
}

// linesBehind are the lines of two editions that differ among those that an element is laid by.
func linesBehind(old, new *rules.Book, detail, element string) []ComparedLine {
	before, after := linesFor(old, detail, element), linesFor(new, detail, element)
	in := func(list []bookLine, l bookLine) int {
		return slices.IndexFunc(list, func(x bookLine) bool { return x.of == l.of && x.text == l.text })
	}
	gone := slices.DeleteFunc(slices.Clone(before), func(l bookLine) bool { return in(after, l) >= 0 })
	come := slices.DeleteFunc(slices.Clone(after), func(l bookLine) bool { return in(before, l) >= 0 })
	lines := []ComparedLine{}
	for _, l := range gone {
		x := ComparedLine{Old: l.text, OldAt: l.at.String()}
		if i := slices.IndexFunc(come, func(y bookLine) bool { return y.of == l.of }); i >= 0 {
			x.New, x.NewAt = come[i].text, come[i].at.String()
			come = slices.Delete(come, i, i+1)
		}
		lines = append(lines, x)
	}
	for _, l := range come {
		lines = append(lines, ComparedLine{New: l.text, NewAt: l.at.String()})
	}
	return lines
}

// linesFor are the lines that an element of a detail is laid by: its own, those of elements that it refers to, its
// item, the detail's inputs and lets, and the book's mark; without an element those of the detail's requirements.
func linesFor(b *rules.Book, detail, element string) []bookLine {
	d := b.Detail(detail)
	if d == nil {
		return nil
	}
	var list []bookLine
	add := func(of string, at rules.Span) {
		if text := sourceOf(b, at); text != "" {
			list = append(list, bookLine{of, text, at})
		}
	}
	add("mark", b.MarkSpan)
	for _, in := range d.Inputs {
		add("input "+in.Name.Text, in.Span)
	}
	for _, l := range d.Lets {
		add("let "+l.Name.Text, l.Span)
	}
	if element == "" {
		for i, q := range d.Requires {
			add(fmt.Sprintf("require %d", i), q.Span)
		}
		return list
	}
	seen := map[string]bool{}
	var visit func(name string)
	visit = func(name string) {
		i := slices.IndexFunc(d.Elements, func(e *rules.Element) bool { return e.Name == name })
		if i < 0 || seen[name] {
			return
		}
		seen[name] = true
		e := d.Elements[i]
		add("scope of "+name, e.Scope.Span)
		if e.When != nil {
			add("when of "+name, e.When.Pos())
		}
		if e.Lay != "" {
			list = append(list, bookLine{"lay of " + name, "lay " + e.Lay, e.Span})
		}
		if e.Item != nil {
			add("item of "+name, e.Item.Span)
		}
		if e.Scope.Name != nil {
			visit(e.Scope.Name.Text)
		}
		for _, r := range e.Rules {
			add(ruleKey(name, r), r.Span)
			if r.From != nil && r.From.Name != nil {
				visit(r.From.Name.Text)
			}
		}
	}
	visit(element)
	return list
}

// ruleKey is the same for lines of two editions of which one takes the place of the other.
func ruleKey(element string, r *rules.Rule) string {
	way := map[rules.Op]string{rules.Less: "<", rules.AtMost: "<", rules.AtLeast: ">", rules.Greater: ">"}[r.Op]
	key := fmt.Sprint(element, r.Measure, r.Side, way)
	if r.From != nil {
		key += featureText(r.From)
	}
	if r.When != nil {
		key += "when"
	}
	return key
}

// sourceOf is the source of a stretch of a book's files, on one line.
func sourceOf(b *rules.Book, s rules.Span) string {
	for _, f := range b.Files {
		if f.Name == s.File && s.Start.Offset <= s.End.Offset && s.End.Offset <= len(f.Source) {
			return strings.Join(strings.Fields(string(f.Source[s.Start.Offset:s.End.Offset])), " ")
		}
	}
	return ""
}
