package chain

import "slices"

// A Plain row has limits that bind everywhere, and its marks may stand anywhere in one interval: a row of fasteners in a
// panel, mostly. What is searched for elsewhere is here a few sums, with the same result. Prepare takes in the limits but
// for what is kept free, Lay lays scope after scope. The zero value is ready for Prepare; it is not for concurrent use.
type Plain struct {
	step          int64
	gap           int64    // the largest gap, in steps
	half          int64    // of the least gap maximum, in fine units,
	halves        int64    // and in steps
	own           [2]int64 // the maximums of the ends' own in fine units, far for none
	free          [2]int64 // the minimums of the ends
	lo, hi        int64    // how many marks there may be
	maximums      int      // of gaps and ends
	n, rest, a, b int64    // a scope in steps, what is left over at its right end, and where marks may stand
	most          int64    // the largest gap in it
	keep          []Span
	left, right   quotient // what is kept free at the ends, in steps
}

// Prepare gathers limits, of which those that keep stretches free are left to Lay, and reports whether Lay can lay them.
func (r *Plain) Prepare(limits []Limit) bool { return r.prepare(limits, -1) }

// prepare gathers limits but for one.
func (r *Plain) prepare(limits []Limit, but int) bool {
	*r = Plain{step: 1, gap: far, half: far, own: [2]int64{far, far}, lo: 1, hi: far, keep: r.keep}
	for i := range limits {
		l := &limits[i]
		if l.Should || l.Spans != nil && l.Kind != Keep {
			return false
		}
		if l.Kind == Step {
			r.step = l.Value
		}
	}
	for i := range limits {
		l := &limits[i]
		if i == but {
			continue
		}
		switch l.Kind {
		case GapMin:
			if l.Value > r.step {
				return false
			}
		case GapMax:
			r.maximums++
			r.gap, r.half = min(r.gap, l.Value/r.step), min(r.half, floorDiv(l.Value, 2))
		case CountMin:
			r.lo = max(r.lo, l.Value)
		case CountMax:
			r.hi = min(r.hi, l.Value)
		case EndMin, EndMax:
			for end := range r.own {
				if l.Ends>>end&1 == 0 {
					continue
				}
				if l.Kind == EndMin {
					r.free[end] = max(r.free[end], min(l.Value, far))
				} else {
					r.own[end] = min(r.own[end], l.Value)
				}
			}
			if l.Kind == EndMax {
				r.maximums++
			}
		case Keep, Step:
		default:
			return false
		}
	}
	r.halves = r.half / r.step
	return r.gap >= 1
}

