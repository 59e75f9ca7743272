package geom

import (
	"fmt"

	"github.com/lapwright/lapwright/units"
)

// Check says whether a run is sound, as [NewRun] makes them. At most maxPanels panels on a side; 0 or less means
// [MaxPanels]. The error is a [*FieldErrors] with all that is wrong.
func (r *Run) Check(maxPanels int) error {
	var errs FieldErrors
	r.check(maxPanels, &errs)
	return errs.err()
}

func (r *Run) check(maxPanels int, errs *FieldErrors) {
	errs.Run = r.ID
	if r.ID == "" {
		errs.add("/id", nil, "is missing: each run has an id of its own")
	}
	if r.Edge != RibLine {
		checkKind(errs, "/edge", "edge", r.Edge, EdgeKinds())
	}
	switch {
	case r.Length.Sign() <= 0:
		errs.add("/length", nil, "must be above 0, but is %s", r.Length)
	case r.Length.Cmp(longest) > 0:
		errs.add("/length", nil, "must be at most 500 km, but is %s", r.Length)
	}
	r.checkSides(maxPanels, errs)
	kinds := endKinds()
	for i, path := range [2]string{"/ends/0", "/ends/1"} {
		checkKind(errs, path, "end", r.Ends[i], kinds)
	}
	if len(r.Zones) > MaxStretches {
		errs.add("/zones", nil, "are %d: a run has at most %d", len(r.Zones), MaxStretches)
	}
	if len(r.Obstacles) > MaxStretches {
		errs.add("/obstacles", nil, "are %d: a run has at most %d", len(r.Obstacles), MaxStretches)
		return
	}
	for i, z := range r.Zones {
		path := fmt.Sprintf("/zones/%d", i)
		if z.Kind == "" {
			errs.add(path+"/kind", nil, "is missing: a zone has a kind that the rule book names, such as corner")
		}
		r.checkStretch(errs, path, z.From, z.To)
	}
	r.checkObstacles(errs)
}

// MaxStretches bounds the zones of a run, and its obstacles, each of which is held against each panel.
const MaxStretches = 1000

// longest is far over any roof and far under what a length can hold, so that sums of a few stations never overflow.
var longest = units.MustParse("500000 m")

func (r *Run) checkSides(maxPanels int, errs *FieldErrors) {
	switch {
	case len(r.Sides) == 0:
		errs.add("/sides", nil, "is empty: a run has one side, or two where slopes meet")
		return
	case len(r.Sides) > 2:
		errs.add("/sides", nil, "has %d sides: a run has one, or two where slopes meet", len(r.Sides))
		return
	case len(r.Sides) == 2 && !twoSided(r.Edge):
		errs.add("/sides", nil, "has two sides: only a ridge, hip, valley or transition has")
	}
	if len(r.Sides) == 2 && r.Sides[0].ID == r.Sides[1].ID && r.Sides[0].ID != "" {
		errs.add("/sides/1/id", nil, "%.64q is the id of both sides: each needs its own", r.Sides[1].ID)
	}
	for i := range r.Sides {
		s := &r.Sides[i]
		path := sidePath(r.Sides[0].ID, len(r.Sides), i)
		if len(r.Sides) == 2 && s.ID == "" {
			errs.add(path+"/id", nil, "is missing: each of two sides needs an id of its own")
		}
		r.checkRole(errs, path, i)
		if s.HasPanels {
			checkProfile(errs, path, s.Profile)
			r.checkRibs(errs, path, s, maxPanels)
		} else if len(s.Ribs) > 0 {
			errs.add(path+"/panels", nil, "are missing where ribs are given")
		}
	}
}

func (r *Run) checkRole(errs *FieldErrors, path string, i int) {
	role := r.Sides[i].Role
	path += "/role"
	switch {
	case r.Edge != "transition" || len(r.Sides) != 2:
		if role != "" {
			errs.add(path, nil, "%.64q: only the two sides of a transition have a role", role)
		}
	case role != "upper" && role != "lower":
		errs.add(path, nil, "must be upper or lower on a transition, but is %.64q", role)
	case i == 1 && role == r.Sides[0].Role:
		errs.add(path, nil, "both sides are %s: one is upper, the other lower", role)
	}
}

