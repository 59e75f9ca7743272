package detail

import (
	"bufio"
	"bytes"
	"io"
	"strconv"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// MarshalJSON writes the takeoff in the form of schema/takeoff.schema.json, lengths in inches.
func (t *Takeoff) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	err := t.WriteJSON(&b, units.In)
	return b.Bytes(), err
}

// WriteJSON writes the takeoff in the form of schema/takeoff.schema.json, one entry a line, lengths as a report has
// them.
func (t *Takeoff) WriteJSON(w io.Writer, unit units.Unit) error {
	j := &jsonWriter{w: bufio.NewWriter(w), unit: unit}
	j.raw("{")
	j.heading(t.Book)
	j.line()
	j.texts("jobs", t.Jobs)
	j.quantities(t.Lines, t.Cuts, t.Cutting, t.Leftovers, t.Shop)
	j.line()
	j.texts("cautions", t.Cautions)
	j.raw("\n}\n")
	return j.w.Flush()
}

// heading writes which form this is, and by which book it was made.
func (j *jsonWriter) heading(b *rules.Book) {
	j.line()
	j.key("format")
	j.raw("1")
	j.line()
	j.key("book")
	j.object(func() {
		var book rules.Book
		if b != nil {
			book = *b
		}
		j.text("name", book.Name)
		j.text("edition", book.Edition)
		j.text("digest", book.Digest)
	})
}

// quantities writes what a report and a takeoff have in common.
func (j *jsonWriter) quantities(
	lines []Quantity, cuts []Cut, cutting []Cutting, leftovers []Leftover, shop []Drilling,
) {
	entries(j, "cuts", cuts, func(c *Cut) {
		j.item(c.Item)
		j.length("stock", c.Stock)
		j.int("times", c.Times)
		j.lengths("lengths", c.Lengths)
		j.length("kerf", c.Kerf)
		j.length("offcut", c.Offcut)
		j.bool("leftover", c.Leftover)
	})
	entries(j, "cutting", cutting, func(c *Cutting) {
		j.item(c.Item)
		j.int("stocks", c.Stocks)
		j.int("bound", c.Bound)
		j.bool("proved", c.Proved)
		if !c.Cost.IsZero() {
			j.decimal("cost", c.Cost)
			j.decimal("least", c.Least)
		}
	})
	entries(j, "takeoff", lines, j.quantity)
	j.leftovers("leftovers", leftovers)
	entries(j, "shop", shop, j.drilling)
}

func (j *jsonWriter) drilling(d *Drilling) {
	j.text("detail", d.Detail.Name)
	j.text("element", d.Element.Name)
	j.item(d.Element.Item)
	j.length("length", d.Length)
	j.int("count", d.Count)
	list(j, "holes", d.Holes, func(h Holes) {
		j.object(func() {
			j.text("element", h.Element.Name)
			j.item(h.Element.Item)
			j.lengths("at", h.At)
		})
	})
	list(j, "where", d.Where, func(p DrillingPlace) {
		j.object(func() {
			j.text("job", p.Job)
			j.text("run", p.Run)
			j.text("side", p.Side)
			list(j, "pieces", p.Pieces, func(n int) { j.raw(strconv.Itoa(n)) })
		})
	})
}

func (j *jsonWriter) quantity(q *Quantity) {
	j.item(q.Item)
	title := ""
	if q.Item != nil {
		title = q.Item.Title
	}
	j.text("title", title)
	j.text("unit", q.Unit)
	j.decimal("net", q.Net)
	j.decimal("waste", q.Waste)
	j.decimal("gross", q.Gross)
	j.decimal("pack", q.Pack)
	j.decimal("packs", q.Packs)
	j.bool("leftover", q.Leftover)
	if !q.Cost.IsZero() {
		j.decimal("cost", q.Cost)
	}
	if !q.Area.IsZero() {
		j.text("area", plainDecimal(q.Area)+" sq "+q.Unit)
	}
	if !q.Yield.IsZero() {
		j.text("yield", plainDecimal(q.Yield)+" ft")
	}
	list(j, "from", q.From, func(p Part) {
		j.object(func() {
			j.text("job", p.Job)
			j.text("detail", p.Detail.Name)
			j.text("element", p.Element.Name)
			j.text("file", p.Element.Span.File)
			j.int("line", p.Element.Span.Start.Line)
			j.texts("runs", p.Runs)
			j.decimal("net", p.Net)
		})
	})
}

func (j *jsonWriter) leftovers(name string, stock []Leftover) {
	entries(j, name, stock, func(s *Leftover) {
		j.text("item", s.Item)
		j.length("length", s.Length)
		j.int("count", s.Count)
	})
}
