package sheet

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// onField writes what is laid on the rib lines or penetrations of a plane, which stand first in runs. Of runs that
// follow one of their kind nothing is left to write.
func (p *page) onField(r *detail.Report, runs []*geom.Run, by map[*geom.Run][]placed) {
	first := runs[0]
	plane := first.Sides[0].On.Plane
	if p.field == first.Edge+plane {
		return
	}
	p.field = first.Edge + plane
	n := 0
	for n < len(runs) && runs[n].Edge == first.Edge && runs[n].Sides[0].On.Plane == plane {
		n++
	}
	if first.Edge == geom.RibLine {
		p.heading("RIB LINES OF PLANE %s", plane)
		p.ribLines(r, runs[:n], by)
		return
	}
	for _, run := range runs[:n] {
		p.heading("PENETRATION %s", run.ID)
		p.penetrationRun(run)
		if anyLaid(by[run]) {
			p.details(r, by[run])
		} else {
			p.text("", "  ", "Nothing is laid here.")
		}
	}
}

// A bunch is the rib lines on which a detail is laid alike, and what the sheet says of them.
type bunch struct {
	text []byte
	ribs []string
}

// ribLines writes detail by detail how much is laid in all, and where, rib lines that are alike together.
func (p *page) ribLines(r *detail.Report, runs []*geom.Run, by map[*geom.Run][]placed) {
	var all []placed
	for _, run := range runs {
		all = append(all, by[run]...)
	}
	for len(all) > 0 {
		d := all[0].Detail
		var of []placed
		of, all = take(all, func(x placed) bool { return x.Detail == d })
		p.summary(d, of)
		var bunches []*bunch
		alike := map[string]*bunch{}
		for len(of) > 0 {
			run, k := of[0].Run, 1
			for k < len(of) && of[k].Run == run {
				k++
			}
			var here []placed
			here, of = of[:k], of[k:]
			if !anyLaid(here) {
				continue // not among the ribs that are counted off
			}
			own := &page{columns: p.columns}
			own.text("  ", "    ", "%s", own.ribLine(run))
			own.sections(r, d, here)
			p.rounded = p.rounded || own.rounded
			if p.err == nil {
				p.err = own.err
			}
			key := own.buf.String()
			if alike[key] == nil {
				alike[key] = &bunch{text: own.buf.Bytes()}
				bunches = append(bunches, alike[key])
			}
			alike[key].ribs = append(alike[key].ribs, strings.TrimPrefix(run.ID, run.Sides[0].On.Plane+"/rib "))
		}
		for _, b := range bunches {
			p.gap()
			name := "Ribs "
			if len(b.ribs) == 1 {
				name = "Rib "
			}
			p.text("", "  ", "%s", name+ribRanges(b.ribs))
			p.buf.Write(bytes.TrimLeft(b.text, "\n"))
		}
	}
}

// anyLaid tells whether something is laid, or said to be left out.
func anyLaid(list []placed) bool {
	for _, x := range list {
		if len(x.scopes)+len(x.skips) > 0 {
			return true
		}
	}
	return false
}

// ribLine describes a rib line.
func (p *page) ribLine(run *geom.Run) string {
	text := fmt.Sprintf("%s long, low end %s, high end %s", p.tape(run.Length, units.Nearest), run.Ends[0], run.Ends[1])
	for _, z := range run.Zones {
		text += fmt.Sprintf("; zone %s: %s", z.Kind, p.place(z.From, z.To))
	}
	return text
}

// penetrationRun describes a penetration.
func (p *page) penetrationRun(run *geom.Run) {
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

// ribRanges are names of ribs, runs of them as 2-4.
func ribRanges(ribs []string) string {
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
