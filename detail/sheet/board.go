package sheet

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A board is the drawing of a run: a tape with lanes under it, one for each element, in rows that fit a page.
type board struct {
	*index
	run         *geom.Run
	scale       scale
	first, last int // rows; row 0 starts at station 0
	tipHigh     int
	sections    []section
	columns     [][]section // the sections that stand under one tape; more where they are too high for one page
}

// A section is a side of a run with its lanes, or those that span the sides.
type section struct {
	side   int // -1: across the sides
	strip  bool
	panels []geom.Panel
	byRow  [][]int32
	ribs   [][]int32
	broken [][]int32 // violations of no element
	lanes  []*lane
}

// A lane is where one element is drawn.
type lane struct {
	placed
	symbol string // of a row's mark
	// What each row of the board shows: indices into the report's tables.
	marks, pieces, strips, beads, kept, broken [][]int32
	stations                                   []units.Length // a row's, sorted, each once
}

// board gathers what a run's drawing shows.
func (x *index) board(run *geom.Run) *board {
	b := &board{index: x, run: run}
	low, high := units.Length{}, run.Length
	reach := func(from, to units.Length) {
		if from.Cmp(low) < 0 {
			low = from
		}
		if to.Cmp(high) > 0 {
			high = to
		}
	}
	of := x.byRun[run]
	for _, l := range of {
		for _, sc := range l.scopes {
			for i := sc.First; i < sc.Last; i++ {
				switch l.Element.Kind {
				case rules.Row:
					reach(x.r.Marks[i].At, x.r.Marks[i].At)
				case rules.Pieces:
					reach(x.r.Pieces[i].From, x.r.Pieces[i].To)
				case rules.Strip:
					reach(x.r.Strips[i].From, x.r.Strips[i].To)
				case rules.Bead:
					reach(x.r.Beads[i].At, x.r.Beads[i].At)
				}
			}
		}
	}
	b.scale = scaleOf(run.Length, x.unit)
	b.first, b.last = b.scale.row(low), b.scale.row(high)
	if b.first == -1 && b.scale.at(low.Ticks()) >= -margin*100 {
		b.first = 0
	}
	if b.last > 0 && b.scale.at(high.Ticks()-b.start(b.last).Ticks()) <= margin*100 {
		b.last--
	}
	b.gather(of)
	b.tipHigh = b.tipRoom()
	return b
}

// start is where a row of the drawing starts.
func (b *board) start(row int) units.Length {
	at, _ := b.scale.span.Mul(int64(row)) // within the run and what reaches past it
	return at
}

func (b *board) rows() int { return b.last - b.first + 1 }

// row is the row that shows a station; what reaches a little past the last is in its margin.
func (b *board) row(at units.Length) int {
	return min(max(b.scale.row(at), b.first), b.last) - b.first
}

// note keeps an entry for each row that its stretch touches.
func (b *board) note(rows *[][]int32, i int, from, to units.Length) {
	if *rows == nil {
		*rows = make([][]int32, b.rows())
	}
	first, last := b.row(from), b.row(to)
	if last > first && to == b.start(last+b.first) {
		last-- // it ends where the row starts
	}
	for n := first; n <= last; n++ {
		(*rows)[n] = append((*rows)[n], int32(i))
	}
}

// gather sorts what is laid into sections and lanes.
func (b *board) gather(of []placed) {
	sides := len(b.run.Sides)
	for side := -1; side < sides; side++ {
		s := section{side: side}
		if side >= 0 {
			s.strip = true
			s.panels = b.run.Sides[side].Panels(b.run.Length)
			for i, p := range s.panels {
				b.note(&s.byRow, i, p.From, p.To)
			}
			for i, rib := range b.run.Sides[side].Ribs {
				b.note(&s.ribs, i, rib, rib)
			}
		}
		b.sections = append(b.sections, s)
	}
	if sides == 1 {
		b.sections = b.sections[1:]
	}
	for _, l := range of {
		s := &b.sections[0]
		if sides > 1 {
			s = &b.sections[l.Side+1]
		}
		s.lanes = append(s.lanes, b.lane(l))
	}
	for i := range b.sections {
		slices.SortStableFunc(b.sections[i].lanes, func(l, m *lane) int {
			if l.Detail != m.Detail {
				return 0
			}
			return cmp.Compare(slices.Index(l.Detail.Elements, l.Element), slices.Index(l.Detail.Elements, m.Element))
		})
	}
	rows := 0
	for _, s := range b.sections {
		for _, l := range s.lanes {
			if l.Element.Kind == rules.Row {
				l.symbol = fmt.Sprintf("lw-m%d", rows%symbols)
				rows++
			}
		}
	}
	for _, i := range b.broken[b.run.ID] {
		b.fault(int(i))
	}
	b.breakUp()
}

