package main

// A stretch is one piece of cap.
type stretch struct{ from, to int64 }

const (
	capStock = 120 * inch
	capLap   = 6 * inch
	capLeast = 30 * inch
	capOff   = ribWidth/2 + 2*inch // a lap keeps at least so far from a rib's centre
)

// fewestPieces lays the cap of bench.rules by hand, each piece as far as it goes: as few pieces as the library, and every
// must kept. It is no full equal of the library, which of all such layouts finds the one with the fewest cut pieces and the
// least overlap; no loop of a few lines does.
func fewestPieces(ribs []int64, out []stretch) []stretch {
	length, from, near := ribs[len(ribs)-1], int64(0), 0
	for from+capStock < length {
		to := from + capStock
		if length-(to-capLap) < capLeast {
			to = length - capLeast + capLap
		}
		for near+1 < len(ribs) && ribs[near+1] <= to { // the last rib at or before the lap's end
			near++
		}
		rib := near
		if rib+1 < len(ribs) {
			to = min(to, ribs[rib+1]-capOff)
		}
		for to-capLap < ribs[rib]+capOff { // no room in this panel: the one before
			to = min(to, ribs[rib]-capOff)
			rib--
		}
		if to-from < capLeast {
			panic("not the panels that this was written for")
		}
		out = append(out, stretch{from, to})
		from = to - capLap
	}
	return append(out, stretch{from, length})
}
