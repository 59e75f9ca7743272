package sheet

import (
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A planeView is the drawing of a plane, seen square on: its outline, ribs and panels, what comes through it, and the
// marks along its ribs and round its penetrations.
type planeView struct {
	*index
	plane          *geom.Plane
	scale          scale
	left, right    units.Length
	bottom, top    units.Length
	marginX, headY px
}

// view fits a plane onto a page at a round scale.
func (x *index) view(plane *geom.Plane) *planeView {
	v := &planeView{index: x, plane: plane, marginX: 4000, headY: 2000}
	for i, c := range plane.Outline() {
		if i == 0 {
			v.left, v.right, v.bottom, v.top = c.X, c.X, c.Y, c.Y
		}
		v.left, v.right = shorter(v.left, c.X), longer(v.right, c.X)
		v.bottom, v.top = shorter(v.bottom, c.Y), longer(v.top, c.Y)
	}
	for _, ratio := range []int64{12, 24, 36, 48, 60, 72, 96, 120, 240, 480, 960, 9_600, 96_000, 960_000} {
		v.scale.ratio = ratio
		if v.x(v.right)-v.marginX <= 64_000 && v.y(v.bottom)-v.headY <= 76_000 {
			break
		}
	}
	return v
}

func shorter(a, b units.Length) units.Length {
	if b.Cmp(a) < 0 {
		return b
	}
	return a
}

func longer(a, b units.Length) units.Length {
	if b.Cmp(a) > 0 {
		return b
	}
	return a
}

func (v *planeView) x(at units.Length) px {
	return v.marginX + v.scale.at(at.Ticks()-v.left.Ticks())
}

func (v *planeView) y(at units.Length) px {
	return v.headY + v.scale.at(v.top.Ticks()-at.Ticks())
}

func (v *planeView) high() int { return int(v.y(v.bottom)/100) + 32 }

// facts are what a crew finds the plane by, and how it is drawn.
func (v *planeView) facts() []string {
	p := &page{columns: 124, figures: figures{unit: v.unit}}
	var list []string
	holes := v.plane.Penetrations()
	for i := range holes {
		list = append(list, p.penetration(&holes[i]))
	}
	return append(list, fmt.Sprintf("Drawn 1:%d, seen square on.", v.scale.ratio))
}

// draw draws the plane from (0, 0).
func (v *planeView) draw(p *pen) {
	outline := v.plane.Outline()
	p.put(`<g data-plane="%s" data-ratio="%d">`+"\n"+`<path class="panel" d="`, quoted(v.plane.ID()), v.scale.ratio)
	for i, c := range outline {
		step := "L"
		if i == 0 {
			step = "M"
		}
		p.put("%s%v %v", step, v.x(c.X), v.y(c.Y))
	}
	p.raw(`z"/>` + "\n")
	v.ribs(p)
	holes := v.plane.Penetrations()
	for i := range holes {
		v.hole(p, &holes[i])
	}
	v.marks(p)
	for i, c := range outline {
		v.edge(p, c, outline[(i+1)%len(outline)])
	}
	p.raw("</g>\n")
}

// edge writes a side's kind beside its middle, off the plane, which is on its left.
func (v *planeView) edge(p *pen, from, to geom.Corner) {
	x, y := (v.x(from.X)+v.x(to.X))/2, (v.y(from.Y)+v.y(to.Y))/2+300
	across, up := v.x(to.X)-v.x(from.X), v.y(from.Y)-v.y(to.Y)
	name := short(from.Edge, 20)
	off := room(name, 9)/2 + 300
	switch {
	case max(across, -across) > 2*max(up, -up) && across > 0:
		y += 900
	case max(across, -across) > 2*max(up, -up):
		y -= 900
	case up > 0:
		x += off
	default:
		x -= off
	}
	p.text("o", min(max(x, off), wide*100-off), y, name)
}

// ribs draws the rib lines between the sides and the penetrations, and numbers the panels along the low side.
func (v *planeView) ribs(p *pen) {
	runs, err := v.plane.RibRuns()
	if err != nil {
		return // too many to draw
	}
	p.raw(`<path class="dim" d="`)
	for _, r := range runs {
		on := r.Sides[0].On
		p.put("M%v %vL%v %v", v.x(on.Start.X), v.y(on.Start.Y), v.x(on.End.X), v.y(on.End.Y))
	}
	p.raw(`"/>` + "\n")
	for _, c := range v.plane.Schedule() {
		if x, x2 := v.x(c.From), v.x(c.To); c.Part <= 1 && x2-x > room("999", 9) {
			p.put(`<text class="c" x="%v" y="%v">%d<title>panel %d: %s wide, %s long</title></text>`, (x+x2)/2, v.y(v.bottom)+2400, c.N, c.N,
				markup(p.tape(c.Width(), units.Up)), markup(p.tape(c.Longest, units.Up)))
		}
	}
	p.raw("\n")
}

// hole draws a penetration with its id.
func (v *planeView) hole(p *pen, h *geom.Penetration) {
	title := markup((&page{columns: 124, figures: figures{unit: v.unit}}).penetration(h))
	x, y := v.x(h.X), v.y(h.Y)
	if !h.Diameter.IsZero() {
		r := max(v.scale.at(h.Diameter.Ticks()/2), 200)
		p.put(`<circle class="out" cx="%v" cy="%v" r="%v"><title>%s</title></circle>`, x, y, r, title)
		p.text("o", x, v.above(h, y-r), short(h.ID, 20))
	} else {
		wide, high := v.scale.at(h.Width.Ticks()), v.scale.at(h.Length.Ticks())
		p.put(`<path class="out" d="M%v %vh%vv%vh%vz"><title>%s</title></path>`, x, y, wide, -high, -wide, title)
		p.text("o", x+wide/2, v.above(h, y-high), short(h.ID, 20))
	}
	p.raw("\n")
}

// above is where a penetration's name goes: over it, and over the marks round it.
func (v *planeView) above(h *geom.Penetration, top px) px {
	for i := range v.r.Scopes {
		if ring := v.r.Scopes[i].Ring; ring != nil && ring.ID == v.plane.ID()+"/"+h.ID {
			top = min(top, v.y(ring.Centre.Y)-v.scale.at(ring.Height.Ticks()/2)-400)
		}
	}
	return top - 300
}

// A fieldRow is an element that is laid in a plane's field, and the symbol of its marks.
type fieldRow struct {
	element *rules.Element
	scopes  []int
	total   int
	symbol  string
}

// laid are the elements in the plane's field in their order; only rows have a symbol.
func (v *planeView) laid() (list []*fieldRow) {
	rows := 0
	for i := range v.r.Scopes {
		if !v.holds(i) {
			continue
		}
		sc := &v.r.Scopes[i]
		e := v.r.Placements[sc.Placement].Element
		k := slices.IndexFunc(list, func(f *fieldRow) bool { return f.element == e })
		if k < 0 {
			k, list = len(list), append(list, &fieldRow{element: e})
			if e.Kind == rules.Row {
				list[k].symbol = fmt.Sprintf("lw-m%d", rows%symbols)
				rows++
			}
		}
		list[k].scopes = append(list[k].scopes, i)
		list[k].total += sc.Last - sc.First
	}
	return list
}

// marks draws the marks along ribs and round penetrations.
func (v *planeView) marks(p *pen) {
	for _, f := range v.laid() {
		if f.symbol == "" {
			continue
		}
		for _, i := range f.scopes {
			sc := &v.r.Scopes[i]
			for _, m := range v.r.Marks[sc.First:sc.Last] {
				if at, ok := v.r.Point(int32(i), m.At); ok {
					p.put(`<use href="#%s" x="%v" y="%v"><title>%s: %s along, %s up</title></use>`, f.symbol, v.x(at.X), v.y(at.Y),
						markup(v.where(int32(i))), markup(p.exact(at.X)), markup(p.exact(at.Y)))
				}
			}
		}
	}
	p.raw("\n")
}

// legend says what the shapes mean, and what is laid but not drawn.
func (v *planeView) legend(p *pen) block {
	var list []meaning
	for _, f := range v.laid() {
		if f.symbol != "" {
			list = append(list, meaning{`<use href="#` + f.symbol + `" x="8"/>`, f.element.Name + ": " + what(f.element, f.total)})
		} else {
			list = append(list, meaning{"", "not drawn: " + f.element.Name + ": " + what(f.element, f.total)})
		}
	}
	if len(v.plane.Ribs()) > 0 {
		list = append(list, meaning{`<path class="panel" d="M0-5h16v8H0z"/><path class="dim" d="M8-5v8"/>`,
			"ribs; the panels' numbers stand below"})
	}
	if len(v.plane.Penetrations()) > 0 {
		list = append(list, meaning{box("out"), "penetration"})
	}
	return p.legendOf(list)
}

// words lists the violations in the plane's field with the rules' words.
func (v *planeView) words(p *pen) block {
	var list []line
	for _, run := range v.r.Runs {
		if inField(run) && fieldOf(run) == v.plane.ID() {
			list = append(list, v.notMet(p, run)...)
		}
	}
	return p.lines(list)
}

// holds tells whether a scope goes along a rib of the plane, or at a penetration of it or round one.
func (v *planeView) holds(scope int) bool {
	run := v.r.Placements[v.r.Scopes[scope].Placement].Run
	return inField(run) && fieldOf(run) == v.plane.ID()
}

// fieldOf is the plane whose field a run is of.
func fieldOf(run *geom.Run) string {
	if on := run.Sides[0].On; on != nil {
		return on.Plane
	}
	return run.ID
}
