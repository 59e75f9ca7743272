package geom

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/units"
)

// PlaneSpec describes a roof plane seen square on: x along the eave, y up the slope, true lengths. Panels run up the
// slope.
type PlaneSpec struct {
	ID string
	// Roof is the roof that the plane is a part of, or "". Sides with one id meet only within a roof.
	Roof    string
	Slope   units.Slope
	Outline []Corner // three or more, in either direction; the last closes to the first
	// Panels stand from the outline's leftmost point: First is the width of the first panel there, and Ribs count
	// from there. nil: the plane has no panels.
	Panels       *Panels
	Zones        []PlaneZone
	Penetrations []Penetration
}

// Corner is a point of a plane's outline, with what is along the side that starts there.
type Corner struct {
	X, Y units.Length // at most 10 km from 0 either way
	Edge string       // one of EdgeKinds
	ID   string       // of the side: "" or its own; the same on two planes where they meet there
}

// PlaneZone is the part of a plane within a distance of its sides of some kinds, that distance included.
type PlaneZone struct {
	Kind   string // a kind that the rule book names, such as edge
	Within units.Length
	Of     []string // edge kinds
	// Corners narrows the zone to where the strips along two such sides overlap that aren't parallel.
	Corners bool
}

// Penetration is what comes through a plane: round where it has a diameter, else a rectangle square to the eave.
type Penetration struct {
	ID   string
	Kind string // such as pipe; a rectangle of the kind curb has a headwall, sidewalls and a backpan
	// X and Y are the centre of a round one, the low left corner of a rectangle.
	X, Y     units.Length
	Diameter units.Length
	Width    units.Length // along the eave
	Length   units.Length // up the slope
}

// XY is a point of a plane.
type XY struct{ X, Y units.Length }

// The limits of a plane: far over any roof, so that no description makes the work grow without end.
const (
	MaxCorners      = 1_000
	MaxPenetrations = 1_000
	MaxPlaneZones   = 20
	// maxCrossings bounds panels times sides (penetrations count as sides), which the work on a plane grows with.
	maxCrossings = 20_000_000
)

// longestOnPlane keeps products of lengths on a plane far within 128 bits.
var longestOnPlane = units.MustParse("10000 m")

// Plane is a sound roof plane, from [NewPlane]. It never changes.
type Plane struct {
	id, roof  string
	slope     units.Slope
	sides     []side // counterclockwise, so that the plane is on the left
	hasPanels bool
	profile   Profile
	ribs      []int64 // x of the centrelines, ascending
	left      int64   // x of the outline's leftmost and rightmost points
	right     int64
	zones     []PlaneZone
	holes     []Penetration
}

// side is one side of a plane's outline, from a to b.
type side struct {
	a, b     point
	edge, id string
	name     string // the id, or side N by its place in the description
	at       int    // that place, from 0
}

// point is a point of a plane in ticks.
type point struct{ x, y int64 }

func (p point) xy() XY { return XY{ticks(p.x), ticks(p.y)} }

// ticks is for lengths on a plane, whose sums are within bounds.
func ticks(n int64) units.Length {
	l, _ := units.FromTicks(n)
	return l
}

// NewPlane makes a plane of its description. An outline that goes clockwise is turned round; one that crosses or
// touches itself, repeats a point or has no area is an error at that point. At most maxPanels panels; 0 or less means
// [MaxPanels]. The error is a [*FieldErrors] with all that is wrong. The plane keeps no slice of the description.
func NewPlane(spec PlaneSpec, maxPanels int) (*Plane, error) {
	errs := FieldErrors{Plane: spec.ID}
	p := &Plane{id: spec.ID, roof: spec.Roof, slope: spec.Slope}
	if spec.ID == "" {
		errs.add("/id", nil, "is missing: each plane has an id of its own")
	} else if strings.Contains(spec.ID, "/") {
		errs.add("/id", nil, "%.64q: a / stands between a plane and its parts", spec.ID)
	}
	p.sides = outline(spec.Outline, &errs)
	p.checkZones(spec.Zones, &errs)
	p.checkHoles(spec.Penetrations, &errs)
	if errs.err() == nil {
		p.placeRibs(spec.Panels, maxPanels, &errs)
	}
	if err := errs.err(); err != nil {
		return nil, err
	}
	return p, nil
}

