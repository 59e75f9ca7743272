// Package geom says where ribs, panels, ends, zones and obstacles stand along a line on a roof.
//
// A [Run] is such a line: a ridge, a rake, the high edge of a single slope. Station 0 is its left end seen from the
// eave looking up the slope, on a run that climbs its low end; all places on it are stations, counted from there.
package geom
