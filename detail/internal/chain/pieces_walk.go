package chain

import (
	"slices"
	"sort"
)

// walked is what a walk has met so far.
type walked struct {
	stops  []stop
	ends   []segment // of all stops
	starts []segment
	spans  []Span
}

// stop is where a piece may end.
type stop struct {
	length   int64
	from, to int // of the ends
}

// walk lays, from the left, pieces of least cost: the longest first piece, then the longest second, and so on, and of
// layouts equal in that the one whose last joint is leftmost, then the one before. Rest tells for a number of pieces
// the least cost from each place on, and bound where each may end; n is the number of pieces. There is no layout
// where rest costs less by a piece that starts after the next one, which the order of the sweep leaves out.
func (w *pieceSweep) walk(n int, rest func(left int) []segment, bound func(piece int) Span) ([]Piece, error) {
	k := &w.walked
	w.astray = false
	k.stops, k.ends = k.stops[:0], k.ends[:0]
	k.starts = within(k.starts[:0], rest(n), Span{0, 0})
	for i := 1; i < n; i++ {
		if i%256 == 0 && w.ctx.Err() != nil {
			return nil, w.ctx.Err()
		}
		left := rest(n - i)
		if err := w.endsOf(k.starts, left, n-i, bound(i)); err != nil {
			return nil, err
		}
		from := len(k.ends)
		length := w.longestPiece(k.starts, i)
		k.stops = append(k.stops, stop{length, from, len(k.ends)})
		w.nextStarts(k.ends[from:], left, n-i)
		if len(k.starts) == 0 || w.astray {
			return nil, nil
		}
	}
	at := k.starts[0].from // of the last piece, which is the longest from there
	ps := make([]Piece, n)
	ps[n-1] = Piece{w.from + at*w.step, w.from + w.length}
	for i := n - 1; i >= 1; i-- {
		s := k.stops[i-1]
		end := w.leftmostEnd(k.ends[s.from:s.to], rest(n-i), at)
		at = end - s.length
		ps[i-1] = Piece{w.from + at*w.step, w.from + end*w.step}
	}
	return ps, nil
}

// within appends to out what of the segments lies in a span.
func within(out, list []segment, in Span) []segment {
	i := sort.Search(len(list), func(i int) bool { return list[i].to >= in.From })
	for ; i < len(list) && list[i].from <= in.To; i++ {
		out = append(out, list[i].clip(max(list[i].from, in.From), min(list[i].to, in.To)))
	}
	return out
}

// endsOf sets ends to the least cost from each end on that a piece from starts may have, with left pieces to follow.
func (w *pieceSweep) endsOf(starts, rest []segment, left int, in Span) error {
	w.ends = w.ends[:0]
	if len(starts) == 0 {
		return nil
	}
	from, to := max(in.From, starts[0].from+1), min(in.To, starts[len(starts)-1].to+w.longest)
	return w.eachNext(rest, Span{from, to}, left, func(s segment, e *edge) {
		u, n := e.pull(s, from, to)
		for _, u := range u[:n] {
			w.endsSpare = lower(w.endsSpare[:0], w.ends, u)
			w.ends, w.endsSpare = w.endsSpare, w.ends
		}
		w.work += int64(len(w.ends))
	})
}

// eachNext calls f with every start in rest that left pieces follow and that a piece which ends in ends may have before
// it, cell by cell, and every way from an end to it.
func (w *pieceSweep) eachNext(rest []segment, ends Span, left int, f func(segment, *edge)) error {
	i := sort.Search(len(rest), func(i int) bool { return rest[i].to >= ends.From-w.longest })
	for ; i < len(rest) && rest[i].from <= ends.To-min(w.leastLap, 0); i++ {
		s := rest[i]
		if int(s.at.count/onePiece) != left {
			continue
		}
		for c := w.cell(s.from); s.from <= s.to; c++ {
			w.waysTo(c)
			part := s.clip(s.from, min(s.to, w.cellEnd(c)))
			for i := range w.ways {
				f(part, &w.ways[i])
			}
			if s.to == part.to {
				break
			}
			s = s.clip(part.to+1, s.to)
		}
		if w.work > w.limit {
			return ErrWork
		}
	}
	return nil
}

// longestPiece returns the greatest length that piece k may have from any of starts, and appends where it ends then.
func (w *pieceSweep) longestPiece(starts []segment, k int) int64 {
	list := w.next
	if k == 1 {
		list = w.first
	}
	ends := w.walked.ends
	first, length := len(ends), int64(-1)
	for _, s := range starts {
		for i := range list {
			e := &list[i]
			for _, u := range w.ends {
				r, ok := e.between(s.from, s.to, u.from, u.to)
				if !ok || r.hi < length {
					continue
				}
				r, sign := e.best(r, s, u)
				w.astray = w.astray || sign > 0
				if sign < 0 || r.hi < length {
					continue
				}
				if r.hi > length {
					length, ends = r.hi, ends[:first]
				}
				r.lo = r.hi
				r, _ = r.tight()
				ends = append(ends, u.clip(r.fromY, r.toY))
			}
		}
	}
	w.walked.ends = ends
	return length
}

// nextStarts sets starts to where the next piece may start at least cost after any of ends.
func (w *pieceSweep) nextStarts(ends, rest []segment, left int) {
	k := &w.walked
	k.spans, k.starts = k.spans[:0], k.starts[:0]
	for _, u := range ends {
		// The work was counted when the same laps were looked at for their ends.
		_ = w.eachNext(rest, Span{u.from, u.to}, left, func(s segment, e *edge) {
			if r, ok := w.lapBest(u, s, e); ok {
				k.spans = append(k.spans, Span{r.fromY, r.toY})
			}
		})
	}
	slices.SortFunc(k.spans, byFrom)
	next := int64(0)
	for _, s := range k.spans {
		if s.From = max(s.From, next); s.From <= s.To {
			k.starts = within(k.starts, rest, s)
			next = s.To + 1
		}
	}
}

// lapBest returns the laps from ends u to starts s that cost the least.
func (w *pieceSweep) lapBest(u, s segment, e *edge) (region, bool) {
	r, ok := e.between(u.from, u.to, s.from, s.to)
	if !ok {
		return r, false
	}
	r, sign := e.best(r, u, s)
	w.astray = w.astray || sign > 0
	return r, sign == 0
}

// leftmostEnd returns the leftmost of ends from which the next piece may start at a place.
func (w *pieceSweep) leftmostEnd(ends, rest []segment, start int64) int64 {
	at := int64(endless)
	i := sort.Search(len(rest), func(i int) bool { return rest[i].to >= start })
	if i < len(rest) && rest[i].from <= start {
		s := rest[i].clip(start, start)
		w.waysTo(w.cell(start))
		for _, u := range ends {
			for i := range w.ways {
				e := &w.ways[i]
				if r, ok := w.lapBest(u, s, e); ok {
					at = min(at, r.fromX)
				}
			}
		}
	}
	return at
}
