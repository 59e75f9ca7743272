package chain

import (
	"cmp"
	"slices"
)

// symmetric tells whether the scope, with the limits in force, is its own mirror image before anything is rounded to
// steps.
func (s *rowScratch) symmetric(p *Row) bool {
	return s.sameEnds(p) && s.sameGaps(p, GapMax) && s.sameGaps(p, GapMin) && s.sameKeep(p)
}

// sameEnds compares the limits of both end gaps.
func (s *rowScratch) sameEnds(p *Row) bool {
	a, b := &s.grid.view[0].end, &s.grid.view[1].end
	if min(a.must, a.should, p.Length) != min(b.must, b.should, p.Length) || min(a.own, p.Length+1) != min(b.own, p.Length+1) {
		return false
	}
	x, y := tidy(a.banned, 0, p.Length, 1), tidy(b.banned, 0, p.Length, 1)
	return slices.Equal(x, y)
}

// sameGaps compares where gap limits bind, at each value with all that are as tight.
func (s *rowScratch) sameGaps(p *Row, kind Kind) bool {
	for i, l := range p.Limits {
		if !s.in[i] || l.Kind != kind || kind == GapMin && l.Value <= s.grid.step || l.Spans == nil {
			continue
		}
		s.keep = s.keep[:0]
		everywhere := false
		for j, k := range p.Limits {
			if s.in[j] && k.Kind == kind && (kind == GapMax && k.Value <= l.Value || kind == GapMin && k.Value >= l.Value) {
				everywhere = everywhere || k.Spans == nil
				s.keep = append(s.keep, k.Spans...)
			}
		}
		if everywhere {
			continue
		}
		s.keep = slices.DeleteFunc(s.keep, func(k Span) bool { return k.From > k.To || k.To < 0 || k.From > p.Length })
		if s.keep = tidy(s.keep, 0, p.Length, 1); !ownImage(s.keep, p.Length) {
			return false
		}
	}
	return true
}

// sameKeep compares the allowed set.
func (s *rowScratch) sameKeep(p *Row) bool {
	s.keep = s.keep[:0]
	for i, l := range p.Limits {
		if !s.in[i] {
			continue
		}
		switch l.Kind {
		case Keep:
			for _, k := range l.Spans {
				if k.From < k.To && k.To > 0 && k.From < p.Length {
					s.keep = append(s.keep, k)
				}
			}
		case EndMin:
			v := min(l.Value, p.Length+1)
			if v > 0 && l.Ends&LeftEnd != 0 && binds(l.Spans, LeftEnd, p.Length) == 0 {
				s.keep = append(s.keep, Span{-1, v})
			}
			if v > 0 && l.Ends&RightEnd != 0 && binds(l.Spans, RightEnd, p.Length) == 0 {
				s.keep = append(s.keep, Span{p.Length - v, p.Length + 1})
			}
		}
	}
	s.keep = tidy(s.keep, -1, p.Length+1, -1)
	return ownImage(s.keep, p.Length)
}

// tidy sorts spans, clips them, and makes one of those that overlap or are no more than near apart.
func tidy(w []Span, lo, hi, near int64) []Span {
	if !slices.IsSortedFunc(w, byFrom) {
		slices.SortFunc(w, byFrom)
	}
	out := w[:0]
	for _, x := range w {
		x = Span{max(x.From, lo), min(x.To, hi)}
		if k := len(out) - 1; k >= 0 && x.From <= out[k].To+near {
			out[k].To = max(out[k].To, x.To)
		} else {
			out = append(out, x)
		}
	}
	return out
}

func byFrom(a, b Span) int { return cmp.Compare(a.From, b.From) }

func ownImage(w []Span, length int64) bool {
	for i, j := 0, len(w)-1; i <= j; i, j = i+1, j-1 {
		if w[i].From != length-w[j].To || w[i].To != length-w[j].From {
			return false
		}
	}
	return true
}
