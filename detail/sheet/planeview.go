package sheet

import (
	"fmt"
	"strings"

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

func (v *planeView) high() int { return int(v.y(v.bottom)/100) + 24 }

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
		next := outline[(i+1)%len(outline)]
		p.text("o", (v.x(c.X)+v.x(next.X))/2, (v.y(c.Y)+v.y(next.Y))/2+300, short(c.Edge, 20))
	}
	p.raw("</g>\n")
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
			p.put(`<text class="c" x="%v" y="%v">%d<title>panel %d: %s wide, %s long</title></text>`, (x+x2)/2, v.y(v.bottom)+1600, c.N, c.N,
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
		p.text("o", x, y-r-300, short(h.ID, 20))
	} else {
		wide, high := v.scale.at(h.Width.Ticks()), v.scale.at(h.Length.Ticks())
		p.put(`<path class="out" d="M%v %vh%vv%vh%vz"><title>%s</title></path>`, x, y, wide, -high, -wide, title)
		p.text("o", x+wide/2, y-high/2+300, short(h.ID, 20))
	}
	p.raw("\n")
}

// marks draws the marks along ribs and round penetrations.
func (v *planeView) marks(p *pen) {
	rows := map[*rules.Element]int{}
	for i := range v.r.Scopes {
		sc := &v.r.Scopes[i]
		of := &v.r.Placements[sc.Placement]
		if of.Element.Kind != rules.Row || !v.holds(i) {
			continue
		}
		if _, ok := rows[of.Element]; !ok {
			rows[of.Element] = len(rows)
		}
		for _, m := range v.r.Marks[sc.First:sc.Last] {
			if at, ok := v.r.Point(int32(i), m.At); ok {
				p.put(`<use href="#lw-m%d" x="%v" y="%v"><title>%s: %s along, %s up</title></use>`, rows[of.Element]%symbols, v.x(at.X), v.y(at.Y),
					markup(v.where(int32(i))), markup(p.exact(at.X)), markup(p.exact(at.Y)))
			}
		}
	}
	p.raw("\n")
}

// holds tells whether a scope goes along a rib or round a penetration of the plane.
func (v *planeView) holds(scope int) bool {
	sc := &v.r.Scopes[scope]
	if sc.Ring != nil {
		return strings.HasPrefix(sc.Ring.ID, v.plane.ID()+"/")
	}
	of := &v.r.Placements[sc.Placement]
	on := of.Run.Sides[max(of.Side, 0)].On
	return of.Run.Edge == geom.RibLine && on != nil && on.Plane == v.plane.ID()
}
