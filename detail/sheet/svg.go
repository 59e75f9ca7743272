package sheet

import (
	"fmt"
	"io"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
)

// SVG draws the report's planes to scale, seen square on, with the marks along ribs and round penetrations, and each
// run that is no part of a plane's field: under a tape the panels and ribs, and a lane for each element with its marks,
// pieces, strips and beads, dimensions between marks, zones, obstacles, and violations where they are. A long run is
// broken into rows that fit a page 7 1/2 in wide. What isn't met is listed with the rule's words. The picture needs
// nothing from outside. An error is the writer's, says that Options.Only names nothing that can be drawn alone, or that
// a length can't be held.
func (o Options) SVG(w io.Writer, r *detail.Report) error {
	x := newIndex(r, o.Unit)
	var boards []*board
	for _, run := range r.Runs {
		if o.Only == run.ID && run.Edge == "penetration" {
			return fmt.Errorf("what goes round %q is drawn on its plane: draw %q", run.ID, fieldOf(run))
		}
		if o.Only == "" && !inField(run) || o.Only == run.ID && run.Edge != "field" {
			boards = append(boards, x.board(run))
		}
	}
	var views []*planeView
	for _, plane := range r.Planes {
		if o.Only == "" || o.Only == plane.ID() {
			views = append(views, x.view(plane))
		}
	}
	if o.Only != "" && boards == nil && views == nil {
		return fmt.Errorf("the report has no run or plane %q", o.Only)
	}
	p := newPen(w, o)
	blocks := p.titleBlock(r)
	for _, v := range views {
		list := paragraph("h", "PLANE "+planeName(v.plane))
		for _, l := range v.facts() {
			list = append(list, paragraph("p", l)...)
		}
		blocks = append(blocks, p.lines(list), block{v.high(), func() { v.draw(p) }}, v.words(p), v.legend(p))
	}
	for _, b := range boards {
		blocks = append(blocks, b.head(p))
		blocks = append(append(blocks, b.blocks(p)...), b.words(p), b.legend(p))
	}
	blocks = append(blocks, p.cautions(r))
	high := 8
	for _, b := range blocks {
		high += b.high
	}
	p.put(`<svg xmlns="http://www.w3.org/2000/svg" class="lw" width="%d" height="%d" viewBox="0 0 %d %d" role="group" aria-label="%s">`+"\n",
		wide, high, wide, high, quoted("Layout of "+or(r.Job, "a job without a name")))
	p.put("<title>%s</title>\n<style>\n%s</style>\n", markup("Layout of "+or(r.Job, "a job without a name")), drawingStyle)
	p.defs(x, boards)
	p.put(`<path d="M0 0h%dv%dH0z" fill="#fff"/>`+"\n", wide, high)
	y := 4
	for _, b := range blocks {
		p.put(`<g transform="translate(0 %d)">`+"\n", y)
		b.draw()
		p.raw("</g>\n")
		y += b.high
	}
	p.raw("</svg>\n")
	return p.end()
}

// A block is a part of a drawing, one below the other.
type block struct {
	high int
	draw func()
}

// blocks are the rows of a run.
func (b *board) blocks(p *pen) (list []block) {
	for row := range b.rows() {
		for _, column := range b.columns {
			list = append(list, block{b.high(column), func() { b.draw(p, row, column) }})
		}
	}
	return list
}

// lines is a block of text, each line of a class.
func (p *pen) lines(list []line) block {
	return block{len(list)*13 + 6, func() {
		for i, l := range list {
			p.text(l.class, 200, px(i*13+12)*100, l.text)
		}
		p.raw("\n")
	}}
}

type line struct{ class, text string }

// paragraph breaks a text into lines of the drawing.
func paragraph(class, text string) (list []line) {
	for _, l := range (&page{columns: 124}).wrapped(text, 124) {
		list = append(list, line{class, l})
	}
	return list
}

// titleBlock says what the drawing is for and how it is read.
func (p *pen) titleBlock(r *detail.Report) []block {
	list := paragraph("h", or(r.Job, "without a name"))
	list = append(list, paragraph("p", fmt.Sprintf("Details: %s. %.19s", bookName(r.Book), r.Book.Digest))...)
	if r.Book.Basis != "" {
		list = append(list, paragraph("p", "Basis: "+r.Book.Basis)...)
	}
	list = append(list, paragraph("p", "Result: "+result(r))...)
	list = append(list, paragraph("p", stations)...)
	list = append(list, paragraph("p", p.roundings()+" "+pointing)...)
	return []block{p.lines(list)}
}

const pointing = "Point at a mark, or tab to it, to read its exact station and why it stands there."

