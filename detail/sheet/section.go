package sheet

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// Indents of a section's entries and of the stations after a short label.
const (
	entry  = "    "
	inline = 24
)

// section is what the elements of one kind of scope lay.
func (p *page) section(r *detail.Report, side string, scope *rules.ScopeDecl, of []placed) {
	title := where(scope)
	if side != "" {
		title += ", side " + side
	}
	switch {
	case scope.How == "at":
		p.text("  ", "    ", "%s", title)
		for _, x := range of {
			p.at(r, x)
		}
	case scope.Of == "run" || scope.Of == "side" || scope.Of == "penetration" || scope.How == "along" && scope.Of == "rib":
		p.text("  ", "    ", "%s", title)
		for _, x := range of {
			for _, sc := range x.scopes {
				p.content(r, x.Element, sc, units.Length{})
			}
			for range x.skips {
				p.entries(x.Element.Name, []string{"left out"})
			}
		}
	default:
		p.text("  ", "    ", "%s, each measured from where it begins", title)
		p.groups(r, scope, of)
	}
}

// where names a kind of scope in the trade's words.
func where(s *rules.ScopeDecl) string {
	name := ""
	if s.Name != nil {
		name = s.Name.Text
	}
	switch s.Of {
	case "run":
		return "Along the run"
	case "side":
		return "Along the side"
	case "penetration":
		if s.How == "at" {
			return "At the penetration, counted up the slope from its middle"
		}
		return "Round the penetration, clockwise from its low point"
	case "end":
		return "At the ends"
	case "panel":
		if s.How == "at" {
			return "At the middle of each panel"
		}
		return "Panels"
	case "gap":
		if s.How == "at" {
			return "Midway between " + name
		}
		return "Gaps of " + name
	case "piece":
		return "Pieces of " + name
	case "lap", "mark":
		return "At each " + s.Of + " of " + name
	}
	if s.How == "along" {
		return "Along the rib"
	}
	if s.Every > 1 {
		from := s.From
		if from == 0 {
			from = s.Every
		}
		return fmt.Sprintf("At rib %d, then every %d ribs", from, s.Every)
	}
	return "At each " + s.Of
}

// entries writes a label and stations, the stations beside it where the label is short.
func (p *page) entries(label string, list []string) {
	label = clean(label)
	rest := strings.Repeat(" ", inline)
	if width(entry+label)+2 > inline {
		p.text(entry, entry+"  ", "%s", label)
		p.list(rest, rest, list)
		return
	}
	p.list(entry+label+strings.Repeat(" ", inline-width(entry+label)), rest, list)
}

// say writes a label and words.
func (p *page) say(label, format string, args ...any) {
	label = clean(label)
	rest := strings.Repeat(" ", inline)
	if width(entry+label)+2 > inline {
		p.text(entry, entry+"  ", "%s", label)
		p.text(rest, rest, format, args...)
		return
	}
	p.text(entry+label+strings.Repeat(" ", inline-width(entry+label)), rest, format, args...)
}

// content is what one element lays in one scope, measured from a station.
func (p *page) content(r *detail.Report, e *rules.Element, sc detail.Scope, from units.Length) {
	start, end := p.less(sc.From, from), p.less(sc.To, from)
	label := e.Name
	if e.Scope.How == "around" && sc.Ring != nil {
		p.say(label, "%s", p.outline(sc.Ring))
		label = ""
	}
	switch e.Kind {
	case rules.Row:
		var list []string
		for _, m := range r.Marks[sc.First:sc.Last] {
			at := p.mark(p.less(m.At, from), start, end, sc.Round)
			if sc.Ring != nil {
				at += " " + sc.Ring.Angle(m.At).FloatString(0) + "°"
			}
			list = append(list, at)
		}
		if list == nil {
			list = []string{"none"}
		}
		p.entries(label, repeats(list))
	case rules.Pieces:
		for _, x := range r.Pieces[sc.First:sc.Last] {
			p.say(label, "%d. %s", x.N, p.piece(x, from))
			label = ""
		}
	case rules.Strip:
		for _, x := range r.Strips[sc.First:sc.Last] {
			p.say(label, "%s, %s long", p.span(p.less(x.From, from), p.less(x.To, from)), p.tape(x.Length, units.Up))
			label = ""
		}
	case rules.Bead:
		for _, x := range r.Beads[sc.First:sc.Last] {
			p.say(label, "%s long from %s", p.tape(x.Length, units.Up), p.tape(p.less(x.At, from), units.Nearest))
			label = ""
		}
	}
}

// piece is one piece: where it lies, how long it is, and how it meets the one before.
func (f *figures) piece(x detail.Piece, from units.Length) string {
	text := f.span(f.less(x.From, from), f.less(x.To, from)) + ", " + f.tape(f.less(x.To, x.From), units.Up) + " long"
	switch {
	case !x.Joint:
		return text
	case x.Lap.IsZero():
		return fmt.Sprintf("%s, butts %d", text, x.N-1)
	case x.Lap.Sign() < 0:
		return fmt.Sprintf("%s, %s from %d", text, f.tape(x.Lap.Abs(), units.Nearest), x.N-1)
	}
	return fmt.Sprintf("%s, laps %d by %s", text, x.N-1, f.tape(x.Lap, units.Down))
}

// at is an element that stands at features: all its stations in one list; beads by their length.
func (p *page) at(r *detail.Report, x placed) {
	label := x.Element.Name
	var lengths []units.Length
	stations := map[units.Length][]string{} // a row's under length 0
	for _, sc := range x.scopes {
		note := func(length units.Length, station string) {
			if stations[length] == nil {
				lengths = append(lengths, length)
			}
			stations[length] = append(stations[length], station)
		}
		if x.Element.Kind == rules.Row {
			for _, m := range r.Marks[sc.First:sc.Last] {
				note(units.Length{}, p.mark(m.At, sc.From, sc.To, sc.Round))
			}
			continue
		}
		for _, b := range r.Beads[sc.First:sc.Last] {
			note(b.Length, p.tape(b.At, units.Nearest))
		}
	}
	if len(lengths) == 0 {
		p.say(label, "none")
	}
	for _, l := range lengths {
		if x.Element.Kind == rules.Bead {
			p.say(label, "%s long at", p.tape(l, units.Up))
			label = ""
		}
		p.entries(label, repeats(stations[l]))
	}
}
