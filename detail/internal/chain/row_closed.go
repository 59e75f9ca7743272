package chain

// A plainRow is a row whose marks may stand anywhere in one interval, with limits that bind everywhere: a fastener row in
// a panel, mostly. What is searched for elsewhere is here a few sums, with the same result.
type plainRow struct {
	n, rest     int64   // the scope in steps, and what is left over at its right end
	a, b        int64   // the first and the last position where a mark may stand
	gap         int64   // the largest gap
	half        int64   // of the least gap maximum, in fine units
	own         int64   // the maximum of each end's own in fine units, far for none: that of the left end
	ownRight    int64   // and that of the right
	lo, hi      int64   // how many marks there may be
	step, limit int64   // the step; how many limits bear on the fewest marks
	ends        [2]bool // which ends have a maximum of their own
}

// plain gathers a row's limits but for one, -1 for all of them, and reports whether the row is a plain one.
func (r *plainRow) plain(p *Row, but int) bool {
	if p.Lay != Even {
		return false
	}
	*r = plainRow{step: 1, half: far, own: far, ownRight: far, lo: 1, hi: far}
	for i := range p.Limits {
		l := &p.Limits[i]
		if l.Should || l.Spans != nil && l.Kind != Keep {
			return false
		}
		if l.Kind == Step {
			r.step = l.Value
		}
	}
	r.n = p.Length / r.step
	r.rest = p.Length - r.n*r.step
	r.b, r.gap = r.n, max(r.n, 1)
	for i := range p.Limits {
		l := &p.Limits[i]
		if i == but {
			continue
		}
		switch l.Kind {
		case GapMin:
			if l.Value > r.step {
				return false
			}
		case GapMax:
			r.limit++
			r.gap, r.half = min(r.gap, l.Value/r.step), min(r.half, floorDiv(l.Value, 2))
		case CountMin:
			r.lo = max(r.lo, l.Value)
		case CountMax:
			r.hi = min(r.hi, l.Value)
		case EndMin:
			v := min(max(l.Value, 0), far)
			if l.Ends&LeftEnd != 0 {
				r.a = max(r.a, ceilDiv(v, r.step))
			}
			if l.Ends&RightEnd != 0 {
				r.b = min(r.b, floorDiv(p.Length-v, r.step))
			}
		case EndMax:
			r.limit++
			if l.Ends&LeftEnd != 0 {
				r.ends[0], r.own = true, min(r.own, l.Value)
			}
			if l.Ends&RightEnd != 0 {
				r.ends[1], r.ownRight = true, min(r.ownRight, l.Value)
			}
		}
	}
	for i := range p.Limits {
		if p.Limits[i].Kind == Keep && i != but && !r.keep(p, p.Limits[i].Spans) {
			return false
		}
	}
	return r.a <= r.b
}

// keep shortens the interval by what is kept free, and reports false where that would cut it in two.
func (r *plainRow) keep(p *Row, spans []Span) bool {
	for _, k := range spans {
		if k.From >= k.To {
			continue
		}
		from, to := floorDiv(max(k.From, -1), r.step)+1, ceilDiv(min(k.To, p.Length+1), r.step)-1
		switch {
		case from > to || to < r.a || from > r.b:
		case from <= r.a:
			r.a = to + 1
		case to >= r.b:
			r.b = from - 1
		default:
			return false
		}
	}
	return true
}

// bounds gives where the first mark may stand at most, and the last at least, when no gap is over g steps, far for any.
func (r *plainRow) bounds(g int64) (first, last int64) {
	if first = r.own / r.step; !r.ends[0] {
		first = max(min(r.half/r.step, g/2), r.a)
	}
	if last = floorDiv(r.ownRight-r.rest, r.step); !r.ends[1] {
		half := g / 2 // of g steps, less the rest, in whole steps
		if r.rest > 0 && (g%2 == 0 || r.rest > r.step/2) {
			half--
		}
		last = max(min(floorDiv(r.half-r.rest, r.step), half), r.n-r.b)
	}
	return min(first, r.b), max(r.n-last, r.a)
}

// fewest is how many marks there are at least, 0 where the ends can't be kept.
func (r *plainRow) fewest() int64 {
	first, last := r.bounds(far)
	switch {
	case first < r.a || last > r.b:
		return 0
	case last <= first:
		return 1
	}
	return 1 - floorDiv(first-last, r.gap)
}

