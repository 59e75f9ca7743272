package chain

import "slices"

// A stack holds layers: segs[at[k-1]:at[k]] is where the kth mark may stand.
type stack struct {
	segs []seg
	at   []int
}

func (s *stack) layer(k int) []seg { return s.segs[s.at[k-1]:s.at[k]] }

// A search asks for layers of a view: the kth is where the kth mark may stand when those before it stand well.
type search struct {
	need, cap   int64 // how many marks there may be
	most, least int64 // bounds of gaps besides the limits in force
	// full keeps in each layer all that can be reached. Otherwise a layer has only what no layer before it has, which
	// is enough where fewer marks than need won't do.
	full bool
}

// front is what a walk through the layers has still to look at.
type front struct {
	buffer  []Span // of the windows
	windows []Span // what is in reach, ascending and apart
	next    int    // the first seg not yet come to
	open    []seg  // come to and not yet reached
	rest    []seg
}

// run returns the least count within the search's bounds whose last mark may stand where the view wants it, 0 for
// none. It leaves the layers in keep, if given.
func (s *rowScratch) run(v *view, q search, keep *stack) (int64, error) {
	if len(v.first) == 0 || len(v.last) == 0 || len(v.segs) == 0 {
		return 0, nil
	}
	n := s.grid.n
	most, least := min(q.most, n), max(q.least, 1)
	goal := v.last[0].From
	goalTo := v.last[len(v.last)-1].To
	hops, tight := n, n/least // with more marks to come than these, a place can be anywhere
	if most > 0 {
		hops = n / most
	}
	f := &s.front
	f.next, f.open = 0, f.open[:0]
	f.buffer = append(f.buffer[:0], v.first...)
	f.windows = f.buffer
	var layer []seg
	if keep != nil {
		keep.segs, keep.at = keep.segs[:0], append(keep.at[:0], 0)
	}
	for k := int64(1); k <= q.cap; k++ {
		if k > 1 {
			f.reach(v, layer, most, least, n)
		}
		left := q.cap - k
		if left <= hops {
			clipLow(f, goal-left*most)
		}
		if q.full && q.need == q.cap && left <= tight {
			clipHigh(f, goalTo-left*least)
		}
		if len(f.windows) == 0 {
			return 0, nil
		}
		if keep != nil {
			start := len(keep.segs)
			keep.segs = f.settle(v.segs, keep.segs, q.full, f.windows[0].From)
			keep.at = append(keep.at, len(keep.segs))
			layer = keep.segs[start:]
		} else {
			layer = f.settle(v.segs, s.layer[k&1][:0], q.full, f.windows[0].From)
			s.layer[k&1] = layer
		}
		if err := s.spend(len(f.windows) + len(f.open) + len(layer)); err != nil {
			return 0, err
		}
		if len(layer) == 0 {
			return 0, nil
		}
		if k >= q.need && meets(layer, v.last) {
			return k, nil
		}
	}
	return 0, nil
}

// reach fills the windows with all that is in reach of a layer.
func (f *front) reach(v *view, layer []seg, most, least, n int64) {
	w := f.buffer[:0]
	if len(v.bands) == 1 {
		most, least = min(most, v.bands[0].max), max(least, v.bands[0].min)
		if least <= most {
			for _, p := range layer {
				from, to := p.lo+least, min(p.hi+most, n)
				if k := len(w) - 1; k >= 0 && from <= w[k].To+1 {
					w[k].To = to
				} else if from <= to {
					w = append(w, Span{from, to})
				}
			}
		}
		f.buffer, f.windows = w, w
		return
	}
	sorted := true
	for _, p := range layer {
		bands := v.bands[v.at[p.cell]:v.at[p.cell+1]]
		for i, b := range bands {
			from, to := max(b.from, p.lo+max(b.min, least)), min(p.hi+min(b.max, most), n)
			if i+1 < len(bands) {
				to = min(to, bands[i+1].from-1)
			}
			if from > to || max(b.min, least) > min(b.max, most) {
				continue
			}
			sorted = sorted && (len(w) == 0 || w[len(w)-1].From <= from)
			w = append(w, Span{from, to})
		}
	}
	f.buffer = join(w, sorted)
	f.windows = f.buffer
}

// join sorts windows and makes one of those that touch.
func join(w []Span, sorted bool) []Span {
	if !sorted && len(w) > 16 {
		slices.SortFunc(w, byFrom)
	} else if !sorted {
		for i := 1; i < len(w); i++ {
			for j := i; j > 0 && w[j-1].From > w[j].From; j-- {
				w[j-1], w[j] = w[j], w[j-1]
			}
		}
	}
	out := w[:0]
	for _, x := range w {
		if k := len(out) - 1; k >= 0 && x.From <= out[k].To+1 {
			out[k].To = max(out[k].To, x.To)
		} else {
			out = append(out, x)
		}
	}
	return out
}

