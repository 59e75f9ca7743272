package verify

import (
	"math/big"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// movement holds how far heat moves pieces: each stretch between two gaps by itself, by half of its share of the item's
// coefficient, up to the next tick.
func (v *verifier) movement() {
	r := v.report
	next := 0
	for i, s := range r.Scopes {
		e := r.Placements[s.Placement].Element
		if e.Kind != rules.Pieces || e.Item == nil || e.Item.MovesPer.IsZero() {
			continue
		}
		for first := s.First; first < s.Last; {
			last := first
			for last+1 < s.Last && r.Pieces[last+1].Joint && !less(ticks(r.Pieces[last].To), ticks(r.Pieces[last+1].From)) {
				last++
			}
			whole := bandOf(r.Pieces[first].From, r.Pieces[last].To).length()
			each := mul(mul(whole, quo(ticks(e.Item.MovesBy), ticks(e.Item.MovesPer))), mul(r.Heat.Rat(), big.NewRat(1, 200)))
			if next == len(r.Movement) {
				v.complain("movement: piece %d of %s is missing", first+1, e.Name)
				return
			}
			m := r.Movement[next]
			if want := (detail.Movement{Scope: int32(i), From: r.Pieces[first].From, To: r.Pieces[last].To, Pieces: last + 1 - first, EachEnd: m.EachEnd}); m != want ||
				!equal(ticks(m.EachEnd), up(each)) {
				v.complain("movement of %s: %s to %s, %d pieces, %s at each end, not %s to %s, %d, %s", e.Name, m.From, m.To, m.Pieces, m.EachEnd,
					want.From, want.To, want.Pieces, show(up(each)))
			}
			next++
			first = last + 1
		}
	}
	if next < len(r.Movement) {
		v.complain("movement: %d too many", len(r.Movement)-next)
	}
}
