package geom

import "github.com/lapwright/lapwright/units"

// Run is a line to lay details along. [NewRun] makes one; [Run.Check] says whether one made otherwise is sound.
type Run struct {
	ID     string
	Edge   string       // one of EdgeKinds
	Length units.Length // above 0
	Sides  []Side       // one, or two where slopes meet; stations are the first side's
	Ends   [2]string    // what the run ends at, left and right: each one of EdgeKinds, wall, open or penetration

	Zones     []Zone
	Obstacles []Obstacle
}

// Climbs reports whether the run goes up the slope, its station 0 at the low end.
func (r *Run) Climbs() bool { return climbs(r.Edge) }

// Profile is the shape of a panel, square to its ribs.
type Profile struct {
	Cover     units.Length // from rib centreline to rib centreline of a whole panel
	RibWidth  units.Length
	RibHeight units.Length
}

// Side is the roof on one side of a run.
type Side struct {
	ID        string // "" where the run has one side
	Slope     units.Slope
	Role      string         // upper or lower on a transition with two sides, else ""
	HasPanels bool           // false: a run without panels, so without ribs
	Ribs      []units.Length // stations of the rib centrelines, ascending
	Profile   Profile
	Skew      *Skew    // nil: the run is square to the ribs
	On        *OnPlane // nil: the run was given by itself, not as a side of a plane
}

// Skew is how ribs stand that cross a run on the skew, as on a hip: a rib is a wider band along it, a panel a longer
// stretch.
type Skew struct {
	Length  units.Length   // the run's, square to the ribs
	Ribs    []units.Length // as the side's, but square to the ribs
	HalfRib units.Length   // half of a rib's band along the run, rounded up
}

// Zone is a stretch of a run of a kind that the rule book names, such as corner. It has both its borders.
type Zone struct {
	Kind     string
	From, To units.Length
}

// Obstacle is a stretch of a run where nothing can stand.
type Obstacle struct {
	ID       string // "", or its own on this run
	Kind     string // such as penetration
	From, To units.Length
	Side     string // the id of the side that it stands on; "": all of them
}

// RibBand returns where the n-th rib (0-based) begins and ends along the run, which may be past the run's end. A rib
// width of an odd number of ticks is widened by one, so that nothing comes nearer the rib than a rule allows.
func (s *Side) RibBand(n int) (from, to units.Length) {
	half := s.reach()
	return minus(s.Ribs[n], half), plus(s.Ribs[n], half)
}

// reach is half of a rib's band along the run.
func (s *Side) reach() units.Length {
	if s.Skew != nil {
		return s.Skew.HalfRib
	}
	return s.halfRib()
}

func (s *Side) halfRib() units.Length {
	width := s.Profile.RibWidth.Ticks()
	half, _ := units.FromTicks(width/2 + width%2) // can't overflow: it is below a length
	return half
}

// plus and minus are for stations of a checked run, whose sums are within bounds.
func plus(a, b units.Length) units.Length {
	sum, _ := a.Add(b)
	return sum
}

func minus(a, b units.Length) units.Length { return plus(a, b.Neg()) }
