package chain

import "slices"

// A pieceReach finds, from the left to the right, where pieces may start. Of the lap before a start all that the pieces
// to come have to know is where it ends, as none of them starts before that, and the less the better. So a layer, all
// that so many pieces reach, is the least such end along the starts: a segment's at.clear, with the number of pieces in
// at.count.
type pieceReach struct {
	starts  []segment // layer after layer
	at      []int     // layer n is starts[at[n]:at[n+1]]: the first place, before any piece, is layer 0
	reached []segment // the least end over all layers that are still to be told apart
	spare   []segment
}

func (r *pieceReach) layer(n int) []segment { return r.starts[r.at[n]:r.at[n+1]] }

// fewest counts the fewest pieces that keep every limit and leave no lap across a third piece, 0 where no number
// does. A layer has only what no layer before it has, which is all that the fewest pieces need, unless a count asks
// for more.
func (w *pieceSweep) fewest() (int64, error) {
	r := &w.reach
	r.starts, r.at, r.reached = append(r.starts[:0], segment{}), append(r.at[:0], 0, 1), append(r.reached[:0], segment{})
	if _, ok := w.atLeast(w.minCount); !ok || len(w.single) == 0 {
		return 0, nil
	}
	for n := int64(1); n <= w.maxCount && n <= w.last+1; n++ {
		if n > maxPieces {
			return 0, ErrWork
		}
		if n%64 == 1 && w.ctx.Err() != nil {
			return 0, w.ctx.Err()
		}
		layer := r.layer(int(n - 1))
		if n >= w.minCount && w.closes(layer) {
			return n, nil
		}
		if n < w.minCount {
			r.reached = r.reached[:0]
		}
		if err := w.onwards(layer, n); err != nil {
			return 0, err
		}
		for _, s := range r.reached {
			if s.at.count == n {
				r.starts = append(r.starts, s)
			}
		}
		if r.at = append(r.at, len(r.starts)); len(r.layer(int(n))) == 0 {
			return 0, nil
		}
	}
	return 0, nil
}

// closes tells whether the last piece may start in a layer.
func (w *pieceSweep) closes(layer []segment) bool {
	for _, b := range w.single {
		from, to := ceilDiv(w.length-b.to, w.step), floorDiv(w.length-b.from, w.step)
		for _, s := range layer {
			if max(from, s.from) <= min(to, s.to) {
				return true
			}
		}
	}
	return false
}

// onwards takes what one more piece, the nth, reaches from a layer into what is reached.
func (w *pieceSweep) onwards(layer []segment, n int64) error {
	r := &w.reach
	from, to := layer[0].from+1, min(w.last, layer[len(layer)-1].to+w.longest-w.leastLap)
	past := 0 // nothing starts there again
	for past < len(r.reached) && r.reached[past].to < from {
		past++
	}
	r.reached = slices.Delete(r.reached, 0, past)
	for c := w.cell(from); c < len(w.cells) && w.cells[c] <= to; c++ {
		w.waysTo(c)
		for i := range w.ways {
			for _, s := range layer {
				parts, k := w.onward(s, &w.ways[i])
				for _, p := range parts[:k] {
					p.at.count = n
					r.spare = lower(r.spare[:0], r.reached, p)
					r.reached, r.spare = r.spare, r.reached
					w.work += int64(len(r.reached))
				}
			}
		}
		if w.work > w.limit {
			return ErrWork
		}
	}
	return nil
}

// onward gives, along the starts y of a next piece, the least end x of a piece that starts in s and has the lap e after
// it. The leftmost start that can reach is the best one, whatever keeps it from going further left.
func (w *pieceSweep) onward(s segment, e *edge) (parts [2]segment, k int) {
	short, long := max(1, ceilDiv(w.shortest, w.step)), w.longest
	// Where the piece starts: at or after fixed, and at or after y+along.
	fixed, along := max(s.from, e.fromX-long), -e.hi-long
	// The end before it, at or after which the next piece has to start.
	before, beforeAlong := s.at.clear, int64(-endless)
	if s.by.clear != 0 {
		before, beforeAlong = before+fixed-s.from, before+along-s.from
	}
	// Where it ends.
	end, endAlong := max(fixed+short, e.fromX, before+1), max(along+short, -e.hi, beforeAlong+1)
	lo := max(e.fromY, before, fixed+1, end+e.lo)
	hi := min(e.toY, w.last, s.to-along, e.toX-endAlong)
	if short > long || fixed > s.to || end > e.toX || beforeAlong > 0 || along > -1 || endAlong > -e.lo {
		return parts, 0
	}
	turn := min(hi, end-endAlong)
	if lo <= turn {
		parts[k] = segment{from: lo, to: turn, at: cost{clear: end}}
		k++
	}
	if lo = max(lo, turn+1); lo <= hi {
		parts[k] = segment{from: lo, to: hi, at: cost{clear: lo + endAlong}, by: rise{clear: 1}}
		k++
	}
	return parts, k
}
