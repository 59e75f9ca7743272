package chain

// conflict names the musts that conflict, after a first look that took some work. Each part of the list is asked
// about as a list by itself: an end that loses its maximum has the default one.
func (s *rowScratch) conflict(p *Row) ([]int, bool, error) {
	cost := s.work + int64(len(s.grid.view[0].segs)) + 1
	budget := int(min(max(maxConflict/cost, 1), int64(s.checks)))
	defer func(limit int64) { s.limit = limit }(s.limit)
	s.limit -= (s.limit - s.work) / 2 // the rest is for the layout
	return conflict(p.Limits, budget, func(in []bool) (bool, error) {
		if err := s.spend(1); err != nil || !s.build(p, in, false) {
			return false, err
		}
		n, err := s.count(far, s.grid.lo, s.grid.hi)
		return n > 0, err
	})
}

// relax lets largest gaps, ends and the count asked for give way, in that order of what is wished: as many marks as
// are asked or else as fit, the smallest g that breaks a limit, if one must be broken, and the maximums of ends as they
// are if that can be.
func (s *rowScratch) relax(p *Row) error {
	asked, err := s.standing(p)
	for i, l := range p.Limits {
		s.in[i] = !l.Should
	}
	if s.asked = asked; asked < 1 || err != nil {
		return err
	}
	s.relaxed = true
	if n, err := s.fit(p); err != nil {
		return err
	} else if n == 0 {
		s.yields = true
	}
	s.build(p, s.in, true)
	s.relaxCounts(p)
	hi := 2*s.grid.n + 2
	lo := hi
	for _, l := range p.Limits {
		if l.Kind == GapMax && !l.Should {
			lo = min(lo, l.Value/s.grid.step)
		}
	}
	for lo < hi {
		mid := lo + (hi-lo)/2
		n, err := s.count(mid, s.grid.lo, s.grid.hi)
		if err != nil {
			return err
		}
		if n > 0 {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	s.g = lo
	return nil
}

// standing counts the marks that are asked for, or else fit, with only what always stands in force.
func (s *rowScratch) standing(p *Row) (int64, error) {
	asked := int64(1)
	for i, l := range p.Limits {
		if !s.in[i] {
			continue
		}
		switch l.Kind {
		case CountMin:
			asked = max(asked, l.Value)
			s.in[i] = false
		case GapMax, EndMax:
			s.in[i] = false
		}
	}
	if !s.build(p, s.in, false) {
		return 0, nil
	}
	n, err := s.count(far, asked, s.grid.hi)
	if n > 0 || err != nil {
		return asked, err
	}
	return s.mostMarks(min(asked, s.grid.hi))
}

// relaxCounts asks for the count that fits, and for what shoulds in force ask.
func (s *rowScratch) relaxCounts(p *Row) {
	s.grid.lo = s.asked
	for i, l := range p.Limits {
		if l.Should && s.in[i] && l.Kind == CountMin {
			s.grid.lo = max(s.grid.lo, l.Value)
		}
	}
}

// mostMarks counts the most marks that fit, up to hi. Where some fit, fewer do: leaving out one between others breaks
// no minimum.
func (s *rowScratch) mostMarks(hi int64) (int64, error) {
	g := &s.grid
	hi = min(hi, g.n/max(g.least, 1)+1)
	lo := int64(1) // that many fit, or none
	for lo < hi {
		mid := hi - (hi-lo)/2
		n, err := s.count(far, mid, mid)
		if err != nil {
			return 0, err
		}
		if n > 0 {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	if lo == 1 {
		return s.count(far, 1, min(hi, 1))
	}
	return lo, nil
}