// fits tells whether n marks fit with no gap over g steps.
func (r *plainRow) fits(n, g int64) bool {
	first, last := r.bounds(g)
	return first >= r.a && last <= r.b && last-first <= (n-1)*min(g, r.gap)
}

// smallest is the smallest g for which n marks fit: near the mean, mostly.
func (r *plainRow) smallest(n int64) int64 {
	lo, hi := min(1, n-1), 2*r.n+2
	if r.gap < r.n {
		hi = min(hi, r.gap+1)
	}
	g := min(max(r.n/n, lo), hi)
	if n > 1 {
		g = min(g, max(lo, (r.b-r.a)/(n-1)))
	}
	if r.fits(n, g) {
		hi = g
	} else {
		lo = g + 1
	}
	for try := int64(1); lo < hi; try *= 2 {
		mid := lo + (hi-lo)/2
		if hi == g {
			mid = max(lo, hi-try)
		} else if lo > g {
			mid = min(mid, lo+try-1)
		}
		if r.fits(n, mid) {
			hi, g = mid, min(g, mid)
		} else {
			lo = mid + 1
		}
	}
	return hi
}

// closed lays a plain row, as the search would. It reports false, and has laid nothing, where the row is no plain one,
// can't be laid, or is one of the few whose gaps are uneven and whose marks have a mirror image to find.
func (s *rowScratch) closed(p *Row, res *Result, dst []int64) ([]int64, bool) {
	r := &s.plain
	if !r.plain(p, -1) {
		return dst, false
	}
	n := r.fewest()
	counted := n < r.lo
	if n = max(n, r.lo); n > r.hi || n > maxMarks || r.b-r.a < n-1 || n == r.lo && r.fewest() == 0 {
		return dst, false
	}
	g := r.smallest(n)
	first, last := r.bounds(g)
	most, least := min(g, r.gap), int64(1)
	if n > 1 {
		least = min(most, (r.b-r.a)/(n-1))
	}
	at := max(r.a, last-(n-1)*most)
	if s.mirrors(p) {
		if n > 1 && least < most {
			return dst, false
		}
		if x, ok := r.middle((n-1)*least, first, last); ok {
			at = x
		}
	}
	if res.Binding = r.binding(p, n, counted); res.Binding < -1 {
		return dst, false
	}
	for k := n - 1; ; k-- {
		dst = append(dst, at*r.step)
		if k == 0 {
			return dst, true
		}
		at = max(at+least, last-(k-1)*most)
	}
}

// middle puts marks that take up a length in the middle, to within a step.
func (r *plainRow) middle(length, first, last int64) (int64, bool) {
	for off := int64(-1); off <= 1; off++ {
		x := r.n + off - length
		if x%2 != 0 || off < 0 && r.rest > 0 {
			continue
		}
		if x /= 2; x >= r.a && x <= first && x+length >= last && x+length <= r.b {
			return x, true
		}
	}
	return 0, false
}

// mirrors tells whether a plain row is its own mirror image, as symmetric does.
func (s *rowScratch) mirrors(p *Row) bool {
	r := &s.plain
	if r.ends[0] != r.ends[1] || min(r.own, p.Length) != min(r.ownRight, p.Length) {
		return false
	}
	s.in = s.in[:0]
	for range p.Limits {
		s.in = append(s.in, true)
	}
	return s.sameKeep(p)
}

// binding is the limit that decides how many marks there are, as rowScratch.binding finds it; -2 where that takes a search.
func (r *plainRow) binding(p *Row, n int64, counted bool) int {
	best := -1
	for i := range p.Limits {
		l := &p.Limits[i]
		switch {
		case counted && l.Kind == CountMin && (best < 0 || l.Value > p.Limits[best].Value),
			!counted && l.Kind == GapMax && (best < 0 || p.Limits[best].Kind == EndMax || l.Value < p.Limits[best].Value),
			!counted && l.Kind == EndMax && best < 0:
			best = i
		}
	}
	if counted || n == 1 || r.limit < 2 {
		if !counted && n == 1 {
			return -1
		}
		return best
	}
	for i := range p.Limits {
		if k := p.Limits[i].Kind; k != GapMax && k != EndMax {
			continue
		}
		var without plainRow
		if !without.plain(p, i) {
			return -2
		}
		if without.fewest() != n { // more, too: without its own maximum an end is held to half the largest gap
			return i
		}
	}
	return best
}
