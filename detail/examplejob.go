package detail

import (
	"fmt"
	"io/fs"
	"path"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// exampleJob makes the job that an example describes: a run by itself, or a job's file with the example's uses.
func exampleJob(fsys fs.FS, ex *rules.ExampleDecl) (*Job, error) {
	if ex.On == nil {
		return nil, fmt.Errorf("nothing is said to lay it on; write `on edge … length …`")
	}
	job := &Job{Name: ex.Name}
	if ex.On.Job != "" {
		if fsys == nil {
			return nil, fmt.Errorf("job %q can't be read: no files were given", ex.On.Job)
		}
		f, err := fsys.Open(path.Join(path.Dir(ex.Pos().File), ex.On.Job))
		if err != nil {
			return nil, err
		}
		defer f.Close()
		if job, err = ReadJob(f); err != nil {
			return nil, err
		}
		job.Uses = nil
	} else {
		run, err := exampleRun(ex.On)
		if err != nil {
			return nil, err
		}
		job.Runs = []*geom.Run{run}
	}
	for _, l := range ex.Lay {
		use := Use{Detail: l.Detail.Text}
		for _, w := range l.With {
			use.Inputs = append(use.Inputs, Input{Name: w.Name.Text, Value: literalText(w.Value)})
		}
		job.Uses = append(job.Uses, use)
	}
	return job, nil
}

// literalText writes a literal, or a word of a choice, as a job would.
func literalText(e rules.Expr) string {
	switch e := e.(type) {
	case *rules.Literal:
		return e.Text
	case *rules.Ref:
		return e.Name
	case *rules.Unary:
		return e.Op + literalText(e.X)
	}
	return ""
}

// exampleRun makes the run that an example describes by its parts. Panels start with a whole one unless it says
// `first`.
func exampleRun(on *rules.On) (*geom.Run, error) {
	spec := geom.Spec{ID: "run", Edge: on.Edge.Text}
	side := geom.SideSpec{}
	panels := geom.Panels{}
	for _, p := range on.Parts {
		var err error
		size := func(i int) (l units.Length) {
			if err == nil {
				l, err = units.FromRat(p.Values[i].Value.Num, units.Exact)
			}
			return l
		}
		switch p.Key {
		case "length":
			spec.Length = size(0)
		case "slope":
			side.Slope, err = units.SlopeFromRat(p.Values[0].Value.Num)
		case "panels":
			panels.Profile.Cover = size(0)
			side.Panels = &panels
		case "first":
			panels.First = size(0)
		case "rib":
			panels.Profile.RibWidth, panels.Profile.RibHeight = size(0), size(1)
		case "ends":
			for i := range min(2, len(p.Words)) {
				spec.Ends[i] = p.Words[i].Text
			}
		case "zone":
			spec.Zones = append(spec.Zones, geom.Zone{Kind: p.Word.Text, From: size(0), To: size(1)})
		case "penetration":
			id := fmt.Sprintf("penetration %d", len(spec.Obstacles)+1)
			spec.Obstacles = append(spec.Obstacles, geom.Obstacle{ID: id, Kind: "penetration", From: size(0), To: size(1)})
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", place(p.Pos()), err)
		}
	}
	if panels.First.IsZero() {
		panels.First = panels.Profile.Cover
	}
	spec.Sides = []geom.SideSpec{side}
	return geom.NewRun(spec, 0)
}
