package sheet

import (
	_ "embed"
	"encoding/hex"
	"fmt"
	"io"
	"strings"

	"github.com/lapwright/lapwright/detail"
)

//go:embed page.css
var pageStyle string

// HTML writes a report as one page that needs nothing from outside and runs no script: each run drawn as SVG draws it,
// with a table for each element; what to buy and how to cut it, the order of work with boxes to tick, what isn't met,
// cautions and sources. It prints on Letter and on A4. An error is the writer's, or says that a length can't be held.
func (o Options) HTML(w io.Writer, r *detail.Report) error {
	x := newIndex(r, o.Unit)
	d := &document{pen: newPen(w, o), index: x}
	for _, run := range r.Runs {
		d.boards = append(d.boards, x.board(run))
	}
	d.head()
	d.title()
	d.faults()
	for i, plane := range r.Planes {
		d.plane(i, x.view(plane))
	}
	for i, b := range d.boards {
		if !inField(b.run) {
			d.run(i, b)
		}
	}
	d.takeoff()
	d.cuts()
	d.steps()
	d.list("Left out", skipped(r))
	d.list("Bare runs: no detail is laid on them", r.Bare)
	d.list("Notes", r.Notes)
	d.background()
	d.raw("</main>\n</body>\n</html>\n")
	return d.end()
}

// A document is the page while it is written.
type document struct {
	*pen
	*index
	boards []*board
}

