package geom

import "slices"

// EdgeKinds returns the kinds that an edge may be of, in the order of the language. A peak is the high edge of a
// single slope, a backpan the high side of a curb.
func EdgeKinds() []string {
	return []string{"eave", "rake", "ridge", "peak", "hip", "valley", "headwall", "sidewall", "transition", "backpan"}
}

// EndKinds returns what a run may end at: an edge kind, wall, open or penetration.
func EndKinds() []string { return append(EdgeKinds(), "wall", "open", "penetration") }

// Climbs reports whether a run along this kind of edge, or along a rib, goes up the slope, its station 0 at the low end.
func Climbs(edge string) bool {
	return edge == "rake" || edge == "hip" || edge == "valley" || edge == RibLine
}

// twoSided reports whether two slopes may meet at this kind of edge.
func twoSided(edge string) bool {
	return slices.Contains([]string{"ridge", "hip", "valley", "transition"}, edge)
}
