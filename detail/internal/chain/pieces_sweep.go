package chain

import (
	"context"
	"slices"
)

// box bounds the places where a piece starts and ends.
type box struct{ start, end Span }

var (
	anywhere = Span{-endless, endless}
	anyBox   = box{anywhere, anywhere}
)

// pieceSweep finds, from the right to the left, the least cost of what is still to be laid from each place on.
type pieceSweep struct {
	pieceModel
	ctx     context.Context
	work    int64 // segments looked at
	limit   int64 // of work
	tooLong bool  // a cost is beyond what can be held
	astray  bool  // a way was met that costs less than the least

	reach           pieceReach
	alone           []segment // what one piece costs, where all costs are sought
	pending         []segment // a heap, the one that reaches furthest right first
	here, spare     []segment
	ends, endsSpare []segment
	ways            []edge
	waysOf          int // the cell before whose starts these laps lie, -1 for none
	walked          walked
}

// singles pushes what it costs to end with one piece that starts in places.
func (w *pieceSweep) singles(places []segment) {
	for _, b := range w.single {
		from, to := max(0, ceilDiv(w.length-b.to, w.step)), min(w.last, floorDiv(w.length-b.from, w.step))
		if from <= to {
			c := cost{length: b.off + b.rise*(w.length-from*w.step), count: onePiece + b.cuts}
			w.pushIn(segment{from, to, c, rise{length: -b.rise * w.step}}, places)
		}
	}
}

// all appends to dst the least cost from each place on, whatever the number of pieces; if one piece will do, from the
// first place only.
func (w *pieceSweep) all(dst []segment) ([]segment, error) {
	w.singles([]segment{{to: w.last}})
	for _, s := range w.pending {
		w.alone = lower(nil, w.alone, s)
	}
	for _, s := range w.alone {
		if s.from == 0 && s.at.clear == 0 && s.at.length == 0 {
			w.pending = w.pending[:0]
			w.push(s.clip(0, 0))
			break
		}
	}
	defer func() { w.alone = nil }()
	return w.drain(dst, true)
}

// more appends to dst the least cost with one piece more than in rest, the piece and the lap after it within b, for the
// starts in places.
func (w *pieceSweep) more(dst, rest []segment, b box, places []segment) ([]segment, error) {
	if w.work += listWork; w.work > w.limit {
		return nil, ErrWork
	}
	w.waysOf = -1
	for i := len(rest) - 1; i >= 0; i-- {
		c := w.cell(rest[i].to)
		for s := rest[i]; ; c-- { // cell by cell
			from := max(s.from, w.cells[c])
			w.here = append(w.here[:0], s.clip(from, s.to))
			if err := w.extend(w.here, c, b, places); err != nil {
				return nil, err
			}
			if from == s.from {
				break
			}
			s.to = from - 1
		}
	}
	return w.drain(dst, false)
}

// drain takes what is pending from the right to the left, in stretches within a cell that are short beside a piece, and
// appends it to dst, ascending; with feed each is extended in turn to what may come before it.
func (w *pieceSweep) drain(dst []segment, feed bool) ([]segment, error) {
	start := len(dst)
	w.waysOf = -1
	for n := 0; len(w.pending) > 0; n++ {
		if n%256 == 0 && w.ctx.Err() != nil {
			return dst, w.ctx.Err()
		}
		right := w.pending[0].to
		c := w.cell(right)
		left := max(w.cells[c], right-max(w.longest/2, 1)+1)
		w.here = w.here[:0]
		if feed {
			if w.waysTo(c); c > 0 && len(w.ways) == 0 { // no lap may reach here, so no piece starts here
				w.skip(left)
				continue
			}
		}
		for w.gather(left) && feed {
			if err := w.extend(w.here, c, anyBox, []segment{{to: right}}); err != nil {
				return dst, err
			}
		}
		for i := len(w.here) - 1; i >= 0; i-- {
			dst = append(dst, w.here[i])
		}
		if w.tooLong {
			return dst, ErrOverflow
		}
	}
	slices.Reverse(dst[start:])
	return dst, nil
}

