package detail

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// The edges of the runs that a detail for the field goes on, besides geom.RibLine: the plane as a whole, which its
// requirements are held against, and a penetration.
const (
	fieldEdge       = "field"
	penetrationEdge = "penetration"
)

// A site is what a job's details can go on.
type site struct {
	edges  []*geom.Run // the job's own runs, then those of the sides and curbs of its planes
	fields []field
	planes map[string]*geom.Plane
	byID   map[string]*geom.Run // all runs, those of fields too; under a plane's id the plane as a whole
	names  []string             // their ids in order; nil where not all of them are known
	at     map[string]string    // by a run's id, the pointer to what describes it
}

// A field is a plane without its edges: the plane as a whole, its rib lines, its penetrations.
type field struct {
	plane *geom.Plane
	runs  []*geom.Run
}

// newSite finds the runs of a job's planes, of which at says where each is described; ids are those of the job's own
// runs, which are nil where they are not sound, "" where one could not be read. What is wrong is added to errs.
func newSite(job *Job, ids, at []string, limits Limits, errs *JobErrors) *site {
	s := &site{byID: map[string]*geom.Run{}, planes: map[string]*geom.Plane{}, at: map[string]string{}}
	add := func(id string, run *geom.Run, pointer, key string) {
		if before, twice := s.at[id]; twice {
			errs.add(&JobError{Place: Place{Pointer: pointer + key}, Msg: fmt.Sprintf("two runs have the id %q: this one and %s", id, before)})
			return
		}
		s.at[id], s.byID[id] = pointer, run
	}
	panels := 0
	for i, run := range job.Runs {
		if ids[i] != "" {
			add(ids[i], run, "/runs/"+strconv.Itoa(i), "/id")
		}
		if run != nil {
			s.edges = append(s.edges, run)
			panels += panelCount(run)
		}
	}
	planes := map[string]string{}
	for i, p := range job.Planes {
		if before, twice := planes[p.ID()]; twice {
			errs.add(&JobError{Place: Place{Pointer: at[i] + "/id"}, Msg: fmt.Sprintf("%q is the id of two planes: this one and %s", p.ID(), before)})
			return s
		}
		planes[p.ID()], s.planes[p.ID()] = at[i], p
		if panels += len(p.Ribs()) + 1; panels > limits.Panels {
			errs.addTooManyPanels(at[i], limits)
			return s
		}
	}
	edges, err := geom.Runs(job.Planes...)
	if err != nil {
		errs.addPlane(planes, err, limits)
		return s
	}
	for _, run := range edges {
		s.edges = append(s.edges, run)
		add(run.ID, run, planes[run.Sides[0].On.Plane], "")
		panels += panelCount(run)
	}
	for i, p := range job.Planes {
		f, err := newField(p)
		if err != nil {
			errs.addPlane(planes, err, limits)
			return s
		}
		for _, run := range f.runs {
			add(run.ID, run, at[i], "")
		}
		if panels += len(f.runs); panels > limits.Panels {
			errs.addTooManyPanels(at[i], limits)
			return s
		}
		s.fields = append(s.fields, f)
	}
	s.names = slices.Sorted(maps.Keys(s.byID))
	return s
}

// addPlane adds what geom found wrong with planes, each known by its id, at the places of their descriptions.
func (e *JobErrors) addPlane(at map[string]string, err error, limits Limits) {
	var fields *geom.FieldErrors
	if errors.As(err, &fields) {
		e.addFields(at[fields.Plane], err, limits)
	}
}

// newField makes the runs that details for the field go on.
func newField(p *geom.Plane) (field, error) {
	f := field{plane: p, runs: []*geom.Run{asRun(p)}}
	ribs, err := p.RibRuns()
	if err != nil {
		return f, err
	}
	f.runs = append(f.runs, ribs...)
	for i, h := range p.Penetrations() {
		run, err := penetrationRun(p, &h)
		if err != nil {
			return f, err
		}
		run.Sides[0].On.N = i + 1
		f.runs = append(f.runs, run)
	}
	return f, nil
}

// asRun is the plane as a whole, seen along the eave from its leftmost point to its rightmost.
func asRun(p *geom.Plane) *geom.Run {
	outline := p.Outline()
	left := slices.MinFunc(outline, byX).X
	right := slices.MaxFunc(outline, byX).X
	s := geom.Side{Slope: p.Slope()}
	s.Profile, s.HasPanels = p.Profile()
	for _, x := range p.Ribs() {
		s.Ribs = append(s.Ribs, ticks(x.Ticks()-left.Ticks()))
	}
	return &geom.Run{
		ID: p.ID(), Edge: fieldEdge, Length: ticks(right.Ticks() - left.Ticks()),
		Sides: []geom.Side{s}, Ends: [2]string{"open", "open"},
	}
}

func byX(a, b geom.Corner) int { return a.X.Cmp(b.X) }

// penetrationRun is a penetration as a run: as long as its outline; stations at it are counted up the slope from its
// middle.
func penetrationRun(p *geom.Plane, h *geom.Penetration) (*geom.Run, error) {
	ring, err := p.Ring(h.ID, units.Length{})
	if err != nil {
		return nil, err
	}
	length := ring.Length.High
	up := geom.XY{X: ring.Centre.X, Y: ticks(ring.Centre.Y.Ticks() + length.Ticks())}
	side := geom.Side{Slope: p.Slope(), On: &geom.OnPlane{Plane: p.ID(), Start: ring.Centre, End: up, True: ring.Length}}
	side.Profile, _ = p.Profile()
	run := &geom.Run{ID: ring.ID, Edge: penetrationEdge, Length: length, Sides: []geom.Side{side}, Ends: [2]string{"open", "open"}}
	for _, kind := range ring.Zones {
		run.Zones = append(run.Zones, geom.Zone{Kind: kind, To: length})
	}
	return run, nil
}

// of are the edges of a plane, of some kinds.
func (s *site) of(plane string, kinds []string) (runs []*geom.Run) {
	for _, r := range s.edges {
		on := func(side geom.Side) bool { return side.On != nil && side.On.Plane == plane }
		if slices.Contains(kinds, r.Edge) && slices.ContainsFunc(r.Sides, on) {
			runs = append(runs, r)
		}
	}
	return runs
}

// plane is the plane whose field a run is of, and the penetration that the run is, if it is one.
func (s *site) plane(r *geom.Run) (*geom.Plane, *geom.Penetration) {
	p := s.planes[planeOf(r)]
	if r.Edge != penetrationEdge {
		return p, nil
	}
	return p, &p.Penetrations()[r.Sides[0].On.N-1]
}

// laid are the runs of a report: all edges, and what details for the field go on.
func (s *site) laid(bindings []*binding) []*geom.Run {
	taken := map[*geom.Run]bool{}
	for _, b := range bindings {
		taken[b.run] = true
	}
	runs := slices.Clone(s.edges)
	for _, f := range s.fields {
		for _, r := range f.runs {
			if taken[r] {
				runs = append(runs, r)
			}
		}
	}
	return runs
}

// isField tells whether a run is one that details for the field go on.
func isField(r *geom.Run) bool {
	return r.Edge == fieldEdge || r.Edge == geom.RibLine || r.Edge == penetrationEdge
}
