package sheet

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// shop is which pieces to drill before they go up, those alike together.
func (p *page) shop(list []detail.Drilling, jobs bool) {
	var element *rules.Element
	for i, d := range list {
		if i == 0 {
			p.heading("Drill in the shop")
			p.text("", "", "Holes from the piece's left end, seen from the eave looking up the slope; on a run that climbs, "+
				"from its low end.")
		}
		if d.Element != element {
			element = d.Element
			p.gap()
			title := d.Detail.Name + "." + d.Element.Name
			if it := d.Element.Item; it != nil {
				title += ": " + or(it.Title, it.Name)
			}
			p.text("", "  ", "%s", title)
		}
		p.text("  ", "    ", "%d of %s", d.Count, p.tape(d.Length, units.Up))
		for _, h := range d.Holes {
			var at []string
			for _, x := range h.At {
				at = append(at, p.mark(x, units.Length{}, d.Length, units.Exact))
			}
			p.entries(h.Element.Name, repeats(at))
		}
		if len(d.Holes) == 0 {
			p.text(entry, entry, "no holes")
		}
		var where []string
		for _, w := range d.Where {
			name := w.Run
			if w.Side != "" {
				name += ", side " + w.Side
			}
			if jobs {
				name = or(w.Job, "without a name") + ": " + name
			}
			where = append(where, fmt.Sprintf("%s (%s)", name, pieces(w.Pieces)))
		}
		p.say("go on", "%s", strings.Join(where, "; "))
	}
}

func pieces(list []int) string {
	if len(list) == 1 {
		return "piece " + ranges(list)
	}
	return "pieces " + ranges(list)
}

// ranges writes numbers, runs of them as 2-4.
func ranges(list []int) string {
	var parts []string
	for i := 0; i < len(list); {
		k := i
		for k+1 < len(list) && list[k+1] == list[k]+1 {
			k++
		}
		part := fmt.Sprint(list[i])
		if k > i {
			part = fmt.Sprintf("%d-%d", list[i], list[k])
		}
		parts = append(parts, part)
		i = k + 1
	}
	return strings.Join(parts, ", ")
}
