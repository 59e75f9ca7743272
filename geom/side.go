package geom

// Runs returns the runs of the plane's sides in the order of the outline (counterclockwise), then of its curbs. Each
// side has the ribs that cross it: square where it goes along the eave, on the skew on hips and valleys, none where
// it goes along the ribs. A run's id is the plane's and the side's, lake/eave-1, or the side's number in the
// description, lake/side 2; its ends are of the kinds of the sides next to it.
//
// Station 0 is the left end seen from the eave looking up; on a rake, hip, valley or sidewall, and on any side that
// goes straight up, the low end.
func (p *Plane) Runs() []*Run {
	runs := make([]*Run, 0, len(p.sides))
	for i := range p.sides {
		runs = append(runs, p.sideRun(i))
	}
	return append(runs, p.curbRuns()...)
}

func (p *Plane) sideRun(i int) *Run {
	n := len(p.sides)
	s := &p.sides[i]
	ends := [2]string{p.sides[(i+n-1)%n].edge, p.sides[(i+1)%n].edge}
	l := newLine(s.a, s.b)
	if s.reversed() {
		l.a, l.b = l.b, l.a
		ends[0], ends[1] = ends[1], ends[0]
	}
	return p.lay(p.id+"/"+s.name, s.edge, l, ends, -1)
}

// reversed says whether station 0 is where the side, counterclockwise, comes to.
func (s *side) reversed() bool {
	if (climbs(s.edge) || s.edge == "sidewall" || s.a.x == s.b.x) && s.a.y != s.b.y {
		return s.a.y > s.b.y
	}
	return s.a.x > s.b.x
}

// upper says whether the plane is above the side: the side is at its low edge.
func (s *side) upper() bool { return s.a.x < s.b.x }
