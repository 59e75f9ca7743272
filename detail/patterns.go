package detail

import (
	"encoding/binary"

	"github.com/lapwright/lapwright/units"
)

// patterns groups the scopes of a row whose marks stand alike. Marks at features are no pattern: theirs is the
// feature itself.
func (w *work) patterns(placement int32) []Pattern {
	if w.element.Scope.How == "at" {
		return nil
	}
	var list []Pattern
	seen := map[string]int{}
	var key []byte
	for _, sc := range w.scopes {
		key = binary.AppendVarint(key[:0], sc.To.Ticks()-sc.From.Ticks())
		for _, at := range w.marks[sc.First:sc.Last] {
			key = binary.AppendVarint(key, at-sc.From.Ticks())
		}
		i, ok := seen[string(key)]
		if !ok {
			i = len(list)
			seen[string(key)] = i
			p := Pattern{Placement: placement, Width: ticks(sc.To.Ticks() - sc.From.Ticks()), Offsets: []units.Length{}}
			for _, at := range w.marks[sc.First:sc.Last] {
				p.Offsets = append(p.Offsets, ticks(at-sc.From.Ticks()))
			}
			list = append(list, p)
		}
		list[i].Scopes = append(list[i].Scopes, sc.N)
	}
	return list
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
