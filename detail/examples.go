package detail

import (
	"context"
	"fmt"
	"io/fs"
	"math/big"
	"path"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// An ExampleResult is what came of one worked example of a book.
type ExampleResult struct {
	Example  *rules.ExampleDecl
	Report   *Report // nil where Err is not
	Failures []Failure
	Err      error // the example could not be laid
}

// OK reports whether the example was laid and all its expectations hold.
func (r *ExampleResult) OK() bool { return r.Err == nil && len(r.Failures) == 0 }

// A Failure is an expectation that does not hold.
type Failure struct {
	Expect   *rules.Expect
	Expected string
	Found    string
}

// Examples lays out the worked examples of a book and holds each against what it expects. Job files that examples
// name are read from fsys, next to the rule file; it may be nil where none does.
func Examples(ctx context.Context, fsys fs.FS, book *rules.Book) []ExampleResult {
	var list []ExampleResult
	for _, ex := range book.Examples {
		r := ExampleResult{Example: ex}
		job, err := exampleJob(fsys, ex)
		if err == nil {
			r.Report, err = Lay(ctx, book, job)
		}
		if err != nil {
			r.Err = fmt.Errorf("%s: example %q: %w", place(ex.Pos()), ex.Name, err)
		} else {
			for _, x := range ex.Expects {
				if found, ok := r.Report.meets(x); !ok {
					r.Failures = append(r.Failures, Failure{Expect: x, Expected: r.Report.text(x.Pos()), Found: found})
				}
			}
		}
		list = append(list, r)
	}
	return list
}

// text is the source text of a stretch of the book's files.
func (r *Report) text(s rules.Span) string {
	for _, f := range r.Book.Files {
		if f.Name == s.File {
			return strings.Join(strings.Fields(string(f.Source[s.Start.Offset:s.End.Offset])), " ")
		}
	}
	return ""
}

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
			spec.Obstacles = append(spec.Obstacles, geom.Obstacle{ID: fmt.Sprintf("penetration %d", len(spec.Obstacles)+1), Kind: "penetration", From: size(0), To: size(1)})
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

// meets tells whether an expectation holds, and what was found.
func (r *Report) meets(x *rules.Expect) (found string, ok bool) {
	switch x.What {
	case "none":
		for i := range r.Violations {
			v := &r.Violations[i]
			if v.Severity == "must" {
				return v.Message(units.In), false
			}
		}
		return "no violation", true
	case "violation":
		return r.meetsViolation(x)
	case "takeoff", "stock":
		return r.meetsQuantity(x)
	case "at":
		return r.meetsPositions(x)
	}
	values, err := r.measured(x)
	if err != nil {
		return err.Error(), false
	}
	want, err := rules.Eval(x.Value, noNames{})
	if err != nil {
		return err.Error(), false
	}
	if len(values) == 0 {
		return "none", false
	}
	ok = true
	var texts []string
	for _, v := range values {
		ok = ok && compare(v.Num, x.Op, want.Num)
		texts = append(texts, amount("", v).In(units.In))
	}
	return strings.Join(slices.Compact(texts), ", "), ok
}

// noNames is the env of an expectation: it has none.
type noNames struct{}

func (noNames) Lookup(string) (rules.Value, bool) { return rules.Value{}, false }

func compare(x *big.Rat, op rules.Op, y *big.Rat) bool {
	switch c := x.Cmp(y); op {
	case rules.Less:
		return c < 0
	case rules.AtMost:
		return c <= 0
	case rules.AtLeast:
		return c >= 0
	case rules.Greater:
		return c > 0
	default:
		return c == 0
	}
}

// scopesOf are the scopes of the element that an expectation speaks of.
func (r *Report) scopesOf(x *rules.Expect) []Scope {
	var list []Scope
	for _, sc := range r.Scopes {
		if r.Placements[sc.Placement].Element.Name != x.Of.Text {
			continue
		}
		if x.In == nil || x.In.Text == sc.Kind && x.InN == sc.N {
			list = append(list, sc)
		}
	}
	return list
}

func (r *Report) meetsPositions(x *rules.Expect) (string, bool) {
	var found []string
	var at []*big.Rat
	for _, sc := range r.scopesOf(x) {
		for _, m := range r.Marks[sc.First:min(sc.Last, len(r.Marks))] {
			v := m.At.Ticks()
			if x.In != nil {
				v -= sc.From.Ticks()
			}
			at = append(at, new(big.Rat).SetInt64(v))
			found = append(found, ticks(v).String())
		}
	}
	ok := len(at) == len(x.At)
	for i := range x.At {
		want, err := rules.Eval(x.At[i], noNames{})
		if err != nil {
			return err.Error(), false
		}
		ok = ok && at[i].Cmp(want.Num) == 0
	}
	if found == nil {
		return "no mark", ok
	}
	return strings.Join(found, ", "), ok
}

// measured are the values that an expectation of a count, gap, length or lap compares.
func (r *Report) measured(x *rules.Expect) ([]rules.Value, error) {
	var list []rules.Value
	size := func(t int64) { list = append(list, length(ticks(t))) }
	for _, sc := range r.scopesOf(x) {
		kind := r.Placements[sc.Placement].Element.Kind
		switch {
		case x.What == "count" && x.N != 0:
			return nil, fmt.Errorf("a count is of a whole scope; write `in %s %d`", sc.Kind, x.N)
		case x.What == "count":
			list = append(list, rules.Value{Num: big.NewRat(int64(sc.Last-sc.First), 1)})
		case x.What == "gap" && kind == rules.Row:
			for k := sc.First + 1; k < sc.Last; k++ {
				if x.N != 0 && k-sc.First != x.N {
					continue
				}
				size(r.Marks[k].At.Ticks() - r.Marks[k-1].At.Ticks())
			}
		case kind == rules.Strip:
			for k, s := range r.Strips[sc.First:sc.Last] {
				if x.N != 0 && int(s.N) != x.N {
					continue
				}
				if x.What == "length" {
					size(s.Length.Ticks())
				} else if s.Joint {
					before := r.Strips[sc.First+k-1]
					size(before.To.Ticks() - s.From.Ticks())
				}
			}
		case x.What == "length" && kind == rules.Bead:
			for k, b := range r.Beads[sc.First:sc.Last] {
				if x.N == 0 || k+1 == x.N {
					size(b.Length.Ticks())
				}
			}
		case kind == rules.Pieces:
			for _, p := range r.Pieces[sc.First:sc.Last] {
				if x.N != 0 && int(p.N) != x.N {
					continue
				}
				if x.What == "length" {
					size(p.To.Ticks() - p.From.Ticks())
				} else if p.Joint {
					size(p.Lap.Ticks())
				}
			}
		default:
			return nil, fmt.Errorf("%s has no %s", x.Of.Text, x.What)
		}
	}
	if x.What == "count" && x.In == nil && len(list) > 0 {
		all := new(big.Rat)
		for _, v := range list {
			all.Add(all, v.Num)
		}
		list = []rules.Value{{Num: all}}
	}
	return list, nil
}

func (r *Report) meetsQuantity(x *rules.Expect) (string, bool) {
	want, err := rules.Eval(x.Value, noNames{})
	if err != nil {
		return err.Error(), false
	}
	sum, texts, unit := new(big.Rat), []string(nil), ""
	for _, q := range r.Takeoff {
		if q.Item.Name != x.Of.Text || unit != "" && q.Unit != unit {
			continue
		}
		unit = q.Unit // an item that is counted and cut: as it is counted
		found := q.Net.Rat()
		text := plainDecimal(q.Net) + " " + q.Unit
		switch {
		case x.What == "stock":
			found, text = q.Packs.Rat(), plainDecimal(q.Packs)
		case want.Dim == rules.LengthDim && q.Unit == "in":
			found.Mul(found, new(big.Rat).SetInt64(units.TicksPerInch))
		case want.Dim == rules.LengthDim && q.Unit == "mm":
			found.Mul(found, new(big.Rat).SetInt64(units.TicksPerMM))
		}
		sum.Add(sum, found)
		texts = append(texts, text)
	}
	if texts == nil {
		texts = []string{"none"}
	}
	return strings.Join(texts, " and "), compare(sum, x.Op, want.Num)
}

func (r *Report) meetsViolation(x *rules.Expect) (string, bool) {
	var found []string
	for i := range r.Violations {
		v := &r.Violations[i]
		if v.Element == x.Of.Text && (x.Measure == "" || v.Measure == x.Measure) && (x.In == nil || v.Scope == ScopeRef{x.In.Text, x.InN}) {
			return v.Message(units.In), true
		}
		found = append(found, v.Message(units.In))
	}
	if found == nil {
		return "no violation", false
	}
	return strings.Join(found, "; "), false
}
