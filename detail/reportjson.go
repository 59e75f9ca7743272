package detail

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// MarshalJSON writes the report in the form of schema/report.schema.json, lengths in inches.
func (r *Report) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	err := r.WriteJSON(&b, units.In)
	return b.Bytes(), err
}

// WriteJSON writes the report in the form of schema/report.schema.json, one entry a line, lengths exactly in the unit
// asked for, or in mm where they have no finite decimal in it. The same report gives the same bytes.
func (r *Report) WriteJSON(w io.Writer, unit units.Unit) error {
	j := &jsonWriter{w: bufio.NewWriter(w), unit: unit}
	j.report(r)
	return j.w.Flush()
}

// A jsonWriter writes a report as it goes, without a tree of it. Errors of the writer are kept by bufio until Flush.
type jsonWriter struct {
	w     *bufio.Writer
	unit  units.Unit
	buf   []byte
	comma bool // something stands before in the innermost object or list
}

func (j *jsonWriter) raw(s string) { j.w.WriteString(s) }

// key starts a member of an object.
func (j *jsonWriter) key(name string) {
	if j.comma {
		j.raw(", ")
	}
	j.comma = true
	j.string(name)
	j.raw(": ")
}

// object writes an object of the members that a function writes.
func (j *jsonWriter) object(members func()) {
	j.raw("{")
	j.comma = false
	members()
	j.raw("}")
	j.comma = true
}

func (j *jsonWriter) text(name, value string) {
	j.key(name)
	j.string(value)
}

func (j *jsonWriter) int(name string, value int) {
	j.key(name)
	j.raw(strconv.Itoa(value))
}

func (j *jsonWriter) bool(name string, value bool) {
	j.key(name)
	j.raw(strconv.FormatBool(value))
}

func (j *jsonWriter) length(name string, value units.Length) { j.text(name, value.Format(j.unit)) }

func (j *jsonWriter) decimal(name string, value decimal.Decimal) { j.text(name, plainDecimal(value)) }

func (j *jsonWriter) scope(kind string, n int) {
	j.key("scope")
	j.object(func() {
		j.text("kind", kind)
		j.int("n", n)
	})
}

// list writes a list in one line.
func list[T any](j *jsonWriter, name string, items []T, item func(T)) {
	j.key(name)
	j.raw("[")
	for i, x := range items {
		if i > 0 {
			j.raw(", ")
		}
		item(x)
	}
	j.raw("]")
	j.comma = true
}

func (j *jsonWriter) texts(name string, items []string) { list(j, name, items, j.string) }

func (j *jsonWriter) lengths(name string, items []units.Length) {
	list(j, name, items, func(l units.Length) { j.string(l.Format(j.unit)) })
}

// entries is a member of the report that holds one object a line.
func entries[T any](j *jsonWriter, name string, items []T, members func(*T)) {
	j.line()
	j.key(name)
	j.raw("[")
	for i := range items {
		if i > 0 {
			j.raw(",")
		}
		j.raw("\n    ")
		j.object(func() { members(&items[i]) })
	}
	if len(items) > 0 {
		j.raw("\n  ")
	}
	j.raw("]")
	j.comma = true
}

// line starts the line of a member of the report.
func (j *jsonWriter) line() {
	if j.comma {
		j.raw(",")
	}
	j.raw("\n  ")
	j.comma = false
}

// head writes what every form starts with: its number, the book and the job.
func (j *jsonWriter) head(r *Report) {
	j.raw("{")
	j.heading(r.Book)
	j.line()
	j.key("job")
	j.string(r.Job)
}

