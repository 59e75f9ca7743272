package chain

// binding names the limit that decides that there are n marks: the count that asks for more than the fewest;
// otherwise the first largest gap or end without which fewer would do; otherwise the least largest gap.
func (s *rowScratch) binding(p *Row, n int64, counted bool) (int, error) {
	best, candidates := -1, 0
	for i, l := range p.Limits {
		if !s.in[i] {
			continue
		}
		if counted && l.Kind == CountMin && (best < 0 || l.Value > p.Limits[best].Value) {
			best = i
		}
		if !counted && (l.Kind == GapMax || l.Kind == EndMax) {
			candidates++
			if l.Kind == GapMax && (best < 0 || p.Limits[best].Kind == EndMax || l.Value < p.Limits[best].Value) || best < 0 {
				best = i
			}
		}
	}
	if counted {
		return best, nil
	}
	if n == 1 {
		return -1, nil
	}
	if candidates < 2 {
		return best, nil
	}
	for i, l := range p.Limits {
		if !s.in[i] || l.Kind != GapMax && l.Kind != EndMax {
			continue
		}
		s.in[i] = false
		s.build(p, s.in, false)
		k, err := s.count(far, 1, n)
		s.in[i] = true
		if err != nil {
			return -1, err
		}
		if k < n {
			return i, nil
		}
	}
	return best, nil
}
