package detail

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A Layouter lays one detail on run after run, without a report, into memory that its caller keeps: for hosts that lay
// out on each keystroke, or very many runs. It finds where all marks and pieces go that Lay would put into a report.
// It is for one goroutine at a time; several of them may share a book.
type Layouter struct {
	options Options
	book    *rules.Book
	use     Use
	bound   binding
	rows    []plainRow // of the detail, in the order of its elements; nil: it has others, too
	solver  chain.Solver
	at      []int64
}

// A Layout is where a detail puts marks and pieces on one run.
type Layout struct {
	Marks  []Mark  // in the order of a report; Scope is the number of the mark's scope: of the panel, the rib …
	Pieces []Piece // in that order, and with such a Scope
	Kept   bool    // every must is kept; else Lay says what is broken, where and by how much
}

// Layouter prepares a detail of a book, named by a use with its inputs; the use's Runs don't count. The error says
// what of the use doesn't fit the book.
func (o Options) Layouter(book *rules.Book, use Use) (*Layouter, error) {
	y := &Layouter{options: o, book: book, use: use}
	y.options.Limits = o.Limits.orDefault()
	d := book.Detail(use.Detail)
	if d == nil {
		return nil, &JobErrors{List: []*JobError{{Place: use.child("detail"), Msg: fmt.Sprintf("the book has no detail %q", use.Detail)}}}
	}
	var errs JobErrors
	y.bound = binding{detail: d, run: &geom.Run{}}
	y.bound.setInputs(use.Inputs, use.child("inputs"), &errs)
	if err := errs.err(); err != nil {
		return nil, err
	}
	y.prepare()
	return y, nil
}

// Lay lays the detail on a run. What the layout held is written over, and its memory used again. Where it fails, as
// Lay does, the layout is empty.
func (y *Layouter) Lay(ctx context.Context, run *geom.Run, layout *Layout) error {
	*layout = Layout{Marks: layout.Marks[:0], Pieces: layout.Pieces[:0], Kept: true}
	err := run.Check(y.options.Limits.Panels)
	switch {
	case err == nil && !slices.Contains(y.bound.detail.Kinds, run.Edge):
		err = fmt.Errorf("detail %s is for %s; run %q is of kind %s", y.bound.detail.Name, strings.Join(y.bound.detail.Kinds, ", "), run.ID, run.Edge)
	case err == nil && y.plainOn(run):
		err = y.plain(ctx, run, layout)
	case err == nil:
		err = y.report(ctx, run, layout)
	}
	if err != nil {
		*layout = Layout{Marks: layout.Marks[:0], Pieces: layout.Pieces[:0]}
	}
	return err
}

// report takes the layout from a report.
func (y *Layouter) report(ctx context.Context, run *geom.Run, layout *Layout) error {
	use := y.use
	use.Runs = nil
	rep, err := y.options.Lay(ctx, y.book, &Job{Runs: []*geom.Run{run}, Uses: []Use{use}})
	if err != nil {
		return err
	}
	for _, m := range rep.Marks {
		layout.Marks = append(layout.Marks, Mark{At: m.At, Scope: int32(rep.Scopes[m.Scope].N)})
	}
	for _, p := range rep.Pieces {
		p.Scope = int32(rep.Scopes[p.Scope].N)
		layout.Pieces = append(layout.Pieces, p)
	}
	layout.Kept = rep.UnlistedMust == 0 && !slices.ContainsFunc(rep.Violations, func(v Violation) bool { return v.Severity == "must" })
	return nil
}

// A plainRow is a row whose lines come to the same in each of its scopes, and whose only features are ribs.
type plainRow struct {
	of     string        // run, panel or middle
	limits []chain.Limit // but for what ribs keep free
	clear  []int64       // how far from a rib's face
	plain  chain.Plain   // of limits,
	ready  bool          // which may be none
	keep   []chain.Span  // what ribs keep free in the scope being laid
}

// prepare looks whether the detail has plain rows only.
func (y *Layouter) prepare() {
	d := y.bound.detail
	if len(d.Requires) > 0 {
		return
	}
	var rows []plainRow
	for _, e := range d.Elements {
		row, ok := y.plainRow(e)
		if !ok {
			return
		}
		rows = append(rows, row)
	}
	y.rows = rows
}

// given are the names that a run gives, and not the use.
var given = []string{
	"run.length", "run.edge", "slope", "side", "rib.width", "rib.height", "zone", "end.kind", "scope.length",
	"panel.width", "panel.flat", "panel.cut",
}

