package main

import (
	"context"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// whole lays a detail with the library, limits raised.
func whole(book *rules.Book, name string, r *roof) *detail.Report {
	options := detail.Options{Limits: detail.Limits{Panels: 10_000_000, Marks: 100_000_000}}
	rep, err := options.Lay(context.Background(), book, &detail.Job{Runs: []*geom.Run{r.run}, Uses: []detail.Use{{Detail: name}}})
	check(err)
	return rep
}
