package chain

import (
	"slices"
)

// pieceBrute tries every place of the grid for every start and end, straight from the meaning of the limits. Only what
// Pieces documents is shared with the solver.
type pieceBrute struct {
	p       *Pieces
	in      []bool
	relaxed bool  // must lengths and clear zones cost, a LapMax gives way to a LapMin
	longest int64 // 0: any
	cuts    bool
	step    int64
	clear   []Span // must clear zones, those that overlap as one
	memo    map[[3]int64]*bruteRest
}

// bruteRest is the best way to go on from a start: terms to make small in their order, lengths to make great in theirs,
// then the starts, to make small from the last back.
type bruteRest struct {
	terms   [6]int64 // clear, length, pieces, long laps, cuts, overlap
	lengths []int64
	starts  []int64
}

func (a *bruteRest) before(b *bruteRest) bool {
	if b == nil {
		return true
	}
	if c := slices.Compare(a.terms[:], b.terms[:]); c != 0 {
		return c < 0
	}
	if c := slices.Compare(a.lengths, b.lengths); c != 0 {
		return c > 0
	}
	for i := len(a.starts) - 1; i >= 0; i-- {
		if a.starts[i] != b.starts[i] {
			return a.starts[i] < b.starts[i]
		}
	}
	return false
}

func newPieceBrute(p *Pieces, in []bool, relaxed bool) *pieceBrute {
	b := &pieceBrute{p: p, in: in, relaxed: relaxed, step: 1, cuts: p.Lay != Even, memo: map[[3]int64]*bruteRest{}}
	var spans []Span
	for i, l := range p.Limits {
		if in[i] && l.Kind == Step {
			b.step = l.Value
		}
		if in[i] && l.Kind == Keep && b.soft(l) {
			spans = append(spans, l.Spans...)
		}
	}
	// Join what overlaps, again and again; then drop spans of no width that another one reaches or equals.
	for again := true; again; {
		again = false
		for i := range spans {
			for j := range spans {
				if i != j && spans[i].From < spans[j].To && spans[j].From < spans[i].To {
					spans[i] = Span{min(spans[i].From, spans[j].From), max(spans[i].To, spans[j].To)}
					spans = slices.Delete(spans, j, j+1)
					again = true
					break
				}
			}
			if again {
				break
			}
		}
	}
	for i, s := range spans {
		drop := false
		for j, o := range spans {
			flat := s.From == s.To && o.From <= s.From && s.From <= o.To
			drop = drop || i != j && flat && (o.From < o.To || j < i)
		}
		if !drop {
			b.clear = append(b.clear, s)
		}
	}
	return b
}

func (b *pieceBrute) soft(l Limit) bool { return b.relaxed && !l.Should && !l.Fixed }

func roundTo(v, step int64, up bool) int64 {
	r := v - v%step
	if r > v {
		r -= step
	}
	if up && r < v {
		r += step
	}
	return r
}

// lapOf returns whether a lap may lie so, what it costs in clear zones, and whether it is long.
func (b *pieceBrute) lapOf(end, start int64) (ok bool, cost int64, long bool) {
	lap, lo, hi := end-start, min(end, start), max(end, start)
	floor := int64(0)
	any := false
	least, most := int64(-1<<40), int64(1<<40)
	must := least
	named := false
	for i, l := range b.p.Limits {
		if l.Kind != LapMin && l.Kind != LapMax || !b.in[i] && !l.Should {
			continue
		}
		v := roundTo(l.Value, b.step, l.Kind == LapMin)
		any = true
		if l.Kind == LapMin {
			floor = min(floor, l.Value)
		} else {
			floor = min(floor, roundTo(l.Value, b.step, false))
		}
		binds := l.Spans == nil
		for _, s := range l.Spans {
			binds = binds || lo <= s.To && hi >= s.From
		}
		if !b.in[i] || !binds || l.Kind != LapMin {
			continue
		}
		named = true
		least = max(least, v)
		if !l.Should {
			must = max(must, v)
		}
	}
	for i, l := range b.p.Limits {
		binds := l.Spans == nil
		for _, s := range l.Spans {
			binds = binds || lo <= s.To && hi >= s.From
		}
		if l.Kind == LapMax && b.in[i] && binds {
			v := roundTo(l.Value, b.step, false)
			if b.relaxed && !l.Should {
				v = max(v, must)
			}
			most = min(most, v)
		}
	}
	if !any {
		return b.keeps(lo, hi) && lap == 0, b.reach(lo, hi), false
	}
	if !named {
		least = floor
	}
	return b.keeps(lo, hi) && lap >= least && lap <= most, b.reach(lo, hi), named && least > 0 && lap > 2*least
}

