package sheet

import (
	"fmt"
	"io"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// Takeoff writes what to buy for some jobs, with the default Options.
func Takeoff(w io.Writer, t *detail.Takeoff) error { return Options{}.Takeoff(w, t) }

// Takeoff writes what to buy for some jobs, how to cut it, and which elements of which details on which runs it is for.
// An error is the writer's, or says that a length can't be held; then nothing has been written.
func (o Options) Takeoff(w io.Writer, t *detail.Takeoff) error {
	p := &page{columns: o.columns(), figures: figures{unit: o.Unit}}
	p.text("Jobs:    ", "         ", "%s", strings.Join(names(t.Jobs), "; "))
	p.book(t.Book)
	p.takeoff(t.Lines)
	p.cuts(t.Cuts, t.Cutting, t.Leftovers)
	p.shop(t.Shop, len(t.Jobs) > 1)
	p.from(t.Lines, len(t.Jobs) > 1)
	p.bullets("Cautions", t.Cautions)
	if p.err != nil {
		return p.err
	}
	_, err := p.buf.WriteTo(w)
	return err
}

func names(jobs []string) (list []string) {
	for _, j := range jobs {
		list = append(list, or(j, "without a name"))
	}
	return list
}

// from is which elements an item is for, and where they are laid.
func (p *page) from(lines []detail.Quantity, jobs bool) {
	var item *rules.Item
	for i, q := range lines {
		if i == 0 {
			p.heading("Where it goes")
		}
		if q.Item != item {
			item = q.Item
			p.gap()
			p.text("", "  ", "%s", or(item.Title, item.Name))
		}
		job := ""
		for k, part := range q.From {
			if jobs && (k == 0 || part.Job != job) {
				job = part.Job
				p.text("  ", "    ", "%s", or(job, "without a name"))
			}
			of := part.Detail.Name + "." + part.Element.Name
			p.text("    ", "      ", "%s: %s on %s", of, p.portion(q, part), some(part.Runs))
		}
	}
}

// some names a few runs, and counts many.
func some(runs []string) string {
	const most = 12
	if len(runs) > most {
		return fmt.Sprintf("%d runs, %s to %s", len(runs), runs[0], runs[len(runs)-1])
	}
	return strings.Join(runs, ", ")
}

// portion is what a part adds, in the line's unit.
func (f *figures) portion(q detail.Quantity, part detail.Part) string {
	text := f.quantity(q, part.Net)
	switch {
	case q.Unit == "cartridge":
		text += " cartridges"
	case q.Leftover:
		text += " from left-overs"
	case len(q.Item.Stock) > 0 && q.Unit != "each":
		text += " from " + f.quantity(q, q.Pack)
	}
	return text
}
