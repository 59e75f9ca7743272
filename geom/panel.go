package geom

import "github.com/lapwright/lapwright/units"

// Panel is one panel along a run: between neighbouring rib centrelines, or from one to the run's end.
type Panel struct {
	From, To units.Length // within the run
	// FlatFrom and FlatTo bound the flat of the panel: the faces of its ribs, or the run's end where no rib stands.
	// They are equal where the ribs leave no flat.
	FlatFrom, FlatTo  units.Length
	LeftRib, RightRib bool // whether a rib stands at From, at To (or, at an end of the run, past it)
	Cut               bool // narrower than the profile's cover
}

// Width returns To - From.
func (p Panel) Width() units.Length { return minus(p.To, p.From) }

// Flat returns the width between the panel's rib faces.
func (p Panel) Flat() units.Length { return minus(p.FlatTo, p.FlatFrom) }

// Panels returns the panels of the side of a run of this length, from left to right, each of a width above 0.
// A side without panels has none.
func (s *Side) Panels(length units.Length) []Panel {
	if !s.HasPanels {
		return nil
	}
	panels := make([]Panel, 0, len(s.Ribs)+1)
	add := func(p Panel) {
		if p.From.Cmp(p.To) >= 0 {
			return
		}
		if p.FlatFrom.Cmp(p.FlatTo) > 0 {
			p.FlatTo = p.FlatFrom
		}
		p.Cut = p.Width().Cmp(s.Profile.Cover) < 0
		panels = append(panels, p)
	}
	p := Panel{}
	for n, rib := range s.Ribs {
		left, right := s.RibBand(n)
		p.To, p.FlatTo, p.RightRib = within(rib, length), within(left, length), true
		add(p)
		p = Panel{From: within(rib, length), FlatFrom: within(right, length), LeftRib: true}
	}
	p.To, p.FlatTo, p.RightRib = length, length, false
	add(p)
	return panels
}

// within is the nearest station on a run of this length.
func within(at, length units.Length) units.Length {
	switch {
	case at.Sign() < 0:
		return units.Length{}
	case at.Cmp(length) > 0:
		return length
	}
	return at
}
