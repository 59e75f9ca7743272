package geom

import (
	"fmt"
	"math/big"
)

func (h *Penetration) round() bool { return h.Diameter.Sign() != 0 }

// radius is in ticks; half of an odd diameter is rounded up.
func (h *Penetration) radius() int64 { return h.Diameter.Ticks()/2 + h.Diameter.Ticks()%2 }

func (h *Penetration) centre() point { return point{h.X.Ticks(), h.Y.Ticks()} }

// box is the least upright rectangle round the penetration.
func (h *Penetration) box() (low, high point) {
	c := h.centre()
	if h.round() {
		r := h.radius()
		return point{c.x - r, c.y - r}, point{c.x + r, c.y + r}
	}
	return c, point{c.x + h.Width.Ticks(), c.y + h.Length.Ticks()}
}

func (p *Plane) checkHoles(holes []Penetration, errs *FieldErrors) {
	if len(holes) > MaxPenetrations {
		errs.add(fmt.Sprintf("/penetrations/%d", MaxPenetrations), nil, "is one too many: a plane has at most %d, but this one %d", MaxPenetrations, len(holes))
		return
	}
	seen := map[string]int{}
	for i := range holes {
		h := holes[i]
		path := fmt.Sprintf("/penetrations/%d", i)
		before := len(errs.List)
		if first, twice := seen[h.ID]; h.ID == "" {
			errs.add(path+"/id", nil, "is missing: each penetration has an id of its own")
		} else if twice {
			errs.add(path+"/id", nil, "%.64q is the id of /penetrations/%d too: each needs its own", h.ID, first)
		}
		seen[h.ID] = i
		if h.Kind == "" {
			errs.add(path+"/kind", nil, "is missing: say what it is, such as pipe")
		}
		for j := range p.sides {
			for _, part := range curbParts() {
				if p.sides[j].id == h.ID+" "+part {
					errs.add(path+"/id", nil, "%.64q: a side has the id %.64q, which is for a part of this curb", h.ID, p.sides[j].id)
				}
			}
		}
		h.checkSize(path, errs)
		if len(errs.List) > before || p.sides == nil {
			continue
		}
		if !p.reaches(&h) {
			errs.add(path, nil, "at x %s, y %s it is outside the plane", h.X, h.Y)
			continue
		}
		p.holes = append(p.holes, h)
	}
}

func (h *Penetration) checkSize(path string, errs *FieldErrors) {
	switch {
	case !h.round():
		checkPlaneLength(errs, path+"/width", h.Width)
		checkPlaneLength(errs, path+"/length", h.Length)
	case !h.Width.IsZero() || !h.Length.IsZero():
		errs.add(path, nil, "has both a diameter and a width or length: round ones have a diameter, others a width and a length")
	case h.Kind == "curb":
		errs.add(path, nil, "a curb has a width and a length, not a diameter")
	default:
		checkPlaneLength(errs, path+"/diameter", h.Diameter)
	}
	if h.X.Abs().Cmp(longestOnPlane) > 0 || h.Y.Abs().Cmp(longestOnPlane) > 0 {
		errs.add(path, nil, "is too far out: points are at most 10 km from 0")
	}
}

// reaches says whether some of the penetration is within the outline: a part of a side is in it, or else all of it is
// on one side of the outline, and so is any point of it.
func (p *Plane) reaches(h *Penetration) bool {
	for i := range p.sides {
		l := line{a: p.sides[i].a, b: p.sides[i].b}
		if h.apart(&l) {
			continue
		}
		l = newLine(l.a, l.b)
		if _, _, ok := h.on(&l, l.bounds().High.Ticks()); ok {
			return true
		}
	}
	inside := h.centre()
	if !h.round() { // the middle: a corner may be on the outline
		_, high := h.box()
		inside = point{inside.x + (high.x-inside.x)/2, inside.y + (high.y-inside.y)/2}
	}
	return p.contains(inside)
}

