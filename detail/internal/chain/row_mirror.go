package chain

import (
	"math/bits"
	"slices"
)

// A layout that is its own mirror image is made of pairs, a mark as far from the left end as its twin is from the
// right, to within one step. A pair is seen from the middle outwards: the left mark stands at t in the view from the
// right, its twin at t+sum-1 in the view from the left. Sums 0, 1 and 2 are one step over the left, none, and one
// over the right.
type fold struct {
	pairs  [3][]seg // where pairs may stand, by sum; pair is the cell of the twin
	front  [3]front
	layers stack // three to a pair, by sum
	at     []int64
	sums   []uint8 // by pair from outside: which sums go with at
}

const sums = 3

// mirrored lays the leftmost of those layouts that are their own mirror image, if one is.
func (s *rowScratch) mirrored(q search, dst []int64) ([]int64, bool, error) {
	f := &s.fold
	n := q.need
	half := (n + 1) / 2
	for sum := range sums {
		s.pairUp(sum)
	}
	f.layers.segs, f.layers.at = f.layers.segs[:0], append(f.layers.at[:0], 0)
	right := s.grid.view[1].last
	goal, goalTo := right[0].From, right[len(right)-1].To
	most, least := min(q.most, s.grid.n), max(q.least, 1)
	for k := int64(1); k <= half; k++ {
		floor := int64(far)
		for sum := range sums {
			w := &f.front[sum]
			w.windows = w.buffer[:0]
			sorted := true
			if k == 1 {
				s.middle(sum, n%2 == 1, most, least)
			} else {
				for inner := range sums {
					s.outwards(w, f.layers.layer(int(k-2)*sums+inner+1), int64(sum-inner), int64(sum), most, least)
				}
				sorted = false
			}
			w.buffer = join(w.windows, sorted)
			w.windows = w.buffer
			if left := half - k; most == 0 || left <= s.grid.n/most {
				clipLow(w, goal-left*most)
			}
			if q.full && half-k <= s.grid.n/least {
				clipHigh(w, goalTo-(half-k)*least)
			}
			if len(w.windows) > 0 {
				floor = min(floor, w.windows[0].From)
			}
		}
		start := len(f.layers.segs)
		for sum := range sums {
			w := &f.front[sum]
			f.layers.segs = w.settle(f.pairs[sum], f.layers.segs, q.full, floor)
			f.layers.at = append(f.layers.at, len(f.layers.segs))
			if err := s.spend(len(w.windows) + len(w.open)); err != nil {
				return dst, false, err
			}
		}
		if len(f.layers.segs) == start {
			return dst, false, nil
		}
		if err := s.spend(len(f.layers.segs) - start); err != nil {
			return dst, false, err
		}
	}
	return s.unfold(n, most, least, dst)
}

// pairUp fills in where pairs of one sum may stand.
func (s *rowScratch) pairUp(sum int) {
	f, left, right := &s.fold, &s.grid.view[0], &s.grid.view[1]
	f.pairs[sum] = f.pairs[sum][:0]
	f.front[sum].next, f.front[sum].open = 0, f.front[sum].open[:0]
	off := int64(sum - 1)
	if off < 0 && right.end.rest > 0 { // that is further off the middle than one step
		return
	}
	from := ceilDiv(s.grid.n-off, 2)
	i, j := 0, 0
	for i < len(right.segs) && j < len(left.segs) {
		a, b := right.segs[i], left.segs[j]
		lo, hi := max(a.lo, b.lo-off, from), min(a.hi, b.hi-off)
		if lo <= hi {
			f.pairs[sum] = append(f.pairs[sum], seg{lo, hi, a.cell, b.cell})
		}
		if a.hi < b.hi-off {
			i++
		} else {
			j++
		}
	}
}

// middle fills the windows with the innermost pairs: one mark that is its own twin, or two neighbours.
func (s *rowScratch) middle(sum int, single bool, most, least int64) {
	w := &s.fold.front[sum]
	span := s.grid.n - int64(sum-1)
	if single {
		if span%2 == 0 {
			w.windows = append(w.windows, Span{span / 2, span / 2})
		}
		return
	}
	left := &s.grid.view[0]
	cells := int32(len(left.at) - 1)
	for _, p := range s.fold.pairs[sum] {
		b := left.band(cells-1-p.cell, p.lo+int64(sum-1))
		short, long := max(b.min, least), min(b.max, most)
		from, to := max(p.lo, ceilDiv(span+short, 2)), min(p.hi, floorDiv(span+long, 2))
		if from <= to && short <= long {
			w.windows = append(w.windows, Span{from, to})
		}
		if 2*p.lo-span > most {
			break
		}
	}
}

// band finds the limits from a cell to a position.
func (v *view) band(cell int32, to int64) band {
	bands := v.bands[v.at[cell]:v.at[cell+1]]
	for k := len(bands) - 1; k > 0; k-- {
		if bands[k].from <= to {
			return bands[k]
		}
	}
	return bands[0]
}