func (b *pieceBrute) keeps(lo, hi int64) bool {
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == Keep && !b.soft(l) {
			for _, s := range l.Spans {
				if lo < s.To && hi > s.From {
					return false
				}
			}
		}
	}
	return true
}

func (b *pieceBrute) reach(lo, hi int64) (sum int64) {
	for _, s := range b.clear {
		sum += max(0, min(hi-s.From, s.To-lo))
	}
	return sum
}

// lengthOf returns whether a piece may be so long, by how much it is off, and whether it is cut.
func (b *pieceBrute) lengthOf(length int64) (ok bool, off int64, cut int64) {
	if b.longest > 0 && length > b.longest {
		return false, 0, 0
	}
	low, high := int64(0), int64(0) // by how much the length is off
	stocked, whole := false, false
	for i, l := range b.p.Limits {
		if !b.in[i] {
			continue
		}
		switch l.Kind {
		case LengthMin:
			if length < l.Value {
				if !b.soft(l) {
					return false, 0, 0
				}
				low = max(low, l.Value-length)
			}
		case LengthMax:
			if length > l.Value {
				if !b.soft(l) {
					return false, 0, 0
				}
				high = max(high, length-l.Value)
			}
		case Stock:
			stocked = true
			if length > slices.Max(l.Lengths) {
				return false, 0, 0
			}
			whole = whole || slices.Contains(l.Lengths, length)
		}
	}
	if b.cuts && stocked && !whole {
		cut = 1
	}
	return true, low + high, cut
}

// from returns the best n pieces from a start to the end of the stretch, where the piece before ends at prev.
func (b *pieceBrute) from(n int, start, prev int64) *bruteRest {
	key := [3]int64{int64(n), start, prev}
	if r, ok := b.memo[key]; ok {
		return r
	}
	var best *bruteRest
	if n == 1 {
		if ok, off, cut := b.lengthOf(b.p.To - start); ok {
			best = &bruteRest{[6]int64{0, off, 1, 0, cut, 0}, []int64{b.p.To - start}, []int64{start}}
		}
		b.memo[key] = best
		return best
	}
	first := start == b.p.From
	for end := start + b.step; end < b.p.To; end += b.step {
		ok, off, cut := b.lengthOf(end - start)
		if !ok || !first && end <= prev {
			continue
		}
		for next := start + b.step; next < b.p.To; next += b.step {
			if !first && next < prev {
				continue
			}
			ok, reach, long := b.lapOf(end, next)
			if !ok {
				continue
			}
			rest := b.from(n-1, next, end)
			if rest == nil {
				continue
			}
			r := &bruteRest{terms: rest.terms}
			for i, c := range [6]int64{reach, off, 1, 0, cut, end - next} {
				r.terms[i] += c
			}
			if long {
				r.terms[3]++
			}
			r.lengths = append([]int64{end - start}, rest.lengths...)
			r.starts = append([]int64{start}, rest.starts...)
			if r.before(best) {
				best = r
			}
		}
	}
	b.memo[key] = best
	return best
}

