package geom

import "github.com/lapwright/lapwright/units"

// Spec describes a run the way a drawing does.
type Spec struct {
	ID     string
	Edge   string // one of EdgeKinds
	Length units.Length
	Sides  []SideSpec // none: one side without panels, slope 0:12
	Ends   [2]string  // each one of EdgeKinds, wall, open or penetration; "" is open

	Zones     []Zone
	Obstacles []Obstacle
}

// SideSpec describes one side of a run.
type SideSpec struct {
	ID     string // needed where there are two sides
	Slope  units.Slope
	Role   string  // upper or lower on a transition with two sides, else ""
	Panels *Panels // nil: no panels
}

// Panels says where the ribs of a side stand: either by First or by Ribs.
type Panels struct {
	// First is the width of the first panel: ribs stand at First, First + Cover, … inside the run.
	First units.Length
	// Ribs lists the stations of the rib centrelines, ascending, ends included where a rib stands there.
	// Not nil: First must be 0.
	Ribs    []units.Length
	Profile Profile
}

// MaxPanels is how many panels a side may have where a caller names no other limit.
const MaxPanels = 100_000

// NewRun makes a run of its description. At most maxPanels panels on a side; 0 or less means [MaxPanels].
// The error is a [*FieldErrors] with all that is wrong; nothing large is allocated for a run that is refused.
// The run keeps no slice of the description.
func NewRun(spec Spec, maxPanels int) (*Run, error) {
	r := &Run{
		ID: spec.ID, Edge: spec.Edge, Length: spec.Length, Ends: spec.Ends,
		Zones:     append([]Zone(nil), spec.Zones...),
		Obstacles: append([]Obstacle(nil), spec.Obstacles...),
	}
	for i, end := range r.Ends {
		if end == "" {
			r.Ends[i] = "open"
		}
	}
	sides := spec.Sides
	if len(sides) == 0 {
		sides = []SideSpec{{}}
	}
	var errs FieldErrors
	for i, from := range sides {
		side := Side{ID: from.ID, Slope: from.Slope, Role: from.Role}
		if from.Panels != nil {
			side.HasPanels = true
			side.Profile = from.Panels.Profile
			side.Ribs = ribs(from.Panels, r.Length, limit(maxPanels), sidePath(sides[0].ID, len(sides), i), &errs)
		}
		r.Sides = append(r.Sides, side)
	}
	r.check(maxPanels, &errs)
	if err := errs.err(); err != nil {
		return nil, err
	}
	return r, nil
}

// ribs steps the ribs off, or takes them as listed.
func ribs(p *Panels, length units.Length, maxPanels int, path string, errs *FieldErrors) []units.Length {
	if p.Ribs != nil {
		if !p.First.IsZero() {
			errs.add(path+"/panels", nil, "has both first and ribs: give one of them")
		}
		if n := panelCount(p.Ribs, length); n > int64(maxPanels) {
			errs.tooMany(path+"/panels/ribs", n, maxPanels)
			return nil
		}
		return append([]units.Length{}, p.Ribs...)
	}
	first, cover := p.First.Ticks(), p.Profile.Cover.Ticks()
	switch {
	case cover <= 0: // the check of the profile says so
		return nil
	case first <= 0:
		errs.add(path+"/panels/first", nil, "must be above 0, the width of the first panel, but is %s", p.First)
		return nil
	case first > cover:
		errs.add(path+"/panels/first", nil, "is %s: a panel is no wider than the cover, %s", p.First, p.Profile.Cover)
		return nil
	case first >= length.Ticks():
		return nil
	}
	count := (length.Ticks()-first-1)/cover + 1
	if count >= int64(maxPanels) {
		errs.tooMany(path+"/panels/first", count+1, maxPanels)
		return nil
	}
	stations := make([]units.Length, count)
	at := p.First
	for i := range stations {
		stations[i] = at
		at = plus(at, p.Profile.Cover)
	}
	return stations
}
