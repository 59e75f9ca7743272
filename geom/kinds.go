package geom

import "slices"

// EdgeKinds returns the kinds that an edge may be of, in the order of the language. A peak is the high edge of a
// single slope, a backpan the high side of a curb.
func EdgeKinds() []string {
	return []string{"eave", "rake", "ridge", "peak", "hip", "valley", "headwall", "sidewall", "transition", "backpan"}
}

// endKinds are what a run may end at: an edge kind, wall, open or penetration.
func endKinds() []string { return append(EdgeKinds(), "wall", "open", "penetration") }

// climbs tells whether a run along this kind of edge, or along a rib, goes up the slope, its station 0 at the low end.
func climbs(edge string) bool {
	return edge == "rake" || edge == "hip" || edge == "valley" || edge == RibLine
}

// twoSided reports whether two slopes may meet at this kind of edge.
func twoSided(edge string) bool {
	return slices.Contains([]string{"ridge", "hip", "valley", "transition"}, edge)
}
