package chain

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// far is beyond every length that occurs.
const far = math.MaxInt64 / 2

// pieceModel is a problem of pieces on the grid: place x stands at x*step from the start of the stretch.
type pieceModel struct {
	length int64 // of the stretch, fine units
	step   int64
	last   int64 // the last place that a joint may have

	single      []lengthBand // of a piece that ends the stretch
	first, next []edge       // of the first piece and of a later one that does not end the stretch, start to end

	cells     []int64 // where cells start: along one, nothing changes in what a joint meets
	soft      []Span  // what is kept clear if it can be
	softTouch touch
	hardTouch touch
	least     []lapBound
	most      []lapBound
	leastLap  int64 // in steps: no lap is less, anywhere
	floor     int64 // the least lap where no limit names one
	longest   int64 // the longest piece, in steps
	minCount  int64
	maxCount  int64
}

// lengthBand is a range of lengths, in fine units, that cost the same but for an even change.
type lengthBand struct {
	from, to  int64
	off, rise int64 // by how much such a piece is off: off + rise*length
	cuts      int64
}

// lapBound is a limit of laps, in steps, that binds a lap which meets touch.
type lapBound struct {
	value  int64
	always bool
	touch  touch
	should bool
}

// touch tells for an ordered list of spans which of them a band meets that starts in one cell and ends in another.
type touch struct{ from, to []int32 }

func (t touch) spans(a, b int) (from, to int32) {
	if len(t.from) == 0 {
		return 0, 0
	}
	return t.from[a], max(t.from[a], t.to[b])
}

func (t touch) any(a, b int) bool {
	from, to := t.spans(a, b)
	return from < to
}

// terms says which limits a model takes, and how.
type terms struct {
	in      []bool
	soft    bool  // must lengths, clear zones and counts cost instead of binding
	subset  bool  // a part of the limits, to see if it can hold: the floor is that of all
	longest int64 // no piece is longer; 0 for no such bound
}

func ceilDiv(a, b int64) int64  { return -floorDiv(-a, b) }
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// newModel puts the limits that t takes on the grid.
func newModel(p *Pieces, t terms) *pieceModel {
	m := &pieceModel{length: p.To - p.From, step: 1, minCount: 1, maxCount: maxPieces}
	for i, l := range p.Limits {
		if l.Kind == Step && t.in[i] {
			m.step = l.Value
		}
	}
	m.last = ceilDiv(m.length, m.step) - 1
	m.lengths(p, t)
	m.lay(p, t)
	return m
}

// lengths sets what pieces may measure, and the counts.
func (m *pieceModel) lengths(p *Pieces, t terms) {
	hard, soft := Span{1, m.length}, Span{1, m.length}
	var stock []int64
	stocked := false
	m.leastLap = m.lapFloor(p, t)
	m.floor = m.leastLap
	if t.longest > 0 {
		hard.To = min(hard.To, t.longest)
	}
	for i, l := range p.Limits {
		if !t.in[i] {
			continue
		}
		bound := &hard
		if t.soft && !l.Should && !l.Fixed {
			bound = &soft
		}
		switch l.Kind {
		case LengthMin:
			bound.From = max(bound.From, l.Value)
		case LengthMax:
			bound.To = min(bound.To, l.Value)
		case Stock:
			stocked = true
			most := int64(0)
			for _, s := range l.Lengths {
				most = max(most, s)
			}
			hard.To = min(hard.To, most)
			stock = append(stock, l.Lengths...)
		case CountMin:
			m.minCount = max(m.minCount, l.Value)
		case CountMax:
			m.maxCount = min(m.maxCount, l.Value)
		case LapMin:
			if l.Spans == nil {
				m.leastLap = max(m.leastLap, ceilDiv(l.Value, m.step))
			}
		}
	}
	cuts := int64(0)
	if stocked && p.Lay != Even {
		cuts = oneCut
	}
	bands := lengthBands(hard, soft, cuts)
	if cuts > 0 {
		slices.Sort(stock)
		for _, s := range slices.Compact(stock) {
			if s >= hard.From && s <= hard.To {
				b := lengthBands(Span{s, s}, soft, 0)
				bands = append(bands, b...)
			}
		}
	}
	m.single = bands
	m.longest = floorDiv(hard.To, m.step)
	for _, b := range bands {
		e := edge{
			lo: ceilDiv(b.from, m.step), hi: floorDiv(b.to, m.step), toX: far, fromY: 1, toY: m.last,
			at: cost{length: b.off, count: onePiece + b.cuts}, byX: rise{length: -b.rise * m.step}, byY: rise{length: b.rise * m.step},
		}
		// Each piece ends after the one before, and no lap reaches across a third: a piece that is not the last is
		// longer than a lap, and one that is not the first either at least as long as two.
		e.lo = max(e.lo, 1, m.leastLap+1)
		if e.toX = 0; e.lo <= e.hi {
			m.first = append(m.first, e)
		}
		e.lo = max(e.lo, 2*m.leastLap)
		if e.fromX, e.toX = 1, m.last; e.lo <= e.hi {
			m.next = append(m.next, e)
		}
	}
}

// lapFloor returns the least lap where no limit names one: none, or the widest gap that one speaks of.
func (m *pieceModel) lapFloor(p *Pieces, t terms) int64 {
	floor := int64(0)
	for i, l := range p.Limits {
		switch {
		case !t.in[i] && (!t.subset || l.Should):
		case l.Kind == LapMin:
			floor = min(floor, ceilDiv(l.Value, m.step))
		case l.Kind == LapMax:
			floor = min(floor, floorDiv(l.Value, m.step))
		}
	}
	return floor
}

