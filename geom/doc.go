// Package geom says where ribs, panels, ends, zones and obstacles stand along a line on a roof.
//
// A [Run] is such a line: a ridge, a rake, the high edge of a single slope. Station 0 is its left end seen from the
// eave looking up the slope, on a run that climbs its low end; all places on it are stations, counted from there.
//
// A [Plane] is a whole roof plane, seen square on; [Runs] finds the runs of its sides and curbs, [Plane.RibRuns] those
// along its ribs. [Roof] makes the planes of common shapes from their plan. Crossings, areas and distances are decided
// exactly; what has no whole number of ticks of 1e-9 mm is rounded once, in a direction that is stated.
package geom