// lane gathers what one element lays.
func (b *board) lane(of placed) *lane {
	l := &lane{placed: of}
	for _, sc := range of.scopes {
		for i := sc.First; i < sc.Last; i++ {
			switch of.Element.Kind {
			case rules.Row:
				at := b.r.Marks[i].At
				b.note(&l.marks, i, at, at)
				l.stations = append(l.stations, at)
			case rules.Pieces:
				b.note(&l.pieces, i, b.r.Pieces[i].From, b.r.Pieces[i].To)
			case rules.Strip:
				b.note(&l.strips, i, b.r.Strips[i].From, b.r.Strips[i].To)
			case rules.Bead:
				b.note(&l.beads, i, b.r.Beads[i].At, b.beadEnd(&sc, &b.r.Beads[i]))
			}
		}
	}
	slices.SortFunc(l.stations, units.Length.Cmp)
	l.stations = slices.Compact(l.stations)
	for _, i := range b.keepOuts[of.Placement] {
		b.note(&l.kept, int(i), b.r.KeepOuts[i].From, b.r.KeepOuts[i].To)
	}
	return l
}

// beadEnd is where a bead along a scope ends; one at a feature is a point.
func (b *board) beadEnd(sc *detail.Scope, bead *detail.Bead) units.Length {
	if b.r.Placements[sc.Placement].Element.Scope.How == "at" {
		return bead.At
	}
	end, err := bead.At.Add(bead.Length)
	if err != nil || end.Cmp(b.run.Length) > 0 {
		return b.run.Length
	}
	return end
}

// fault notes a violation in the lane of its element, or where its side is drawn.
func (b *board) fault(i int) {
	v := &b.r.Violations[i]
	for k := range b.sections {
		for _, l := range b.sections[k].lanes {
			if v.Element != "" && l.Element.Name == v.Element && l.Detail.Name == v.Detail && l.SideID() == v.Side {
				b.note(&l.broken, i, v.From, v.To)
				return
			}
		}
	}
	for k := range b.sections {
		s := &b.sections[k]
		if len(b.sections) == 1 || s.side < 0 && v.Side == "" || s.side >= 0 && b.run.Sides[s.side].ID == v.Side {
			b.note(&s.broken, i, v.From, v.To)
			return
		}
	}
}

// breakUp puts as many lanes under one tape as a page holds.
func (b *board) breakUp() {
	const highest = 840
	high := tapeHigh
	column := []section{}
	for _, s := range b.sections {
		lanes := s.lanes
		s.lanes = nil
		high += s.high()
		for _, l := range lanes {
			if high += l.high(); high > highest && (len(s.lanes) > 0 || len(column) > 0) {
				if len(s.lanes) > 0 {
					column = append(column, s)
				}
				b.columns, column = append(b.columns, column), nil
				s.lanes, s.broken = nil, nil
				high = tapeHigh + s.high() + l.high()
			}
			s.lanes = append(s.lanes, l)
		}
		if len(s.lanes) > 0 || s.strip || s.broken != nil {
			column = append(column, s)
		}
	}
	b.columns = append(b.columns, column)
}

// Heights in pixels.
const (
	tapeHigh  = 34 // with the line of zones over it
	stripHigh = 19
	faultHigh = 13
)

// tipRoom is the room under a row to read why a mark stands where it does, or which rule isn't met.
func (b *board) tipRoom() int {
	f := &figures{unit: b.unit}
	lines := 2
	for _, why := range b.whys {
		lines = max(lines, 1+len(reading(why)))
	}
	for _, i := range b.broken[b.run.ID] {
		lines = max(lines, len(reading("0000. "+f.ruleWords(&b.r.Violations[i]))))
	}
	return lines*12 + 2
}

func (s *section) high() int {
	high := 0
	if s.strip {
		high = stripHigh
	}
	if s.broken != nil {
		high += faultHigh
	}
	return high
}

func (l *lane) high() int {
	high := map[rules.Kind]int{rules.Row: 29, rules.Pieces: 31, rules.Strip: 15, rules.Bead: 17}[l.Element.Kind]
	if l.broken != nil {
		high += faultHigh
	}
	return high
}
