package main

import "slices"

// fixed are the fasteners of bench.rules as found on a roof: stations only, ascending, which panel each is in to be found.
type fixed struct{ cleats, closures, rivets []int64 }

// found is what the hand loop lays, as someone would measure it.
func found(r *roof) (f fixed) {
	for _, m := range new(hand).lay(r.ribs, nil) {
		switch cleats := cleatsOf(r); {
		case len(f.cleats) < cleats:
			f.cleats = append(f.cleats, m.at)
		case len(f.closures) == 0 || m.at > f.closures[len(f.closures)-1]:
			f.closures = append(f.closures, m.at)
		default:
			f.rivets = append(f.rivets, m.at)
		}
	}
	// The first rivet stands left of the last closure screw, and each next right of the one before.
	if n := len(r.ribs) - 1; len(f.rivets) != n || !slices.IsSorted(f.rivets) {
		panic("the marks are not in the order that this was written for")
	}
	return f
}

func cleatsOf(r *roof) int {
	_, _, n := spaced(r.ribs[len(r.ribs)-1], 10*inch, 1, 0)
	return int(n)
}

// holds checks fasteners by hand: all that bench.rules asks of them but the book's mark, which no tape finds on a roof. It
// says yes or no; the library also says where, by how much, and what would mend it.
func (f fixed) holds(ribs []int64) bool {
	length := ribs[len(ribs)-1]
	if rest, ok := keepsSpacing(f.cleats, 0, length, 10*inch, 1, 0); !ok || len(rest) > 0 {
		return false
	}
	closures, rivets, ok := f.closures, f.rivets, false
	for i, to := range ribs[1:] {
		from := ribs[i]
		if closures, ok = keepsSpacing(closures, from, to, 5*inch, 4, closureOff); !ok {
			return false
		}
		if len(rivets) == 0 || rivets[0] != from+(to-from)/2 || rivets[0]-from < rivetOff || to-rivets[0] < rivetOff {
			return false
		}
		rivets = rivets[1:]
	}
	return len(closures)+len(rivets) == 0
}

// keepsSpacing checks the marks up to a stretch's end and gives those after it.
func keepsSpacing(at []int64, from, to, most, count, free int64) (rest []int64, ok bool) {
	last, n, widest := from, int64(0), most/2
	for int(n) < len(at) && at[n] <= to {
		x := at[n]
		if x-last > widest || x-from < free || to-x < free {
			return nil, false
		}
		last, widest = x, most
		n++
	}
	return at[n:], n >= count && to-last <= most/2
}
