package geom

import (
	"fmt"

	"github.com/lapwright/lapwright/units"
)

// joinTolerance is how far the lengths of two sides with one id may differ: drawings are rounded.
var joinTolerance = units.MustParse("1/8 in")

// Runs returns the runs of the sides and curbs of planes, in their order. Sides of two planes of one roof that have
// one id, and are of a kind where slopes meet, are one run with two sides, each with its plane's id: its place in the
// list, its id, its length and its stations are the first plane's. The second's stations are counted from the other
// end along a ridge, from the same one along a hip, valley or transition; where its length differs by up to 1/8 in,
// they are stretched to the first's. The error is a [*FieldErrors]: planes with one id, more than two such sides, or
// sides that don't fit.
func Runs(planes ...*Plane) ([]*Run, error) {
	met := map[[2]string][]meeting{}
	seen := map[string]bool{}
	for _, p := range planes {
		if seen[p.id] {
			return nil, joinError(p, "/id", "%.64q is the id of two planes: each needs its own", p.id)
		}
		seen[p.id] = true
		for i := range p.sides {
			if s := &p.sides[i]; s.id != "" {
				key := [2]string{p.roof, s.id}
				met[key] = append(met[key], meeting{p, i})
			}
		}
	}
	var runs []*Run
	for _, p := range planes {
		for i := range p.sides {
			all := met[[2]string{p.roof, p.sides[i].id}]
			if !meets(all) {
				runs = append(runs, p.sideRun(i))
				continue
			}
			if err := fits(all); err != nil {
				return nil, err
			}
			if all[0].plane == p {
				runs = append(runs, join(all[0], all[1]))
			}
		}
		runs = append(runs, p.curbRuns()...)
	}
	return runs, nil
}

// meeting is a side of a plane that has an id.
type meeting struct {
	plane *Plane
	i     int
}

func (m *meeting) side() *side { return &m.plane.sides[m.i] }

// meets says whether sides with one id are to be one run.
func meets(all []meeting) bool {
	if len(all) < 2 {
		return false
	}
	for i := range all {
		if twoSided(all[i].side().edge) {
			return true
		}
	}
	return false
}

func fits(all []meeting) error {
	first, second := all[0].side(), all[1].side()
	at := func(m meeting, what string) string { return fmt.Sprintf("/outline/%d/%s", m.side().at, what) }
	if len(all) > 2 {
		return joinError(all[2].plane, at(all[2], "id"), "%.64q is the id of a side of planes %.64q and %.64q too: at most two meet", first.id, all[0].plane.id, all[1].plane.id)
	}
	if first.edge != second.edge {
		return joinError(all[1].plane, at(all[1], "edge"), "%.64q is a %s here, but a %s on plane %.64q", first.id, second.edge, first.edge, all[0].plane.id)
	}
	if first.edge == "transition" && first.upper() == second.upper() {
		return joinError(all[1].plane, at(all[1], "edge"), "both planes are on the same side of transition %.64q: one is above it, the other below", first.id)
	}
	a, b := newLine(first.a, first.b), newLine(second.a, second.b)
	if l, m := a.bounds().High, b.bounds().High; minus(l, m).Abs().Cmp(joinTolerance) > 0 {
		return joinError(all[1].plane, at(all[1], "id"), "%.64q is %s long here, but %s on plane %.64q: they may differ by %s", first.id, m, l, all[0].plane.id, joinTolerance)
	}
	return nil
}

func joinError(p *Plane, path, format string, args ...any) error {
	errs := FieldErrors{Plane: p.id}
	errs.add(path, nil, format, args...)
	return errs.err()
}

func join(first, second meeting) *Run {
	one, two := first.plane.sideRun(first.i), second.plane.sideRun(second.i)
	m := mapping{from: two.Length.Ticks(), to: one.Length.Ticks(), turned: one.Edge == "ridge"}
	other := two.Sides[0]
	other.Ribs = m.ribs(other.Ribs)
	if other.Skew != nil {
		across := mapping{from: other.Skew.Length.Ticks(), to: other.Skew.Length.Ticks(), turned: m.turned}
		other.Skew = &Skew{Length: other.Skew.Length, HalfRib: other.Skew.HalfRib, Ribs: across.ribs(other.Skew.Ribs)}
	}
	if m.turned {
		there := *other.On
		there.Start, there.End = there.End, there.Start
		other.On = &there
	}
	one.Sides = append(one.Sides, other)
	one.Sides[0].ID, one.Sides[1].ID = first.plane.id, second.plane.id
	if one.Edge == "transition" {
		for i, s := range [2]*side{first.side(), second.side()} {
			one.Sides[i].Role = "lower"
			if s.upper() {
				one.Sides[i].Role = "upper"
			}
		}
	}
	for _, z := range two.Zones {
		z.From, z.To = m.stretch(z.From, z.To)
		if !hasZone(one.Zones, z) {
			one.Zones = append(one.Zones, z)
		}
	}
	ids := map[string]bool{}
	for i := range one.Obstacles {
		one.Obstacles[i].Side = first.plane.id
		ids[one.Obstacles[i].ID] = true
	}
	for _, o := range two.Obstacles {
		o.From, o.To = m.stretch(o.From, o.To)
		o.Side = second.plane.id
		if ids[o.ID] {
			o.ID = second.plane.id + "/" + o.ID
		}
		one.Obstacles = append(one.Obstacles, o)
	}
	return one
}

func hasZone(zones []Zone, z Zone) bool {
	for _, other := range zones {
		if other == z {
			return true
		}
	}
	return false
}

// mapping takes stations of one side of a run to those of the other.
type mapping struct {
	from, to int64 // the run's length on either
	turned   bool
}

func (m mapping) station(at units.Length) units.Length {
	s := at.Ticks()
	switch {
	case s > m.from: // past an end: as far past it
		s += m.to - m.from
	case s >= 0:
		s, _ = mulDiv(s, m.to, m.from)
	}
	if m.turned {
		s = m.to - s
	}
	return ticks(s)
}

func (m mapping) stretch(from, to units.Length) (units.Length, units.Length) {
	from, to = m.station(from), m.station(to)
	if m.turned {
		return to, from
	}
	return from, to
}

func (m mapping) ribs(ribs []units.Length) []units.Length {
	list := make([]units.Length, len(ribs))
	for i, at := range ribs {
		if m.turned {
			list[len(ribs)-1-i] = m.station(at)
		} else {
			list[i] = m.station(at)
		}
	}
	return list
}
