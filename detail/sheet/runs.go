package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A placed is one placement with its scopes and those left out.
type placed struct {
	*detail.Placement
	scopes []detail.Scope
	skips  []detail.Skip
}

// placements gathers what the report lists by table.
func placements(r *detail.Report) []placed {
	all := make([]placed, len(r.Placements))
	for i := range r.Placements {
		all[i].Placement = &r.Placements[i]
	}
	for i, sc := range r.Scopes {
		of := &all[sc.Placement]
		if of.scopes == nil {
			of.scopes = r.Scopes[i:i:len(r.Scopes)]
		}
		of.scopes = of.scopes[:len(of.scopes)+1] // a placement's scopes stand together
	}
	for _, s := range r.Skipped {
		all[s.Placement].skips = append(all[s.Placement].skips, s)
	}
	return all
}

// runs are the sheet's main part: each run with all that is laid on it.
func (p *page) runs(r *detail.Report) {
	all := placements(r)
	by := map[*geom.Run][]placed{}
	for _, x := range all {
		by[x.Run] = append(by[x.Run], x)
	}
	for i, run := range r.Runs {
		if run.Sides[0].On != nil && (run.Edge == geom.RibLine || run.Edge == "penetration") {
			p.onField(r, r.Runs[i:], by)
			continue
		}
		if run.Edge == "field" {
			continue // nothing is laid on a plane as a whole
		}
		p.run(run)
		here := by[run]
		if len(here) == 0 {
			p.gap()
			p.text("", "", "No detail is laid on this run: it stays bare.")
		}
		p.details(r, here)
	}
}

// details are all that is laid on one run.
func (p *page) details(r *detail.Report, here []placed) {
	for len(here) > 0 {
		d := here[0].Detail
		var of []placed
		of, here = take(here, func(x placed) bool { return x.Detail == d })
		p.detail(r, d, of)
	}
}

// take parts a list in those that match and the others, both in their order.
func take(list []placed, match func(placed) bool) (those, others []placed) {
	for _, x := range list {
		if match(x) {
			those = append(those, x)
		} else {
			others = append(others, x)
		}
	}
	return those, others
}

// run describes a run, so that the crew finds it on the roof.
func (p *page) run(run *geom.Run) {
	p.heading("RUN %s", p.name(run))
	for _, line := range p.features(run) {
		p.text("", "  ", "%s", line)
	}
}

// name says which run it is: "high side: peak, 31' 4" long, left end rake, right end wall".
func (f *figures) name(run *geom.Run) string {
	left, right := "left", "right"
	if run.Climbs() {
		left, right = "low", "high"
	}
	return fmt.Sprintf("%s: %s, %s long, %s end %s, %s end %s", run.ID, run.Edge, f.tape(run.Length, units.Nearest),
		left, run.Ends[0], right, run.Ends[1])
}

// features are lines on a run's sides, zones and obstacles.
func (f *figures) features(run *geom.Run) (lines []string) {
	for i := range run.Sides {
		side := &run.Sides[i]
		text := "Slope " + side.Slope.String()
		if side.ID != "" {
			text = strings.TrimSuffix("Side "+side.ID+", "+side.Role, ", ") + ": slope " + side.Slope.String()
		}
		if side.HasPanels {
			text += "; " + f.ribs(side)
		}
		lines = append(lines, text)
	}
	if len(run.Sides) > 1 {
		lines = append(lines, fmt.Sprintf("Left and right are those of side %s.", run.Sides[0].ID))
	}
	for _, z := range run.Zones {
		lines = append(lines, fmt.Sprintf("Zone %s: %s", z.Kind, f.place(z.From, z.To)))
	}
	for _, o := range run.Obstacles {
		text := fmt.Sprintf("Obstacle %s (%s)", o.ID, o.Kind)
		if o.Side != "" {
			text += " on side " + o.Side
		}
		lines = append(lines, fmt.Sprintf("%s: %s", text, f.place(o.From, o.To)))
	}
	return lines
}

// ribs says where the ribs of a side stand.
func (f *figures) ribs(side *geom.Side) string {
	n := len(side.Ribs)
	if n == 0 {
		return "one panel, no rib"
	}
	text := count(n, "rib", "ribs") + " at " + f.tape(side.Ribs[0], units.Nearest)
	if n == 1 {
		return text
	}
	pitch := f.less(side.Ribs[1], side.Ribs[0])
	for i := 2; i < n; i++ {
		if f.less(side.Ribs[i], side.Ribs[i-1]) != pitch {
			for _, rib := range side.Ribs[1:] {
				text += ", " + f.tape(rib, units.Nearest)
			}
			return text
		}
	}
	return text + ", then each " + f.tape(pitch, units.Nearest) + " to " + f.tape(side.Ribs[n-1], units.Nearest)
}

// detail is all that one detail lays on one run, side by side.
func (p *page) detail(r *detail.Report, d *rules.Detail, of []placed) {
	p.summary(d, of)
	p.sections(r, d, of)
}

// summary says how much a detail lays of each of its elements.
func (p *page) summary(d *rules.Detail, of []placed) {
	p.gap()
	p.text("", "  ", "%s: %s", d.Name, or(d.Title, "without a title"))
	p.gap()
	for _, e := range d.Elements {
		total, laid := 0, false
		for _, x := range of {
			if x.Element == e {
				laid = true
				for _, sc := range x.scopes {
					total += sc.Last - sc.First
				}
			}
		}
		if laid {
			p.text("  ", "      ", "%s: %s", e.Name, what(e, total))
		}
	}
}

// sections are what a detail lays on one run.
func (p *page) sections(r *detail.Report, d *rules.Detail, of []placed) {
	// What goes over both sides comes first, then side by side; of each, the whole length before its parts.
	slices.SortStableFunc(of, func(a, b placed) int {
		return cmp.Or(cmp.Compare(sideOrder(a), sideOrder(b)), cmp.Compare(partOrder(a), partOrder(b)),
			cmp.Compare(slices.Index(d.Elements, a.Element), slices.Index(d.Elements, b.Element)))
	})
	for len(of) > 0 {
		side, scope := of[0].SideID(), of[0].Element.Scope
		var like []placed
		like, of = take(of, func(x placed) bool {
			return x.SideID() == side && sameScope(x.Element.Scope, scope)
		})
		p.gap()
		p.section(r, side, scope, like)
	}
}

func sideOrder(x placed) int {
	if x.SideID() == "" {
		return -1
	}
	return x.Side
}

func partOrder(x placed) int {
	if of := x.Element.Scope.Of; of == "run" || of == "side" {
		return 0
	}
	return 1
}

// what says what an element is made of, and how much of it there is.
func what(e *rules.Element, total int) string {
	var parts []string
	if e.Title != "" {
		parts = append(parts, e.Title)
	}
	if e.Item != nil {
		parts = append(parts, or(e.Item.Title, e.Item.Name))
	}
	one, many := "mark", "marks"
	switch e.Kind {
	case rules.Pieces:
		one, many = "piece", "pieces"
	case rules.Strip:
		one, many = "strip", "strips"
	case rules.Bead:
		one, many = "bead", "beads"
	}
	return strings.Join(append(parts, count(total, one, many)), "; ")
}

func sameScope(a, b *rules.ScopeDecl) bool {
	name := func(s *rules.ScopeDecl) string {
		if s.Name == nil {
			return ""
		}
		return s.Name.Text
	}
	return a.How == b.How && a.Of == b.Of && name(a) == name(b) && a.Every == b.Every && a.From == b.From
}
