package chain

import (
	"cmp"
	"slices"
	"sort"
)

// walk lays, from the left, pieces of least cost: the longest first piece, then the longest second, and so on, and of
// layouts equal in that the one whose last joint is leftmost, then the one before. Rest tells for a number of pieces the
// least cost from each place on, and bound the range of each piece and its lap; n is the number of pieces. There is no
// layout where rest costs less by a piece that starts after the next one, which the order of the sweep leaves out.
func (w *pieceSweep) walk(n int, rest func(left int) []segment, bound func(piece int) box, dst []Piece, p *Pieces) ([]Piece, error) {
	type stop struct {
		length int64
		ends   []segment // where the piece may end, with the cost of the rest
	}
	w.astray = false
	starts := within(rest(n), Span{0, 0})
	stops := make([]stop, 0, n)
	for k := 1; k < n; k++ {
		if k%256 == 0 && w.ctx.Err() != nil {
			return nil, w.ctx.Err()
		}
		b, left := bound(k), rest(n-k)
		if err := w.reach(starts, left, n-k, b.lap); err != nil {
			return nil, err
		}
		length, ends := w.longestPiece(starts, k, b.length)
		stops = append(stops, stop{length, ends})
		if starts = w.nextStarts(ends, left, n-k, b.lap); len(starts) == 0 || w.astray {
			return nil, nil
		}
	}
	at := starts[0].from // of the last piece, which is the longest from there
	first := len(dst)
	dst = append(dst, Piece{p.From + at*w.step, p.To})
	for k := n - 1; k >= 1; k-- {
		s := stops[k-1]
		end := w.leftmostEnd(s.ends, rest(n-k), at, bound(k).lap)
		at = end - s.length
		dst = append(dst, Piece{p.From + at*w.step, p.From + end*w.step})
	}
	slices.Reverse(dst[first:])
	return dst, nil
}

// within returns what of the segments lies in a span.
func within(list []segment, in Span) []segment {
	i := sort.Search(len(list), func(i int) bool { return list[i].to >= in.From })
	var out []segment
	for ; i < len(list) && list[i].from <= in.To; i++ {
		out = append(out, list[i].clip(max(list[i].from, in.From), min(list[i].to, in.To)))
	}
	return out
}

// reach sets ends to the least cost from each end on that a piece from starts may have, with left pieces to follow.
func (w *pieceSweep) reach(starts, rest []segment, left int, lap Span) error {
	w.ends = w.ends[:0]
	if len(starts) == 0 {
		return nil
	}
	from, to := starts[0].from+1, starts[len(starts)-1].to+w.longest
	return w.eachNext(rest, Span{from, to}, left, func(s segment, e edge) {
		e.lo, e.hi = max(e.lo, -lap.To), min(e.hi, -lap.From)
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
func (w *pieceSweep) eachNext(rest []segment, ends Span, left int, f func(segment, edge)) error {
	i := sort.Search(len(rest), func(i int) bool { return rest[i].to >= ends.From-w.longest })
	for ; i < len(rest) && rest[i].from <= ends.To-min(w.leastLap, 0); i++ {
		s := rest[i]
		if int(s.at.count/onePiece) != left {
			continue
		}
		for c := w.cell(s.from); s.from <= s.to; c++ {
			w.waysTo(c)
			part := s.clip(s.from, min(s.to, w.cellEnd(c)))
			for _, e := range w.ways {
				f(part, e)
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

// longestPiece returns the greatest length that piece k may have from any of starts, and where it ends then.
func (w *pieceSweep) longestPiece(starts []segment, k int, in Span) (length int64, ends []segment) {
	list := w.next
	if k == 1 {
		list = w.first
	}
	length = -1
	for _, s := range starts {
		for _, e := range list {
			e.lo, e.hi = max(e.lo, in.From), min(e.hi, in.To)
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
					length, ends = r.hi, ends[:0]
				}
				r.lo = r.hi
				r, _ = r.tight()
				ends = append(ends, u.clip(r.fromY, r.toY))
			}
		}
	}
	return length, ends
}

// nextStarts returns where the next piece may start at least cost after any of ends.
func (w *pieceSweep) nextStarts(ends, rest []segment, left int, lap Span) []segment {
	var spans []Span
	for _, u := range ends {
		// The work was counted when the same laps were looked at for reach.
		_ = w.eachNext(rest, Span{u.from, u.to}, left, func(s segment, e edge) {
			if r, ok := w.lapBest(u, s, e, lap); ok {
				spans = append(spans, Span{r.fromY, r.toY})
			}
		})
	}
	slices.SortFunc(spans, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	var starts []segment
	next := int64(0)
	for _, s := range spans {
		if s.From = max(s.From, next); s.From <= s.To {
			starts = append(starts, within(rest, s)...)
			next = s.To + 1
		}
	}
	return starts
}

// lapBest returns the laps from ends u to starts s that cost the least.
func (w *pieceSweep) lapBest(u, s segment, e edge, lap Span) (region, bool) {
	e.lo, e.hi = max(e.lo, -lap.To), min(e.hi, -lap.From)
	r, ok := e.between(u.from, u.to, s.from, s.to)
	if !ok {
		return r, false
	}
	r, sign := e.best(r, u, s)
	w.astray = w.astray || sign > 0
	return r, sign == 0
}

// leftmostEnd returns the leftmost of ends from which the next piece may start at a place.
func (w *pieceSweep) leftmostEnd(ends, rest []segment, start int64, lap Span) int64 {
	at := int64(endless)
	for _, s := range within(rest, Span{start, start}) {
		w.waysTo(w.cell(start))
		for _, u := range ends {
			for _, e := range w.ways {
				if r, ok := w.lapBest(u, s, e, lap); ok {
					at = min(at, r.fromX)
				}
			}
		}
	}
	return at
}
