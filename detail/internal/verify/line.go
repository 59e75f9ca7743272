package verify

import (
	"cmp"
	"slices"

	"github.com/lapwright/lapwright/geom"
)

// A panel is what lies between neighbouring rib centrelines or an end of the run.
type panel struct {
	band
	width, flat num // square to its ribs: between their centrelines, between their faces
	cut         bool
}

// panels are those of a side of the plan's run.
func (p *plan) panels(side int) []panel {
	s := &p.run.Sides[side]
	var ribs []num
	for _, rib := range s.Ribs {
		ribs = append(ribs, ticks(rib))
	}
	list := p.sides[side]
	if list != nil || !s.HasPanels {
		return list
	}
	list = allPanels(ticks(p.run.Length), ribs, halfBand(s), s)
	if s.Skew != nil {
		// The same again, along the eave.
		way := magnitude(sub(ticks(s.On.End.X), ticks(s.On.Start.X)))
		square := allPanels(way, p.across(p.run, side, p.planeNamed(s.On.Plane)), up(half(ticks(s.Profile.RibWidth))), s)
		if len(square) != len(list) {
			p.complain("run %s: %d panels, but %d square to the ribs", p.run.ID, len(list), len(square))
			square = list
		}
		for i := range list {
			list[i].width, list[i].flat, list[i].cut = square[i].width, square[i].flat, square[i].cut
		}
	}
	p.sides[side] = list
	return list
}

func allPanels(length num, at []num, halfBand num, s *geom.Side) []panel {
	run := band{whole(0), length}
	onRun := func(x num) num { return smaller(larger(x, run.from), run.to) }
	cuts := []num{run.from}
	var ribs []band
	for _, x := range at {
		cuts = append(cuts, onRun(x))
		ribs = append(ribs, point(x).wider(halfBand))
	}
	cuts = append(cuts, run.to)
	var list []panel
	for i := 1; i < len(cuts); i++ {
		b := band{cuts[i-1], cuts[i]}
		if !less(b.from, b.to) {
			continue
		}
		flat := b
		for _, rib := range ribs {
			if middle := half(add(rib.from, rib.to)); !less(b.from, middle) {
				flat.from = larger(flat.from, onRun(rib.to))
			} else {
				flat.to = smaller(flat.to, onRun(rib.from))
			}
		}
		list = append(list, panel{b, b.length(), larger(whole(0), flat.length()), less(b.length(), ticks(s.Profile.Cover))})
	}
	return list
}

// ribBands are the ribs from face to face; a width of an odd number of ticks is rounded outward.
func ribBands(s *geom.Side) []band {
	var list []band
	for _, rib := range s.Ribs {
		list = append(list, point(ticks(rib)).wider(halfBand(s)))
	}
	return list
}

// halfBand is half of a rib along the run.
func halfBand(s *geom.Side) num {
	if s.Skew != nil {
		return ticks(s.Skew.HalfRib)
	}
	return up(half(ticks(s.Profile.RibWidth)))
}

// A cell is a part of the run that lies in the same zones throughout, its borders included. What sticks out of the run
// lies in none.
type cell struct {
	band
	zones []string
}

func zoneCells(r *geom.Run) []cell {
	cuts := []int64{0, r.Length.Ticks()}
	for _, z := range r.Zones {
		cuts = append(cuts, z.From.Ticks(), z.To.Ticks())
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	var list []cell
	for i := 1; i < len(cuts); i++ {
		c := cell{band: band{whole(cuts[i-1]), whole(cuts[i])}}
		for _, z := range r.Zones {
			if (band{ticks(z.From), ticks(z.To)}).overlaps(c.band) {
				c.zones = append(c.zones, z.Kind)
			}
		}
		list = append(list, c)
	}
	return list
}

// obstacles are those that bind a side, -1 standing for all sides.
func obstacles(r *geom.Run, side int) []geom.Obstacle {
	var list []geom.Obstacle
	for _, o := range r.Obstacles {
		if side < 0 || o.Side == "" || o.Side == r.Sides[side].ID {
			list = append(list, o)
		}
	}
	return list
}

func obstacleBand(o geom.Obstacle) band { return band{ticks(o.From), ticks(o.To)} }

// without is what obstacles leave of a band, from left to right; what has no length is left out.
func without(b band, list []geom.Obstacle) []band {
	free := []band{b}
	for _, o := range list {
		cut := obstacleBand(o)
		var next []band
		for _, f := range free {
			if !f.overlaps(cut) {
				next = append(next, f)
				continue
			}
			for _, part := range []band{{f.from, cut.from}, {cut.to, f.to}} {
				if less(part.from, part.to) {
					next = append(next, part)
				}
			}
		}
		free = next
	}
	slices.SortFunc(free, byPlace)
	return free
}

func byPlace(a, b band) int { return cmp.Or(a.from.Cmp(b.from), a.to.Cmp(b.to)) }
