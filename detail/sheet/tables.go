package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A cell is what stands in a cell of a table: one text, or a list of figures.
type cell []string

// table writes a table, a list of figures in a cell spread out.
func (d *document) table(caption string, head []string, rows [][]cell) {
	d.put("<table>\n<caption>%s</caption>\n<thead><tr>", markup(caption))
	for _, h := range head {
		d.put(`<th scope="col">%s</th>`, markup(h))
	}
	d.raw("</tr></thead>\n<tbody>\n")
	for _, row := range rows {
		d.raw("<tr>")
		for _, c := range row {
			switch len(c) {
			case 0:
				d.raw("<td></td>")
			case 1:
				d.put("<td>%s</td>", markup(c[0]))
			default:
				d.raw("<td>")
				for _, s := range c {
					d.put(`<span class="q">%s</span>`, markup(s))
				}
				d.raw("</td>")
			}
		}
		d.raw("</tr>\n")
	}
	d.raw("</tbody>\n</table>\n")
}

// element is the table of what one element lays on a run or a side.
func (d *document) element(l *lane) {
	total := 0
	for _, sc := range l.scopes {
		total += sc.Last - sc.First
	}
	caption := l.Element.Name
	if id := l.SideID(); id != "" {
		caption += ", side " + id
	}
	caption += ": " + what(l.Element, total)
	of := l.Element.Scope
	switch {
	case len(l.scopes) == 0:
		d.table(caption, []string{"Where"}, [][]cell{{{"left out everywhere"}}})
	case of.How == "at":
		d.stations(caption, l)
	case of.Of == "run" || of.Of == "side":
		d.along(caption, l)
	default:
		d.groups(caption, l)
	}
}

// whyOf is the reason of what stands in a scope, in a cell.
func (d *document) whyOf(sc *detail.Scope) cell {
	if d.r.Placements[sc.Placement].Element.Kind != rules.Row || sc.First == sc.Last {
		return nil
	}
	k := d.why[d.r.Marks[sc.First].Scope]
	if k == 0 {
		return nil
	}
	return cell{d.whys[k-1]}
}

// along is what lies along the whole run.
func (d *document) along(caption string, l *lane) {
	var rows [][]cell
	head := []string{"Where", "Marks", "Why"}
	for i := range l.scopes {
		sc := &l.scopes[i]
		switch l.Element.Kind {
		case rules.Row:
			rows = append(rows, []cell{{where(l.Element.Scope)}, d.content(l.Element, sc, units.Length{}), d.whyOf(sc)})
		case rules.Pieces:
			head = []string{"Piece", "From", "To", "Length", "How it meets the one before"}
			for _, x := range d.r.Pieces[sc.First:sc.Last] {
				rows = append(rows, d.piece(x))
			}
		case rules.Strip:
			head = []string{"Strip", "From", "To", "Length"}
			for _, x := range d.r.Strips[sc.First:sc.Last] {
				rows = append(rows, []cell{{strconv.Itoa(int(x.N))}, {d.tape(x.From, units.Down)}, {d.tape(x.To, units.Up)}, {d.tape(x.Length, units.Up)}})
			}
		case rules.Bead:
			head = []string{"Where", "Beads"}
			rows = append(rows, []cell{{where(l.Element.Scope)}, d.content(l.Element, sc, units.Length{})})
		}
	}
	d.table(caption, head, rows)
}

// piece is the row of one cut length.
func (d *document) piece(x detail.Piece) []cell {
	_, meets, _ := strings.Cut(d.pen.piece(x, units.Length{}), " long, ")
	return []cell{{strconv.Itoa(int(x.N))}, {d.tape(x.From, units.Down)}, {d.tape(x.To, units.Up)}, {d.tape(d.less(x.To, x.From), units.Up)}, {meets}}
}

// content is what one element lays in one scope, measured from a station.
func (d *document) content(e *rules.Element, sc *detail.Scope, from units.Length) cell {
	start, end := d.less(sc.From, from), d.less(sc.To, from)
	var list cell
	for i := sc.First; i < sc.Last; i++ {
		switch e.Kind {
		case rules.Row:
			list = append(list, d.mark(d.less(d.r.Marks[i].At, from), start, end, sc.Round))
		case rules.Pieces:
			x := d.r.Pieces[i]
			list = append(list, fmt.Sprintf("%d. %s", x.N, d.pen.piece(x, from)))
		case rules.Strip:
			x := d.r.Strips[i]
			list = append(list, d.span(d.less(x.From, from), d.less(x.To, from))+", "+d.tape(x.Length, units.Up)+" long")
		case rules.Bead:
			x := d.r.Beads[i]
			list = append(list, d.tape(x.Length, units.Up)+" long from "+d.tape(d.less(x.At, from), units.Nearest))
		}
	}
	return repeats(list)
}

