package sheet

import (
	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
)

// heat is how far the longest stretches of pieces move, one for each element of a run.
func (p *page) heat(r *detail.Report) {
	for i := 0; i < len(r.Movement); {
		if i == 0 {
			p.heading("Movement with heat")
		}
		longest := r.Movement[i]
		of := r.Scopes[longest.Scope].Placement
		n := 0
		for ; i < len(r.Movement) && r.Scopes[r.Movement[i].Scope].Placement == of; i++ {
			n++
			if r.Movement[i].EachEnd.Cmp(longest.EachEnd) > 0 {
				longest = r.Movement[i]
			}
		}
		at := &r.Placements[of]
		where := at.Run.ID
		if side := at.SideID(); side != "" {
			where += ", side " + side
		}
		length, _ := p.less(longest.To, longest.From).Tape(sixteenth, units.Up)
		move, _ := longest.EachEnd.Tape(sixteenth, units.Up)
		text := count(longest.Pieces, "piece", "pieces that lap or butt")
		if n > 1 {
			text = "the longest of " + count(n, "stretch", "stretches") + ", " + text
		}
		p.text("  - ", "    ", "%s.%s on %s: %s, %s, moves up to %s at each end for %s F, if it is fixed in its middle.",
			at.Detail.Name, at.Element.Name, where, text, length, move, number(r.Heat))
	}
}
