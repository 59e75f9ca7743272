package cutting

import "slices"

// firstFit cuts the longest pieces first, each from the first stock length begun that has room: from those with a
// limit, which are all begun, then from others of one length. Of the plans with each of these lengths it returns the
// one that costs least.
func (s *solver) firstFit() (best []cut) {
	least := int64(-1)
	for main, k := range s.stocks {
		if k.limited() {
			continue
		}
		cuts := s.firstFitFrom(main)
		cost := int64(0)
		for _, c := range cuts {
			cost += s.stocks[c.stock].cost * c.times
		}
		if least < 0 || cost < least {
			best, least = cuts, cost
		}
	}
	return best
}

// A bin is equal stock lengths that are being cut alike.
type bin struct {
	cut
	room int64
}

// firstFitFrom opens stock lengths of one kind where no other has room, or the longest where that is too short.
func (s *solver) firstFitFrom(main int) []cut {
	var f fits
	for i, k := range s.stocks {
		if k.limited() {
			f.add(bin{cut{i, k.limit, nil}, k.size})
		}
	}
	last := len(s.stocks) - 1
	for i, w := range s.size {
		if i%1024 == 0 && s.ctx.Err() != nil {
			return nil
		}
		open := main
		if s.stocks[main].size < w {
			open = last // the longest: those without a limit are sorted by length
		}
		for left := s.count[i]; left > 0; {
			n := f.first(w)
			if n < 0 {
				per := s.stocks[open].size / w
				if whole := left / per; whole > 0 {
					f.add(bin{cut{open, whole, []take{{i, per}}}, s.stocks[open].size - per*w})
					left -= whole * per
				} else {
					f.add(bin{cut{open, 1, []take{{i, left}}}, s.stocks[open].size - left*w})
					left = 0
				}
				continue
			}
			b := f.bins[n]
			per := min(b.room/w, left)
			times := min(b.times, left/per)
			if times < b.times { // the rest of these stock lengths stays as it is
				rest := b
				rest.times -= times
				f.add(rest)
			}
			b.times = times
			b.takes = append(slices.Clone(b.takes), take{i, per})
			b.room -= per * w
			f.bins[n] = b
			f.set(n, b.room)
			left -= times * per
		}
	}
	var cuts []cut
	for _, b := range f.bins {
		if len(b.takes) > 0 {
			cuts = append(cuts, b.cut)
		}
	}
	return cuts
}

// fits finds the first bin with room in logarithmic time: a tree of the most room below each node, leaves last.
type fits struct {
	bins []bin
	most []int64 // len is twice a power of two; node n is over 2n and 2n+1
}

func (f *fits) add(b bin) {
	if 2*len(f.bins) >= len(f.most) {
		f.most = make([]int64, max(2, 2*len(f.most)))
		for i, b := range f.bins {
			f.most[len(f.most)/2+i] = b.room
		}
		for n := len(f.most)/2 - 1; n > 0; n-- {
			f.most[n] = max(f.most[2*n], f.most[2*n+1])
		}
	}
	f.bins = append(f.bins, b)
	f.set(len(f.bins)-1, b.room)
}

func (f *fits) set(i int, room int64) {
	n := len(f.most)/2 + i
	f.most[n] = room
	for n /= 2; n > 0; n /= 2 {
		f.most[n] = max(f.most[2*n], f.most[2*n+1])
	}
}

// first is the index of the first bin that has this much room; -1: none.
func (f *fits) first(w int64) int {
	if len(f.most) == 0 || f.most[1] < w {
		return -1
	}
	n := 1
	for n < len(f.most)/2 {
		if n *= 2; f.most[n] < w {
			n++
		}
	}
	return n - len(f.most)/2
}
