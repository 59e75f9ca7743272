package chain

import "cmp"

// cost is what a way of laying costs, its terms in the order in which they count.
type cost struct {
	clear  int64 // by how much laps reach into what is kept clear, in fine units
	length int64 // by how much pieces are too short or too long, in fine units
	count  int64 // pieces, laps over twice the least, cut pieces: packed, as each counts before the next
	lap    int64 // the sum of all laps, in grid steps
}

const (
	onePiece   = 1 << 42
	oneLongLap = 1 << 21
	oneCut     = 1
	maxPieces  = 1<<21 - 1
	maxCost    = 1 << 61 // two of these add up without a wrap
)

// rise is by how much the terms of a cost grow with one step along the grid; counts never do.
type rise struct{ clear, length, lap int64 }

func (c cost) less(d cost) bool { return c.compare(d) < 0 }

func (c cost) compare(d cost) int {
	switch {
	case c.clear != d.clear:
		return cmp.Compare(c.clear, d.clear)
	case c.length != d.length:
		return cmp.Compare(c.length, d.length)
	case c.count != d.count:
		return cmp.Compare(c.count, d.count)
	}
	return cmp.Compare(c.lap, d.lap)
}

// breaksNoMore reports whether the musts are broken no further than at a cost of d.
func (c cost) breaksNoMore(d cost) bool {
	return c.clear < d.clear || c.clear == d.clear && c.length <= d.length
}

func (c cost) plus(d cost) cost {
	return cost{c.clear + d.clear, c.length + d.length, c.count + d.count, c.lap + d.lap}
}

func (c cost) minus(d cost) cost {
	return cost{c.clear - d.clear, c.length - d.length, c.count - d.count, c.lap - d.lap}
}

func (c cost) along(r rise, steps int64) cost {
	return cost{c.clear + r.clear*steps, c.length + r.length*steps, c.count, c.lap + r.lap*steps}
}

// tooLarge reports whether a sum with c might wrap.
func (c cost) tooLarge() bool {
	return max(c.clear, -c.clear, c.length, -c.length, c.lap, -c.lap) > maxCost || c.count > maxPieces*onePiece
}

func (r rise) plus(s rise) rise {
	return rise{r.clear + s.clear, r.length + s.length, r.lap + s.lap}
}

func (r rise) minus(s rise) rise {
	return rise{r.clear - s.clear, r.length - s.length, r.lap - s.lap}
}

// negative reports whether costs fall along r.
func (r rise) negative() bool {
	return r.clear < 0 || r.clear == 0 && (r.length < 0 || r.length == 0 && r.lap < 0)
}

// segment is the least cost over a closed interval of grid places, along which it changes evenly.
type segment struct {
	from, to int64
	at       cost // at from
	by       rise
}

func (s segment) value(x int64) cost { return s.at.along(s.by, x-s.from) }

func (s segment) clip(from, to int64) segment { return segment{from, to, s.value(from), s.by} }

// lower appends to out the lower envelope of cur, which is ascending and disjoint, and s. Where both cost the same, cur
// stays.
func lower(out, cur []segment, s segment) []segment {
	next := s.from // what of s is still to be placed starts here
	for _, c := range cur {
		if c.to < s.from {
			out = append(out, c)
			continue
		}
		if c.from > next && next <= s.to {
			end := min(c.from-1, s.to)
			out = goOn(out, s.clip(next, end))
			next = end + 1
		}
		if c.from > s.to {
			out = goOn(out, c)
			continue
		}
		if c.from < s.from {
			out = goOn(out, c.clip(c.from, s.from-1))
		}
		from, to := max(c.from, s.from), min(c.to, s.to)
		out = lesser(out, c, s, from, to)
		if c.to > s.to {
			out = goOn(out, c.clip(s.to+1, c.to))
		}
		next = to + 1
	}
	if next <= s.to {
		out = goOn(out, s.clip(next, s.to))
	}
	return out
}

// lesser appends the lesser of c and s from from to to. The difference of the two, as a vector in lexicographic order,
// keeps its sign between two places where it has the same one, so that at most one changes hands.
func lesser(out []segment, c, s segment, from, to int64) []segment {
	first, last := s.value(from).less(c.value(from)), s.value(to).less(c.value(to))
	switch {
	case !first && !last:
		return goOn(out, c.clip(from, to))
	case first && last:
		return goOn(out, s.clip(from, to))
	}
	a, b := from, to // a is of the first kind, b of the last
	for b-a > 1 {
		if m := a + (b-a)/2; s.value(m).less(c.value(m)) == first {
			a = m
		} else {
			b = m
		}
	}
	if first {
		c, s = s, c
	}
	return goOn(goOn(out, c.clip(from, a)), s.clip(b, to))
}

// goOn appends s, as one with the last segment if it goes on from it.
func goOn(out []segment, s segment) []segment {
	if n := len(out); n > 0 {
		if l := &out[n-1]; l.to+1 == s.from && l.by == s.by && l.value(s.from) == s.at {
			l.to = s.to
			return out
		}
	}
	return append(out, s)
}
