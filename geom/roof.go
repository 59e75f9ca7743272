package geom

import (
	"maps"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/units"
)

// roofShapes are the shapes that [Roof] makes planes of.
func roofShapes() []string { return []string{"single", "gable", "hip", "gable-valley"} }

// RoofSpec describes a roof by its plan: all lengths are level, as on a drawing.
type RoofSpec struct {
	ID     string
	Shape  string       // single, gable, hip or gable-valley
	Length units.Length // of the building along the eaves (hip: of the front), without overhangs
	Width  units.Length // of the building square to that, without overhangs

	Slope    units.Slope
	EndSlope units.Slope // of a hip's ends; 0: the same
	Overhang units.Length
	// RakeOverhang is the overhang at rakes; nil: the same as at eaves.
	RakeOverhang *units.Length
	Wing         *Wing // gable-valley only

	Panels *Panels     // of each plane, from its left
	Zones  []PlaneZone // of each plane

	// Penetrations are those of each plane by its name without the roof's id: front, or "" on a single one.
	Penetrations map[string][]Penetration
}

// Wing is a gable that stands out from the front of another, with its eaves on one level with the other's and its ridge
// below the other's.
type Wing struct {
	From   units.Length // from the building's left corner to the wing's, along the front
	Width  units.Length // of the wing along the front, without overhangs
	Length units.Length // how far it stands out from the front, without overhangs
	Slope  units.Slope  // 0: the same as the roof's
}

// Roof makes the planes of a roof, with true lengths. Lengths up the slope are rounded up to a tick of 1e-9 mm, once.
// At most maxPanels panels to a plane; 0 or less means [MaxPanels]. The error is a [*FieldErrors].
//
// Eaves are on one level, in a rectangle as large as the building and its overhangs.
//
//   - single, from its low eave: one plane with the roof's id, an eave, a peak and two rakes.
//   - gable: the planes front and back (their ids are the roof's and these: shed front), which meet in a ridge.
//   - hip: front, right, back, left. The front and back meet the ends in the hips hip front-left and so on. A ridge of
//     no length leaves a pyramid.
//   - gable-valley: front, back, and wing left and wing right, as one sees the wing from its gable, which meet the
//     front in valley left and valley right, and each other in wing ridge.
//
// Front and back are as for one who stands before the front, its left on his left. Each plane has its left end as seen
// from its own eave.
func Roof(spec RoofSpec, maxPanels int) ([]*Plane, error) {
	r := roof{spec: spec, errs: FieldErrors{Roof: spec.ID}, maxPanels: maxPanels}
	r.check()
	if err := r.errs.err(); err != nil {
		return nil, err
	}
	switch spec.Shape {
	case "single":
		r.single()
	case "gable":
		r.gable()
	case "hip":
		r.hip()
	case "gable-valley":
		r.gableValley()
	}
	for _, name := range slices.Sorted(maps.Keys(spec.Penetrations)) {
		if len(r.errs.List) == 0 && !slices.Contains(r.names, name) {
			r.errs.add("/penetrations", nil, "name the plane %.64q, but the roof has %q", name, r.names)
		}
	}
	if r.err == nil {
		r.err = r.errs.err()
	}
	if r.err != nil {
		return nil, r.err
	}
	return r.planes, nil
}

type roof struct {
	spec      RoofSpec
	maxPanels int
	errs      FieldErrors
	err       error // the first of a plane
	planes    []*Plane
	names     []string

	// The rectangle of the eaves and rakes in plan, in ticks, and the rakes' overhang.
	length, width, rake int64
}

