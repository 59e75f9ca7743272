package detail

import (
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

// aroundHoles lays a row whose musts conflict only because some stretches where no mark may stand are wider than the
// spacing there. Marks stand at both faces of each such hole, and what lies between the holes is laid by itself: so one
// wide obstacle doesn't spread the marks of a whole run. It returns nil where the rules conflict in another way too.
func (l *layer) aroundHoles(p *chain.Row, whole *solution) (*solution, error) {
	holes := wideHoles(p)
	if len(holes) == 0 {
		return nil, nil
	}
	s := &solution{Result: whole.Result}
	s.Kept = slices.Repeat([]bool{true}, len(p.Limits))
	from := int64(0)
	for i := 0; i <= len(holes); i++ {
		part := band{from, p.Length}
		if i < len(holes) {
			part.To, from = holes[i].From, holes[i].To
		}
		var outer chain.Ends
		if part.From == 0 {
			outer |= chain.LeftEnd
		}
		if part.To == p.Length {
			outer |= chain.RightEnd
		}
		sub, index := between(p, part, outer)
		at, res, err := l.solver.Row(l.ctx, sub, nil)
		if err != nil || res.Conflict != nil {
			return nil, err
		}
		for k, kept := range res.Kept {
			if index[k] >= 0 && !kept {
				s.Kept[index[k]] = false
			}
		}
		for _, t := range at {
			s.at = append(s.at, part.From+t)
		}
	}
	s.breaches = chain.CheckRow(p, s.at)
	for _, b := range s.breaches {
		lim := p.Limits[b.Limit]
		if !lim.Should && (lim.Kind != chain.GapMax || !slices.Contains(holes, band{b.From, b.To})) {
			return nil, nil // a count asks for more marks, say
		}
	}
	return s, nil
}

// wideHoles are the stretches between two neighbouring places for marks that are wider than a spacing maximum allows.
func wideHoles(p *chain.Row) []band {
	step := int64(1)
	var keep []chain.Span
	for _, lim := range p.Limits {
		switch {
		case lim.Kind == chain.Step:
			step = lim.Value
		case lim.Kind == chain.Keep && !lim.Should:
			keep = append(keep, lim.Spans...)
		}
	}
	slices.SortFunc(keep, func(a, b chain.Span) int { return byPlace(band(a), band(b)) })
	onStep := func(s chain.Span) band { return band{s.From - s.From%step, (s.To + step - 1) / step * step} }
	var holes []band
	for i := 0; i < len(keep); {
		start, hole := keep[i].From, onStep(keep[i])
		for i++; i < len(keep) && onStep(keep[i]).From < hole.To; i++ { // no step lies between them
			hole.To = max(hole.To, onStep(keep[i]).To)
		}
		if start < 0 || hole.To > p.Length {
			continue // it reaches past an end
		}
		for _, lim := range p.Limits {
			if lim.Kind == chain.GapMax && !lim.Should && hole.To-hole.From > lim.Value && (lim.Spans == nil || touches(bandsOf(lim.Spans), hole.From, hole.To)) {
				holes = append(holes, hole)
				break
			}
		}
	}
	return holes
}

func bandsOf(spans []chain.Span) []band {
	list := make([]band, len(spans))
	for i, s := range spans {
		list[i] = band(s)
	}
	return list
}

// between is the row that is left of p in a part of it, with a mark at each end of the part that is no outer one, one
// of p; index tells which limit of p each of its limits is, -1 for none. Counts are not asked of a part.
func between(p *chain.Row, part band, outer chain.Ends) (sub *chain.Row, index []int) {
	sub = &chain.Row{Length: part.To - part.From, Lay: p.Lay}
	for i, lim := range p.Limits {
		switch lim.Kind {
		case chain.CountMin, chain.CountMax:
			continue
		case chain.EndMin, chain.EndMax:
			if lim.Ends &= outer; lim.Ends == 0 {
				continue
			}
		}
		if lim.Spans != nil {
			moved := []chain.Span{}
			for _, s := range lim.Spans {
				if s.From <= part.To && s.To >= part.From {
					moved = append(moved, chain.Span{From: s.From - part.From, To: s.To - part.From})
				}
			}
			lim.Spans = moved
		}
		lim.Joined = lim.Joined && len(index) > 0 && index[len(index)-1] == i-1
		sub.Limits, index = append(sub.Limits, lim), append(index, i)
	}
	if inner := (chain.LeftEnd | chain.RightEnd) &^ outer; inner != 0 {
		sub.Limits, index = append(sub.Limits, chain.Limit{Kind: chain.EndMax, Ends: inner, Fixed: true}), append(index, -1)
	}
	return sub, index
}
