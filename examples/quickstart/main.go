// Command quickstart is the smallest program that embeds the library: it lays an eave out and prints the sheet.
package main

import (
	"context"
	"embed"
	"log"
	"os"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

//go:embed eave.rules
var files embed.FS

func main() {
	book, findings, err := rules.Load(files, "eave.rules")
	check(err)
	check(findings.Err())
	eave, err := geom.NewRun(geom.Spec{ID: "eave", Edge: "eave", Length: units.MustParse("12 ft 6 in")}, 0)
	check(err)
	report, err := detail.Lay(context.Background(), book, &detail.Job{Name: "Shed", Runs: []*geom.Run{eave}})
	check(err)
	check(sheet.Text(os.Stdout, report))
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