func (r *roof) check() {
	s := &r.spec
	if s.ID == "" {
		r.errs.add("/id", nil, "is missing: each roof has an id of its own")
	}
	if checkKind(&r.errs, "/shape", "roof", s.Shape, roofShapes()); len(r.errs.List) > 0 {
		return
	}
	checkSize(&r.errs, "/length", s.Length, false)
	checkSize(&r.errs, "/width", s.Width, false)
	checkSize(&r.errs, "/overhang", s.Overhang, true)
	checkSlope(&r.errs, "/slope", s.Slope, s.Shape == "single")
	rake := s.Overhang
	if s.RakeOverhang != nil {
		rake = *s.RakeOverhang
		checkSize(&r.errs, "/rake_overhang", rake, true)
	}
	if s.EndSlope.Rat().Sign() != 0 {
		if s.Shape != "hip" {
			r.errs.add("/end_slope", nil, "only a hip roof has it")
		}
		checkSlope(&r.errs, "/end_slope", s.EndSlope, false)
	}
	switch w := s.Wing; {
	case w == nil && s.Shape == "gable-valley":
		r.errs.add("/wing", nil, "is missing: say where it stands and how wide and long it is")
	case w != nil && s.Shape != "gable-valley":
		r.errs.add("/wing", nil, "only a gable-valley roof has one")
	case w != nil:
		checkSize(&r.errs, "/wing/from", w.From, true)
		checkSize(&r.errs, "/wing/width", w.Width, false)
		checkSize(&r.errs, "/wing/length", w.Length, false)
		if w.Slope.Rat().Sign() != 0 {
			checkSlope(&r.errs, "/wing/slope", w.Slope, false)
		}
	}
	r.rake = rake.Ticks()
	if s.Shape == "hip" {
		r.rake = s.Overhang.Ticks()
	}
	r.length = s.Length.Ticks() + 2*r.rake
	r.width = s.Width.Ticks() + 2*s.Overhang.Ticks()
}

// checkSize holds a plan length to 1 km, so that what is steep stays on a plane.
func checkSize(errs *FieldErrors, path string, l units.Length, zero bool) {
	switch {
	case l.Cmp(longestInPlan) > 0:
		errs.add(path, nil, "must be at most 1 km, but is %s", l)
	case l.Sign() < 0:
		errs.add(path, nil, "must not be negative, but is %s", l)
	case l.IsZero() && !zero:
		errs.add(path, nil, "must be above 0")
	}
}

var longestInPlan = units.MustParse("1000 m")

func checkSlope(errs *FieldErrors, path string, s units.Slope, flat bool) {
	rise := s.Rat()
	switch {
	case rise.Sign() == 0 && !flat:
		errs.add(path, nil, "must be above 0:12")
	case rise.Cmp(big.NewRat(5, 1)) > 0:
		errs.add(path, nil, "is %s: a roof is at most 60:12", s)
	case rise.Sign() != 0 && rise.Cmp(big.NewRat(1, 1000)) < 0:
		errs.add(path, nil, "is %s: a slope under 1:1000 is flat", s)
	}
}

// up is how long a way straight up a slope is.
func up(plan int64, slope units.Slope) int64 {
	b, _ := Slant(ticks(plan), slope) // a checked roof is within bounds
	return b.High.Ticks()
}

func half(n int64) int64 { return n/2 + n%2 }

// run is how far in plan one slope goes until it is as high as another after a plan length, rounded up.
func run(plan int64, other, slope units.Slope) int64 {
	way := new(big.Rat).Mul(ticks(plan).Rat(), other.Rat())
	l, err := units.FromRat(way.Quo(way, slope.Rat()), units.Up)
	if err != nil {
		return longestOnPlane.Ticks()
	}
	return l.Ticks()
}

// corner is a point of an outline in ticks, with the side that starts there.
type corner struct {
	x, y     int64
	edge, id string
}

func (r *roof) add(name string, slope units.Slope, corners ...corner) {
	id := r.spec.ID
	if name != "" {
		id += " " + name
	}
	spec := PlaneSpec{ID: id, Roof: r.spec.ID, Slope: slope, Panels: r.spec.Panels, Zones: r.spec.Zones, Penetrations: r.spec.Penetrations[name]}
	for _, c := range corners {
		spec.Outline = append(spec.Outline, Corner{ticks(c.x), ticks(c.y), c.edge, c.id})
	}
	p, err := NewPlane(spec, r.maxPanels)
	if r.err == nil {
		r.err = err
	}
	r.planes, r.names = append(r.planes, p), append(r.names, name)
}

func (r *roof) single() {
	h := up(r.width, r.spec.Slope)
	r.add("", r.spec.Slope,
		corner{0, 0, "eave", "eave"},
		corner{r.length, 0, "rake", "rake right"},
		corner{r.length, h, "peak", "peak"},
		corner{0, h, "rake", "rake left"})
}

