package sheet

import (
	"fmt"
	"io"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// Options say how a sheet looks. The zero value means the documented defaults.
type Options struct {
	Columns int        // Text: the widest line, in characters: 80; never below 40
	Unit    units.Unit // MM: figures in millimetres; else in feet, inches and sixteenths, in CSV in decimals of the unit
	Only    string     // SVG: the id of the run or plane to draw; "": all, one below the other
}

func (o Options) columns() int {
	if o.Columns == 0 {
		return 80
	}
	return max(o.Columns, 40)
}

// Text writes a report as a sheet, with the default Options.
func Text(w io.Writer, r *detail.Report) error { return Options{}.Text(w, r) }

// Text writes a report as a sheet. An error is the writer's, or says that a length can't be held; then nothing has
// been written.
func (o Options) Text(w io.Writer, r *detail.Report) error {
	columns := o.columns()
	body := &page{columns: columns, figures: figures{unit: o.Unit}}
	body.planes(r)
	body.runs(r)
	body.takeoff(r.Takeoff)
	body.cuts(r.Cuts, r.Cutting, r.Leftovers)
	body.shop(r.Shop, false)
	body.heat(r)
	body.violations(r)
	body.work(r)
	body.background(r)
	if body.err != nil {
		return body.err
	}
	head := &page{columns: columns, figures: figures{unit: o.Unit}}
	head.title(r, body.rounded)
	if _, err := head.buf.WriteTo(w); err != nil {
		return err
	}
	_, err := body.buf.WriteTo(w)
	return err
}

// stations says how the figures of a sheet are read.
const stations = `Stations are read on one tape from the run's left end, seen from the eave looking up the slope; on a run ` +
	`that climbs, from its low end. Panels and ribs are counted from there too.`

// title says what the sheet is for and how it is read.
func (p *page) title(r *detail.Report, rounded bool) {
	p.text("Job:     ", "         ", "%s", or(r.Job, "without a name"))
	p.book(r.Book)
	p.text("Result:  ", "         ", "%s", result(r))
	p.gap()
	p.text("", "", "%s", stations)
	if rounded {
		p.text("", "", "%s", p.roundings())
	}
	p.gap()
}

// book names the rule book.
func (p *page) book(b *rules.Book) {
	p.text("Details: ", "         ", "%s", bookName(b))
	if b.Digest != "" {
		p.text("         ", "         ", "%.19s", b.Digest)
	}
	if b.Basis != "" {
		p.text("Basis:   ", "         ", "%s", b.Basis)
	}
}

// bookName names a book and its edition.
func bookName(b *rules.Book) string {
	name := or(b.Name, "a book without a name")
	if b.Edition != "" {
		name += ", edition " + b.Edition
	}
	return name
}

// result is the sheet in one sentence.
func result(r *detail.Report) string {
	musts, advice := split(r.Violations)
	var parts []string
	if len(musts) == 0 {
		parts = append(parts, "every rule that must hold does")
	} else {
		parts = append(parts, count(len(musts), "rule that must hold doesn't", "rules that must hold don't")+`: see "Not met"`)
	}
	if len(advice) > 0 {
		parts = append(parts, count(len(advice), "piece of advice", "pieces of advice"))
	}
	if n := r.UnlistedMust + r.UnlistedShould; n > 0 {
		parts = append(parts, fmt.Sprintf("%d more are counted, not listed", n))
	}
	if len(r.Skipped) > 0 {
		parts = append(parts, count(len(r.Skipped), "place left out", "places left out"))
	}
	if len(r.Bare) > 0 {
		parts = append(parts, count(len(r.Bare), "run bare", "runs bare"))
	}
	return strings.Join(parts, "; ")
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func times(n int) string { return fmt.Sprintf(" x%d", n) }

// work is the order of work, with boxes to tick, and the cautions.
func (p *page) work(r *detail.Report) {
	for i, s := range r.Steps {
		if i == 0 {
			p.heading("Order of work")
		}
		if i == 0 || r.Steps[i-1].Detail != s.Detail {
			p.gap()
			p.text("", "", "%s", s.Detail)
		}
		text := s.Text
		if s.Hold {
			text = "STOP AND LOOK: " + text
		}
		if len(s.Sets) > 0 {
			text += " (" + strings.Join(s.Sets, ", ") + ")"
		}
		p.text(fmt.Sprintf("  [ ] %2d. ", s.N), "          ", "%s", text)
	}
	p.bullets("Cautions", r.Cautions)
	p.bullets("Notes", r.Notes)
}

// background is where the rules come from, and which of the base's were loosened.
func (p *page) background(r *detail.Report) {
	var relaxed, sources []string
	for _, x := range r.Relaxed {
		relaxed = append(relaxed, x.Rule+": "+x.Because)
	}
	for _, s := range r.Sources {
		sources = append(sources, s.Rule+": "+s.Source)
	}
	p.bullets("Loosened or dropped", relaxed)
	p.bullets("Sources", sources)
}

// bullets are a heading and its lines, or nothing.
func (p *page) bullets(title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	p.heading("%s", title)
	for _, l := range lines {
		p.text("  - ", "    ", "%s", l)
	}
}
