package geom

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/units"
)

// OffsetRuns returns the runs along a line inside the plane, parallel to one of its sides and a distance above 0 from
// it: a row of brackets 18 in above the eave. The side goes by its id or its name, such as side 2. A line that the
// outline cuts makes several runs. They have the side's kind and direction, and the ids lake/eave-1 + 18 in, then
// lake/eave-1 + 18 in part 2. On a skewed side their ends are rounded to the tick, as on any side that cuts them on
// the skew. The error says that no side has the name, or that the line misses the plane.
func (p *Plane) OffsetRuns(name string, distance units.Length) ([]*Run, error) {
	i := slices.IndexFunc(p.sides, func(s side) bool { return s.name == name })
	if i < 0 {
		names := make([]string, len(p.sides))
		for j := range p.sides {
			names[j] = p.sides[j].name
		}
		return nil, &FieldErrors{Plane: p.id, List: []*FieldError{{"/outline", fmt.Sprintf("no side has the id %.64q%s", name, suggest(name, names)), nil}}}
	}
	var errs FieldErrors
	errs.Plane = p.id
	if checkPlaneLength(&errs, "/outline/"+name, distance); errs.err() != nil {
		return nil, errs.err()
	}
	s := &p.sides[i]
	var runs []*Run
	for _, c := range p.parallel(s, distance.Ticks()) {
		l, ends := newLine(c.a, c.b), [2]string{p.sides[c.ends[0]].edge, p.sides[c.ends[1]].edge}
		if s.reversed() {
			l.a, l.b = l.b, l.a
			ends[0], ends[1] = ends[1], ends[0]
		}
		runs = append(runs, p.lay("", s.edge, l, ends, -1))
	}
	if s.reversed() {
		slices.Reverse(runs)
	}
	id := p.id + "/" + s.name + " + " + distance.String()
	for n := range runs {
		runs[n].ID = partID(id, n)
	}
	if len(runs) == 0 {
		errs.add("/outline", nil, "a line %s from %.64s is off the plane", distance, name)
		return nil, errs.err()
	}
	return runs, nil
}

// partID names the n-th part, from 0, of a line that the outline cuts.
func partID(id string, n int) string {
	if n == 0 {
		return id
	}
	return id + " part " + strconv.Itoa(n+1)
}

// parallel returns the parts, in the direction of the side, of the line at a distance left of it.
func (p *Plane) parallel(s *side, distance int64) []cutLine {
	l := newLine(s.a, s.b)
	// How far left of the side a point is, times the side's length, is its turn; the line is where that is level.
	// An irrational level is rounded down to a part in 1<<64, far under a tick.
	level := new(big.Rat).SetInt64(distance)
	length := new(big.Int).Lsh(new(big.Int).SetUint64(l.hi), 64)
	length.Add(length, new(big.Int).SetUint64(l.lo))
	level.Mul(level, new(big.Rat).SetFrac(length, new(big.Int).Lsh(big.NewInt(1), 64)))

	type cut struct {
		along *big.Rat // times the side's length
		side  int
		at    [2]*big.Rat
	}
	var list []cut
	above := func(t *big.Rat) bool { return t.Cmp(level) >= 0 }
	for i := range p.sides {
		a, b := p.sides[i].a, p.sides[i].b
		ta, tb := new(big.Rat).SetInt(turn(s.a, s.b, a).big()), new(big.Rat).SetInt(turn(s.a, s.b, b).big())
		if above(ta) == above(tb) {
			continue
		}
		share := new(big.Rat).Sub(level, ta)
		share.Quo(share, tb.Sub(tb, ta))
		c := cut{side: i}
		for j, way := range [2][2]int64{{a.x, b.x}, {a.y, b.y}} {
			at := new(big.Rat).SetInt64(way[1] - way[0])
			at.Mul(at, share)
			c.at[j] = at.Add(at, new(big.Rat).SetInt64(way[0]))
		}
		along := func(from, to, at int64, r *big.Rat) *big.Rat {
			d := new(big.Rat).Sub(r, new(big.Rat).SetInt64(at))
			return d.Mul(d, new(big.Rat).SetInt64(to-from))
		}
		c.along = along(s.a.x, s.b.x, s.a.x, c.at[0])
		c.along.Add(c.along, along(s.a.y, s.b.y, s.a.y, c.at[1]))
		list = append(list, c)
	}
	slices.SortStableFunc(list, func(c, d cut) int { return c.along.Cmp(d.along) })
	var parts []cutLine
	for i := 0; i+1 < len(list); i += 2 {
		c, d := &list[i], &list[i+1]
		part := cutLine{ends: [2]int{c.side, d.side}}
		part.a, part.b = rounded(c.at), rounded(d.at)
		if part.a != part.b {
			parts = append(parts, part)
		}
	}
	return parts
}

// rounded is the nearest point in ticks.
func rounded(at [2]*big.Rat) point {
	x, _ := units.FromRat(at[0], units.Nearest) // on the plane
	y, _ := units.FromRat(at[1], units.Nearest)
	return point{x.Ticks(), y.Ticks()}
}