func (r *roof) gable() {
	h := up(half(r.width), r.spec.Slope)
	for _, name := range []string{"front", "back"} {
		r.add(name, r.spec.Slope,
			corner{0, 0, "eave", "eave"},
			corner{r.length, 0, "rake", "rake right"},
			corner{r.length, h, "ridge", "ridge"},
			corner{0, h, "rake", "rake left"})
	}
}

func (r *roof) hip() {
	slope, ends := r.spec.Slope, r.spec.EndSlope
	if ends.Rat().Sign() == 0 {
		ends = slope
	}
	middle := half(r.width)
	in := run(middle, slope, ends) // where the hips end, from the ends' eaves
	ridge := r.length - 2*in
	if ridge < 0 && ridge >= -2 { // an odd tick
		in, ridge = r.length/2, 0
	}
	if ridge < 0 {
		r.errs.add("/length", nil, "is too short for the hips of these slopes, which take %s: exchange length and width, or make the ends steeper", ticks(2*in-2*r.rake))
		return
	}
	h, e := up(middle, slope), up(in, ends)
	long := func(name, left, right string) {
		corners := []corner{
			{0, 0, "eave", "eave"},
			{r.length, 0, "hip", right},
			{r.length - in, h, "ridge", "ridge"},
			{in, h, "hip", left},
		}
		if ridge == 0 {
			corners = append(corners[:2], corners[3])
		}
		r.add(name, slope, corners...)
	}
	short := func(name, left, right string) {
		r.add(name, ends,
			corner{0, 0, "eave", "eave"},
			corner{r.width, 0, "hip", right},
			corner{middle, e, "hip", left})
	}
	long("front", "hip front-left", "hip front-right")
	short("right", "hip front-right", "hip back-right")
	long("back", "hip back-right", "hip back-left")
	short("left", "hip back-left", "hip front-left")
}

func (r *roof) gableValley() {
	w, slope := r.spec.Wing, r.spec.Slope
	wingSlope := w.Slope
	if wingSlope.Rat().Sign() == 0 {
		wingSlope = slope
	}
	eave := r.spec.Overhang.Ticks()
	width := w.Width.Ticks() + 2*eave
	from := r.rake + w.From.Ticks() - eave
	out := w.Length.Ticks() + r.rake - eave // of the wing's eave from the front's
	middle := half(width)
	back := run(middle, wingSlope, slope) // of the wing's ridge from the front's eave
	switch {
	case from <= 0:
		r.errs.add("/wing/from", nil, "leaves no eave to the left of the wing: it must be above %s", ticks(eave-r.rake))
	case from+width >= r.length:
		r.errs.add("/wing/width", nil, "leaves no eave to the right of the wing: it must be under %s", ticks(r.length-from-2*eave))
	case out <= 0:
		r.errs.add("/wing/length", nil, "leaves the wing no eave: it must be above %s", ticks(eave-r.rake))
	case back >= half(r.width):
		r.errs.add("/wing", nil, "its ridge reaches the main ridge: make it narrower or flatter")
	}
	if len(r.errs.List) > 0 {
		return
	}
	h, valley, wing := up(half(r.width), slope), up(back, slope), up(middle, wingSlope)
	r.add("front", slope,
		corner{0, 0, "eave", "eave left"},
		corner{from, 0, "valley", "valley left"},
		corner{from + middle, valley, "valley", "valley right"},
		corner{from + width, 0, "eave", "eave right"},
		corner{r.length, 0, "rake", "rake right"},
		corner{r.length, h, "ridge", "ridge"},
		corner{0, h, "rake", "rake left"})
	r.add("back", slope,
		corner{0, 0, "eave", "eave"},
		corner{r.length, 0, "rake", "rake right"},
		corner{r.length, h, "ridge", "ridge"},
		corner{0, h, "rake", "rake left"})
	r.add("wing left", wingSlope,
		corner{0, 0, "eave", "eave"},
		corner{out, 0, "rake", "rake"},
		corner{out, wing, "ridge", "wing ridge"},
		corner{-back, wing, "valley", "valley left"})
	r.add("wing right", wingSlope,
		corner{0, 0, "eave", "eave"},
		corner{out, 0, "valley", "valley right"},
		corner{out + back, wing, "ridge", "wing ridge"},
		corner{0, wing, "rake", "rake"})
}