// head opens the page. Its policy lets a browser fetch nothing and run nothing, whatever stands in the report.
func (d *document) head() {
	name := markup("Layout of " + or(d.r.Job, "a job without a name"))
	d.put(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<link rel="icon" href="data:,">
<title>%s</title>
<style>
%s%s%s</style>
</head>
<body>
<svg class="lw" width="0" height="0" style="position:absolute" aria-hidden="true">
`, name, pageStyle, footer(d.r.Book.Digest), drawingStyle)
	d.defs(d.index, d.boards)
	d.raw("</svg>\n")
}

// footer puts the book's digest and the page's number under each printed page.
func footer(digest string) string {
	about := ""
	if sum, ok := strings.CutPrefix(digest, "sha256:"); ok && len(sum) >= 12 {
		if _, err := hex.DecodeString(sum[:12]); err == nil {
			about = "Details sha256:" + sum[:12] + " - "
		}
	}
	return `@page{margin:9mm 9mm 14mm;@bottom-right{content:"` + about + `page " counter(page) " of " counter(pages);font:9px sans-serif}}` + "\n"
}

// title says what the sheet is for and how it is read.
func (d *document) title() {
	r := d.r
	d.put("<header>\n<h1>%s</h1>\n<dl>\n<dt>Details</dt><dd>%s</dd>\n", markup(or(r.Job, "without a name")), markup(bookName(r.Book)))
	if r.Book.Digest != "" {
		d.put("<dt>Digest</dt><dd>%s</dd>\n", markup(r.Book.Digest))
	}
	if r.Book.Basis != "" {
		d.put("<dt>Basis</dt><dd>%s</dd>\n", markup(r.Book.Basis))
	}
	d.put("<dt>Result</dt><dd class=\"result\">%s</dd>\n</dl>\n", markup(result(r)))
	for _, s := range []string{stations, d.roundings(), pointing} {
		d.put("<p>%s</p>\n", markup(s))
	}
	d.raw("</header>\n<main>\n")
	if len(r.Cautions) > 0 {
		d.raw("<section class=\"caution keep\">\n<h2>Cautions</h2>\n<ul>\n")
		for _, c := range r.Cautions {
			d.put("<li>%s</li>\n", markup(c))
		}
		d.raw("</ul>\n</section>\n")
	}
	if len(r.Runs) > 1 {
		d.raw("<nav aria-label=\"Planes and runs\"><ul>\n")
		for i, plane := range r.Planes {
			d.put("<li><a href=\"#plane-%d\">%s</a></li>\n", i+1, markup("plane "+planeName(plane)))
		}
		for i, b := range d.boards {
			if !inField(b.run) {
				d.put("<li><a href=\"#run-%d\">%s</a></li>\n", i+1, markup(d.name(b.run)))
			}
		}
		d.raw("</ul></nav>\n")
	}
}

// faults are what can't be met and what is only advised, under the numbers that the drawings show.
func (d *document) faults() {
	for _, part := range []struct{ severity, title, class string }{
		{"must", "Not met", "bad"}, {"should", "Advice: these should hold", "bad soft"},
	} {
		first := true
		for i := range d.r.Violations {
			v := &d.r.Violations[i]
			if v.Severity != part.severity {
				continue
			}
			if first {
				first = false
				d.put("<section>\n<h2>%s</h2>\n<ul class=\"%s\">\n", part.title, part.class)
			}
			d.put("<li><b>%d. %s</b><br>%s</li>\n", i+1, markup(d.placeOf(v)), markup(d.ruleWords(v)))
		}
		if !first {
			d.raw("</ul>\n</section>\n")
		}
	}
	if n := d.r.UnlistedMust + d.r.UnlistedShould; n > 0 {
		d.put("<p>%d more are counted, not listed.</p>\n", n)
	}
}

// plane draws a plane and lists what is laid in its field.
func (d *document) plane(i int, v *planeView) {
	d.put("<section id=\"plane-%d\">\n<h2>PLANE %s</h2>\n<ul class=\"lead\">\n", i+1, markup(planeName(v.plane)))
	for _, l := range v.facts() {
		d.put("<li>%s</li>\n", markup(l))
	}
	d.raw("</ul>\n")
	d.figure(block{v.high(), func() { v.draw(d.pen) }}, "plane "+v.plane.ID())
	d.figure(v.legend(d.pen), "what the shapes mean, plane "+v.plane.ID())
	for _, b := range d.boards {
		if inField(b.run) && fieldOf(b.run) == v.plane.ID() && anyLaid(d.byRun[b.run]) {
			d.put("<h3>%s</h3>\n<ul class=\"lead\">\n", markup(d.name(b.run)))
			for _, l := range d.features(b.run) {
				d.put("<li>%s</li>\n", markup(l))
			}
			d.raw("</ul>\n")
			d.elements(b)
		}
	}
	d.raw("</section>\n")
}

// run draws a run and lists what is laid on it.
func (d *document) run(i int, b *board) {
	d.put("<section id=\"run-%d\">\n<h2>RUN %s</h2>\n<ul class=\"lead\">\n", i+1, markup(d.name(b.run)))
	for _, l := range b.facts(d.pen) {
		d.put("<li>%s</li>\n", markup(l))
	}
	d.raw("</ul>\n")
	rows := b.blocks(d.pen)
	for n, row := range rows {
		d.figure(row, fmt.Sprintf("run %s, drawing %d of %d", b.run.ID, n+1, len(rows)))
	}
	d.figure(b.legend(d.pen), "what the shapes mean, run "+b.run.ID)
	d.elements(b)
	d.raw("</section>\n")
}

// elements are the tables of all that is laid on a run.
func (d *document) elements(b *board) {
	for _, s := range b.sections {
		for _, l := range s.lanes {
			d.element(l)
		}
	}
}

// figure is a drawing that no page break cuts.
func (d *document) figure(b block, label string) {
	d.put(`<figure><svg class="lw" width="%d" height="%d" viewBox="0 0 %d %d" role="group" aria-label="%s">`+"\n",
		wide, b.high, wide, b.high, quoted(label))
	b.draw()
	d.raw("</svg></figure>\n")
}

// steps are the order of work, with boxes to tick.
func (d *document) steps() {
	for i, s := range d.r.Steps {
		if i == 0 {
			d.raw("<section>\n<h2>Order of work</h2>\n")
		}
		if i == 0 || d.r.Steps[i-1].Detail != s.Detail {
			d.put("<h3>%s</h3>\n<ol class=\"steps\">\n", markup(s.Detail))
		}
		text, class := s.Text, ""
		if s.Hold {
			text, class = "STOP AND LOOK: "+text, ` class="hold"`
		}
		if len(s.Sets) > 0 {
			text += " (" + strings.Join(s.Sets, ", ") + ")"
		}
		d.put("<li%s><label><input type=\"checkbox\"> <span>%d. %s</span></label></li>\n", class, s.N, markup(text))
		if i+1 == len(d.r.Steps) || d.r.Steps[i+1].Detail != s.Detail {
			d.raw("</ol>\n")
		}
	}
	if len(d.r.Steps) > 0 {
		d.raw("</section>\n")
	}
}

// background is where the rules come from, and which of the base's were loosened.
func (d *document) background() {
	var relaxed, sources []string
	for _, x := range d.r.Relaxed {
		relaxed = append(relaxed, x.Rule+": "+x.Because)
	}
	for _, s := range d.r.Sources {
		sources = append(sources, s.Rule+": "+s.Source)
	}
	d.list("Loosened or dropped", relaxed)
	d.list("Sources", sources)
}

// list is a heading and its lines, or nothing.
func (d *document) list(title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	d.put("<section>\n<h2>%s</h2>\n<ul>\n", markup(title))
	for _, l := range lines {
		d.put("<li>%s</li>\n", markup(l))
	}
	d.raw("</ul>\n</section>\n")
}