// outwards adds to the windows what can stand next outside a layer, where the sum grows by up.
func (s *rowScratch) outwards(w *front, layer []seg, up, sum, most, least int64) {
	left, right := &s.grid.view[0], &s.grid.view[1]
	n := s.grid.n
	off := sum - 1
	if a := right.bands[0]; len(right.bands) == 1 {
		short, long := max(a.min, a.min-up, least, least-up), min(a.max, a.max-up, most, most-up)
		for _, p := range layer {
			if from, to := max(p.lo+short, -off), min(p.hi+long, n, n-off); short <= long && from <= to {
				w.windows = append(w.windows, Span{from, to})
			}
		}
		return
	}
	for _, p := range layer {
		near := right.bands[right.at[p.cell]:right.at[p.cell+1]]
		twin := left.bands[left.at[p.pair]:left.at[p.pair+1]]
		for i, a := range near {
			for j, b := range twin {
				short := max(a.min, b.min-up, least, least-up)
				long := min(a.max, b.max-up, most, most-up)
				if short > long {
					continue
				}
				from, to := max(a.from, b.from-off, p.lo+short), min(p.hi+long, n, n-off)
				if i+1 < len(near) {
					to = min(to, near[i+1].from-1)
				}
				if j+1 < len(twin) {
					to = min(to, twin[j+1].from-1-off)
				}
				if from <= to {
					w.windows = append(w.windows, Span{from, to})
				}
			}
		}
	}
}

// unfold chooses the leftmost left half, and then the leftmost twins.
func (s *rowScratch) unfold(n, most, least int64, dst []int64) ([]int64, bool, error) {
	f, left, right := &s.fold, &s.grid.view[0], &s.grid.view[1]
	half := int(n+1) / 2
	f.at, f.sums = f.at[:0], f.sums[:0]
	best, which := int64(-1), uint8(0)
	choose := func(t int64, sum int) {
		if t > best {
			best, which = t, 0
		}
		if t == best {
			which |= 1 << sum
		}
	}
	for sum := range sums {
		layer := f.layers.layer((half-1)*sums + sum + 1)
		off := int64(sum - 1)
		for _, p := range slices.Backward(layer) {
			for _, a := range right.last {
				for _, b := range left.last {
					if t := min(p.hi, a.To, b.To-off); t >= max(p.lo, a.From, b.From-off) {
						choose(t, sum)
					}
				}
			}
		}
	}
	for k := half; ; k-- {
		if best < 0 {
			return dst, false, nil
		}
		f.at, f.sums = append(f.at, best), append(f.sums, which)
		if k == 1 {
			break
		}
		t, from := best, which
		best, which = -1, 0
		for sum := range sums {
			layer := f.layers.layer((k-2)*sums + sum + 1)
			for outer := range sums {
				if from>>outer&1 == 0 {
					continue
				}
				for i := below(layer, t) - 1; i >= 0 && layer[i].hi >= t-most; i-- {
					p := layer[i]
					short, long := s.between(p.cell, p.pair, t, int64(outer), int64(sum), most, least)
					if in := min(p.hi, t-short); in >= max(p.lo, t-long) {
						choose(in, sum)
						break
					}
				}
			}
		}
		if err := s.spend(1); err != nil {
			return dst, false, err
		}
	}
	// The twins, from the middle outwards.
	for _, t := range f.at {
		dst = append(dst, (s.grid.n-t)*s.grid.step)
	}
	sum := bits.TrailingZeros8(f.sums[half-1])
	for k := half - 1; ; k-- {
		t := f.at[k]
		if k < half-1 || n%2 == 0 {
			dst = append(dst, (t+int64(sum-1))*s.grid.step)
		}
		if k == 0 {
			return dst, true, nil
		}
		cell, pair := right.cellOf(t), left.cellOf(t+int64(sum-1))
		for outer := range sums {
			if f.sums[k-1]>>outer&1 == 0 {
				continue
			}
			short, long := s.between(cell, pair, f.at[k-1], int64(outer), int64(sum), most, least)
			if d := f.at[k-1] - t; short <= d && d <= long {
				sum = outer
				break
			}
		}
	}
}

// between bounds how far the pair at t is from one inside it in these cells.
func (s *rowScratch) between(cell, pair int32, t, outer, inner, most, least int64) (short, long int64) {
	a, b := s.grid.view[1].band(cell, t), s.grid.view[0].band(pair, t+outer-1)
	up := outer - inner
	return max(a.min, b.min-up, least, least-up), min(a.max, b.max-up, most, most-up)
}

// below counts the segs of a layer that start before t.
func below(layer []seg, t int64) int {
	lo, hi := 0, len(layer)
	for lo < hi {
		if mid := (lo + hi) / 2; layer[mid].lo < t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// cellOf finds the cell of an allowed position.
func (v *view) cellOf(at int64) int32 {
	if len(v.at) == 2 {
		return 0
	}
	return v.segs[below(v.segs, at+1)-1].cell
}
