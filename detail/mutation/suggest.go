package mutation

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// suggest searches runs for one on which a change makes a difference, and writes the example that says so. It is
// proved: the example holds in the book as it is and fails in the changed one, both read anew from their text.
func (w *worker) suggest(s *site, changed *rules.Book) string {
	concerned := w.concerned(s)
	for _, d := range concerned {
		tries := 0
		if s.input != "" {
			for _, x := range inputRanges(s, d) {
				if text := w.proved(s, x); text != "" {
					return text
				}
			}
		}
		for _, on := range runsFor(d, s) {
			if tries++; tries*len(concerned) > w.options.Tries || w.ctx.Err() != nil {
				break
			}
			ex, was := w.layOn(w.book, d.Name, on)
			if was == nil {
				continue
			}
			_, now := w.layOn(changed, d.Name, on)
			differences := differ(was, now)
			for _, expect := range differences[:min(len(differences), maxProofs)] {
				if text := w.proved(s, exampleText(s, ex, expect)); text != "" {
					return text
				}
			}
		}
	}
	return ""
}

const maxProofs = 4 // expectations that are tried for one run

// concerned are the details that a change is seen in: its own and those that extend it, or those that use the item.
func (w *worker) concerned(s *site) []*rules.Detail {
	var list []*rules.Detail
	for _, d := range w.book.Details {
		on := s.Part == "book" || d.Name == s.Part
		for at := w.book.Detail(d.Extends); at != nil && !on; at = w.book.Detail(at.Extends) {
			on = at.Name == s.Part
		}
		for _, e := range d.Elements {
			on = on || s.item != "" && e.Item != nil && e.Item.Name == s.item
		}
		if on && len(d.Kinds) > 0 && d.Kinds[0] != "field" {
			list = append(list, d)
		}
	}
	return list
}

// A ground is what an example says before what it expects.
type ground struct{ on, lay string }

// layOn lays a detail on a run, by an example that expects nothing.
func (w *worker) layOn(book *rules.Book, name string, on candidate) (ground, *detail.Report) {
	l := ground{on.text(), "lay " + name + on.with()}
	src := fmt.Sprintf("example \"a search\" {\n  on %s\n  %s\n  expect no violation\n}\n", l.on, l.lay)
	f, found := rules.Options{}.Parse("search.rules", []byte(src))
	if found.HasErrors() {
		return l, nil
	}
	ex := f.Examples()[0]
	ex.Expects = nil
	r := w.lay.Example(w.ctx, w.fsys, book, ex)
	return l, r.Report
}

func exampleText(s *site, l ground, expect string) string {
	return fmt.Sprintf("example %s {\n  on %s\n  %s\n  expect %s\n  source %s\n}\n",
		quote(s.name()+": "+s.change()), l.on, l.lay, expect,
		quote("found by a search: work it out by hand before it is kept"))
}

// name is of what the change is: the detail and the element, or the item.
func (s *site) name() string {
	switch {
	case s.item != "":
		return s.item
	case s.element != "":
		return s.Part + "." + s.element
	}
	return s.Part
}

func quote(text string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
}

// change says a change in words.
func (c *Change) change() string {
	switch {
	case c.Was == "":
		return c.Now + c.In
	case c.Now == "":
		return strings.TrimPrefix(c.In, c.Was+" ")
	}
	return fmt.Sprintf("%s in place of %s in %s", c.Now, c.Was, c.In)
}

// proved returns the example if it holds in the book and fails in the changed one, both as texts.
func (w *worker) proved(s *site, example string) string {
	if example == "" {
		return ""
	}
	root := w.book.Files[0]
	plain := edited{w.fsys, map[string][]byte{root.Name: slices.Concat(root.Source, []byte("\n"+example))}}
	if !w.passes(plain, root.Name) {
		return ""
	}
	changed := edited{w.fsys, map[string][]byte{}}
	for _, f := range w.book.Files {
		if f.Name == s.Span.File {
			changed.files[f.Name] = slices.Concat(f.Source[:s.cut[0]], []byte(s.Now), f.Source[s.cut[1]:])
		}
	}
	src, ok := changed.files[root.Name]
	if !ok {
		src = root.Source
	}
	changed.files[root.Name] = slices.Concat(src, []byte("\n"+example))
	if w.passes(changed, root.Name) {
		return ""
	}
	return example
}

// passes runs the last example of a book read from its text. One that can't be read passes nothing.
func (w *worker) passes(fsys fs.FS, root string) bool {
	book, found, err := rules.Load(fsys, root)
	if err != nil || found.HasErrors() {
		return false
	}
	var last *rules.ExampleDecl
	for _, ex := range book.Examples {
		if ex.Pos().File == root {
			last = ex
		}
	}
	r := w.lay.Example(w.ctx, fsys, book, last)
	return r.OK()
}