// stations is what stands at features: all of one length, or for one reason, in a row.
func (d *document) stations(caption string, l *lane) {
	type group struct {
		length units.Length
		why    string
		at     []string
	}
	var groups []*group
	for i := range l.scopes {
		sc := &l.scopes[i]
		why := strings.Join(d.whyOf(sc), "")
		note := func(length units.Length, at string) {
			k := slices.IndexFunc(groups, func(g *group) bool { return g.length == length && g.why == why })
			if k < 0 {
				k, groups = len(groups), append(groups, &group{length: length, why: why})
			}
			groups[k].at = append(groups[k].at, at)
		}
		for k := sc.First; k < sc.Last; k++ {
			if l.Element.Kind == rules.Row {
				note(units.Length{}, d.mark(d.r.Marks[k].At, sc.From, sc.To, sc.Round))
			} else {
				note(d.r.Beads[k].Length, d.tape(d.r.Beads[k].At, units.Nearest))
			}
		}
	}
	head := []string{"Where", "Stations", "Why"}
	if l.Element.Kind == rules.Bead {
		head = []string{"Where", "Stations", "Length of each"}
	}
	var rows [][]cell
	for _, g := range groups {
		last := g.why
		if l.Element.Kind == rules.Bead {
			last = d.tape(g.length, units.Up)
		}
		rows = append(rows, []cell{{where(l.Element.Scope)}, repeats(g.at), {last}})
	}
	d.table(caption, head, rows)
}

// groups is what lies in panels, gaps or pieces, those that are laid alike in one row.
func (d *document) groups(caption string, l *lane) {
	of := []placed{l.placed}
	of[0].skips = nil // listed by themselves
	var order []string
	alike := map[string][]*bay{}
	for _, b := range bays(of) {
		key := d.pattern(d.r, of, b)
		if alike[key] == nil {
			order = append(order, key)
		}
		alike[key] = append(alike[key], b)
	}
	var rows [][]cell
	for _, key := range order {
		like := alike[key]
		first := like[0]
		name := l.Element.Scope.Of
		if len(like) > 1 {
			name += "s"
		}
		var starts cell
		for _, b := range like {
			starts = append(starts, fmt.Sprintf("%d: %s", b.n, d.tape(b.from, units.Nearest)))
		}
		sc := first.scopes[0]
		row := []cell{{name + " " + numbers(like)}, {d.tape(d.less(first.to, first.from), units.Nearest)},
			d.content(l.Element, sc, first.from), starts}
		if l.Element.Kind == rules.Row {
			row = append(row, d.whyOf(sc))
		}
		rows = append(rows, row)
	}
	head := []string{"Where", "Width", "There", "Begins at"}
	if l.Element.Kind == rules.Row {
		head = append(head, "Why")
	}
	d.table(caption+", each measured from where its "+l.Element.Scope.Of+" begins", head, rows)
}

// takeoff is what to buy.
func (d *document) takeoff() {
	if len(d.r.Takeoff) == 0 {
		return
	}
	d.raw("<section>\n<h2>Takeoff</h2>\n")
	var rows [][]cell
	for _, q := range d.r.Takeoff {
		rows = append(rows, []cell{{or(q.Item.Title, q.Item.Name)}, {d.quantity(q, q.Net)}, {d.quantity(q, q.Waste)}, {d.quantity(q, q.Gross)}, {d.order(q)}})
	}
	d.table("What to buy", []string{"Item", "Net", "Waste", "Gross", "Order"}, rows)
	d.put("<p>%s</p>\n", markup(d.upward()))
	for _, note := range d.notes(d.r.Takeoff) {
		d.put("<p>%s</p>\n", markup(note))
	}
	d.raw("</section>\n")
}

// cuts draws how stock lengths are cut up, all to one scale, and says what stays.
func (d *document) cuts() {
	const across = 600
	longest := int64(1)
	for _, c := range d.r.Cuts {
		longest = max(longest, c.Stock.Ticks())
	}
	at := func(ticks int64) px { return px(ticks / (longest/(across*100) + 1)) }
	var item *rules.Item
	for i := range d.r.Cuts {
		c := &d.r.Cuts[i]
		if item == nil {
			d.raw("<section>\n<h2>Cut list</h2>\n")
		}
		if c.Item != item {
			item = c.Item
			d.put("<h3>%s: %s</h3>\n", markup(or(item.Title, item.Name)), markup(fewest(d.r.Cutting, item)))
		}
		text := fmt.Sprintf("%d x %s", c.Times, d.cut(c))
		d.put(`<div class="cut"><p>%s</p><svg class="lw" width="%d" height="22" viewBox="-2 0 %d 22" role="img" aria-label="%s">`,
			markup(text), across+4, across+4, quoted(text))
		d.put(`<path class="out" d="M0 1H%vv20H0z"/>`, at(c.Stock.Ticks()))
		from := int64(0)
		for k, l := range c.Lengths {
			class := "piece"
			if k%2 == 1 {
				class = "piece even"
			}
			x, x2 := at(from), at(from+l.Ticks())
			d.put(`<path class="%s" d="M%v 1H%vv20H%vz"/>`, class, x, x2, x)
			if s := d.tape(l, units.Up); room(s, 9) < x2-x {
				d.text("k", (x+x2)/2, 1450, s)
			}
			from += l.Ticks()
		}
		d.raw("</svg></div>\n")
	}
	if item == nil {
		return
	}
	d.put("<p>A bar is a stock length, to scale; what is cross-hatched is saw cut or left over.</p>\n")
	for i, s := range d.r.Leftovers {
		if i == 0 {
			d.raw("<h3>Keep, long enough to use again</h3>\n<ul>\n")
		}
		d.put("<li>%d x %s of %s</li>\n", s.Count, markup(d.tape(s.Length, units.Down)), markup(s.Item))
		if i+1 == len(d.r.Leftovers) {
			d.raw("</ul>\n")
		}
	}
	d.raw("</section>\n")
}
