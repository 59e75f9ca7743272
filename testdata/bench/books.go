package main

import (
	"fmt"
	"strings"
	"testing/fstest"

	"cuelang.org/go/cue/parser"
	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/lapwright/lapwright/rules"
)

// A book is one text of about a size, written in the rule language, in HCL and in CUE.
type book struct{ rules, hcl, cue []byte }

func books(size int) book {
	var r, h, c strings.Builder
	fmt.Fprintln(&r, `book "Large (invented)" { mark 1/16 in  zones corner }`+"\n"+`item screw "screw" { pack 250  waste 5% }`)
	for i := 0; r.Len() < size; i++ {
		fmt.Fprintf(&r, `
# The cap over the high side, variant %[1]d.
detail cap_%[1]d "Cap over the high side, variant %[1]d" for edge peak {
  input keep_off: length = 2 1/2 in where keep_off >= 1 in "distance kept from a rib's face"
  require slope >= 1:12 because "water stands on a flatter roof"
  row cleat_screws of screw along run {
    spacing <= 10 in
    spacing <= 6 in when zone is corner
    end     <= 3 in
  }
  row closure_screws of screw in each panel when panel.width > 6 in {
    spacing <= 5 in because "the tape seals only where it is squeezed"
    count   >= 4
    clear   >= keep_off from rib
  }
  step "Fix the cleat along the face"        sets cleat_screws
  step "Bed and fix a closure in each panel" sets closure_screws
}
`, i)
	}
	for i := 0; h.Len() < size; i++ {
		fmt.Fprintf(&h, `
# The cap over the high side, variant %[1]d.
detail "cap_%[1]d" {
  title = "Cap over the high side, variant %[1]d"
  edges = ["peak"]
  input "keep_off" {
    default = 2 + 1 / 2
    valid   = keep_off >= 1
    title   = "distance kept from a rib's face"
  }
  require {
    holds   = slope >= 1 / 12
    because = "water stands on a flatter roof"
  }
  row "cleat_screws" {
    item    = screw
    along   = run
    spacing = zone == corner ? 6 : 10
    end     = 3
  }
  row "closure_screws" {
    item    = screw
    in_each = panel
    when    = panel.width > 6
    spacing = 5
    because = "the tape seals only where it is squeezed"
    count   = 4
    clear   = keep_off
  }
  step "Fix the cleat along the face" { sets = [cleat_screws] }
  step "Bed and fix a closure in each panel" { sets = [closure_screws] }
}
`, i)
	}
	for i := 0; c.Len() < size; i++ {
		fmt.Fprintf(&c, `
// The cap over the high side, variant %[1]d.
cap_%[1]d: #Detail & {
	title: "Cap over the high side, variant %[1]d"
	edges: ["peak"]
	keep_off: number & >=1 | *2.5 // distance kept from a rib's face
	require: [{holds: slope >= 1/12, because: "water stands on a flatter roof"}]
	cleat_screws: {
		item:    screw
		along:   "run"
		spacing: <=10
		if zone == "corner" {
			spacing: <=6
		}
		end: <=3
	}
	closure_screws: {
		item:    screw
		each:    "panel"
		when:    panel.width > 6
		spacing: <=5 // the tape seals only where it is squeezed
		count:   >=4
		clear:   >=keep_off
	}
	steps: [
		{text: "Fix the cleat along the face", sets: [cleat_screws]},
		{text: "Bed and fix a closure in each panel", sets: [closure_screws]},
	]
}
`, i)
	}
	return book{[]byte(r.String()), []byte(h.String()), []byte(c.String())}
}

var wide = rules.Limits{FileBytes: 8 << 20, TotalBytes: 8 << 20, Words: 4_000_000, Declarations: 100_000}

// parse reads a rule book without checking it.
func (b book) parse() {
	_, ds := rules.Options{Limits: wide}.Parse("bench.rules", b.rules)
	check(ds.Err())
}

// load reads and checks it.
func (b book) load() {
	_, ds, err := rules.Options{Limits: wide}.Load(fstest.MapFS{"bench.rules": {Data: b.rules}}, "bench.rules")
	check(err)
	check(ds.Err())
}

func (b book) parseHCL() {
	if _, ds := hclsyntax.ParseConfig(b.hcl, "bench.hcl", hcl.InitialPos); ds.HasErrors() {
		panic(ds)
	}
}

func (b book) parseCUE() {
	_, err := parser.ParseFile("bench.cue", b.cue, parser.ParseComments)
	check(err)
}
