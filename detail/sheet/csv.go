package sheet

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// columns are those of a CSV in their order; the lengths among them carry the unit.
var columns = []string{"table", "run", "side", "detail", "element", "item", "scope", "scope_n", "n",
	"at", "from", "to", "length", "lap", "times", "stock", "kerf", "offcut",
	"unit", "net", "waste", "gross", "pack", "packs", "cost", "text"}

// lengths are the columns of lengths, which stand at the end once more in millimetres.
var lengths = []string{"at", "from", "to", "length", "lap", "stock", "kerf", "offcut"}

// CSV writes a report as one table for a spreadsheet (RFC 4180, UTF-8, a header line): a record for each mark, piece,
// strip, bead, length of a cut list, line of the takeoff, violation and caution; the first column says which.
//
// Lengths are exact numbers in Options.Unit, which the header names, and in further columns in millimetres, in which
// each has a finite decimal. One that has none in the unit leaves its cell there empty; a record "note" counts them. A
// text that a spreadsheet could take for a formula has an apostrophe before it. An error is the writer's.
func (o Options) CSV(w io.Writer, r *detail.Report) error {
	t := &table{w: csv.NewWriter(w), unit: o.Unit}
	t.w.UseCRLF = true
	t.head()
	t.report(r)
	t.w.Flush()
	return t.w.Error()
}

// A table writes records of a CSV.
type table struct {
	w       *csv.Writer
	unit    units.Unit
	endless int // lengths without a finite decimal in the unit
	record  []string
}

// A field is one cell of a record.
type field struct {
	column string
	value  any // string, int or units.Length
}

// head writes the names of the columns.
func (t *table) head() {
	t.record = slices.Clone(columns)
	for i, c := range columns {
		if slices.Contains(lengths, c) {
			t.record[i] += "_" + t.unit.String()
		}
	}
	if t.unit != units.MM {
		for _, c := range lengths {
			t.record = append(t.record, c+"_mm")
		}
	}
	t.w.Write(t.record) // its error stays until the end
}

// write writes a record; columns that it doesn't name stay empty.
func (t *table) write(fields ...field) {
	clear(t.record)
	for _, f := range fields {
		i := slices.Index(columns, f.column)
		switch v := f.value.(type) {
		case string:
			t.record[i] = harmless(v)
		case int:
			t.record[i] = strconv.Itoa(v)
		case units.Length:
			if d, finite := v.Decimal(t.unit); finite {
				t.record[i] = number(d)
			} else {
				t.endless++
			}
			if t.unit != units.MM {
				d, _ := v.Decimal(units.MM)
				t.record[len(columns)+slices.Index(lengths, f.column)] = number(d)
			}
		}
	}
	t.w.Write(t.record)
}

// harmless is a text that no spreadsheet takes for a formula.
func harmless(s string) string {
	s = clean(s)
	if strings.IndexAny(strings.TrimLeft(s, " "), "=+-@＝＋－＠") == 0 {
		return "'" + s
	}
	return s
}

func (t *table) report(r *detail.Report) {
	for i := range r.Scopes {
		t.scope(r, &r.Scopes[i])
	}
	for i, c := range r.Cuts {
		for k := 0; k < len(c.Lengths); {
			n := 1
			for k+n < len(c.Lengths) && c.Lengths[k+n] == c.Lengths[k] {
				n++
			}
			from := "stock length"
			if c.Leftover {
				from = "left-over length"
			}
			t.write(field{"table", "cut"}, field{"item", c.Item.Name}, field{"n", i + 1}, field{"length", c.Lengths[k]},
				field{"times", c.Times * n}, field{"stock", c.Stock}, field{"kerf", c.Kerf}, field{"offcut", c.Offcut},
				field{"text", count(c.Times, from, from+"s") + " cut so"})
			k += n
		}
	}
	for _, q := range r.Takeoff {
		cost := ""
		if !q.Cost.IsZero() {
			cost = number(q.Cost)
		}
		t.write(field{"table", "takeoff"}, field{"item", q.Item.Name}, field{"unit", q.Unit}, field{"net", number(q.Net)},
			field{"waste", number(q.Waste)}, field{"gross", number(q.Gross)}, field{"pack", number(q.Pack)},
			field{"packs", number(q.Packs)}, field{"cost", cost}, field{"text", q.Item.Title})
	}
	for i := range r.Violations {
		v := &r.Violations[i]
		t.write(field{"table", "violation"}, field{"run", v.Run}, field{"side", v.Side}, field{"detail", v.Detail},
			field{"element", v.Element}, field{"scope", v.Scope.Kind}, field{"scope_n", v.Scope.N}, field{"n", i + 1},
			field{"from", v.From}, field{"to", v.To}, field{"text", v.Severity + " " + v.Rule + ": " + v.Message(t.unit)})
	}
	if n := r.UnlistedMust + r.UnlistedShould; n > 0 {
		t.write(field{"table", "violation"}, field{"times", n}, field{"text", "more are counted, not listed"})
	}
	for _, c := range r.Cautions {
		t.write(field{"table", "caution"}, field{"text", c})
	}
	if n := t.endless; n > 0 {
		unit := map[units.Unit]string{units.In: "inches", units.Ft: "feet"}[t.unit] // each length has one in mm
		t.write(field{"table", "note"}, field{"times", n}, field{"text", count(n, "length has", "lengths have") +
			" no finite decimal in " + unit + ", so the cell is empty: read its column in mm"})
	}
}

// scope writes what one scope lays.
func (t *table) scope(r *detail.Report, sc *detail.Scope) {
	p := &r.Placements[sc.Placement]
	item := ""
	if p.Element.Item != nil {
		item = p.Element.Item.Name
	}
	laid := func(table string, n int, fields ...field) {
		t.write(append(fields, field{"table", table}, field{"run", p.Run.ID}, field{"side", p.SideID()}, field{"detail", p.Detail.Name},
			field{"element", p.Element.Name}, field{"item", item}, field{"scope", sc.Kind}, field{"scope_n", sc.N}, field{"n", n})...)
	}
	for i := sc.First; i < sc.Last; i++ {
		n := i - sc.First + 1
		switch p.Element.Kind {
		case rules.Row:
			laid("mark", n, field{"at", r.Marks[i].At})
		case rules.Pieces:
			x := &r.Pieces[i]
			length, _ := x.To.Sub(x.From) // a checked run is far shorter than what a length can hold
			laid("piece", n, field{"from", x.From}, field{"to", x.To}, field{"length", length}, field{"lap", x.Lap})
		case rules.Strip:
			x := &r.Strips[i]
			laid("strip", n, field{"from", x.From}, field{"to", x.To}, field{"length", x.Length})
		case rules.Bead:
			laid("bead", n, field{"at", r.Beads[i].At}, field{"length", r.Beads[i].Length})
		}
	}
}
