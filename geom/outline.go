package geom

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// outline checks the corners and returns the sides between them, counterclockwise.
func outline(corners []Corner, errs *FieldErrors) []side {
	switch n := len(corners); {
	case n < 3:
		errs.add("/outline", nil, "has %d points: a plane has at least 3", n)
		return nil
	case n > MaxCorners:
		errs.add(fmt.Sprintf("/outline/%d", MaxCorners), nil, "is one point too many: an outline has at most %d, but this one %d", MaxCorners, n)
		return nil
	}
	before := len(errs.List)
	sides := make([]side, len(corners))
	ids := map[string]int{}
	for i, c := range corners {
		path := fmt.Sprintf("/outline/%d", i)
		if c.X.Abs().Cmp(longestOnPlane) > 0 || c.Y.Abs().Cmp(longestOnPlane) > 0 {
			errs.add(path, nil, "is too far out: points are at most 10 km from 0")
		}
		checkKind(errs, path+"/edge", "edge", c.Edge, EdgeKinds())
		if first, twice := ids[c.ID]; twice && c.ID != "" {
			errs.add(path+"/id", nil, "%.64q is the id of /outline/%d too: each side needs its own", c.ID, first)
		} else {
			ids[c.ID] = i
		}
		if strings.HasPrefix(c.ID, "side ") || strings.HasPrefix(c.ID, "rib ") {
			errs.add(path+"/id", nil, "%.64q: ids that begin so are for derived runs", c.ID)
		}
		next := corners[(i+1)%len(corners)]
		sides[i] = side{
			a:    point{c.X.Ticks(), c.Y.Ticks()},
			b:    point{next.X.Ticks(), next.Y.Ticks()},
			edge: c.Edge, id: c.ID, name: c.ID, at: i,
		}
		if c.ID == "" {
			sides[i].name = fmt.Sprintf("side %d", i+1)
		}
	}
	if len(errs.List) > before {
		return nil
	}
	if checkCrossings(sides, errs); len(errs.List) > before {
		return nil
	}
	switch doubleArea(sides).Sign() {
	case 0: // three points on a line turn back on themselves, so they never come here
		errs.add("/outline", nil, "has no area")
	case -1:
		slices.Reverse(sides)
		for i := range sides {
			sides[i].a, sides[i].b = sides[i].b, sides[i].a
		}
	}
	return sides
}

// checkCrossings reports points that stand where another does, and sides that cross, touch or go back along one
// another. Sides are held against those only that share a stretch of x with them.
func checkCrossings(sides []side, errs *FieldErrors) {
	n := len(sides)
	for i := range sides {
		if sides[i].a == sides[i].b {
			next := (i + 1) % n
			if next == 0 {
				errs.add(fmt.Sprintf("/outline/%d", i), nil, "repeats the first point: the outline closes by itself")
			} else {
				errs.add(fmt.Sprintf("/outline/%d", next), nil, "repeats the point before it")
			}
		}
	}
	if len(errs.List) > 0 {
		return
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(sides[i].minX(), sides[j].minX()), cmp.Compare(i, j))
	})
	var open []int
	for _, i := range order {
		from := sides[i].minX()
		open = slices.DeleteFunc(open, func(j int) bool { return sides[j].maxX() < from })
		for _, j := range open {
			low, high := min(i, j), max(i, j)
			if !clash(&sides[low], &sides[high], high == low+1, low == 0 && high == n-1) {
				continue
			}
			errs.add(fmt.Sprintf("/outline/%d", high), nil,
				"at x %s, y %s: the side that starts here crosses or touches the one from /outline/%d: a plane's sides meet at their ends only, each the next",
				ticks(sides[high].a.x), ticks(sides[high].a.y), low)
			return // one crossing makes others
		}
		open = append(open, i)
	}
}

// clash says whether two sides have a point in common beyond the one where neighbours meet. In a triangle two sides
// are neighbours once only, so follows and closes don't both hold.
func clash(s, t *side, follows, closes bool) bool {
	switch {
	case follows:
		return backs(s.a, s.b, t.b)
	case closes:
		return backs(t.a, t.b, s.b)
	}
	return meet(s.a, s.b, t.a, t.b)
}

// backs says whether the way a, b, c turns back on itself at b.
func backs(a, b, c point) bool {
	return turn(a, b, c).sign() == 0 && dot(b, a, c).sign() > 0
}

// dot is the scalar product of the ways from o to a and to b.
func dot(o, a, b point) wide {
	return mul(a.x-o.x, b.x-o.x).plus(mul(a.y-o.y, b.y-o.y))
}

// meet says whether the closed segments a-b and c-d have a point in common.
func meet(a, b, c, d point) bool {
	if max(a.x, b.x) < min(c.x, d.x) || max(c.x, d.x) < min(a.x, b.x) ||
		max(a.y, b.y) < min(c.y, d.y) || max(c.y, d.y) < min(a.y, b.y) {
		return false
	}
	return turn(a, b, c).sign()*turn(a, b, d).sign() <= 0 && turn(c, d, a).sign()*turn(c, d, b).sign() <= 0
}

func (s *side) minX() int64 { return min(s.a.x, s.b.x) }
func (s *side) maxX() int64 { return max(s.a.x, s.b.x) }