// clipLow drops what lies before from.
func clipLow(f *front, from int64) {
	i := 0
	for i < len(f.windows) && f.windows[i].To < from {
		i++
	}
	f.windows = f.windows[i:]
	if len(f.windows) > 0 {
		f.windows[0].From = max(f.windows[0].From, from)
	}
}

// clipHigh drops what lies past to.
func clipHigh(f *front, to int64) {
	k := len(f.windows)
	for k > 0 && f.windows[k-1].From > to {
		k--
	}
	f.windows = f.windows[:k]
	if k > 0 {
		f.windows[k-1].To = min(f.windows[k-1].To, to)
	}
}

// settle appends to dst the parts of segs that the windows cover: in full, or only what was never covered before.
// Nothing below floor will be asked for again.
func (f *front) settle(segs, dst []seg, full bool, floor int64) []seg {
	if full {
		for f.next < len(segs) && segs[f.next].hi < floor {
			f.next++
		}
		i := 0
		for _, p := range segs[f.next:] {
			for i < len(f.windows) && f.windows[i].To < p.lo {
				i++
			}
			if i == len(f.windows) {
				break
			}
			for _, w := range f.windows[i:] {
				if w.From > p.hi {
					break
				}
				dst = append(dst, seg{max(p.lo, w.From), min(p.hi, w.To), p.cell, p.pair})
			}
		}
		return dst
	}
	if len(f.windows) == 0 {
		return dst
	}
	for top := f.windows[len(f.windows)-1].To; f.next < len(segs) && segs[f.next].lo <= top; f.next++ {
		f.open = append(f.open, segs[f.next])
	}
	if len(f.windows) == 1 && f.windows[0].From == floor { // the same as below, in place
		w, open := f.windows[0], f.open
		left := 0
		for _, p := range open {
			if p.hi < w.From {
				continue
			}
			if p.lo <= w.To {
				dst = append(dst, seg{max(p.lo, w.From), min(p.hi, w.To), p.cell, p.pair})
				if p.lo = w.To + 1; p.lo > p.hi {
					continue
				}
			}
			open[left] = p
			left++
		}
		f.open = open[:left]
		return dst
	}
	rest := f.rest[:0]
	i := 0
	for _, p := range f.open {
		if p.hi < floor {
			continue
		}
		for i < len(f.windows) && f.windows[i].To < p.lo {
			i++
		}
		for i < len(f.windows) && f.windows[i].From <= p.hi {
			w := f.windows[i]
			if w.From > p.lo && w.From > floor {
				rest = append(rest, seg{p.lo, w.From - 1, p.cell, p.pair})
			}
			dst = append(dst, seg{max(p.lo, w.From), min(p.hi, w.To), p.cell, p.pair})
			p.lo = w.To + 1
			if p.lo > p.hi {
				break
			}
			i++
		}
		if p.lo <= p.hi {
			rest = append(rest, p)
		}
	}
	f.open, f.rest = rest, f.open
	return dst
}

// meets tells whether a layer reaches into any of the spans.
func meets(layer []seg, spans []Span) bool {
	if layer[len(layer)-1].hi < spans[0].From {
		return false
	}
	for _, p := range layer {
		for _, w := range spans {
			if p.lo <= w.To && w.From <= p.hi {
				return true
			}
		}
	}
	return false
}

// stride counts the fewest marks by going as far as a gap allows each time. That is exact where nothing but keep-outs
// and one largest gap binds, for then every allowed position before the furthest reached is reached too.
func (s *rowScratch) stride(v *view, most int64) (int64, error) {
	segs := v.segs
	i := 0
	for i+1 < len(segs) && segs[i+1].lo <= v.first[0].To {
		i++
	}
	at, goal := min(segs[i].hi, v.first[0].To), v.last[0].From
	if at < segs[i].lo || segs[len(segs)-1].hi < goal {
		return 0, nil
	}
	k := int64(1)
	for at < goal {
		if i+1 == len(segs) || segs[i].hi >= goal {
			return k + (goal-at+most-1)/most, nil
		}
		hops := (segs[i].hi - at) / most
		k, at = k+hops, at+hops*most
		from := at
		for i+1 < len(segs) && segs[i+1].lo <= at+most {
			i++
		}
		at = min(segs[i].hi, at+most)
		if at == from {
			return 0, nil
		}
		k++
		if err := s.spend(1); err != nil {
			return 0, err
		}
	}
	return k, nil
}

// strides tells whether stride is exact.
func (v *view) strides() bool {
	return len(v.bands) == 1 && v.bands[0].min <= 1 && len(v.segs) > 0 && len(v.first) == 1 && len(v.last) == 1 &&
		v.first[0].From <= v.segs[0].lo && v.last[0].To >= v.segs[len(v.segs)-1].hi
}

// spend counts work, and looks for the end of it.
func (s *rowScratch) spend(n int) error {
	s.work += int64(n)
	if s.work < s.look {
		return nil
	}
	return s.pause()
}

func (s *rowScratch) pause() error {
	s.look = s.work + 1<<13
	if s.work > s.limit {
		return ErrWork
	}
	return s.ctx.Err()
}
