package chain

import (
	"cmp"
	"slices"
	"sort"
)

// CheckPieces returns where pieces, from the left, break a must or a should of p, limit by limit in their order. A
// breach of LapMin, LapMax or Keep lies from one end of the lap to the other (of a gap, where the lap is negative),
// with the lap found or, for Keep, by how far it would have to be shifted to be clear of the span; one of a length or
// of Stock lies along the piece, with its length; one of Step at the joint, with what is over a whole step; one of a
// count along p.
//
// Breaches of no limit come first, with what they break in place of it: Start and Finish, an end of p that is not where
// the first piece starts or the last ends, with the difference, and Start along p where there is no piece; Order, a
// piece that does not start and end after the one before, with its length; Across, a lap that reaches across a third
// piece, with by how much; and Joint, a lap where no LapMin binds that is less than 0 or the widest gap that any limit
// speaks of, or is not 0 where no limit speaks of laps.
func CheckPieces(p *Pieces, ps []Piece) []Breach {
	if p.From == p.To && len(ps) == 0 {
		return nil
	}
	c := pieceCheck{p: p, ps: ps}
	c.shape()
	for i, l := range p.Limits {
		c.limit(i, l)
	}
	return c.found
}

// What pieces break that is no limit, in place of one in a Breach.
const (
	Start = -1 - iota
	Finish
	Order
	Across
	Joint
)

type pieceCheck struct {
	p     *Pieces
	ps    []Piece
	found []Breach
}

func (c *pieceCheck) add(limit int, from, to, found int64) {
	c.found = append(c.found, Breach{limit, from, to, found})
}

// shape checks what holds without any limit.
func (c *pieceCheck) shape() {
	if len(c.ps) == 0 {
		c.add(Start, c.p.From, c.p.To, c.p.To-c.p.From)
		return
	}
	if at := c.ps[0].From; at != c.p.From {
		c.add(Start, min(at, c.p.From), max(at, c.p.From), at-c.p.From)
	}
	floor, lapped := c.p.plainLap(nil)
	var least []spanSet // where each LapMin binds
	for _, l := range c.p.Limits {
		if l.Kind == LapMin {
			least = append(least, newSpanSet(l.Spans))
		}
	}
	for i, q := range c.ps {
		if q.To <= q.From || i > 0 && (q.From <= c.ps[i-1].From || q.To <= c.ps[i-1].To) {
			c.add(Order, q.From, q.To, q.To-q.From)
		}
		if i > 1 && q.From < c.ps[i-2].To {
			c.add(Across, q.From, c.ps[i-2].To, c.ps[i-2].To-q.From)
		}
	}
	c.laps(func(from, to, lap int64) {
		if !lapped && lap != 0 || lap < floor && !slices.ContainsFunc(least, func(s spanSet) bool { return s.meet(from, to) }) {
			c.add(Joint, from, to, lap)
		}
	})
	if at := c.ps[len(c.ps)-1].To; at != c.p.To {
		c.add(Finish, min(at, c.p.To), max(at, c.p.To), at-c.p.To)
	}
}

// spanSet finds, of many spans, those that a band meets; none stand for everywhere.
type spanSet struct {
	spans []Span  // by their starts
	reach []int64 // the furthest end so far
}

func newSpanSet(spans []Span) spanSet {
	if spans == nil {
		return spanSet{}
	}
	s := spanSet{slices.Clone(spans), make([]int64, len(spans))}
	slices.SortStableFunc(s.spans, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	for i, x := range s.spans {
		s.reach[i] = x.To
		if i > 0 {
			s.reach[i] = max(s.reach[i], s.reach[i-1])
		}
	}
	return s
}

// touching returns the spans among which are all that share a place with a band.
func (s spanSet) touching(from, to int64) []Span {
	a := sort.Search(len(s.spans), func(i int) bool { return s.reach[i] >= from })
	b := sort.Search(len(s.spans), func(i int) bool { return s.spans[i].From > to })
	return s.spans[a:max(a, b)]
}

func (s spanSet) meet(from, to int64) bool { return s.spans == nil || len(s.touching(from, to)) > 0 }

// laps calls f with every lap as a band, and its length.
func (c *pieceCheck) laps(f func(from, to, lap int64)) {
	for i := 1; i < len(c.ps); i++ {
		start, end := c.ps[i].From, c.ps[i-1].To
		f(min(start, end), max(start, end), end-start)
	}
}

func (c *pieceCheck) limit(i int, l Limit) {
	n, spans := int64(len(c.ps)), newSpanSet(l.Spans)
	switch l.Kind {
	case LapMin, LapMax:
		c.laps(func(from, to, lap int64) {
			if (l.Kind == LapMin && lap < l.Value || l.Kind == LapMax && lap > l.Value) && spans.meet(from, to) {
				c.add(i, from, to, lap)
			}
		})
	case Keep:
		c.laps(func(from, to, _ int64) {
			for _, s := range spans.touching(from, to) {
				if by := min(to-s.From, s.To-from); by > 0 {
					c.add(i, from, to, by)
				}
			}
		})
	case LengthMin, LengthMax, Stock:
		longest := int64(0)
		for _, x := range l.Lengths {
			longest = max(longest, x)
		}
		for _, q := range c.ps {
			length := q.To - q.From
			if l.Kind == LengthMin && length < l.Value || l.Kind == LengthMax && length > l.Value || l.Kind == Stock && length > longest {
				c.add(i, q.From, q.To, length)
			}
		}
	case Step:
		for k, q := range c.ps {
			if over := (q.From - c.p.From) % l.Value; k > 0 && over != 0 {
				c.add(i, q.From, q.From, over)
			}
			if over := (q.To - c.p.From) % l.Value; k+1 < len(c.ps) && over != 0 {
				c.add(i, q.To, q.To, over)
			}
		}
	case CountMin, CountMax:
		if l.Kind == CountMin && n < l.Value || l.Kind == CountMax && n > l.Value {
			c.add(i, c.p.From, c.p.To, n)
		}
	}
}