func (j *jsonWriter) report(r *Report) {
	j.head(r)
	entries(j, "runs", r.Runs, func(run **geom.Run) { j.run(*run) })
	entries(j, "planes", r.Planes, func(p **geom.Plane) { j.plane(*p) })
	j.marks(r)
	entries(j, "pieces", r.Pieces, func(p *Piece) {
		s := j.laid(r, p.Scope)
		j.scope(s.Kind, s.N)
		j.int("n", int(p.N))
		j.length("from", p.From)
		j.length("to", p.To)
		length, _ := p.To.Sub(p.From) // a checked run is far shorter than what a length can hold
		j.length("length", length)
		j.length("lap", p.Lap)
		j.point(r, p.Scope, "", p.From)
		j.point(r, p.Scope, "to_", p.To)
	})
	entries(j, "strips", r.Strips, func(s *Strip) {
		scope := j.laid(r, s.Scope)
		j.scope(scope.Kind, scope.N)
		j.length("from", s.From)
		j.length("to", s.To)
		j.length("length", s.Length)
		j.point(r, s.Scope, "", s.From)
		j.point(r, s.Scope, "to_", s.To)
	})
	entries(j, "beads", r.Beads, func(b *Bead) {
		s := j.laid(r, b.Scope)
		j.scope(s.Kind, s.N)
		j.length("at", b.At)
		j.length("length", b.Length)
		j.point(r, b.Scope, "", b.At)
		j.bead(r.Placements[s.Placement].Element.Item)
	})
	entries(j, "patterns", r.Patterns, func(p *Pattern) {
		j.placed(r, p.Placement)
		j.length("width", p.Width)
		j.lengths("offsets", p.Offsets)
		list(j, "scopes", p.Scopes, func(n int) { j.raw(strconv.Itoa(n)) })
	})
	j.quantities(r.Takeoff, r.Cuts, r.Cutting, r.Leftovers, r.Shop)
	entries(j, "violations", r.Violations, j.violation)
	entries(j, "skipped", r.Skipped, func(s *Skip) {
		p := &r.Placements[s.Placement]
		j.text("run", p.Run.ID)
		j.text("element", p.Element.Name)
		j.scope(s.Scope.Kind, s.Scope.N)
		j.text("when", s.When)
		j.text("side", p.SideID())
		j.text("detail", p.Detail.Name)
	})
	entries(j, "relaxed", r.Relaxed, func(x *rules.Relaxation) {
		j.text("rule", x.Rule)
		j.text("because", x.Because)
	})
	entries(j, "steps", r.Steps, func(s *Step) {
		j.text("detail", s.Detail)
		j.int("n", s.N)
		j.text("text", s.Text)
		j.texts("sets", s.Sets)
		j.bool("hold", s.Hold)
	})
	j.line()
	j.texts("cautions", r.Cautions)
	j.line()
	j.texts("bare", r.Bare)
	entries(j, "why", r.Why, func(y *Why) {
		s := &r.Scopes[y.Scope]
		j.placed(r, s.Placement)
		j.scope(s.Kind, s.N)
		j.int("count", y.Count)
		j.text("binding", y.Binding)
		j.text("text", y.Text(j.unit))
	})
	j.line()
	j.texts("notes", r.Notes)
	entries(j, "sources", r.Sources, func(s *Source) {
		j.text("rule", s.Rule)
		j.text("source", s.Source)
	})
	j.line()
	j.key("unlisted")
	j.raw(fmt.Sprintf(`{"must": %d, "should": %d}`, r.UnlistedMust, r.UnlistedShould))
	j.leftovers("stock", r.Stock)
	j.line()
	j.text("heat", plainDecimal(r.Heat)+" F")
	entries(j, "movement", r.Movement, func(m *Movement) {
		s := j.laid(r, m.Scope)
		j.scope(s.Kind, s.N)
		j.length("from", m.From)
		j.length("to", m.To)
		j.int("pieces", m.Pieces)
		j.length("each_end", m.EachEnd)
	})
	j.raw("\n}\n")
}

// marks writes one entry for each scope of a row.
func (j *jsonWriter) marks(r *Report) {
	var rows []int32
	for i := range r.Scopes {
		if r.Placements[r.Scopes[i].Placement].Element.Kind == rules.Row {
			rows = append(rows, int32(i))
		}
	}
	entries(j, "marks", rows, func(i *int32) {
		s := j.laid(r, *i)
		j.scope(s.Kind, s.N)
		j.length("from", s.From)
		j.length("to", s.To)
		stations := make([]units.Length, 0, s.Last-s.First)
		for _, m := range r.Marks[s.First:s.Last] {
			stations = append(stations, m.At)
		}
		j.lengths("at", stations)
		j.points(r, *i, stations)
	})
}

