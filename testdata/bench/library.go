package main

import (
	"context"

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