func (y *Layouter) plainRow(e *rules.Element) (row plainRow, ok bool) {
	switch s := e.Scope; {
	case s.How == "along" && s.Of == "run", s.How == "in" && s.Of == "panel":
		row.of = s.Of
	case s.How == "at" && s.Of == "panel":
		row.of = "middle"
	}
	if e.Kind != rules.Row || row.of == "" || e.When != nil || e.Lay == "stepped" || e.Lay == "centered" {
		return row, false
	}
	w := &work{binding: &y.bound, element: e}
	s := &limits{}
	if mark := y.book.Mark; !mark.IsZero() {
		s.add(line{}, chain.Limit{Kind: chain.Step, Value: mark.Ticks()})
	}
	for _, r := range e.Rules {
		if r.Should || r.When != nil || slices.ContainsFunc(given, func(name string) bool { return y.bound.detail.Uses(r.Value, name) }) {
			return row, false
		}
		b, err := w.bound(r, &Scope{}, 0)
		switch {
		case err != nil, r.Measure != rules.Clear && row.of == "middle":
			return row, false
		case r.Measure == rules.Clear && r.From.Of == "rib" && row.of != "run" && b.min >= 0:
			row.clear = append(row.clear, b.min)
		case r.Measure == rules.Spacing:
			s.addBound(line{}, b, chain.GapMin, chain.GapMax, chain.Limit{})
		case r.Measure == rules.Count:
			s.addBound(line{}, b, chain.CountMin, chain.CountMax, chain.Limit{})
		case r.Measure == rules.End:
			for _, end := range endsOf(r) {
				s.addBound(line{}, b, chain.EndMin, chain.EndMax, chain.Limit{Ends: end})
			}
		default:
			return row, false
		}
	}
	row.limits = s.list
	row.ready = row.plain.Prepare(row.limits)
	return row, true
}

// plainOn tells whether the detail's plain rows are plain on a run.
func (y *Layouter) plainOn(run *geom.Run) bool { return y.rows != nil && len(run.Obstacles) == 0 }

