package sheet

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// A stretch is what a sheet says of one rib line or penetration, and of which ribs.
type stretch struct {
	text []byte
	ribs []string
}

// onField writes what is laid on the rib lines or penetrations of a plane, which stand first in runs, those laid alike
// together. Of runs that follow one of their kind nothing is left to write.
func (p *page) onField(r *detail.Report, runs []*geom.Run, by map[*geom.Run][]placed) {
	first := runs[0]
	if p.field == first.Edge+first.Sides[0].On.Plane {
		return
	}
	p.field = first.Edge + first.Sides[0].On.Plane
	var lines []*stretch
	alike := map[string]*stretch{}
	for _, run := range runs {
		if run.Edge != first.Edge || run.Sides[0].On.Plane != first.Sides[0].On.Plane {
			break
		}
		own := &page{columns: p.columns}
		own.fieldRun(run)
		if laid(by[run]) {
			own.details(r, by[run])
		} else {
			own.text("", "  ", "Nothing is laid here.")
		}
		p.rounded, p.err = p.rounded || own.rounded, firstOf(p.err, own.err)
		key := own.buf.String()
		if run.Edge != geom.RibLine {
			key = run.ID + key
		}
		if alike[key] == nil {
			alike[key] = &stretch{text: own.buf.Bytes()}
			lines = append(lines, alike[key])
		}
		alike[key].ribs = append(alike[key].ribs, strings.TrimPrefix(run.ID, run.Sides[0].On.Plane+"/rib "))
	}
	for _, l := range lines {
		switch {
		case first.Edge != geom.RibLine:
			p.heading("PENETRATION %s", l.ribs[0])
		case len(l.ribs) == 1:
			p.heading("RIB %s OF PLANE %s", l.ribs[0], first.Sides[0].On.Plane)
		default:
			p.heading("RIBS %s OF PLANE %s", ranges(l.ribs), first.Sides[0].On.Plane)
		}
		p.buf.Write(bytes.TrimLeft(l.text, "\n"))
	}
}

func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// laid tells whether something is laid, or said to be left out.
func laid(list []placed) bool {
	for _, x := range list {
		if len(x.scopes)+len(x.skips) > 0 {
			return true
		}
	}
	return false
}

// fieldRun describes a rib line or a penetration.
func (p *page) fieldRun(run *geom.Run) {
	if run.Edge == geom.RibLine {
		p.text("", "  ", "%s long, low end %s, high end %s", p.tape(run.Length, units.Nearest), run.Ends[0], run.Ends[1])
		for _, z := range run.Zones {
			p.text("", "  ", "Zone %s: %s", z.Kind, p.place(z.From, z.To))
		}
		return
	}
	on := run.Sides[0].On
	p.text("", "  ", "%s all round; its middle %s along and %s up plane %s", p.tape(run.Length, units.Up), p.tape(on.Start.X, units.Nearest),
		p.tape(on.Start.Y, units.Nearest), on.Plane)
	for _, z := range run.Zones {
		p.text("", "  ", "In zone %s", z.Kind)
	}
}

// outline says how large the outline is that something goes round.
func (p *page) outline(r *geom.Ring) string {
	if r.Round {
		return "on a circle " + p.tape(r.Width, units.Nearest) + " across"
	}
	return "on an outline " + p.tape(r.Width, units.Nearest) + " wide and " + p.tape(r.Height, units.Nearest) + " up the slope"
}

// ranges are numbers of ribs, runs of them as 2-4.
func ranges(ribs []string) string {
	var parts []string
	for i := 0; i < len(ribs); {
		k := i
		for k+1 < len(ribs) && follows(ribs[k], ribs[k+1]) {
			k++
		}
		part := ribs[i]
		if k > i {
			part += "-" + ribs[k]
		}
		parts = append(parts, part)
		i = k + 1
	}
	return strings.Join(parts, ", ")
}

// follows tells whether b is the number after a.
func follows(a, b string) bool {
	var n int
	if _, err := fmt.Sscanf(a, "%d", &n); err != nil {
		return false
	}
	return a == fmt.Sprint(n) && b == fmt.Sprint(n+1)
}
