package verify

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// shop holds that each piece along which a row is laid stands in one drilling, with the row's marks as its holes.
func (v *verifier) shop(list []detail.Drilling, reports ...*detail.Report) {
	want := map[string]string{} // how the piece of a place is drilled
	for _, r := range reports {
		for i, p := range r.Placements {
			if p.Element.Kind != rules.Pieces {
				continue
			}
			along := func(q detail.Placement) bool {
				s := q.Element.Scope
				return q.Element.Kind == rules.Row && s.How == "along" && s.Of == "piece" && s.Name.Text == p.Element.Name &&
					q.Run == p.Run && q.Detail == p.Detail && q.Side == p.Side
			}
			drilled := false
			for _, s := range r.Scopes {
				drilled = drilled || along(r.Placements[s.Placement])
			}
			n := 0
			for _, s := range r.Scopes {
				if int(s.Placement) != i || !drilled {
					continue
				}
				for _, x := range r.Pieces[s.First:s.Last] {
					n++
					text := []string{p.Detail.Name + "." + p.Element.Name, show(sub(ticks(x.To), ticks(x.From)))}
					for _, row := range r.Scopes {
						if row.N != n || !along(r.Placements[row.Placement]) {
							continue
						}
						text = append(text, r.Placements[row.Placement].Element.Name)
						for _, m := range r.Marks[row.First:row.Last] {
							text = append(text, show(sub(ticks(m.At), ticks(x.From))))
						}
					}
					want[fmt.Sprint(r.Job, "|", p.Run.ID, "|", p.SideID(), "|", p.Detail.Name, "|", p.Element.Name, "|", n)] += strings.Join(text, " ") + ";"
				}
			}
		}
	}
	got, seen := map[string]string{}, map[string]bool{}
	for _, d := range list {
		text := []string{d.Detail.Name + "." + d.Element.Name, d.Length.String()}
		for _, h := range d.Holes {
			text = append(text, h.Element.Name)
			for _, x := range h.At {
				text = append(text, x.String())
			}
		}
		how := strings.Join(text, " ")
		if seen[how] {
			v.complain("shop: two drillings of %s", how)
		}
		seen[how] = true
		n := 0
		for _, w := range d.Where {
			for _, k := range w.Pieces {
				n++
				got[fmt.Sprint(w.Job, "|", w.Run, "|", w.Side, "|", d.Detail.Name, "|", d.Element.Name, "|", k)] += how + ";"
			}
		}
		if n != d.Count {
			v.complain("shop: %d pieces of %s, not %d", n, how, d.Count)
		}
	}
	for place, how := range want {
		if got[place] != how {
			v.complain("shop: piece %s is drilled %q, not %q", place, how, got[place])
		}
	}
	for place := range got {
		if want[place] == "" {
			v.complain("shop: piece %s isn't drilled", place)
		}
	}
}
