package chain

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// endless is beyond every length that occurs.
const endless = math.MaxInt64 / 2

// pieceModel is a problem of pieces on the grid: place x stands at x*step from the start of the stretch.
type pieceModel struct {
	from   int64 // the start of the stretch, fine units
	length int64 // of the stretch, fine units
	step   int64
	last   int64 // the last place that a joint may have

	soft bool // must lengths, clear zones and counts cost instead of binding

	stock       []int64
	single      []lengthBand // of a piece that ends the stretch
	first, next []edge       // of the first piece and of a later one that does not end the stretch, start to end

	cells         []int64 // where cells start: along one, nothing changes in what a joint meets
	hardZones     []Span  // what is kept clear
	softZones     []Span  // what is kept clear if it can be
	hardTouch     touch
	softTouch     touch
	marks         []int32 // of all touches
	spans         []Span  // where limits of laps bind, limit by limit
	least, most   []lapBound
	runs          []segment // the least lap of places
	leastLap      int64     // in steps: no lap is less, anywhere
	floor         int64     // the least lap where no limit names one
	greatestLeast int64     // the greatest of the least laps of all places, 0 at the least
	longest       int64     // the longest piece, in steps
	shortest      int64     // the shortest that a piece may be, and
	wanted        int64     // the shortest that costs nothing, fine units
	minCount      int64
	maxCount      int64
}

// lengthBand is a range of lengths, in fine units, that cost the same but for an even change.
type lengthBand struct {
	from, to  int64
	off, rise int64 // by how much such a piece is off: off + rise*length
	cuts      int64
}

// lapBound is a limit of laps, in steps, that binds a lap which meets touch.
type lapBound struct {
	value    int64
	from, to int // of its spans
	always   bool
	touch    touch
	should   bool
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
	longest int64 // no piece is longer; 0 for no such bound
}

// set puts the limits that t takes on the grid.
func (m *pieceModel) set(p *Pieces, t terms) {
	m.from, m.length, m.step, m.soft = p.From, p.To-p.From, 1, t.soft
	for i, l := range p.Limits {
		if l.Kind == Step && t.in[i] {
			m.step = l.Value
		}
	}
	m.last = ceilDiv(m.length, m.step) - 1
	m.lengths(p, t)
	m.lay(p, t)
	m.edges()
}

// lengths sets what pieces may measure, and the counts.
func (m *pieceModel) lengths(p *Pieces, t terms) {
	hard, soft := Span{1, m.length}, Span{1, m.length}
	m.stock = m.stock[:0]
	stocked := false
	floor, _ := p.plainLap(t.in)
	m.floor = ceilDiv(floor, m.step)
	m.leastLap, m.greatestLeast, m.minCount, m.maxCount = m.floor, 0, 1, maxPieces
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
			m.stock = append(m.stock, l.Lengths...)
		case CountMin:
			m.minCount = max(m.minCount, l.Value)
		case CountMax:
			m.maxCount = min(m.maxCount, l.Value)
		case LapMin:
			m.greatestLeast = max(m.greatestLeast, ceilDiv(l.Value, m.step))
			if l.Spans == nil {
				m.leastLap = max(m.leastLap, ceilDiv(l.Value, m.step))
			}
		}
	}
	cuts := int64(0)
	if stocked && p.Lay != Even {
		cuts = oneCut
	}
	m.single = lengthBands(m.single[:0], hard, soft, cuts)
	if cuts > 0 {
		slices.Sort(m.stock)
		for i, x := range m.stock {
			if x >= hard.From && x <= hard.To && (i == 0 || x != m.stock[i-1]) {
				m.single = lengthBands(m.single, Span{x, x}, soft, 0)
			}
		}
	}
	m.longest = floorDiv(hard.To, m.step)
	m.shortest, m.wanted = hard.From, max(hard.From, soft.From)
}

// edges sets the ways from the start to the end of a piece. Each piece ends after the one before, and no lap reaches
// across a third: one that is not the last is longer than the lap after it, and one that is not the first either at
// least as long as the laps on both sides. What those are at the least depends on where the piece starts and ends.
func (m *pieceModel) edges() {
	runs := m.leastLaps()
	m.first, m.next = m.first[:0], m.next[:0]
	for _, b := range m.single {
		e := edge{
			lo: ceilDiv(b.from, m.step), hi: floorDiv(b.to, m.step),
			at: cost{length: b.off, count: onePiece + b.cuts}, byX: rise{length: -b.rise * m.step}, byY: rise{length: b.rise * m.step},
		}
		add := func(list *[]edge, from, to, end segment, lo int64) {
			f := e
			f.fromX, f.toX, f.fromY, f.toY, f.lo = from.from, to.to, max(1, end.from), end.to, max(f.lo, lo, 1)
			if _, ok := f.between(0, m.last, 0, m.last); ok {
				*list = append(*list, f)
			}
		}
		for _, end := range runs {
			after := end.at.lap
			add(&m.first, segment{}, segment{}, end, after+1)
			for _, start := range runs {
				before := start.at.lap
				start.from = max(1, start.from)
				add(&m.next, start, start, end, max(before+after, max(before, after)+1))
			}
		}
	}
}