// head says which run it is and what is laid on it.
func (b *board) head(p *pen) block {
	list := append(paragraph("h", ""), paragraph("h", "RUN "+p.name(b.run))...)
	for _, l := range b.facts(p) {
		list = append(list, paragraph("p", l)...)
	}
	return p.lines(list)
}

// facts are what a crew finds the run by, and how it is drawn.
func (b *board) facts(p *pen) []string {
	list := append(p.features(b.run), fmt.Sprintf("Scale 1:%d where the sheet is printed 7 1/2 in wide.", b.scale.ratio))
	if len(b.byRun[b.run]) == 0 {
		list = append(list, "No detail is laid on this run: it stays bare.")
	}
	return list
}

// words lists the run's violations with the rules' words.
func (b *board) words(p *pen) block {
	return p.lines(b.notMet(p, b.run))
}

// notMet are a run's violations, each under its number.
func (x *index) notMet(p *pen, run *geom.Run) (list []line) {
	for _, i := range x.broken[run.ID] {
		v := &x.r.Violations[i]
		kind := "NOT MET"
		if v.Severity != "must" {
			kind = "ADVICE"
		}
		list = append(list, paragraph("p", fmt.Sprintf("%d. %s: %s: %s", i+1, kind, p.placeOf(v), p.ruleWords(v)))...)
	}
	return list
}

// A meaning is an entry of a legend: a shape and what it means.
type meaning struct{ mark, text string }

func box(class string) string { return `<path class="` + class + `" d="M0-5h16v8H0z"/>` }

// legend says what the shapes and hatches mean.
func (b *board) legend(p *pen) block {
	var list []meaning
	kinds := map[rules.Kind]bool{}
	for _, s := range b.sections {
		for _, l := range s.lanes {
			e := l.Element
			total := 0
			for _, sc := range l.scopes {
				total += sc.Last - sc.First
			}
			mark := `<use href="#` + l.symbol + `" x="8"/>`
			switch e.Kind {
			case rules.Pieces:
				mark = box("piece")
			case rules.Strip:
				mark = box("strip")
			case rules.Bead:
				mark = `<use href="#lw-bead" x="8"/>`
				if e.Scope.How != "at" {
					mark = box("run")
				}
			}
			kinds[e.Kind] = true
			side := ""
			if id := l.SideID(); id != "" {
				side = ", side " + id
			}
			list = append(list, meaning{mark, e.Name + side + ": " + what(e, total)})
		}
	}
	if kinds[rules.Pieces] {
		list = append(list, meaning{box("lap"), "lap of two pieces"})
	}
	if kinds[rules.Row] || kinds[rules.Pieces] {
		list = append(list, meaning{`<path class="keep" d="M0-5h16v8H0z"/>`, "kept clear: no mark or lap"})
	}
	if len(b.run.Zones) > 0 {
		list = append(list, meaning{box("zone"), "zone, its border dashed"})
	}
	if len(b.run.Obstacles) > 0 {
		list = append(list, meaning{box("out"), "obstacle: nothing stands in it"})
	}
	if b.run.Sides[0].HasPanels {
		list = append(list, meaning{`<path class="panel" d="M0-5h16v8H0z"/><path class="rib" d="M6-5h3v8H6z"/>`, "panels by number, and ribs"})
	}
	if kinds[rules.Row] {
		list = append(list, meaning{`<path class="dim" d="M0-1h16M0-3.5v5M16-3.5v5"/>`, "spaces between marks: 4 @ 6 is four of 6"})
	}
	if len(b.broken[b.run.ID]) > 0 {
		list = append(list, meaning{`<path class="bad" d="M0-1h16M0-5v8M16-5v8"/>`, "a rule that isn't met, with its number in the list"})
	}
	return p.legendOf(list)
}

// legendOf is a legend in two columns.
func (p *pen) legendOf(list []meaning) block {
	half := (len(list) + 1) / 2
	return block{half*14 + 12, func() {
		for i, e := range list {
			x, y := 4, 12+i*14
			if i >= half {
				x, y = 4+wide/2, 12+(i-half)*14
			}
			p.put(`<g transform="translate(%d %d)">%s`, x, y, e.mark)
			p.text("n", 2200, 250, short(e.text, 62))
			p.raw("</g>\n")
		}
	}}
}

// cautions close the drawing.
func (p *pen) cautions(r *detail.Report) block {
	list := []line{{"h", "Cautions"}}
	for _, c := range r.Cautions {
		list = append(list, paragraph("p", "- "+c)...)
	}
	return p.lines(list)
}

// inField tells whether a run is a plane's field, a rib line or a penetration of it: drawn on the plane.
func inField(run *geom.Run) bool {
	return run.Edge == "field" || run.Sides[0].On != nil && (run.Edge == geom.RibLine || run.Edge == "penetration")
}
