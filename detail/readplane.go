package detail

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail/internal/strictjson"
	"github.com/lapwright/lapwright/geom"
)

// planes reads the planes and roofs of a job, and says for each plane where it is described.
func (r *jobReader) planes(job *Job, planes, roofs []strictjson.Value, base roof) (at []string) {
	panels := 0
	keep := func(made []*geom.Plane, pointer string) {
		for _, p := range made {
			job.Planes, at = append(job.Planes, p), append(at, pointer)
			panels += len(p.Ribs()) + 1
		}
		if panels > r.limits.Panels {
			r.errs.addTooManyPanels(pointer, r.limits)
		}
	}
	for i, v := range planes {
		if before := r.count(); panels <= r.limits.Panels {
			pointer := "/planes/" + strconv.Itoa(i)
			spec := r.plane(v, base)
			if r.count() > before {
				continue
			}
			p, err := geom.NewPlane(spec, r.limits.Panels)
			if err != nil {
				r.errs.addFields(pointer, err, r.limits)
				continue
			}
			keep([]*geom.Plane{p}, pointer)
		}
	}
	for i, v := range roofs {
		if before := r.count(); panels <= r.limits.Panels {
			pointer := "/roofs/" + strconv.Itoa(i)
			spec, holes := r.shape(v, base)
			if r.count() > before {
				continue
			}
			made, err := geom.Roof(spec, r.limits.Panels)
			if err != nil {
				r.errs.addFields(pointer, holes.place(err, spec.ID), r.limits)
				continue
			}
			keep(made, pointer)
		}
	}
	return at
}

func (r *jobReader) plane(v strictjson.Value, own roof) geom.PlaneSpec {
	var spec geom.PlaneSpec
	keys := r.roof(&own)
	maps.Copy(keys, fields{
		"id":           func(v strictjson.Value) { spec.ID = r.name(v, "a plane's id") },
		"outline":      func(v strictjson.Value) { spec.Outline = r.outline(v) },
		"zones":        func(v strictjson.Value) { spec.Zones = r.planeZones(v) },
		"penetrations": func(v strictjson.Value) { spec.Penetrations = r.penetrations(v) },
	})
	r.object(v, "a plane", keys, "id", "slope", "outline")
	side := own.side()
	spec.Slope, spec.Panels = side.Slope, side.Panels
	return spec
}

// tooMany refuses a list by how long it is, before its items are read.
func (r *jobReader) tooMany(v strictjson.Value, what string, most int) bool {
	if v.Kind() != strictjson.Array || v.Len() <= most {
		return false
	}
	r.fault(v, "%d %s are over the limit of %d", v.Len(), what, most)
	return true
}

func (r *jobReader) outline(v strictjson.Value) (corners []geom.Corner) {
	if r.tooMany(v, "points of an outline", geom.MaxCorners) {
		return nil
	}
	r.list(v, "an outline's points", func(_ int, v strictjson.Value) {
		var c geom.Corner
		r.object(v, "a point of an outline", fields{
			"x":    func(v strictjson.Value) { c.X = r.length(v, "a point's x") },
			"y":    func(v strictjson.Value) { c.Y = r.length(v, "a point's y") },
			"edge": func(v strictjson.Value) { c.Edge = r.name(v, "the kind of a side") },
			"id":   func(v strictjson.Value) { c.ID = r.name(v, "a side's id") },
		}, "x", "y", "edge")
		corners = append(corners, c)
	})
	return corners
}

func (r *jobReader) planeZones(v strictjson.Value) (zones []geom.PlaneZone) {
	r.list(v, "zones", func(_ int, v strictjson.Value) {
		var z geom.PlaneZone
		r.object(v, "a zone of a plane", fields{
			"kind":    func(v strictjson.Value) { z.Kind = r.name(v, "a zone's kind") },
			"within":  func(v strictjson.Value) { z.Within = r.length(v, "a zone's width") },
			"corners": func(v strictjson.Value) { z.Corners = r.truth(v, "corners") },
			"of": func(v strictjson.Value) {
				r.list(v, "the kinds of edge along a zone", func(_ int, v strictjson.Value) { z.Of = append(z.Of, r.name(v, "a kind of edge")) })
			},
		}, "kind", "within", "of")
		zones = append(zones, z)
	})
	return zones
}

func (r *jobReader) truth(v strictjson.Value, what string) bool {
	if v.Kind() != strictjson.True && v.Kind() != strictjson.False {
		r.fault(v, "%s is true or false, but here is %s", what, v.Kind())
	}
	return v.Kind() == strictjson.True
}

func (r *jobReader) penetrations(v strictjson.Value) (list []geom.Penetration) {
	if r.tooMany(v, "penetrations", geom.MaxPenetrations) {
		return nil
	}
	r.list(v, "penetrations", func(_ int, v strictjson.Value) {
		h := geom.Penetration{}
		r.penetration(v, &h, fields{})
		list = append(list, h)
	})
	return list
}