// leastLaps returns, along the axis, the least lap that a band which holds a place may be.
func (m *pieceModel) leastLaps() []segment {
	runs := m.runs[:0]
	for i := range m.cells {
		if m.cells[i] > m.last {
			break
		}
		lo, _, _ := m.lapRange(i, i, false)
		runs = goOn(runs, segment{from: m.cells[i], to: m.cellEnd(i), at: cost{lap: lo}})
	}
	m.runs = runs
	return runs
}

// lengthBands appends to out the lengths of hard, split where what is off by soft changes its rise.
func lengthBands(out []lengthBand, hard, soft Span, cuts int64) []lengthBand {
	for from := hard.From; from <= hard.To; {
		b := lengthBand{from: from, to: hard.To, cuts: cuts}
		for _, x := range [...]int64{soft.From, soft.To + 1} {
			if x > from {
				b.to = min(b.to, x-1)
			}
		}
		if b.from < soft.From {
			b.off, b.rise = b.off+soft.From, b.rise-1
		}
		if b.to > soft.To {
			b.off, b.rise = b.off-soft.To, b.rise+1
		}
		out = append(out, b)
		from = b.to + 1
	}
	return out
}

// lay cuts the axis into cells and sets what each pair of them meets.
func (m *pieceModel) lay(p *Pieces, t terms) {
	m.hardZones, m.softZones = m.hardZones[:0], m.softZones[:0]
	m.cells, m.spans = append(m.cells[:0], 0, 1), m.spans[:0]
	m.least, m.most = m.least[:0], m.most[:0]
	m.marks = m.marks[:0]
	for i, l := range p.Limits {
		if !t.in[i] {
			continue
		}
		switch l.Kind {
		case Keep:
			list := &m.hardZones
			if t.soft && !l.Should && !l.Fixed {
				list = &m.softZones
			}
			*list = m.shift(*list, l.Spans)
		case LapMin, LapMax:
			start := len(m.spans)
			m.spans = m.shift(m.spans, l.Spans)
			m.spans = m.spans[:start+len(bands(m.spans[start:]))]
			b := lapBound{value: ceilDiv(l.Value, m.step), always: l.Spans == nil, should: l.Should, from: start, to: len(m.spans)}
			if l.Kind == LapMax {
				b.value = floorDiv(l.Value, m.step)
				m.most = append(m.most, b)
			} else {
				m.least = append(m.least, b)
			}
		}
	}
	if _, lapped := p.plainLap(t.in); !lapped {
		m.most = append(m.most, lapBound{value: 0, always: true, should: true})
	}
	m.hardZones, m.softZones = zones(m.hardZones), zones(m.softZones)
	m.cut(m.hardZones, m.open)
	m.cut(m.softZones, m.open)
	m.cut(m.spans, m.shut)
	slices.Sort(m.cells)
	m.cells = slices.Compact(m.cells)
	m.hardTouch, m.softTouch = m.touches(m.hardZones, m.open), m.touches(m.softZones, m.open)
	for _, list := range [...][]lapBound{m.least, m.most} {
		for i := range list {
			list[i].touch = m.touches(m.spans[list[i].from:list[i].to], m.shut)
		}
	}
}

// shift appends spans to out as seen from the start of the stretch.
func (m *pieceModel) shift(out, spans []Span) []Span {
	out = slices.Grow(out, len(spans))
	for _, s := range spans {
		out = append(out, Span{s.From - m.from, s.To - m.from})
	}
	return out
}

// open returns the places inside a span, shut those inside and at its ends.
func (m *pieceModel) open(s Span) Span {
	return Span{floorDiv(s.From, m.step) + 1, ceilDiv(s.To, m.step) - 1}
}
func (m *pieceModel) shut(s Span) Span { return Span{ceilDiv(s.From, m.step), floorDiv(s.To, m.step)} }

// cut starts cells where spans begin, and after them.
func (m *pieceModel) cut(spans []Span, grid func(Span) Span) {
	m.cells = slices.Grow(m.cells, 2*len(spans))
	for _, s := range spans {
		s = grid(s)
		for _, x := range [...]int64{s.From, s.To + 1} {
			if x > 0 && x <= m.last {
				m.cells = append(m.cells, x)
			}
		}
	}
}

// touches tells which of the spans, once on the grid, start before the end and end after the start of each cell: a band
// meets a span if it starts at or before its last place and ends at or after its first.
func (m *pieceModel) touches(spans []Span, grid func(Span) Span) touch {
	if len(spans) == 0 {
		return touch{}
	}
	start := len(m.marks)
	m.marks = slices.Grow(m.marks, 2*len(m.cells))[:start+2*len(m.cells)]
	t := touch{m.marks[start : start+len(m.cells)], m.marks[start+len(m.cells):]}
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

// atLeast returns by how much n pieces are too short at the least; ok is false if they do not fit. The first, the third
// and so on lie one after the other, and so do the others.
func (m *pieceModel) atLeast(n int64) (short int64, ok bool) {
	for _, k := range [...]int64{n / 2, n - n/2} {
		if k > m.length/m.shortest {
			return 0, false
		}
		if k > m.length/m.wanted {
			short += m.wanted - m.length/k
		}
	}
	return short, true
}
