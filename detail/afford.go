package detail

import (
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

// afford refuses a problem that can't be solved with as many marks or pieces as are left, before the work and the memory
// that it would take.
func (l *layer) afford(least int64) error {
	if least > int64(l.limits.Marks-l.marks) {
		return limitError("marks and pieces in a report", "Marks", l.limits.Marks)
	}
	return nil
}

// leastMarks is how many marks a row takes at least. It is 0 where a limit may leave places without marks.
func leastMarks(p *chain.Row) (least int64) {
	if has(p.Limits, chain.Keep, chain.GapMin, chain.CountMax) {
		return 0
	}
	ends := [2]int64{-1, -1}
	gap := int64(-1)
	for _, lim := range p.Limits {
		switch {
		case lim.Should || lim.Spans != nil:
		case lim.Kind == chain.CountMin:
			least = max(least, lim.Value)
		case lim.Kind == chain.GapMax && lim.Value > 0 && (gap < 0 || lim.Value < gap):
			gap = lim.Value
		case lim.Kind == chain.EndMax:
			for i, end := range []chain.Ends{chain.LeftEnd, chain.RightEnd} {
				if lim.Ends&end != 0 {
					ends[i] = lim.Value
				}
			}
		}
	}
	if gap < 0 || has(p.Limits, chain.EndMin) {
		return least
	}
	between := p.Length
	for _, end := range ends {
		if end < 0 {
			end = gap/2 + 1
		}
		between -= min(end, between)
	}
	return max(least, between/gap)
}

// leastPieces is how many pieces cover a stretch at least. It is 0 where that isn't plain.
func leastPieces(p *chain.Pieces) int64 {
	longest, lap := p.To-p.From, int64(0)
	for _, lim := range p.Limits {
		switch {
		case lim.Should || lim.Spans != nil:
		case lim.Kind == chain.Stock:
			longest = min(longest, slices.Max(lim.Lengths))
		case lim.Kind == chain.LengthMax:
			longest = min(longest, lim.Value)
		case lim.Kind == chain.LapMin:
			lap = max(lap, lim.Value)
		}
	}
	if longest <= 0 || lap > longest/2 || has(p.Limits, chain.Keep, chain.LengthMin, chain.CountMax) {
		return 0
	}
	return (p.To - p.From) / longest
}

// has tells whether one of the limits is of one of the kinds.
func has(limits []chain.Limit, kinds ...chain.Kind) bool {
	return slices.ContainsFunc(limits, func(lim chain.Limit) bool { return slices.Contains(kinds, lim.Kind) })
}