// scope sets the scope, and reports whether marks may stand in one interval of it.
func (r *Plain) scope(length int64, keep []Span) bool {
	r.n = length / r.step
	r.rest = length - r.n*r.step
	r.most = min(r.gap, max(r.n, 1))
	r.a, r.b = 0, r.n
	if r.free[0] > 0 {
		r.a = ceilDiv(r.free[0], r.step)
	}
	if r.free[1] > 0 {
		r.b = floorDiv(length-r.free[1], r.step)
	}
	for _, k := range keep {
		switch { // a step at the end of what is kept free is allowed
		case k.From >= k.To || k.To <= 0 || k.From >= length:
		case k.From < 0:
			steps, over := r.left.over(min(k.To, length+1), r.step)
			if over > 0 {
				steps++
			}
			r.a = max(r.a, steps)
		case k.To > length:
			steps, over := r.right.over(length-k.From, r.step)
			if over > r.rest {
				steps++
			}
			r.b = min(r.b, r.n-steps)
		default:
			from, to := k.From/r.step+1, ceilDiv(k.To, r.step)-1
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
	}
	return r.a <= r.b
}

// A quotient is kept from scope to scope: what ribs keep free is mostly the same.
type quotient struct{ x, steps, rest int64 }

func (q *quotient) over(x, step int64) (steps, rest int64) {
	if x != q.x {
		*q = quotient{x, x / step, x % step}
	}
	return q.steps, q.rest
}

// bounds gives where the first mark may stand at most, and the last at least, when no gap is over g steps, far for any.
func (r *Plain) bounds(g int64) (first, last int64) {
	if first = max(min(r.halves, g/2), r.a); r.own[0] < far {
		first = floorDiv(r.own[0], r.step)
	}
	// Half of g steps less the rest, in whole steps; and the same of the largest gap that limits speak of.
	half, halves := g/2, r.halves
	if r.rest > 0 {
		if g%2 == 0 || r.rest > r.step/2 {
			half--
		}
		if r.rest > r.half-halves*r.step {
			halves--
		}
	}
	if last = max(min(halves, half), r.n-r.b); r.own[1] < far {
		last = floorDiv(r.own[1]-r.rest, r.step)
	}
	return min(first, r.b), max(r.n-last, r.a)
}

// fewest is how many marks there are at least, 0 where the ends can't be kept.
func (r *Plain) fewest() int64 {
	first, last := r.bounds(far)
	switch {
	case first < r.a || last > r.b:
		return 0
	case last <= first:
		return 1
	case last-first <= r.most:
		return 2
	}
	return 1 + (last-first+r.most-1)/r.most
}

// fits tells whether n marks fit with no gap over g steps.
func (r *Plain) fits(n, g int64) bool {
	first, last := r.bounds(g)
	return first >= r.a && last <= r.b && last-first <= (n-1)*min(g, r.most)
}

// smallest is the smallest g for which n marks fit: near the mean gap, mostly. wide is the mean if marks stand at both
// ends of the interval.
func (r *Plain) smallest(n, wide int64) int64 {
	lo, hi := min(1, n-1), 2*r.n+2
	if r.most < r.n {
		hi = min(hi, r.most+1)
	}
	near := min(max(min(r.n/n, wide), lo), hi)
	if !r.fits(n, near) {
		for try := int64(1); near+try < hi && !r.fits(n, near+try); try *= 2 {
			lo = near + try
		}
		lo, hi = max(lo, near)+1, min(hi, near+2*max(lo-near, 1))
	} else {
		hi = near
		for try := int64(1); near-try >= lo; try *= 2 {
			if !r.fits(n, near-try) {
				lo = near - try + 1
				break
			}
			hi = near - try
		}
	}
	for lo < hi {
		if mid := lo + (hi-lo)/2; r.fits(n, mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return hi
}

// Lay appends the marks of a row of this length, in which keep is kept free, to dst: those that Solver.Row lays evenly. It
// reports false, and has laid nothing, where keep leaves more than one interval, where not all can be kept, and in the
// few cases where gaps are uneven and a mirror image is to be found.
func (r *Plain) Lay(length int64, keep []Span, dst []int64) ([]int64, bool) {
	dst, n, _ := r.lay(length, keep, dst)
	return dst, n > 0
}

// lay lays n marks, and tells whether a count asks for them.
func (r *Plain) lay(length int64, keep []Span, dst []int64) (at []int64, n int64, counted bool) {
	if !r.scope(length, keep) {
		return dst, 0, false
	}
	fewest := r.fewest()
	n = max(fewest, r.lo)
	if fewest == 0 || n > r.hi || n > maxMarks || r.b-r.a < n-1 {
		return dst, 0, false
	}
	wide := r.b - r.a
	if n > 1 {
		wide /= n - 1
	}
	g := r.smallest(n, wide)
	first, last := r.bounds(g)
	most, least := min(g, r.most), int64(1)
	if n > 1 {
		least = min(most, wide)
	}
	x := max(r.a, last-(n-1)*most)
	if r.mirrors(length, keep) {
		if n > 1 && least < most {
			return dst, 0, false
		}
		if middle, ok := r.middle((n-1)*least, first, last); ok {
			x = middle
		}
	}
	dst = slices.Grow(dst, int(n))
	for k := n - 1; ; k-- {
		dst = append(dst, x*r.step)
		if k == 0 {
			return dst, n, fewest < r.lo
		}
		x = max(x+least, last-(k-1)*most)
	}
}

// middle puts marks that take up a length in the middle, to within a step.
func (r *Plain) middle(length, first, last int64) (int64, bool) {
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

// mirrors tells whether the scope is its own mirror image before anything is rounded to steps.
func (r *Plain) mirrors(length int64, keep []Span) bool {
	if (r.own[0] < far) != (r.own[1] < far) || min(r.own[0], length) != min(r.own[1], length) {
		return false
	}
	if r.free == [2]int64{} {
		switch {
		case len(keep) == 0:
			return true
		case len(keep) == 2 && keep[0].From <= 0 && 0 < keep[0].To && keep[0].To < keep[1].From && keep[1].From < length && length <= keep[1].To:
			return keep[0].To == length-keep[1].From && (keep[0].From < 0) == (keep[1].To > length)
		}
	}
	r.keep = r.keep[:0]
	for _, k := range keep {
		if k.From < k.To && k.To > 0 && k.From < length {
			r.keep = append(r.keep, k)
		}
	}
	if v := min(r.free[0], length+1); v > 0 {
		r.keep = append(r.keep, Span{-1, v})
	}
	if v := min(r.free[1], length+1); v > 0 {
		r.keep = append(r.keep, Span{length - v, length + 1})
	}
	r.keep = tidy(r.keep, -1, length+1, -1)
	return ownImage(r.keep, length)
}

// closed lays a row that is a plain one.
func (s *rowScratch) closed(p *Row, res *Result, dst []int64) ([]int64, bool) {
	if p.Lay != Even || !s.plain.Prepare(p.Limits) {
		return dst, false
	}
	s.free = s.free[:0]
	for i := range p.Limits {
		if l := &p.Limits[i]; l.Kind == Keep {
			s.free = append(s.free, l.Spans...)
		}
	}
	start := len(dst)
	at, n, counted := s.plain.lay(p.Length, s.free, dst)
	if n == 0 {
		return dst, false
	}
	if res.Binding = s.plainBinding(p, n, counted); res.Binding < -1 {
		return at[:start], false
	}
	return at, true
}

// plainBinding is the limit that decides how many marks there are, as binding finds it; -2 where that takes a search.
func (s *rowScratch) plainBinding(p *Row, n int64, counted bool) int {
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
	switch {
	case counted:
		return best
	case n == 1:
		return -1
	case s.plain.maximums < 2:
		return best
	}
	for i := range p.Limits {
		if k := p.Limits[i].Kind; k != GapMax && k != EndMax {
			continue
		}
		var without Plain
		if !without.prepare(p.Limits, i) || !without.scope(p.Length, s.free) {
			return -2
		}
		if without.fewest() != n { // more, too: without its own maximum an end is held to half the largest gap
			return i
		}
	}
	return best
}
