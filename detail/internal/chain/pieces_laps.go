package chain

import "math"

// laps appends to out the ways in which a lap may lie whose later piece starts in cell i, from the end of a piece to
// the start of the next. Where clear zones only cost, each that a lap meets asks for the lesser of two shifts.
func (m *pieceModel) laps(out []edge, i int) []edge {
	most := m.longest - 1 // a lap is shorter than the piece it is on
	// A lap that meets more clear zones than the least one from its start does costs more than that one, whatever the
	// lengths of the pieces.
	meets := int32(math.MaxInt32)
	if m.soft && m.shortest <= 1 {
		from, to := m.softTouch.spans(i, m.cell(min(m.cellEnd(i)+m.greatestLeast, m.last)))
		meets = to - from
	}
	for j := i; j < len(m.cells) && m.cells[j]-m.cellEnd(i) <= most && !m.hardTouch.any(i, j); j++ {
		if from, to := m.softTouch.spans(i, j); to-from > meets {
			break
		}
		lo, hi, long := m.lapRange(i, j, m.soft)
		lo, hi = max(lo, 0), min(hi, most)
		if long > 0 && long < hi {
			out = m.lap(out, i, j, lo, long, 0)
			out = m.lap(out, i, j, long+1, hi, oneLongLap)
		} else {
			out = m.lap(out, i, j, lo, hi, 0)
		}
	}
	for j := i; j >= 0 && m.floorBelow(i, j) && !m.hardTouch.any(j, i); j-- {
		lo, hi, _ := m.lapRange(j, i, m.soft)
		out = m.lap(out, i, j, lo, min(hi, -1), 0)
	}
	return out
}

// floorBelow reports whether a gap may reach from cell j to cell i.
func (m *pieceModel) floorBelow(i, j int) bool {
	return m.leastLap < 0 && m.cellEnd(j)-m.cells[i] >= m.leastLap
}

// lapRange returns the least and the greatest lap of a band that starts in cell a and ends in cell b, and the longest
// one that does not count as long, 0 if none does.
func (m *pieceModel) lapRange(a, b int, soft bool) (lo, hi, long int64) {
	lo, hi = m.floor, endless
	var must, named int64 = -endless, -endless
	for _, l := range m.least {
		if l.always || l.touch.any(a, b) {
			named = max(named, l.value)
			if !l.should {
				must = max(must, l.value)
			}
		}
	}
	for _, l := range m.most {
		if l.always || l.touch.any(a, b) {
			v := l.value
			if soft && !l.should { // the least lap stands
				v = max(v, must)
			}
			hi = min(hi, v)
		}
	}
	if named > -endless {
		lo = named
		long = max(0, 2*named)
	}
	return lo, hi, long
}

// lap appends the laps of lo to hi between an end in cell j and a start in cell i.
func (m *pieceModel) lap(out []edge, i, j int, lo, hi, long int64) []edge {
	e := edge{
		lo: -hi, hi: -lo, fromX: max(1, m.cells[j]), toX: m.cellEnd(j), fromY: max(1, m.cells[i]), toY: m.cellEnd(i),
		at: cost{count: long}, byX: rise{lap: 1}, byY: rise{lap: -1},
	}
	if _, ok := e.between(0, m.last, 0, m.last); !ok || lo > hi {
		return out
	}
	gap := hi < 0
	a, b := i, j // of the band: a lap starts where the later piece does, a gap where the earlier one ends
	if gap {
		a, b = j, i
	}
	from, to := m.softTouch.spans(a, b)
	for turn := from; turn <= to; turn++ { // zones before turn are left to their right, the others to their left
		f := e
		start, end := &f.byY, &f.byX
		if gap {
			start, end = end, start
		}
		for z := from; z < to; z++ {
			if z < turn {
				f.at.clear += m.softZones[z].To
				start.clear -= m.step
			} else {
				f.at.clear -= m.softZones[z].From
				end.clear += m.step
			}
		}
		out = append(out, f)
	}
	return out
}
