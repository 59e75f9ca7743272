// Package mutation asks what the worked examples of a rule book would miss: it changes each number, comparator and
// severity of the book a little, one at a time, and looks whether an example notices.
package mutation

import (
	"context"
	"fmt"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// A Change is one small change of a book and what came of it.
type Change struct {
	Span       rules.Span // of the line or the number that is changed
	Part       string     // the detail; or "items", "book"
	In         string     // the clause that it stands in
	Was, Now   string     // what is put in place of what; Was is "" where a word is added
	Verdict    Verdict
	By         string // Noticed: the example that fails
	Proof      string // Equivalent, NoBook: why
	Suggestion string // Missed: an example that would notice, ready to paste; "" if none was found
}

// A Verdict is what came of a change.
type Verdict uint8

// The verdicts.
const (
	Missed     Verdict = iota // no example notices
	Noticed                   // an example fails
	Equivalent                // proved to mean the same: it doesn't count
	NoBook                    // the check of the rules refuses it: it doesn't count
)

// A Score counts the changes of a part of a book.
type Score struct {
	Part        string // a detail; or "items", "book"; "" for all
	Noticed, Of int
}

// A Report says what the examples of a book would miss.
type Report struct {
	Book    *rules.Book
	Changes []Change // in the order of the files
}

// Options say how to go about it. The zero value means the defaults.
type Options struct {
	Limits   detail.Limits      // for the layouts
	Tries    int                // runs tried in search of an example for a change that was missed: 3,000
	Progress func(done, of int) // if not nil, is told how far it is
}

// Run loads a rule file and changes it. An error says that the book can't be used, that an example doesn't hold to
// begin with, or that the context ended.
func Run(ctx context.Context, fsys fs.FS, name string, o Options) (*Report, error) {
	if o.Tries == 0 {
		o.Tries = 3000
	}
	book, found, err := rules.Load(fsys, name)
	if err == nil {
		err = found.Err()
	}
	if err != nil {
		return nil, err
	}
	lay := detail.Options{Limits: o.Limits}
	for _, r := range lay.Examples(ctx, fsys, book, detail.ExampleSpec{}) {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !r.OK() {
			return nil, fmt.Errorf("an example doesn't hold to begin with: %s", strings.TrimSpace(r.Text()))
		}
	}
	workers := make([]*worker, runtime.GOMAXPROCS(0))
	for i := range workers {
		if workers[i], err = newWorker(ctx, fsys, book, o); err != nil {
			return nil, err
		}
	}
	rep := &Report{Book: book, Changes: make([]Change, len(workers[0].sites))}
	next := make(chan int, len(rep.Changes))
	for i := range rep.Changes {
		next <- i
	}
	close(next)
	var mutex sync.Mutex
	done := 0
	var group sync.WaitGroup
	for _, w := range workers {
		group.Go(func() {
			for i := range next {
				if ctx.Err() != nil {
					return
				}
				rep.Changes[i] = w.try(i)
				mutex.Lock()
				if done++; o.Progress != nil {
					o.Progress(done, len(rep.Changes))
				}
				mutex.Unlock()
			}
		})
	}
	group.Wait()
	return rep, ctx.Err()
}

// A worker has trees of its own, which it changes and changes back.
type worker struct {
	ctx     context.Context
	fsys    fs.FS
	options Options
	lay     detail.Options
	book    *rules.Book // unchanged, and shared
	files   []*rules.File
	sites   []site
	laid    map[string][]*rules.ExampleDecl // those that lay a detail, or one that extends it
	last    string                          // the example that noticed the change before
}

func newWorker(ctx context.Context, fsys fs.FS, book *rules.Book, o Options) (*worker, error) {
	w := &worker{ctx: ctx, fsys: fsys, options: o, book: book, lay: detail.Options{Limits: o.Limits}}
	for _, f := range book.Files {
		own, found := rules.Options{}.Parse(f.Name, f.Source)
		if err := found.Err(); err != nil {
			return nil, err
		}
		w.files = append(w.files, own)
	}
	w.sites = sitesOf(w.files, book)
	w.laid = laying(book)
	return w, nil
}

// laying finds for each detail the examples in which it takes part, the dear ones last.
func laying(book *rules.Book) map[string][]*rules.ExampleDecl {
	under := map[string][]string{} // a detail and all that it extends
	for _, d := range book.Details {
		for at := d; at != nil; at = book.Detail(at.Extends) {
			under[d.Name] = append(under[d.Name], at.Name)
			if at.Extends == "" {
				break
			}
		}
	}
	laid := map[string][]*rules.ExampleDecl{}
	for _, ex := range book.Examples {
		var names []string
		for _, l := range ex.Lay {
			names = append(names, under[l.Detail.Text]...)
		}
		if len(ex.Lay) == 0 {
			for _, d := range book.Details {
				names = append(names, d.Name)
			}
		}
		slices.Sort(names)
		for _, n := range slices.Compact(names) {
			laid[n] = append(laid[n], ex)
		}
	}
	dear := func(ex *rules.ExampleDecl) int {
		if slices.ContainsFunc(ex.Expects, func(x *rules.Expect) bool { return x.What == "along" }) {
			return 1
		}
		return 0
	}
	for _, list := range laid {
		slices.SortStableFunc(list, func(a, b *rules.ExampleDecl) int { return dear(a) - dear(b) })
	}
	return laid
}

// try makes one change, asks the examples and takes it back.
func (w *worker) try(i int) Change {
	s := &w.sites[i]
	c := s.Change
	if c.Proof = s.equivalent(w.book); c.Proof != "" {
		c.Verdict = Equivalent
		return c
	}
	s.make()
	defer s.undo()
	changed, found := rules.Check(w.files)
	if changed == nil {
		first := firstError(found)
		c.Verdict, c.Proof, c.By = NoBook, first.Summary, w.exampleAt(first.Span)
		if c.By != "" {
			c.Verdict, c.Proof = Noticed, ""
		}
		return c
	}
	examples := w.laid[s.Part]
	if s.Part == "items" || s.Part == "book" {
		examples = w.book.Examples
	}
	if by := w.notices(changed, examples); by != "" {
		c.Verdict, c.By = Noticed, by
		return c
	}
	c.Suggestion = w.suggest(s, changed)
	return c
}

// notices returns the name of the first example that fails in a changed book, the one that noticed the change before
// first of all.
func (w *worker) notices(changed *rules.Book, examples []*rules.ExampleDecl) string {
	if i := slices.IndexFunc(examples, func(ex *rules.ExampleDecl) bool { return ex.Name == w.last }); i > 0 {
		examples = append([]*rules.ExampleDecl{examples[i]}, slices.Delete(slices.Clone(examples), i, i+1)...)
	}
	for _, ex := range examples {
		if r := w.lay.Example(w.ctx, w.fsys, changed, ex); !r.OK() && w.ctx.Err() == nil {
			w.last = ex.Name
			return ex.Name
		}
	}
	return ""
}

func firstError(found rules.Diagnostics) rules.Diagnostic {
	for _, d := range found {
		if d.Severity == rules.Error {
			return d
		}
	}
	return rules.Diagnostic{}
}

// exampleAt names the example that a place lies in, such as one whose input the changed book refuses; "" for others.
func (w *worker) exampleAt(at rules.Span) string {
	for _, ex := range w.book.Examples {
		if p := ex.Pos(); p.File == at.File && p.Start.Offset <= at.Start.Offset && at.Start.Offset < p.End.Offset {
			return ex.Name
		}
	}
	return ""
}

// Scores are those of the parts of the book, in the order of the files, and of all of it.
func (r *Report) Scores() (parts []Score, all Score) {
	for _, c := range r.Changes {
		if c.Verdict != Missed && c.Verdict != Noticed {
			continue
		}
		i := slices.IndexFunc(parts, func(s Score) bool { return s.Part == c.Part })
		if i < 0 {
			i = len(parts)
			parts = append(parts, Score{Part: c.Part})
		}
		for _, s := range []*Score{&parts[i], &all} {
			s.Of++
			if c.Verdict == Noticed {
				s.Noticed++
			}
		}
	}
	return parts, all
}

// Counts tells whether the score counts: not if over 5 % of the changes are proved equivalent, for then the book says
// much that means nothing.
func (r *Report) Counts() bool {
	equivalent := 0
	for _, c := range r.Changes {
		if c.Verdict == Equivalent {
			equivalent++
		}
	}
	return equivalent*20 <= len(r.Changes)
}
