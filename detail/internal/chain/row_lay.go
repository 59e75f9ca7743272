package chain

// lay appends the layout of n marks, the fewest, for the limits in force.
func (s *rowScratch) lay(p *Row, n int64, dst []int64) ([]int64, error) {
	if n > maxMarks {
		return dst, ErrWork
	}
	if !s.relaxed && p.Lay == Stepped {
		s.aim(far)
		return s.pick(search{need: n, cap: n, most: far, full: s.full}, true, dst)
	}
	if !s.relaxed && p.Lay == Centered {
		if at, ok, err := s.rigid(p, n, dst); ok || err != nil {
			return at, err
		}
	}
	return s.even(p, n, dst)
}

// even lays with the smallest g, then the largest smallest gap, then mirrored, then leftmost.
func (s *rowScratch) even(p *Row, n int64, dst []int64) ([]int64, error) {
	g, err := s.smallestG(n)
	if err != nil {
		return dst, err
	}
	m, err := s.largestLeast(n, g)
	if err != nil {
		return dst, err
	}
	q := search{need: n, cap: n, most: g, least: m, full: s.full}
	if s.symmetric(p) {
		at, ok, err := s.mirrored(q, dst)
		if ok || err != nil {
			return at, err
		}
	}
	return s.pick(q, false, dst)
}