// penetration reads a penetration; more are the keys that it has besides its own.
func (r *jobReader) penetration(v strictjson.Value, h *geom.Penetration, more fields, needed ...string) {
	keys := fields{
		"id":       func(v strictjson.Value) { h.ID = r.name(v, "a penetration's id") },
		"kind":     func(v strictjson.Value) { h.Kind = r.name(v, "a penetration's kind") },
		"x":        func(v strictjson.Value) { h.X = r.length(v, "a penetration's x") },
		"y":        func(v strictjson.Value) { h.Y = r.length(v, "a penetration's y") },
		"diameter": func(v strictjson.Value) { h.Diameter = r.length(v, "a diameter") },
		"width":    func(v strictjson.Value) { h.Width = r.length(v, "a width") },
		"length":   func(v strictjson.Value) { h.Length = r.length(v, "a length up the slope") },
	}
	maps.Copy(keys, more)
	r.object(v, "a penetration", keys, append(needed, "id", "kind", "x", "y")...)
}

// roofHoles are where the penetrations of each of a roof's planes stand in the roof's list.
type roofHoles map[string][]int

// shape reads a roof that is described by its plan.
func (r *jobReader) shape(v strictjson.Value, own roof) (geom.RoofSpec, roofHoles) {
	var spec geom.RoofSpec
	holes := roofHoles{}
	keys := r.roof(&own)
	maps.Copy(keys, fields{
		"id":        func(v strictjson.Value) { spec.ID = r.name(v, "a roof's id") },
		"shape":     func(v strictjson.Value) { spec.Shape = r.name(v, "a roof's shape") },
		"length":    func(v strictjson.Value) { spec.Length = r.length(v, "a roof's length") },
		"width":     func(v strictjson.Value) { spec.Width = r.length(v, "a roof's width") },
		"end_slope": func(v strictjson.Value) { spec.EndSlope = r.slope(v, "a slope") },
		"overhang":  func(v strictjson.Value) { spec.Overhang = r.length(v, "an overhang") },
		"rake_overhang": func(v strictjson.Value) {
			l := r.length(v, "an overhang")
			spec.RakeOverhang = &l
		},
		"wing":  func(v strictjson.Value) { spec.Wing = r.wing(v) },
		"zones": func(v strictjson.Value) { spec.Zones = r.planeZones(v) },
		"penetrations": func(v strictjson.Value) {
			spec.Penetrations = map[string][]geom.Penetration{}
			if r.tooMany(v, "penetrations", 4*geom.MaxPenetrations) { // a roof has up to four planes
				return
			}
			r.list(v, "penetrations", func(i int, v strictjson.Value) {
				var h geom.Penetration
				plane := ""
				r.penetration(v, &h, fields{"plane": func(v strictjson.Value) { plane = r.name(v, "a plane of the roof") }})
				spec.Penetrations[plane], holes[plane] = append(spec.Penetrations[plane], h), append(holes[plane], i)
			})
		},
	})
	r.object(v, "a roof", keys, "id", "shape", "length", "width", "slope")
	side := own.side()
	spec.Slope, spec.Panels = side.Slope, side.Panels
	return spec, holes
}

func (r *jobReader) wing(v strictjson.Value) *geom.Wing {
	var w geom.Wing
	r.object(v, "a wing", fields{
		"from":   func(v strictjson.Value) { w.From = r.length(v, "where a wing starts") },
		"width":  func(v strictjson.Value) { w.Width = r.length(v, "a wing's width") },
		"length": func(v strictjson.Value) { w.Length = r.length(v, "a wing's length") },
		"slope":  func(v strictjson.Value) { w.Slope = r.slope(v, "a slope") },
	}, "from", "width", "length")
	return &w
}

// place gives what is wrong with a plane's penetration its place in the roof's list.
func (holes roofHoles) place(err error, roof string) error {
	var fields *geom.FieldErrors
	if !errors.As(err, &fields) {
		return err
	}
	of := holes[strings.TrimPrefix(strings.TrimPrefix(fields.Plane, roof), " ")]
	out := *fields
	out.List = nil
	for _, f := range fields.List {
		own := *f
		if rest, ok := strings.CutPrefix(f.Path, "/penetrations/"); ok {
			number, key, _ := strings.Cut(rest, "/")
			if n, err := strconv.Atoi(number); err == nil && n < len(of) {
				own.Path = strings.TrimSuffix(fmt.Sprintf("/penetrations/%d/%s", of[n], key), "/")
			}
		}
		out.List = append(out.List, &own)
	}
	slices.SortStableFunc(out.List, func(a, b *geom.FieldError) int { return cmp.Compare(a.Path, b.Path) })
	return &out
}