// placeRibs takes the ribs from a run along the eave as wide as the plane, so that both count alike.
func (p *Plane) placeRibs(panels *Panels, maxPanels int, errs *FieldErrors) {
	p.left, p.right = p.sides[0].a.x, p.sides[0].a.x
	for i := range p.sides {
		p.left, p.right = min(p.left, p.sides[i].a.x), max(p.right, p.sides[i].a.x)
	}
	if panels == nil {
		return
	}
	across := Run{Length: ticks(p.right - p.left), Sides: []Side{{HasPanels: true, Profile: panels.Profile}}}
	s := &across.Sides[0]
	s.Ribs = ribs(panels, across.Length, limit(maxPanels), "", errs)
	across.checkSides(maxPanels, errs)
	if errs.err() != nil {
		return
	}
	if n := (len(s.Ribs) + 1) * (len(p.sides) + len(p.holes)); n > maxCrossings {
		errs.add("/panels", ErrTooManyPanels, "%d ribs across %d sides and penetrations are over the limit of work: draw fewer planes in one", len(s.Ribs), len(p.sides)+len(p.holes))
		return
	}
	p.hasPanels, p.profile = true, panels.Profile
	p.ribs = make([]int64, len(s.Ribs))
	for i, at := range s.Ribs {
		p.ribs[i] = p.left + at.Ticks()
	}
}

// ID returns the plane's id.
func (p *Plane) ID() string { return p.id }

// Slope returns the plane's slope.
func (p *Plane) Slope() units.Slope { return p.slope }

// Profile returns the shape of the plane's panels, and whether it has panels.
func (p *Plane) Profile() (Profile, bool) { return p.profile, p.hasPanels }

// Ribs returns the x of each rib's centreline, ascending.
func (p *Plane) Ribs() []units.Length {
	xs := make([]units.Length, len(p.ribs))
	for i, x := range p.ribs {
		xs[i] = ticks(x)
	}
	return xs
}

// Outline returns the corners counterclockwise, seen square on.
func (p *Plane) Outline() []Corner {
	corners := make([]Corner, len(p.sides))
	for i := range p.sides {
		s := &p.sides[i]
		corners[i] = Corner{ticks(s.a.x), ticks(s.a.y), s.edge, s.id}
	}
	return corners
}

// Penetrations returns what comes through the plane, as described.
func (p *Plane) Penetrations() []Penetration { return append([]Penetration(nil), p.holes...) }

// Area returns the area within the outline in square ticks of [units.Length], (1e-9 mm)², exactly. Penetrations aren't
// taken off.
func (p *Plane) Area() *big.Rat { return new(big.Rat).SetFrac(p.doubleArea(), big.NewInt(2)) }

func (p *Plane) doubleArea() *big.Int { return doubleArea(p.sides) }

func doubleArea(sides []side) *big.Int {
	sum := new(big.Int)
	origin := sides[0].a
	for i := range sides {
		sum.Add(sum, turn(origin, sides[i].a, sides[i].b).big())
	}
	return sum
}

// turn is twice the area of the triangle a, b, c: above 0 where c is left of the way from a to b.
func turn(a, b, c point) wide {
	return mul(b.x-a.x, c.y-a.y).minus(mul(b.y-a.y, c.x-a.x))
}

func (p *Plane) checkZones(zones []PlaneZone, errs *FieldErrors) {
	if len(zones) > MaxPlaneZones {
		errs.add("/zones", nil, "%d zones are over the limit of %d", len(zones), MaxPlaneZones)
		return
	}
	for i, z := range zones {
		path := fmt.Sprintf("/zones/%d", i)
		if z.Kind == "" {
			errs.add(path+"/kind", nil, "is missing: a zone has a kind that the rule book names, such as edge")
		}
		checkPlaneLength(errs, path+"/within", z.Within)
		if len(z.Of) == 0 {
			errs.add(path+"/of", nil, "is empty: say along which kinds of edge the zone is, such as eave")
		}
		for j, kind := range z.Of {
			if j == len(EdgeKinds()) {
				errs.add(path+"/of", nil, "has more kinds than there are")
				break
			}
			checkKind(errs, fmt.Sprintf("%s/of/%d", path, j), "edge", kind, EdgeKinds())
		}
		z.Of = append([]string(nil), z.Of...)
		p.zones = append(p.zones, z)
	}
}

func checkPlaneLength(errs *FieldErrors, path string, l units.Length) {
	switch {
	case l.Sign() <= 0:
		errs.add(path, nil, "must be above 0, but is %s", l)
	case l.Cmp(longestOnPlane) > 0:
		errs.add(path, nil, "must be at most 10 km, but is %s", l)
	}
}
