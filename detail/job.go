package detail

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/detail/internal/strictjson"
	"github.com/lapwright/lapwright/geom"
	"github.com/shopspring/decimal"
)

// A Job is what is built: the edges of a roof, and which details go on them. ReadJob reads one from JSON; a host may
// as well fill one in, its runs made by geom.NewRun. Lay checks either.
type Job struct {
	Name   string
	Runs   []*geom.Run     // edges given by themselves
	Planes []*geom.Plane   // whole planes, whose sides, ribs and penetrations are runs too: geom.NewPlane, geom.Roof
	Uses   []Use           // none: each run takes the one detail for its kind of edge, each plane the one for the field
	Stock  []Leftover      // what is left over from other jobs
	Heat   decimal.Decimal // the difference of temperature that pieces move by, in degrees Fahrenheit; 0: 100
}

// A Use says that a detail goes on some runs, or planes.
type Use struct {
	Place
	Detail string   // its name
	Runs   []string // their ids or those of planes: all that the detail is for there; nil: all that it is for
	Inputs []Input  // each at most once
}

// An Input is the value that a job gives to an input of a detail, as text of the rule language: "3 in", "3:12",
// "5%", "4", or the word of a choice.
type Input struct {
	Place
	Name, Value string
}

// check tells whether the job is sound in itself: what details can go on, or a *JobErrors with all that is wrong.
func (j *Job) check(limits Limits) (*site, error) {
	var errs JobErrors
	ids := make([]string, len(j.Runs))
	sound := Job{Runs: slices.Clone(j.Runs), Planes: j.Planes}
	panels := 0
	for i, run := range j.Runs {
		at := "/runs/" + strconv.Itoa(i)
		if run == nil {
			errs.add(&JobError{Place: Place{Pointer: at}, Msg: "there is no run here"})
			continue
		}
		ids[i] = run.ID
		if err := run.Check(limits.Panels); err != nil {
			sound.Runs[i] = nil
			errs.addFields(at, err, limits)
			continue
		}
		if panels += panelCount(run); panels > limits.Panels {
			errs.addTooManyPanels(at, limits)
			return nil, errs.err()
		}
	}
	at := make([]string, len(j.Planes))
	for i, p := range j.Planes {
		at[i] = "/planes/" + strconv.Itoa(i)
		if p == nil {
			errs.add(&JobError{Place: Place{Pointer: at[i]}, Msg: "there is no plane here"})
			return nil, errs.err()
		}
	}
	if !j.Heat.IsZero() {
		if err := checkHeat(j.Heat); err != nil {
			errs.addf("/heat", nil, "%v", err)
		}
	}
	s := newSite(&sound, ids, at, limits, &errs)
	errs.addUses(s.names, j.Uses)
	return s, errs.err()
}

// copied is the job with runs of its own: a report shares nothing that its caller may change.
func (j *Job) copied() *Job {
	own := *j
	if own.Heat.IsZero() {
		own.Heat = usualHeat
	}
	own.Stock = make([]Leftover, len(j.Stock))
	for i, s := range j.Stock {
		own.Stock[i] = Leftover{Item: s.Item, Length: s.Length, Count: s.Count}
	}
	own.Planes = slices.Clone(j.Planes)
	own.Runs = make([]*geom.Run, len(j.Runs))
	for i, run := range j.Runs {
		if run == nil {
			continue
		}
		r := *run
		r.Sides = slices.Clone(run.Sides)
		for k := range r.Sides {
			r.Sides[k].Ribs = slices.Clone(r.Sides[k].Ribs)
		}
		r.Zones, r.Obstacles = slices.Clone(run.Zones), slices.Clone(run.Obstacles)
		own.Runs[i] = &r
	}
	return &own
}

// panelCount is how many panels a run has on all its sides.
func panelCount(run *geom.Run) (n int) {
	for i := range run.Sides {
		ribs := run.Sides[i].Ribs
		if !run.Sides[i].HasPanels {
			continue
		}
		n += len(ribs) + 1
		if len(ribs) > 0 && ribs[0].Sign() <= 0 {
			n--
		}
		if len(ribs) > 0 && ribs[len(ribs)-1].Cmp(run.Length) >= 0 {
			n--
		}
	}
	return n
}

func (e *JobErrors) addTooManyPanels(at string, limits Limits) {
	err := limitError("panels in the job", "Panels", limits.Panels)
	e.add(&JobError{Place: Place{Pointer: at}, Msg: err.Error(), err: err})
}

// addFields adds what geom found wrong with the run at a pointer.
func (e *JobErrors) addFields(run string, err error, limits Limits) {
	var fields *geom.FieldErrors
	if !errors.As(err, &fields) {
		return
	}
	for _, f := range fields.List {
		if errors.Is(f, geom.ErrTooManyPanels) {
			e.addTooManyPanels(run+f.Path, limits)
		} else {
			e.add(&JobError{Place: Place{Pointer: run + f.Path}, Msg: f.Msg})
		}
	}
	e.More += fields.More
}

// addUses adds what is wrong with the uses of runs and planes with the ids given, in order; nil where not all are known.
func (e *JobErrors) addUses(ids []string, uses []Use) {
	type pair struct{ detail, run string }
	taken := make(map[pair]string)
	for i, use := range uses {
		if use.Detail == "" {
			e.addf("/use/%d/detail", []any{i}, "a use names a detail")
		}
		if use.Runs != nil && len(use.Runs) == 0 {
			e.addf("/use/%d/runs", []any{i}, "a use names at least one run: without the list the detail goes on every run that it is for")
		}
		for k, run := range use.Runs {
			at := fmt.Sprintf("/use/%d/runs/%d", i, k)
			if _, known := slices.BinarySearch(ids, run); !known && ids != nil {
				je := &JobError{Place: Place{Pointer: at}, Msg: fmt.Sprintf("no run or plane has the id %q", run)}
				if len(e.List) < maxJobErrors {
					je.Suggestion = nearest(run, ids)
				}
				e.add(je)
			} else if before, twice := taken[pair{use.Detail, run}]; twice {
				e.addf("%s", []any{at}, "the detail %s goes on the run %q twice: here and by %s", use.Detail, run, before)
			} else {
				taken[pair{use.Detail, run}] = at
			}
		}
		names := make(map[string]bool, len(use.Inputs))
		for _, in := range use.Inputs {
			if names[in.Name] {
				e.addf("/use/%d/inputs/%s", []any{i, strictjson.Escape(in.Name)}, "the input %q is given twice", in.Name)
			}
			names[in.Name] = true
		}
	}
}

func (e *JobErrors) addf(pointer string, at []any, format string, args ...any) {
	e.add(&JobError{Place: Place{Pointer: fmt.Sprintf(pointer, at...)}, Msg: fmt.Sprintf(format, args...)})
}
