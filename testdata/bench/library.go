package main

import (
	"bytes"
	"context"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// raised are the limits that a million panels need.
var raised = detail.Options{Limits: detail.Limits{Panels: 10_000_000, Marks: 100_000_000}}

// prepared is the library made ready for a detail, with the layout that it writes over.
type prepared struct {
	layouter *detail.Layouter
	layout   detail.Layout
}

func prepare(book *rules.Book, name string) *prepared {
	l, err := raised.Layouter(book, detail.Use{Detail: name})
	check(err)
	return &prepared{layouter: l}
}

func (p *prepared) lay(r *roof) {
	check(p.layouter.Lay(context.Background(), r.run, &p.layout))
}

// whole lays a detail with the library, limits raised.
func whole(book *rules.Book, name string, r *roof) *detail.Report {
	rep, err := raised.Lay(context.Background(), book, &detail.Job{Runs: []*geom.Run{r.run}, Uses: []detail.Use{{Detail: name}}})
	check(err)
	return rep
}

// keystroke is an editor's work after each: one digit changed in the middle of a book of 2,000 lines and more, the book loaded
// and checked, and its detail laid out on a run of 100 panels.
func keystroke() (lines int, press, whole func()) {
	text := append(books(79<<10).rules, []byte(`
detail watched "The one on the screen" for edge peak {
  row closure_screws of screw in each panel { spacing <= 5 in  count >= 4  clear >= 1 1/2 in from rib }
  step "Fix a closure in each panel" sets closure_screws
}
`)...)
	at := bytes.Index(text[len(text)/2:], []byte("keep_off >= 1 in")) + len(text)/2 + len("keep_off >= ")
	r := equal(100)
	var layout detail.Layout
	show := func(book *rules.Book, found rules.Diagnostics, err error) {
		check(err)
		check(found.Err())
		l, err := raised.Layouter(book, detail.Use{Detail: "watched"})
		check(err)
		check(l.Lay(context.Background(), r.run, &layout))
	}
	change := func() fstest.MapFS {
		text[at] = '1' + (text[at]-'0')%2
		return fstest.MapFS{"bench.rules": {Data: bytes.Clone(text)}}
	}
	reloader := rules.Reloader{Options: rules.Options{Limits: wide}}
	return bytes.Count(text, []byte("\n")),
		func() { show(reloader.Load(change(), "bench.rules")) },
		func() { show(rules.Options{Limits: wide}.Load(change(), "bench.rules")) }
}