// lengthBands splits the lengths of hard where what is off by soft changes its rise.
func lengthBands(hard, soft Span, cuts int64) []lengthBand {
	at := []int64{hard.From, hard.To + 1}
	for _, x := range [...]int64{soft.From, soft.To + 1} {
		if x > hard.From && x <= hard.To {
			at = append(at, x)
		}
	}
	slices.Sort(at)
	var bands []lengthBand
	for i, from := range at[1:] {
		b := lengthBand{from: at[i], to: from - 1, cuts: cuts}
		if b.from > b.to {
			continue
		}
		if b.from < soft.From {
			b.off, b.rise = b.off+soft.From, b.rise-1
		}
		if b.to > soft.To {
			b.off, b.rise = b.off-soft.To, b.rise+1
		}
		bands = append(bands, b)
	}
	return bands
}

// lay cuts the axis into cells and sets what each pair of them meets.
func (m *pieceModel) lay(p *Pieces, t terms) {
	var hard, soft []Span
	lapped := false
	for i, l := range p.Limits {
		lapped = lapped || (l.Kind == LapMin || l.Kind == LapMax) && (t.in[i] || t.subset && !l.Should)
		if !t.in[i] || l.Kind != Keep {
			continue
		}
		zones := &hard
		if t.soft && !l.Should && !l.Fixed {
			zones = &soft
		}
		for _, s := range l.Spans {
			*zones = append(*zones, Span{s.From - p.From, s.To - p.From})
		}
	}
	hard, m.soft = zones(hard), zones(soft)
	m.cells = append(m.cells, 0, 1)
	cut := func(x int64) {
		if x > 0 && x <= m.last {
			m.cells = append(m.cells, x)
		}
	}
	open := func(s Span) Span { return Span{floorDiv(s.From, m.step) + 1, ceilDiv(s.To, m.step) - 1} }
	shut := func(s Span) Span { return Span{ceilDiv(s.From, m.step), floorDiv(s.To, m.step)} }
	for _, list := range [...][]Span{hard, m.soft} {
		for _, s := range list {
			cut(open(s).From)
			cut(open(s).To + 1)
		}
	}
	type bound struct {
		to *[]lapBound
		lapBound
		spans []Span
	}
	var bounds []bound
	for i, l := range p.Limits {
		if !t.in[i] || l.Kind != LapMin && l.Kind != LapMax {
			continue
		}
		b := bound{to: &m.least, lapBound: lapBound{value: ceilDiv(l.Value, m.step), always: l.Spans == nil, should: l.Should}}
		if l.Kind == LapMax {
			b.to, b.value = &m.most, floorDiv(l.Value, m.step)
		}
		for _, s := range l.Spans {
			b.spans = append(b.spans, Span{s.From - p.From, s.To - p.From})
		}
		b.spans = bands(b.spans)
		for _, s := range b.spans {
			cut(shut(s).From)
			cut(shut(s).To + 1)
		}
		bounds = append(bounds, b)
	}
	if !lapped {
		m.most = append(m.most, lapBound{value: 0, always: true, should: true})
	}
	slices.Sort(m.cells)
	m.cells = slices.Compact(m.cells)
	m.hardTouch, m.softTouch = m.touches(hard, open), m.touches(m.soft, open)
	for _, b := range bounds {
		b.touch = m.touches(b.spans, shut)
		*b.to = append(*b.to, b.lapBound)
	}
}

// touches tells which of the spans, once on the grid, start before the end and end after the start of each cell: a band
// meets a span if it starts at or before its last place and ends at or after its first.
func (m *pieceModel) touches(spans []Span, grid func(Span) Span) touch {
	if len(spans) == 0 {
		return touch{}
	}
	t := touch{make([]int32, len(m.cells)), make([]int32, len(m.cells))}
	var from, to int32
	for i, x := range m.cells {
		for int(from) < len(spans) && grid(spans[from]).To < x {
			from++
		}
		for int(to) < len(spans) && grid(spans[to]).From <= x {
			to++
		}
		t.from[i], t.to[i] = from, to
	}
	return t
}

// cell returns the cell of a place.
func (m *pieceModel) cell(x int64) int {
	return sort.Search(len(m.cells), func(i int) bool { return m.cells[i] > x }) - 1
}

// cellEnd returns the last place of a cell.
func (m *pieceModel) cellEnd(i int) int64 {
	if i+1 < len(m.cells) {
		return m.cells[i+1] - 1
	}
	return max(m.last, m.cells[i])
}

// zones joins open intervals that overlap, and drops those of no width that another one reaches.
func zones(spans []Span) []Span {
	slices.SortFunc(spans, func(a, b Span) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(b.To, a.To))
	})
	out := spans[:0]
	for _, s := range spans {
		if n := len(out); n > 0 {
			l := &out[n-1]
			if s.From < l.To || s == *l || s.From == s.To && s.From <= l.To {
				l.To = max(l.To, s.To)
				continue
			}
		}
		out = append(out, s)
	}
	return out
}

// bands joins closed intervals that meet.
func bands(spans []Span) []Span {
	slices.SortFunc(spans, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	out := spans[:0]
	for _, s := range spans {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}
