package verify

import (
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// Measured is a layout as one would measure it on a roof that was built by it, every placement in full. Apart says that
// each scope of a row or of pieces is measured by itself: where two meet or overlap, what stands there doesn't show to
// which it belongs.
func Measured(r *detail.Report, apart bool) *detail.Measured {
	m := &detail.Measured{}
	for i, p := range r.Placements {
		x := detail.Measure{Run: p.Run.ID, Side: p.SideID(), Detail: p.Detail.Name, Element: p.Element.Name, Scopes: []int{}}
		for _, s := range r.Scopes {
			if int(s.Placement) != i {
				continue
			}
			x.Scopes = append(x.Scopes, s.N)
			for k := s.First; k < s.Last; k++ {
				switch p.Element.Kind {
				case rules.Row:
					x.At = append(x.At, r.Marks[k].At)
				case rules.Pieces:
					x.Pieces = append(x.Pieces, r.Pieces[k])
				case rules.Strip:
					x.Strips = append(x.Strips, r.Strips[k])
				case rules.Bead:
					x.Beads = append(x.Beads, r.Beads[k])
				}
			}
		}
		slices.SortStableFunc(x.At, units.Length.Cmp)
		slices.SortStableFunc(x.Pieces, func(a, b detail.Piece) int { return a.From.Cmp(b.From) })
		slices.SortStableFunc(x.Strips, func(a, b detail.Strip) int { return a.From.Cmp(b.From) })
		slices.SortStableFunc(x.Beads, func(a, b detail.Bead) int { return a.At.Cmp(b.At) })
		switch {
		case (p.Element.Kind == rules.Row || p.Element.Kind == rules.Pieces) && apart:
			for _, s := range r.Scopes {
				if int(s.Placement) == i {
					one := x
					one.Scopes, one.At, one.Pieces = []int{s.N}, nil, nil
					if p.Element.Kind == rules.Pieces {
						one.Pieces = r.Pieces[s.First:s.Last]
					} else {
						for _, mark := range r.Marks[s.First:s.Last] {
							one.At = append(one.At, mark.At)
						}
					}
					m.List = append(m.List, one)
				}
			}
		case len(x.Scopes) > 0:
			m.List = append(m.List, x)
		}
	}
	return m
}