func (b *pieceBrute) exactly(n int) *bruteRest { return b.from(n, b.p.From, b.p.From) }

// most is more pieces than can start and end one after the other.
func (b *pieceBrute) most() int { return int((b.p.To-b.p.From)/b.step) + 1 }

func (b *pieceBrute) counts() (lo, hi int) {
	lo, hi = 1, b.most()
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == CountMin {
			lo = max(lo, int(l.Value))
		}
		if b.in[i] && l.Kind == CountMax {
			hi = min(hi, int(l.Value))
		}
	}
	return lo, hi
}

// best returns the best layout, nil if there is none.
func (b *pieceBrute) best() *bruteRest {
	lo, hi := b.counts()
	if !b.relaxed {
		for n := lo; n <= hi; n++ {
			if r := b.exactly(n); r != nil {
				return r
			}
		}
		return nil
	}
	var best *bruteRest
	for n := 1; n <= b.most(); n++ {
		if r := b.exactly(n); r != nil && r.before(best) {
			best = r
		}
	}
	if best == nil {
		return nil
	}
	for n := min(lo, b.most()); n > len(best.lengths); n-- {
		if r := b.exactly(n); r != nil && r.terms[0] == best.terms[0] && r.terms[1] == best.terms[1] {
			return r
		}
	}
	return best
}

// brutePieces returns the layout, what is kept and the conflict.
func brutePieces(p *Pieces) (starts, lengths []int64, kept []bool, conflict []int) {
	in := make([]bool, len(p.Limits))
	kept = make([]bool, len(p.Limits))
	for i, l := range p.Limits {
		in[i], kept[i] = !l.Should, true
	}
	if p.From == p.To {
		return nil, nil, kept, nil
	}
	lay := func(relaxed bool) *bruteRest { return newPieceBrute(p, in, relaxed).best() }
	best := lay(false)
	relaxed := best == nil
	if relaxed {
		conflict = bruteSmallestConflict(p)
		best = lay(true)
	}
	for i, l := range p.Limits {
		if !l.Should {
			continue
		}
		in[i] = true
		with := lay(relaxed)
		if with != nil && (!relaxed || best == nil || bruteAsGood(p, in, with, best)) {
			best = with
		} else {
			in[i], kept[i] = false, false
		}
	}
	if best == nil {
		return nil, nil, kept, conflict
	}
	if p.Lay == Even {
		for m := int64(1); ; m++ {
			b := newPieceBrute(p, in, relaxed)
			b.longest = m
			if with := b.best(); with != nil && slices.Equal(with.terms[:4], best.terms[:4]) {
				best = with
				break
			}
		}
	}
	return best.starts, best.lengths, kept, conflict
}

// bruteAsGood reports whether with breaks the musts no further than best and keeps the counts of shoulds.
func bruteAsGood(p *Pieces, in []bool, with, best *bruteRest) bool {
	if slices.Compare(with.terms[:2], best.terms[:2]) > 0 {
		return false
	}
	for i, l := range p.Limits {
		if !in[i] || l.Kind != CountMin && l.Kind != CountMax {
			continue
		}
		sign := int64(1)
		if l.Kind == CountMin {
			sign = -1
		}
		now, was := max(0, sign*(with.terms[2]-l.Value)), max(0, sign*(best.terms[2]-l.Value))
		if l.Should && now > 0 || !l.Should && now > was {
			return false
		}
	}
	return true
}

func bruteSmallestConflict(p *Pieces) []int {
	var free, fixed uint32
	for i, l := range p.Limits {
		switch {
		case l.Should:
		case l.Fixed:
			fixed |= 1 << i
		default:
			free |= 1 << i
		}
	}
	return smallestByAllSubsets(free, fixed, func(m uint32) bool {
		in := make([]bool, len(p.Limits))
		for i := range in {
			in[i] = m>>i&1 == 1
		}
		b := newPieceBrute(p, in, false)
		return b.best() != nil
	})
}