// contains says whether a point that isn't on the outline is within it.
func (p *Plane) contains(at point) bool {
	in := false
	for i := range p.sides {
		a, b := p.sides[i].a, p.sides[i].b
		if (a.y > at.y) == (b.y > at.y) {
			continue
		}
		if up := b.y > a.y; (turn(a, b, at).sign() > 0) == up {
			in = !in
		}
	}
	return in
}

// on returns the stretch of a line that is within the penetration, rounded outward, in stations from 0 to length, and
// whether there is one: a line that only touches it is clear of it.
func (h *Penetration) on(l *line, length int64) (from, to int64, ok bool) {
	if h.apart(l) {
		return 0, 0, false
	}
	low, high := h.box()
	var part span
	if h.round() {
		part = l.disk(h.centre(), h.radius(), true)
	} else {
		part = l.within(low, high)
	}
	return part.clip(length)
}

// apart says at once of most lines that they are clear of the penetration.
func (h *Penetration) apart(l *line) bool {
	low, high := h.box()
	return max(l.a.x, l.b.x) < low.x || min(l.a.x, l.b.x) > high.x || max(l.a.y, l.b.y) < low.y || min(l.a.y, l.b.y) > high.y
}

// span is a stretch of a line in stations, which may be past its ends, or nothing.
type span struct {
	from, to *big.Int
	none     bool
}

var nothing = span{none: true}

func (s span) clip(length int64) (from, to int64, ok bool) {
	if s.none {
		return 0, 0, false
	}
	from, to = clamp(s.from, length), clamp(s.to, length)
	return from, to, from < to
}

func clamp(n *big.Int, length int64) int64 {
	switch {
	case n.Sign() < 0:
		return 0
	case !n.IsInt64() || n.Int64() > length:
		return length
	}
	return n.Int64()
}

// disk returns the stretch of the line within a distance of a centre, rounded outward; strict leaves out a touch.
func (l *line) disk(centre point, radius int64, strict bool) span {
	square := l.square()
	off := turn(l.a, l.b, centre).big()
	// All squares are times the line's own square, so that no quotient is needed before the root.
	rest := product(big.NewInt(radius), big.NewInt(radius), square)
	rest.Sub(rest, off.Mul(off, off))
	if rest.Sign() < 0 || strict && rest.Sign() == 0 {
		return nothing
	}
	down, up := overRoot(dot(l.a, l.b, centre).big(), square)
	_, half := root(1, rest, square)
	return span{from: down.Sub(down, half), to: up.Add(up, half)}
}

// within returns the stretch of the line strictly inside an upright rectangle, rounded outward.
func (l *line) within(low, high point) span {
	square := l.square()
	part := span{}
	for _, axis := range [2][4]int64{{l.dx(), l.a.x, low.x, high.x}, {l.dy(), l.a.y, low.y, high.y}} {
		d, at, from, to := axis[0], axis[1], axis[2], axis[3]
		if d == 0 {
			if at <= from || at >= to {
				return nothing
			}
			continue
		}
		if d < 0 {
			from, to = to, from
		}
		down, _ := timesRoot(big.NewInt(from-at), square, big.NewInt(d))
		_, up := timesRoot(big.NewInt(to-at), square, big.NewInt(d))
		part = part.and(span{from: down, to: up})
	}
	return part
}

// and returns what two stretches have in common; one without a from and to is the whole line.
func (s span) and(t span) span {
	switch {
	case s.none || t.none:
		return nothing
	case s.from == nil:
		return t
	case t.from == nil:
		return s
	}
	if t.from.Cmp(s.from) > 0 {
		s.from = t.from
	}
	if t.to.Cmp(s.to) < 0 {
		s.to = t.to
	}
	if s.from.Cmp(s.to) > 0 {
		return nothing
	}
	return s
}

// or returns the least stretch with both in it.
func (s span) or(t span) span {
	switch {
	case s.none:
		return t
	case t.none:
		return s
	}
	if t.from.Cmp(s.from) < 0 {
		s.from = t.from
	}
	if t.to.Cmp(s.to) > 0 {
		s.to = t.to
	}
	return s
}
