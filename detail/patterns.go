package detail

import (
	"encoding/binary"

	"github.com/lapwright/lapwright/units"
)

// patterns groups the scopes of a row whose marks stand alike. Marks at features are no pattern: theirs is the
// feature itself.
func (l *layer) patterns(w *work, placement int32) ([]Pattern, error) {
	if w.element.Scope.How == "at" {
		return nil, nil
	}
	var list []Pattern
	seen := map[string]int{}
	var key []byte
	for _, sc := range w.scopes {
		key = binary.AppendVarint(key[:0], sc.To.Ticks()-sc.From.Ticks())
		for k := sc.First; k < sc.Last; k++ {
			if k%many == 0 && l.ctx.Err() != nil {
				return nil, l.ctx.Err()
			}
			key = binary.AppendVarint(key, w.marks[k]-sc.From.Ticks())
		}
		i, ok := seen[string(key)]
		if !ok {
			i = len(list)
			seen[string(key)] = i
			width := ticks(sc.To.Ticks() - sc.From.Ticks())
			p := Pattern{Placement: placement, Width: width, Offsets: make([]units.Length, sc.Last-sc.First)}
			for k := range p.Offsets {
				if k%many == 0 && l.ctx.Err() != nil {
					return nil, l.ctx.Err()
				}
				p.Offsets[k] = ticks(w.marks[sc.First+k] - sc.From.Ticks())
			}
			list = append(list, p)
		}
		list[i].Scopes = append(list[i].Scopes, sc.N)
	}
	return list, nil
}

// explain says which rule decided how many marks a scope has.
func (l *layer) explain(w *work, sol *solution, s *limits) {
	why := Why{Scope: int32(len(w.scopes) - 1), Count: len(sol.at)}
	if sol.Binding >= 0 {
		lim := s.list[sol.Binding]
		why.Binding, why.Limit = s.lines[sol.Binding].name, limitAmount(lim.Kind, lim.Value)
	}
	w.why = append(w.why, why)
}
