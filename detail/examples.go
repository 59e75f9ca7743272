package detail

import (
	"context"
	"fmt"
	"io/fs"
	"runtime"
	"sync"

	"github.com/lapwright/lapwright/rules"
)

// An ExampleResult is what came of one worked example of a book.
type ExampleResult struct {
	Example  *rules.ExampleDecl
	Report   *Report // nil where Err is not
	Failures []Failure
	Err      error // the example could not be laid
}

// OK reports whether the example was laid and all its expectations hold.
func (r *ExampleResult) OK() bool { return r.Err == nil && len(r.Failures) == 0 }

// A Failure is an expectation that does not hold.
type Failure struct {
	Expect   *rules.Expect
	Expected string // as written
	Found    string
	Why      []string // why the library laid it so, a sentence each
	tapes    []tape   // what was expected and found along each scope that it speaks of
}

// An ExampleSpec says which worked examples to run, and what becomes of the results.
type ExampleSpec struct {
	Run  func(name string) bool // which to run; nil: all
	Done func(ExampleResult)    // if not nil, is given each result in the book's order, as soon as it can be
}

// Examples lays out the worked examples of a book and holds each against what it expects. Job files that examples
// name are read from fsys, next to the rule file; it may be nil where none does.
func Examples(ctx context.Context, fsys fs.FS, book *rules.Book) []ExampleResult {
	return Options{}.Examples(ctx, fsys, book, ExampleSpec{})
}

// Examples is the function Examples with options, for some of the examples. They run side by side; the results are in
// the book's order.
func (o Options) Examples(ctx context.Context, fsys fs.FS, book *rules.Book, spec ExampleSpec) []ExampleResult {
	var list []*rules.ExampleDecl
	for _, ex := range book.Examples {
		if spec.Run == nil || spec.Run(ex.Name) {
			list = append(list, ex)
		}
	}
	results := make([]ExampleResult, len(list))
	done := make([]chan struct{}, len(list))
	next := make(chan int, len(list))
	for i := range list {
		done[i] = make(chan struct{})
		next <- i
	}
	close(next)
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		workers.Go(func() {
			for i := range next {
				results[i] = o.Example(ctx, fsys, book, list[i])
				close(done[i])
			}
		})
	}
	for i := range list {
		<-done[i]
		if spec.Done != nil {
			spec.Done(results[i])
		}
	}
	workers.Wait()
	return results
}

// Example runs one worked example of a book; fsys may be nil if it names no job file.
func (o Options) Example(ctx context.Context, fsys fs.FS, book *rules.Book, ex *rules.ExampleDecl) ExampleResult {
	r := ExampleResult{Example: ex}
	job, err := exampleJob(fsys, ex)
	if err == nil {
		r.Report, err = o.Lay(ctx, book, job)
	}
	for _, x := range ex.Expects {
		if err != nil {
			break
		}
		var found string
		var ok bool
		if x.What == "along" {
			found, ok, err = o.meetsAlong(ctx, book, ex, x)
		} else {
			found, ok = r.Report.meets(x)
		}
		if err == nil && !ok {
			r.Failures = append(r.Failures, r.Report.failure(x, found))
		}
	}
	if err != nil {
		r = ExampleResult{Example: ex, Err: fmt.Errorf("%s: example %q: %w", place(ex.Pos()), ex.Name, err)}
	}
	return r
}
