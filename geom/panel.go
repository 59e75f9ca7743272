package geom

import "github.com/lapwright/lapwright/units"

// Panel is one panel along a run: between neighbouring rib centrelines, or from one to the run's end.
type Panel struct {
	From, To units.Length // within the run
	// FlatFrom and FlatTo bound the flat of the panel: the faces of its ribs, or the run's end where no rib stands.
	// They are equal where the ribs leave no flat.
	FlatFrom, FlatTo  units.Length
	LeftRib, RightRib bool // whether a rib stands at From, at To (or, at an end of the run, past it)
	Cut               bool // narrower than the profile's cover, square to its ribs

	// On a run that crosses the ribs on the skew, the width and the flat square to them.
	skewed             bool
	square, squareFlat units.Length
}

// Width returns To - From.
func (p Panel) Width() units.Length { return minus(p.To, p.From) }

// Flat returns the width between the panel's rib faces.
func (p Panel) Flat() units.Length { return minus(p.FlatTo, p.FlatFrom) }

// SquareWidth returns the panel's width square to its ribs: Width, but less where the run crosses them on the skew.
func (p Panel) SquareWidth() units.Length {
	if p.skewed {
		return p.square
	}
	return p.Width()
}

// SquareFlat returns the width between the panel's rib faces, square to its ribs.
func (p Panel) SquareFlat() units.Length {
	if p.skewed {
		return p.squareFlat
	}
	return p.Flat()
}

// Panels returns the panels of the side of a run of this length, from left to right, each of a width above 0.
// A side without panels has none.
func (s *Side) Panels(length units.Length) []Panel {
	if !s.HasPanels {
		return nil
	}
	list := panels(s.Ribs, length, s.reach())
	if s.Skew != nil {
		// As many: a rib is at an end of the run on both counts or on neither.
		square := panels(s.Skew.Ribs, s.Skew.Length, s.halfRib())
		for i := range min(len(list), len(square)) {
			list[i].skewed, list[i].square, list[i].squareFlat = true, square[i].Width(), square[i].Flat()
		}
	}
	for i := range list {
		list[i].Cut = list[i].SquareWidth().Cmp(s.Profile.Cover) < 0
	}
	return list
}

// panels makes the panels between ribs whose bands reach half to both sides.
func panels(ribs []units.Length, length, half units.Length) []Panel {
	list := make([]Panel, 0, len(ribs)+1)
	add := func(p Panel) {
		if p.From.Cmp(p.To) >= 0 {
			return
		}
		if p.FlatFrom.Cmp(p.FlatTo) > 0 {
			p.FlatTo = p.FlatFrom
		}
		list = append(list, p)
	}
	p := Panel{}
	for _, rib := range ribs {
		p.To, p.FlatTo, p.RightRib = within(rib, length), within(minus(rib, half), length), true
		add(p)
		p = Panel{From: within(rib, length), FlatFrom: within(plus(rib, half), length), LeftRib: true}
	}
	p.To, p.FlatTo, p.RightRib = length, length, false
	add(p)
	return list
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