// plain lays plain rows, side by side, in the order of a report.
func (y *Layouter) plain(ctx context.Context, run *geom.Run, layout *Layout) error {
	for side := -1; side < len(run.Sides); side++ {
		for i := range y.rows {
			row := &y.rows[i]
			if (row.of == "run") != (side < 0) {
				continue
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			var ok bool
			var err error
			switch row.of {
			case "run":
				ok, err = y.along(ctx, row, run, layout)
			case "panel":
				ok, err = y.inPanels(ctx, row, run, &run.Sides[side], layout)
			default:
				ok, err = y.atPanels(row, run, &run.Sides[side], layout)
			}
			if err != nil {
				return err
			}
			if !ok { // what gives way, and what the solver refuses, is for a report to say
				layout.Marks, layout.Pieces = layout.Marks[:0], layout.Pieces[:0]
				return y.report(ctx, run, layout)
			}
		}
	}
	return nil
}

// along lays a row along the run; false where not all can be kept.
func (y *Layouter) along(ctx context.Context, row *plainRow, run *geom.Run, layout *Layout) (bool, error) {
	ok, err := y.solve(ctx, row, run.Length.Ticks())
	if !ok || err != nil {
		return ok, err
	}
	if layout.Marks, err = y.room(layout.Marks, len(y.at), len(y.at)); err == nil {
		layout.Marks = putMarks(layout.Marks, y.at, 0, 1)
	}
	return true, err
}

// solve finds the marks of one scope of a plain row.
func (y *Layouter) solve(ctx context.Context, row *plainRow, length int64) (ok bool, err error) {
	if row.ready {
		if y.at, ok = row.plain.Lay(length, row.keep, y.at[:0]); ok {
			return true, nil
		}
	}
	limits := row.limits
	if len(row.keep) > 0 {
		limits = append(slices.Clone(limits), chain.Limit{Kind: chain.Keep, Spans: row.keep})
	}
	at, res, err := y.solver.Row(ctx, &chain.Row{Length: length, Limits: limits}, y.at[:0])
	y.at = at
	if err != nil {
		return false, ctx.Err() // another error is for a report to say
	}
	return res.Conflict == nil, nil
}

// room makes room for n marks, and where it must for those that are expected.
func (y *Layouter) room(marks []Mark, n, expected int) ([]Mark, error) {
	limit := y.options.Limits.Marks
	switch {
	case len(marks)+n > limit:
		return marks, limitError("marks and pieces in a report", "Marks", limit)
	case len(marks)+n > cap(marks):
		marks = slices.Grow(marks, min(expected, limit-len(marks)))
	}
	return marks, nil
}

// putMarks appends marks at places counted from a station, for which there is room.
func putMarks(marks []Mark, at []int64, from int64, scope int32) []Mark {
	n := len(marks)
	marks = marks[:n+len(at)]
	to := marks[n:]
	for i, x := range at[:len(to)] {
		to[i] = Mark{At: ticks(from + x), Scope: scope}
	}
	return marks
}

// inPanels lays a row in each panel. Panels that are alike, and whose neighbours are, share what is found for the first.
func (y *Layouter) inPanels(ctx context.Context, row *plainRow, run *geom.Run, side *geom.Side, layout *Layout) (ok bool, err error) {
	if !side.HasPanels {
		return true, nil
	}
	reach := row.reach(side)
	marks := layout.Marks
	defer func() { layout.Marks = marks }()
	panels := eachPanel(run, side)
	for panels.next() {
		row.nearRibs(side, &panels, reach)
		width := panels.to - panels.from
		if ok, err = y.solve(ctx, row, width); !ok || err != nil {
			return ok, err
		}
		// Mostly these are all that are to come, with one for each panel in the other rows.
		expected := (len(side.Ribs)+2-panels.rib)*len(y.at) + (len(side.Ribs)+1)*(len(y.rows)-1)
		if marks, err = y.room(marks, len(y.at), max(expected, len(y.at))); err != nil {
			return false, err
		}
		marks = putMarks(marks, y.at, panels.from, int32(panels.n))
		if width >= reach && panels.even(width) {
			marks = panels.repeat(marks, y.at, width)
		}
	}
	return true, nil
}

// nearRibs gathers what ribs keep free in a panel, counted from its start.
func (row *plainRow) nearRibs(side *geom.Side, p *panelWalk, reach int64) {
	row.keep = row.keep[:0]
	if len(row.clear) == 0 {
		return
	}
	first := p.rib - 1 // the rib at the panel's end, or past it
	for first > 0 && side.Ribs[first-1].Ticks() > p.from-reach {
		first--
	}
	for _, rib := range side.Ribs[max(first, 0):] {
		if off := rib.Ticks() - p.from; off-reach < p.to-p.from {
			row.keep = append(row.keep, chain.Span{From: off - reach, To: off + reach})
		} else {
			return
		}
	}
}

// atPanels puts a mark at the middle of each panel; false where a rib may be too near.
func (y *Layouter) atPanels(row *plainRow, run *geom.Run, side *geom.Side, layout *Layout) (bool, error) {
	if !side.HasPanels {
		return true, nil
	}
	reach := row.reach(side)
	marks := slices.Grow(layout.Marks, len(side.Ribs)+1)
	panels := eachPanel(run, side)
	for panels.next() {
		half := (panels.to - panels.from) / 2
		if half < reach {
			return false, nil
		}
		marks = append(marks, Mark{At: ticks(panels.from + half), Scope: int32(panels.n)})
	}
	layout.Marks = marks
	_, err := y.room(marks, 0, 0)
	return true, err
}

// reach is how far from a rib's centre marks are kept away.
func (row *plainRow) reach(side *geom.Side) (reach int64) {
	for _, clear := range row.clear {
		reach = max(reach, clear+halfRib(side))
	}
	return reach
}

// halfRib is half of a rib's band along the run.
func halfRib(side *geom.Side) int64 {
	if len(side.Ribs) == 0 {
		return 0
	}
	from, to := side.RibBand(0)
	return (to.Ticks() - from.Ticks()) / 2
}

// A panelWalk goes from panel to panel, as geom.Side.Panels numbers them.
type panelWalk struct {
	ribs     []units.Length
	length   int64
	n        int // the panel's number
	rib      int // the ribs up to the panel's end, its own included
	from, to int64
	streak   int // so many panels up to this one are of one width
}

func eachPanel(run *geom.Run, side *geom.Side) panelWalk {
	return panelWalk{ribs: side.Ribs, length: run.Length.Ticks()}
}

func (p *panelWalk) next() bool {
	width := p.to - p.from
	for p.from = p.to; p.from < p.length; {
		p.to = p.length
		if p.rib < len(p.ribs) {
			p.to = min(p.length, p.ribs[p.rib].Ticks())
		}
		p.rib++
		if p.to > p.from {
			p.n++
			if p.streak++; p.to-p.from != width {
				p.streak = 1
			}
			return true
		}
		p.to = p.from
	}
	return false
}

// even tells whether the panel lies between ribs, and is as wide as the two before it and the one after it.
func (p *panelWalk) even(width int64) bool {
	return p.streak > 2 && p.rib > 3 && p.rib < len(p.ribs) && p.ribs[p.rib].Ticks()-p.to == width && p.to == p.ribs[p.rib-1].Ticks()
}

// repeat puts the marks of an even panel into those after it that are as even.
func (p *panelWalk) repeat(marks []Mark, at []int64, width int64) []Mark {
	next := p.to + width // the rib at the end of the next panel
	for p.rib+1 < len(p.ribs) && p.ribs[p.rib+1].Ticks()-next == width && next < p.length && len(marks)+len(at) <= cap(marks) {
		p.from, p.to = p.to, next
		p.rib++
		p.n++
		next += width
		marks = putMarks(marks, at, p.from, int32(p.n))
	}
	return marks
}