// waysTo sets ways to how a lap may lie before a start in cell c.
func (w *pieceSweep) waysTo(c int) {
	if w.waysOf != c {
		w.ways, w.waysOf = w.laps(w.ways[:0], c), c
	}
}

// skip drops what is pending from left on.
func (w *pieceSweep) skip(left int64) {
	for len(w.pending) > 0 && w.pending[0].to >= left {
		if s := w.pop(); s.from < left {
			w.push(s.clip(s.from, left-1))
		}
	}
}

// gather moves what is pending from left on into here, and reports whether that made anything there less.
func (w *pieceSweep) gather(left int64) bool {
	better := false
	for len(w.pending) > 0 && w.pending[0].to >= left {
		s := w.pop()
		if s.from < left {
			w.push(s.clip(s.from, left-1))
			s = s.clip(left, s.to)
		}
		w.spare = lower(w.spare[:0], w.here, s)
		better = better || !slices.Equal(w.spare, w.here)
		w.here, w.spare = w.spare, w.here
		w.work += int64(len(w.here))
	}
	return better
}

// extend pushes what a piece, and the lap after it, cost before each start of rest, which lies in cell c, if the piece
// starts in places.
func (w *pieceSweep) extend(rest []segment, c int, b box, places []segment) error {
	w.waysTo(c)
	w.pullEnds(rest, w.ways, b.end)
	from, to := max(b.start.From, places[0].from), min(b.start.To, places[len(places)-1].to)
	for _, u := range w.ends {
		for _, list := range [...][]edge{w.next, w.first} {
			for i := range list {
				s, n := list[i].pull(u, from, to)
				for _, s := range s[:n] {
					if !w.beaten(s) {
						w.pushIn(s, places)
					}
				}
			}
		}
	}
	w.work += int64(len(w.ends) * (1 + len(w.next)))
	if w.work > w.limit {
		return ErrWork
	}
	return nil
}

// beaten reports whether one piece alone costs no more than s, wherever it starts.
func (w *pieceSweep) beaten(s segment) bool {
	for _, a := range w.alone {
		if a.from <= s.from && s.to <= a.to {
			return !s.at.less(a.value(s.from)) && !s.value(s.to).less(a.value(s.to))
		}
	}
	return false
}

// pullEnds sets ends to the least cost from each end of a piece on that lies within in, if the next one starts in rest.
func (w *pieceSweep) pullEnds(rest []segment, ways []edge, in Span) {
	w.ends = w.ends[:0]
	for i := range ways {
		for _, r := range rest {
			s, n := ways[i].pull(r, max(0, in.From), min(w.last, in.To))
			for _, s := range s[:n] {
				w.endsSpare = lower(w.endsSpare[:0], w.ends, s)
				w.ends, w.endsSpare = w.endsSpare, w.ends
			}
			w.work += int64(len(w.ends))
		}
	}
}

// pushIn pushes what of s lies in places.
func (w *pieceSweep) pushIn(s segment, places []segment) {
	for _, p := range places {
		if from, to := max(s.from, p.from), min(s.to, p.to); from <= to {
			w.push(s.clip(from, to))
		}
	}
}

func (w *pieceSweep) push(s segment) {
	w.tooLong = w.tooLong || s.at.tooLarge() || s.value(s.to).tooLarge()
	h := append(w.pending, s)
	i := len(h) - 1
	for i > 0 && h[(i-1)/2].to < s.to {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = s
	w.pending = h
}

func (w *pieceSweep) pop() segment {
	h := w.pending
	top, s := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	for i := 0; len(h) > 0; {
		k := 2*i + 1
		if k+1 < len(h) && h[k+1].to > h[k].to {
			k++
		}
		if k >= len(h) || h[k].to <= s.to {
			h[i] = s
			break
		}
		h[i] = h[k]
		i = k
	}
	w.pending = h
	return top
}