func checkProfile(errs *FieldErrors, path string, p Profile) {
	path += "/profile"
	if p.Cover.Sign() <= 0 {
		errs.add(path+"/cover", nil, "must be above 0 where there are panels, but is %s", p.Cover)
	} else if p.Cover.Cmp(longest) > 0 {
		errs.add(path+"/cover", nil, "must be at most 500 km, but is %s", p.Cover)
	} else if p.RibWidth.Cmp(p.Cover) >= 0 {
		errs.add(path+"/rib_width", nil, "is %s: a rib is narrower than the cover, %s", p.RibWidth, p.Cover)
	}
	if p.RibWidth.Sign() < 0 {
		errs.add(path+"/rib_width", nil, "must not be negative, but is %s", p.RibWidth)
	}
	if p.RibHeight.Sign() < 0 {
		errs.add(path+"/rib_height", nil, "must not be negative, but is %s", p.RibHeight)
	}
}

func (r *Run) checkRibs(errs *FieldErrors, path string, s *Side, maxPanels int) {
	if n := panelCount(s.Ribs, r.Length); n > int64(limit(maxPanels)) {
		errs.tooMany(path+"/panels/ribs", n, limit(maxPanels))
		return
	}
	if s.Skew != nil && len(s.Skew.Ribs) != len(s.Ribs) {
		errs.add(path+"/skew", nil, "has %d ribs, but the side %d", len(s.Skew.Ribs), len(s.Ribs))
		return
	}
	half := s.reach()
	low, high := half.Neg(), plus(r.Length, half)
	for n, at := range s.Ribs {
		field := func() string { return fmt.Sprintf("%s/panels/ribs/%d", path, n) }
		if n > 0 {
			switch before := s.Ribs[n-1]; at.Cmp(before) {
			case 0:
				errs.add(field(), nil, "repeats the rib at %s: list each station once", at)
			case -1:
				errs.add(field(), nil, "%s comes after %s: list ribs from left to right", at, before)
			}
		}
		if at.Cmp(low) < 0 || at.Cmp(high) > 0 {
			errs.add(field(), nil, "%s is off the run: a rib that touches it stands from %s to %s", at, low, high)
		}
	}
}

func (r *Run) checkObstacles(errs *FieldErrors) {
	seen := make(map[string]int, len(r.Obstacles))
	for i, o := range r.Obstacles {
		path := fmt.Sprintf("/obstacles/%d", i)
		if first, ok := seen[o.ID]; ok && o.ID != "" {
			errs.add(path+"/id", nil, "%.64q is the id of /obstacles/%d too: each needs its own", o.ID, first)
		} else {
			seen[o.ID] = i
		}
		if o.Kind == "" {
			errs.add(path+"/kind", nil, "is missing: say what it is, such as penetration")
		}
		r.checkStretch(errs, path, o.From, o.To)
		if o.Side != "" && !r.hasSide(o.Side) {
			errs.add(path+"/side", nil, "no side has the id %.64q%s", o.Side, suggest(o.Side, r.sideIDs()))
		}
	}
}

func (r *Run) hasSide(id string) bool {
	for i := range r.Sides {
		if r.Sides[i].ID == id {
			return true
		}
	}
	return false
}

func (r *Run) sideIDs() []string {
	var ids []string
	for i := range r.Sides {
		if id := r.Sides[i].ID; id != "" {
			ids = append(ids, id)
		}
	}
	return ids
}

// checkStretch checks one stretch of the run, a zone or an obstacle.
func (r *Run) checkStretch(errs *FieldErrors, path string, from, to units.Length) {
	if from.Sign() < 0 {
		errs.add(path+"/from", nil, "%s is off the run: it starts at 0 in", from)
	}
	if to.Cmp(from) <= 0 {
		errs.add(path+"/to", nil, "%s must be past from, %s", to, from)
	} else if to.Cmp(r.Length) > 0 {
		errs.add(path+"/to", nil, "%s is off the run: it ends at %s", to, r.Length)
	}
}

func checkKind(errs *FieldErrors, path, what, kind string, kinds []string) {
	if kind == "" {
		errs.add(path, nil, "is missing%s", suggest("", kinds))
		return
	}
	for _, k := range kinds {
		if k == kind {
			return
		}
	}
	errs.add(path, nil, "%.64q is no kind of %s%s", kind, what, suggest(kind, kinds))
}

// panelCount is how many panels these ribs make of a run.
func panelCount(ribs []units.Length, length units.Length) int64 {
	n := int64(len(ribs)) + 1
	if len(ribs) > 0 && ribs[0].Sign() <= 0 {
		n--
	}
	if len(ribs) > 0 && ribs[len(ribs)-1].Cmp(length) >= 0 {
		n--
	}
	return n
}

func limit(maxPanels int) int {
	if maxPanels <= 0 {
		return MaxPanels
	}
	return maxPanels
}

// sidePath is where the fields of a side are: the run's own where its only side has no id.
func sidePath(firstID string, sides, i int) string {
	if sides == 1 && firstID == "" {
		return ""
	}
	return fmt.Sprintf("/sides/%d", i)
}
