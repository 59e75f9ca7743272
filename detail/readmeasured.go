package detail

import (
	"io"
	"strconv"

	"github.com/lapwright/lapwright/detail/internal/strictjson"
	"github.com/lapwright/lapwright/units"
)

// ReadMeasured reads measurements in the form of schema/measured.schema.json, with the default Options.
func ReadMeasured(r io.Reader) (*Measured, error) { return Options{}.ReadMeasured(r) }

// ReadMeasured reads measurements in the form of schema/measured.schema.json, strictly. What is wrong with them is a
// *JobErrors, all in one pass; ErrLimit is in it where a limit was reached. Any other error is the reader's.
func (o Options) ReadMeasured(r io.Reader) (*Measured, error) {
	jr, err := o.readJSON(r, "measurements")
	if err != nil {
		return nil, err
	}
	m := jr.measured()
	if jr.count() == 0 {
		m.check(&jr.errs)
		for _, e := range jr.errs.List {
			e.Line = 0 // what was found is told where the value itself stands
		}
	}
	if err := jr.err(); err != nil {
		return nil, err
	}
	return m, nil
}

func (r *jobReader) measured() *Measured {
	m := &Measured{}
	r.object(r.doc.Root(), "an inspection", fields{
		"measured": func(v strictjson.Value) {
			r.list(v, "measurements", func(i int, v strictjson.Value) { m.List = append(m.List, r.measure(i, v)) })
		},
		"tolerance": func(v strictjson.Value) { m.Tolerance = r.length(v, "a tolerance") },
	}, "measured")
	return m
}

func (r *jobReader) measure(i int, v strictjson.Value) Measure {
	m := Measure{Place: r.place(v, "/measured/"+strconv.Itoa(i))}
	var part [2]units.Length
	from, to := false, false
	r.object(v, "a measurement", fields{
		"run":     func(v strictjson.Value) { m.Run = r.name(v, "a run's id") },
		"side":    func(v strictjson.Value) { m.Side = r.text(v, "a side's id") },
		"detail":  func(v strictjson.Value) { m.Detail = r.name(v, "a detail's name") },
		"element": func(v strictjson.Value) { m.Element = r.name(v, "an element's name") },
		"scopes": func(v strictjson.Value) {
			m.Scopes = []int{}
			r.list(v, "scopes", func(_ int, v strictjson.Value) {
				m.Scopes = append(m.Scopes, r.whole(v,
					"a scope's number"))
			})
		},
		"from": func(v strictjson.Value) { from, part[0] = true, r.length(v, "a start") },
		"to":   func(v strictjson.Value) { to, part[1] = true, r.length(v, "an end") },
		"at": func(v strictjson.Value) {
			r.list(v, "stations", func(_ int, v strictjson.Value) { m.At = append(m.At, r.length(v, "a station")) })
		},
		"pieces": func(v strictjson.Value) {
			r.list(v, "pieces", func(_ int, v strictjson.Value) {
				var p Piece
				r.object(v, "a piece", r.stretch(&p.From, &p.To), "from", "to")
				m.Pieces = append(m.Pieces, p)
			})
		},
		"strips": func(v strictjson.Value) {
			r.list(v, "strips", func(_ int, v strictjson.Value) {
				var s Strip
				keys, cut := r.stretch(&s.From, &s.To), false
				keys["length"] = func(v strictjson.Value) { cut, s.Length = true, r.length(v, "a length") }
				r.object(v, "a strip", keys, "from", "to")
				if !cut {
					s.Length, _ = s.To.Sub(s.From)
				}
				m.Strips = append(m.Strips, s)
			})
		},
		"beads": func(v strictjson.Value) {
			r.list(v, "beads", func(_ int, v strictjson.Value) {
				var b Bead
				r.object(v, "a bead", fields{
					"at":     func(v strictjson.Value) { b.At = r.length(v, "a station") },
					"length": func(v strictjson.Value) { b.Length = r.length(v, "a length") },
				}, "at", "length")
				m.Beads = append(m.Beads, b)
			})
		},
	}, "run", "detail", "element")
	switch {
	case from && to:
		m.Part = &part
	case from != to:
		r.fault(v, `the part that was measured has both, "from" and "to"`)
	}
	return m
}

func (r *jobReader) stretch(from, to *units.Length) fields {
	return fields{
		"from": func(v strictjson.Value) { *from = r.length(v, "a start") },
		"to":   func(v strictjson.Value) { *to = r.length(v, "an end") },
	}
}

// whole reads a number that counts.
func (r *jobReader) whole(v strictjson.Value, what string) int {
	if v.Kind() != strictjson.Number {
		r.fault(v, "%s is a number such as 3, but here is %s", what, v.Kind())
		return 1
	}
	n, err := strconv.Atoi(v.Text())
	if err != nil {
		r.fault(v, "%s is a whole number such as 3, but here is %s", what, quoted(v.Text()))
		return 1
	}
	return n
}