// smallestG finds the smallest g for n marks, and leaves the ends set for it.
func (s *rowScratch) smallestG(n int64) (int64, error) {
	g := &s.grid
	hi := 2*g.n + 2
	if s.relaxed {
		hi = s.g
	} else if s.most < g.n {
		hi = min(hi, s.most+1)
	}
	s.aim(hi)
	v := &g.view[0]
	lo := int64(0)
	if n > 1 {
		lo = max(1, ceilDiv(v.last[0].From-v.first[len(v.first)-1].To, n-1))
	}
	for lo < hi {
		mid := lo + (hi-lo)/2
		k, err := s.count(mid, n, n)
		if err != nil {
			return 0, err
		}
		if k == n {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	k, err := s.count(lo, 1, n) // the fewest, now that gaps are that small
	s.full = k < n
	return lo, err
}

// largestLeast finds the largest smallest gap. It is mostly near the mean gap, and too much often shows after few
// marks: so it comes down from there, further each time, and goes on by halves.
func (s *rowScratch) largestLeast(n, g int64) (int64, error) {
	v := &s.grid.view[0]
	m, hi := int64(1), int64(1)
	if n > 1 {
		hi = min(g, (v.last[len(v.last)-1].To-v.first[0].From)/(n-1))
	}
	down := max(1, hi/32)
	for try := hi; m < hi; {
		k, err := s.run(v, search{need: n, cap: n, most: g, least: try, full: s.full}, nil)
		if err != nil {
			return 0, err
		}
		if k == n {
			m, down = try, 0
		} else {
			hi = try - 1
		}
		try = hi - (hi-m)/2
		if down > 0 && hi-down > m {
			try, down = hi-down, 4*down
		}
	}
	return m, nil
}

// pick finds the layers from the right, goes through them from the left, and takes the leftmost or the rightmost mark
// each time.
func (s *rowScratch) pick(q search, rightmost bool, dst []int64) ([]int64, error) {
	g := &s.grid
	v := &g.view[0]
	n, err := s.run(&g.view[1], q, &s.stack)
	if err != nil || n == 0 {
		return dst, err
	}
	most, least := min(q.most, g.n), max(q.least, 1)
	layer := s.stack.layer(int(n))
	at := int64(-1)
	for i := range v.first {
		w := v.first[i]
		if rightmost {
			w = v.first[len(v.first)-1-i]
		}
		if at = g.nearest(layer, w.From, w.To, rightmost); at >= 0 {
			break
		}
	}
	for k := int(n) - 1; at >= 0; k-- {
		dst = append(dst, at*g.step)
		if k == 0 {
			break
		}
		cell := v.cellOf(at)
		bands := v.bands[v.at[cell]:v.at[cell+1]]
		from := at
		at = -1
		for i := range bands {
			if rightmost {
				i = len(bands) - 1 - i
			}
			b := bands[i]
			lo, hi := max(b.from, from+max(b.min, least)), min(from+min(b.max, most), g.n)
			if i+1 < len(bands) {
				hi = min(hi, bands[i+1].from-1)
			}
			if at = g.nearest(s.stack.layer(k), lo, hi, rightmost); at >= 0 {
				break
			}
		}
		if err := s.spend(1); err != nil {
			return dst, err
		}
	}
	return dst, nil
}

// nearest finds the leftmost or rightmost position from lo to hi in a layer of the view from the right, -1 for none.
func (g *grid) nearest(layer []seg, lo, hi int64, rightmost bool) int64 {
	if lo > hi {
		return -1
	}
	from, to := g.n-hi, g.n-lo
	i := below(layer, from)
	if rightmost {
		if i > 0 && layer[i-1].hi >= from {
			return g.n - from
		}
		if i < len(layer) && layer[i].lo <= to {
			return g.n - layer[i].lo
		}
		return -1
	}
	if i = below(layer, to+1); i > 0 && layer[i-1].hi >= from {
		return g.n - min(to, layer[i-1].hi)
	}
	return -1
}

// rigid lays with all gaps at the largest that may be, as near the middle as can be. It does not try where some limit
// of gaps binds only in places.
func (s *rowScratch) rigid(p *Row, n int64, dst []int64) ([]int64, bool, error) {
	g := &s.grid
	v := &g.view[0]
	s.aim(far)
	gap := int64(far)
	for i, l := range p.Limits {
		if s.in[i] && (l.Kind == GapMax || l.Kind == GapMin) {
			if l.Spans != nil {
				return dst, false, nil
			}
			if l.Kind == GapMax {
				gap = min(gap, l.Value/g.step)
			}
		}
	}
	if n == 1 {
		gap = 0
	} else if gap > g.n/(n-1) {
		return dst, false, nil
	}
	// Where the first mark may stand, for the kth to stand well too.
	firsts := s.layer[0][:0]
	for _, p := range v.segs {
		for _, w := range v.first {
			for _, z := range v.last {
				lo, hi := max(p.lo, w.From, z.From-(n-1)*gap), min(p.hi, w.To, z.To-(n-1)*gap)
				if lo <= hi {
					firsts = append(firsts, seg{lo: lo, hi: hi})
				}
			}
		}
		if p.lo > v.first[len(v.first)-1].To {
			break
		}
	}
	rest := s.layer[1]
	next := 0
	for k := int64(1); k < n && len(firsts) > 0; k++ {
		rest = rest[:0]
		off := k * gap
		for v.segs[next].hi < firsts[0].lo+off && next+1 < len(v.segs) {
			next++
		}
		i := next
		for _, a := range firsts {
			for i+1 < len(v.segs) && v.segs[i].hi < a.lo+off {
				i++
			}
			for _, b := range v.segs[i:] {
				if b.lo-off > a.hi {
					break
				}
				if lo, hi := max(a.lo, b.lo-off), min(a.hi, b.hi-off); lo <= hi {
					rest = append(rest, seg{lo: lo, hi: hi})
				}
			}
		}
		firsts, rest = rest, firsts
		if err := s.spend(1 + len(firsts)); err != nil {
			return dst, false, err
		}
	}
	s.layer = [2][]seg{firsts, rest}
	at, off := int64(-1), int64(far)
	middle := floorDiv(p.Length-(n-1)*gap*g.step, 2*g.step)
	for _, w := range firsts {
		for _, a := range [2]int64{min(max(middle, w.lo), w.hi), min(max(middle+1, w.lo), w.hi)} {
			d := (2*a+(n-1)*gap)*g.step - p.Length
			if d = max(d, -d); d < off {
				at, off = a, d
			}
		}
	}
	if at < 0 {
		return dst, false, nil
	}
	for k := range n {
		dst = append(dst, (at+k*gap)*g.step)
	}
	return dst, true, nil
}
