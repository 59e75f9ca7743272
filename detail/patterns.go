package detail

import (
	"encoding/binary"
	"fmt"

	"github.com/lapwright/lapwright/detail/internal/chain"
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
func (l *layer) explain(w *work, sc Scope, sol *solution, s *limits) {
	why := Why{Scope: int32(len(w.scopes) - 1), Count: len(sol.at)}
	if sol.Binding >= 0 {
		ln := s.lines[sol.Binding]
		why.Binding = ln.name
		lim := s.list[sol.Binding]
		switch lim.Kind {
		case chain.CountMin:
			why.Text = fmt.Sprintf("%s asks for %d", ln.name, lim.Value)
		case chain.GapMax, chain.EndMax:
			why.Text = fmt.Sprintf("with fewer, %s of at most %s could not be kept", ln.name, ticks(lim.Value))
		default:
			why.Text = fmt.Sprintf("%s leaves no room for fewer", ln.name)
		}
	} else {
		why.Text = "no rule asks for more"
	}
	w.why = append(w.why, why)
}
