package detail

import (
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// Point returns where a station of the scope with this index is on its plane, and whether it is on one: on the plane
// of its side, on that of the run's first side where the element spans the sides.
func (r *Report) Point(scope int32, station units.Length) (geom.XY, bool) {
	s := &r.Scopes[scope]
	if s.Ring != nil {
		return s.Ring.At(station), true
	}
	p := &r.Placements[s.Placement]
	return p.Run.At(max(p.Side, 0), station)
}

// points writes where stations of a scope are on its plane, and round a ring their angles in degrees.
func (j *jsonWriter) points(r *Report, scope int32, stations []units.Length) {
	var x, y []units.Length
	for _, at := range stations {
		if p, ok := r.Point(scope, at); ok {
			x, y = append(x, p.X), append(y, p.Y)
		}
	}
	if len(x) == 0 || len(x) < len(stations) {
		return
	}
	j.lengths("x", x)
	j.lengths("y", y)
	if ring := r.Scopes[scope].Ring; ring != nil {
		list(j, "angle", stations, func(at units.Length) { j.string(trimmed(ring.Angle(at).FloatString(3))) })
	}
}

// point writes where a station of a scope is on its plane, under keys that start with a prefix.
func (j *jsonWriter) point(r *Report, scope int32, prefix string, station units.Length) {
	if p, ok := r.Point(scope, station); ok {
		j.length(prefix+"x", p.X)
		j.length(prefix+"y", p.Y)
	}
}

func (j *jsonWriter) xy(name string, p geom.XY) {
	j.key(name)
	j.object(func() {
		j.length("x", p.X)
		j.length("y", p.Y)
	})
}

// onPlane writes where a side of a run stands on its plane.
func (j *jsonWriter) onPlane(on *geom.OnPlane) {
	if on == nil {
		return
	}
	j.text("plane", on.Plane)
	j.xy("start", on.Start)
	j.xy("end", on.End)
	if !on.True.Exact() {
		j.length("length_low", on.True.Low)
		j.length("length_high", on.True.High)
	}
}

// plane writes a plane with its panel schedule.
func (j *jsonWriter) plane(p *geom.Plane) {
	profile, panels := p.Profile()
	j.text("id", p.ID())
	j.text("slope", p.Slope().String())
	j.text("area", j.area(p.Area()))
	j.bool("panels", panels)
	j.length("cover", profile.Cover)
	j.length("rib_width", profile.RibWidth)
	j.length("rib_height", profile.RibHeight)
	list(j, "outline", p.Outline(), func(c geom.Corner) {
		j.object(func() {
			j.length("x", c.X)
			j.length("y", c.Y)
			j.text("edge", c.Edge)
			j.text("id", c.ID)
		})
	})
	j.lengths("ribs", p.Ribs())
	list(j, "penetrations", p.Penetrations(), func(h geom.Penetration) {
		j.object(func() {
			j.text("id", h.ID)
			j.text("kind", h.Kind)
			j.length("x", h.X)
			j.length("y", h.Y)
			if !h.Diameter.IsZero() {
				j.length("diameter", h.Diameter)
			} else {
				j.length("width", h.Width)
				j.length("length", h.Length)
			}
		})
	})
	list(j, "schedule", p.Schedule(), func(c geom.PanelCut) {
		j.object(func() {
			j.int("n", c.N)
			j.int("part", c.Part)
			j.length("from", c.From)
			j.length("to", c.To)
			j.length("longest", c.Longest)
			j.length("shortest", c.Shortest)
			j.length("sheet", c.Sheet)
			j.bool("cut", c.Cut)
			j.text("area", j.area(c.Area))
			list(j, "skews", c.Skews, func(s geom.SkewCut) {
				j.object(func() {
					j.text("side", s.Side)
					j.length("rise", s.Rise)
					j.length("run", s.Run)
				})
			})
		})
	})
}

// area writes an area to the nearest thousandth: of a square foot, or of a square metre with lengths in mm.
func (j *jsonWriter) area(squareTicks *big.Rat) string {
	unit, name := big.NewInt(12*units.TicksPerInch), " sq ft"
	if j.unit == units.MM {
		unit, name = big.NewInt(1000*units.TicksPerMM), " m2"
	}
	unit.Mul(unit, unit)
	area := new(big.Rat).Quo(squareTicks, new(big.Rat).SetInt(unit))
	return trimmed(area.FloatString(3)) + name
}

// trimmed takes the zeros off the end of a decimal.
func trimmed(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