func (j *jsonWriter) run(run *geom.Run) {
	j.text("id", run.ID)
	j.text("edge", run.Edge)
	j.length("length", run.Length)
	j.text("slope", run.Sides[0].Slope.String())
	j.texts("ends", run.Ends[:])
	list(j, "sides", run.Sides, func(s geom.Side) {
		j.object(func() {
			j.text("id", s.ID)
			j.lengths("ribs", s.Ribs)
			j.text("slope", s.Slope.String())
			j.text("role", s.Role)
			j.bool("panels", s.HasPanels)
			j.length("cover", s.Profile.Cover)
			j.length("rib_width", s.Profile.RibWidth)
			j.length("rib_height", s.Profile.RibHeight)
			j.onPlane(s.On)
		})
	})
	list(j, "zones", run.Zones, func(z geom.Zone) {
		j.object(func() {
			j.text("kind", z.Kind)
			j.length("from", z.From)
			j.length("to", z.To)
		})
	})
	list(j, "obstacles", run.Obstacles, func(o geom.Obstacle) {
		j.object(func() {
			j.text("id", o.ID)
			j.text("kind", o.Kind)
			j.length("from", o.From)
			j.length("to", o.To)
			j.text("side", o.Side)
		})
	})
}

// placed writes which element of which detail stands where.
func (j *jsonWriter) placed(r *Report, placement int32) *Placement {
	p := &r.Placements[placement]
	j.text("run", p.Run.ID)
	j.text("side", p.SideID())
	j.text("detail", p.Detail.Name)
	j.text("element", p.Element.Name)
	return p
}

// laid writes the placement of a scope and its item.
func (j *jsonWriter) laid(r *Report, scope int32) *Scope {
	s := &r.Scopes[scope]
	j.item(j.placed(r, s.Placement).Element.Item)
	return s
}

func (j *jsonWriter) item(item *rules.Item) {
	name := ""
	if item != nil {
		name = item.Name
	}
	j.text("item", name)
}

// bead writes the section of a bead: its diameter, or its width and depth.
func (j *jsonWriter) bead(item *rules.Item) {
	var size rules.BeadSize
	if item != nil {
		size = item.Bead
	}
	j.length("bead", size.Width)
	if !size.Round && !size.Width.IsZero() {
		j.length("depth", size.Depth)
	}
}

func (j *jsonWriter) violation(v *Violation) {
	j.text("severity", v.Severity)
	j.text("rule", v.Rule)
	j.text("measure", v.Measure)
	j.text("file", v.Span.File)
	j.int("line", v.Span.Start.Line)
	j.int("column", v.Span.Start.Column)
	j.text("run", v.Run)
	j.text("side", v.Side)
	j.text("element", v.Element)
	j.scope(v.Scope.Kind, v.Scope.N)
	j.length("from", v.From)
	j.length("to", v.To)
	j.text("required", v.Required.In(j.unit))
	j.text("found", v.Found.In(j.unit))
	j.text("by", v.By.In(j.unit))
	j.text("message", v.Message(j.unit))
	list(j, "conflict", v.Conflict, func(ref RuleRef) {
		j.object(func() {
			j.text("rule", ref.Rule)
			if ref.Span.File != "" {
				j.text("file", ref.Span.File)
				j.int("line", ref.Span.Start.Line)
			}
		})
	})
	j.text("because", v.Because)
	j.text("source", v.Source)
	j.text("detail", v.Detail)
	if len(v.Conflict) > 0 && !v.Minimal {
		j.bool("minimal", false)
	}
	if v.Tolerated {
		j.bool("tolerated", true)
	}
}

// string writes a JSON string. What is not UTF-8 in it comes out as U+FFFD.
func (j *jsonWriter) string(s string) {
	b := append(j.buf[:0], '"')
	for i := 0; i < len(s); {
		c, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case c == '"' || c == '\\':
			b = append(b, '\\', byte(c))
		case c == '\n':
			b = append(b, `\n`...)
		case c == '\t':
			b = append(b, `\t`...)
		case c < ' ' || c == 0x7f:
			const hex = "0123456789abcdef"
			b = append(b, '\\', 'u', '0', '0', hex[c>>4], hex[c&15])
		default:
			b = utf8.AppendRune(b, c)
		}
		i += size
	}
	j.buf = append(b, '"')
	j.w.Write(j.buf)
}

// plainDecimal writes a decimal digit by digit, without trailing zeros, whatever package decimal is set to.
func plainDecimal(d decimal.Decimal) string {
	return trimmed(d.StringFixed(max(0, -d.Exponent())))
}
