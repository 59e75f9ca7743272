package cutting

import "slices"

// lift raises the prices of the pieces one after another, from the longest, each as far as no stock length comes to
// hold more than it may. Where several types share a row of the master, most of their prices are lower than they need
// be.
func (s *solver) lift(p *prices) *prices {
	value, left := slices.Clone(p.value), slices.Clone(s.count)
	for i, w := range s.size {
		left[i]--
		f := s.newFiller(value, left)
		more := int64(-1)
		for k, c := range s.stocks {
			if c.size < w {
				continue
			}
			_, rest := f.fill(c.size-w, pricingNodes)
			free := max(0, p.full[k]-rest-value[i]) / min(s.count[i], c.size/w)
			if more < 0 || free < more {
				more = free
			}
		}
		left[i]++
		value[i] += max(0, more)
		if s.work < 0 {
			return p
		}
	}
	f := s.newFiller(value, left)
	most := make([]int64, len(s.stocks))
	for k, c := range s.stocks {
		_, most[k] = f.fill(c.size, pricingNodes)
	}
	if s.work < 0 {
		return p
	}
	return s.newPrices(value, most)
}
