package detail

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// bind decides which details go on which runs, with which inputs. Edges that take none are bare. The job has been
// checked.
func bind(book *rules.Book, job *Job, on *site) (bindings []*binding, bare []string, err error) {
	b := &binder{book: book, site: on, laid: map[pair]bool{}}
	if len(job.Uses) == 0 {
		b.byKind()
	} else {
		for i, u := range job.Uses {
			if u.Pointer == "" { // a job built in Go
				u.Pointer = fmt.Sprintf("/use/%d", i)
			}
			b.use(u)
		}
	}
	checkStock(book, job.Stock, &b.errs)
	taken := map[*geom.Run]bool{}
	for _, b := range b.list {
		taken[b.run] = true
	}
	for _, r := range on.edges {
		if !taken[r] {
			bare = append(bare, r.ID)
		}
	}
	return b.list, bare, b.errs.err()
}

// A binder gathers which details go on which runs.
type binder struct {
	book *rules.Book
	site *site
	laid map[pair]bool
	list []*binding
	errs JobErrors
}

type pair struct {
	detail *rules.Detail
	run    *geom.Run
}

// byKind gives each edge the one detail that is `for` its kind, and each plane the one for the field.
func (b *binder) byKind() {
	for _, r := range b.site.edges {
		at := Place{Pointer: b.site.at[r.ID]}
		if r.Sides[0].On == nil {
			at = at.child("edge")
		}
		if d := b.only(r.Edge, "run", r.ID, at); d != nil {
			b.add(d, []*geom.Run{r}, nil, at, at)
		}
	}
	for _, f := range b.site.fields {
		at := Place{Pointer: b.site.at[f.plane.ID()]}
		if d := b.only(fieldEdge, "plane", f.plane.ID(), at); d != nil {
			b.add(d, f.runs, nil, at, at)
		}
	}
}

// only is the one detail for a kind, or nil: two are an error.
func (b *binder) only(kind, what, id string, at Place) *rules.Detail {
	var fit []*rules.Detail
	var names []string
	for _, d := range b.book.Details {
		if slices.Contains(d.For, kind) {
			fit, names = append(fit, d), append(names, d.Name)
		}
	}
	switch len(fit) {
	case 0:
		return nil
	case 1:
		return fit[0]
	}
	if kind == fieldEdge {
		kind = "the field"
	}
	b.errs.add(&JobError{Place: at, Msg: fmt.Sprintf("%s %q: more than one detail is for %s: %s; say in \"use\" which one to lay", what, id, kind, strings.Join(names, ", "))})
	return nil
}

// use gives runs and planes the detail that a use names.
func (b *binder) use(u Use) {
	d := b.book.Detail(u.Detail)
	if d == nil {
		names := make([]string, len(b.book.Details))
		for i, d := range b.book.Details {
			names[i] = d.Name
		}
		b.errs.add(&JobError{Place: u.child("detail"), Msg: fmt.Sprintf("the book has no detail %q", u.Detail), Suggestion: nearest(u.Detail, names)})
		return
	}
	if u.Runs != nil {
		var runs []*geom.Run
		for i, id := range u.Runs {
			on := b.named(d, id)
			if on == nil {
				b.errs.add(&JobError{Place: u.child("runs", i), Msg: b.unfit(d, b.site.byID[id])})
			}
			for _, r := range on {
				if !slices.Contains(runs, r) { // two planes of the use may share an edge
					runs = append(runs, r)
				}
			}
		}
		b.byPlane(d, runs, u)
		return
	}
	var runs []*geom.Run
	for _, r := range b.site.edges {
		if slices.Contains(d.Kinds, r.Edge) {
			runs = append(runs, r)
		}
	}
	if forField(d) {
		for _, f := range b.site.fields {
			runs = append(runs, f.runs...)
		}
	}
	if runs == nil {
		what := "run of the job is of such a kind"
		if forField(d) {
			what = "plane is in the job"
		}
		b.errs.add(&JobError{Place: u.child("detail"), Msg: fmt.Sprintf("detail %s is for %s, and no %s", d.Name, strings.Join(d.Kinds, ", "), what)})
	}
	b.byPlane(d, runs, u)
}

func forField(d *rules.Detail) bool { return slices.Contains(d.Kinds, fieldEdge) }

// named are the runs that a detail goes on under an id: a run, or of a plane all that the detail is for.
func (b *binder) named(d *rules.Detail, id string) []*geom.Run {
	r := b.site.byID[id]
	switch {
	case r.Edge == fieldEdge && forField(d):
		for _, f := range b.site.fields {
			if f.runs[0] == r {
				return f.runs
			}
		}
	case r.Edge == fieldEdge:
		return b.site.of(id, d.Kinds)
	case isField(r) && forField(d), slices.Contains(d.Kinds, r.Edge):
		return []*geom.Run{r}
	}
	return nil
}

// unfit says why a detail doesn't go on a run or plane.
func (b *binder) unfit(d *rules.Detail, r *geom.Run) string {
	kinds := strings.Join(d.Kinds, ", ")
	switch {
	case r.Edge == fieldEdge:
		return fmt.Sprintf("detail %s is for %s; plane %q has no edge of such a kind", d.Name, kinds, r.ID)
	case forField(d):
		return fmt.Sprintf("detail %s is for the field of a plane; run %q is of kind %s", d.Name, r.ID, r.Edge)
	}
	return fmt.Sprintf("detail %s is for %s; run %q is of kind %s", d.Name, kinds, r.ID, r.Edge)
}

// byPlane lays a detail of a use on runs, those of one plane's field together.
func (b *binder) byPlane(d *rules.Detail, runs []*geom.Run, u Use) {
	for len(runs) > 0 {
		n := 1
		for n < len(runs) && isField(runs[0]) && planeOf(runs[n]) == planeOf(runs[0]) {
			n++
		}
		b.add(d, runs[:n], u.Inputs, u.child("detail"), u.child("inputs"))
		runs = runs[n:]
	}
}

// planeOf is the id of the plane whose field a run is of.
func planeOf(r *geom.Run) string {
	if r.Edge == fieldEdge {
		return r.ID
	}
	return r.Sides[0].On.Plane
}

// add lays a detail on one edge, or on runs of one plane's field, which have their inputs in common.
func (b *binder) add(d *rules.Detail, runs []*geom.Run, given []Input, at, inputs Place) {
	var first *binding
	for _, r := range runs {
		if b.laid[pair{d, r}] {
			b.errs.add(&JobError{Place: at, Msg: fmt.Sprintf("detail %s is laid on run %q twice", d.Name, r.ID)})
			continue
		}
		b.laid[pair{d, r}] = true
		next := &binding{detail: d, run: r}
		if isField(r) {
			next.plane, next.hole = b.site.plane(r)
		}
		if first == nil {
			first = next
			next.setInputs(given, inputs, &b.errs)
		}
		next.inputs = first.inputs
		b.list = append(b.list, next)
	}
}

// setInputs reads the inputs that a use gives, fills in the defaults, and holds each against its `where`.
func (b *binding) setInputs(given []Input, at Place, errs *JobErrors) {
	b.inputs = map[string]rules.Value{}
	names := make([]string, len(b.detail.Inputs))
	for i, in := range b.detail.Inputs {
		names[i] = in.Name.Text
	}
	tried := map[string]bool{}
	for _, g := range given {
		tried[g.Name] = true
		in := b.detail.Input(g.Name)
		if in == nil {
			errs.add(&JobError{Place: g.Place, Msg: fmt.Sprintf("detail %s has no input %q", b.detail.Name, g.Name), Suggestion: nearest(g.Name, names)})
			continue
		}
		v, err := readInput(in, g.Value)
		if err == nil {
			err = in.Accept(v)
		}
		if err != nil {
			errs.add(&JobError{Place: g.Place, Msg: fmt.Sprintf("input %s of detail %s, %q: %v", g.Name, b.detail.Name, g.Value, err)})
			continue
		}
		b.inputs[g.Name] = v
	}
	for _, in := range b.detail.Inputs {
		switch name := in.Name.Text; {
		case tried[name]:
		case in.Default == nil:
			errs.add(&JobError{Place: at, Msg: fmt.Sprintf("detail %s on run %q needs the input %s, a %s", b.detail.Name, b.run.ID, name, in.Type.Text)})
		default:
			v, err := defaultOf(in)
			if err != nil {
				errs.add(&JobError{Place: at, Msg: fmt.Sprintf("input %s of detail %s: %v", name, b.detail.Name, err)})
				continue
			}
			b.inputs[name] = v
		}
	}
}

// defaultOf is an input's default; that of a choice is one of its words.
func defaultOf(in *rules.Input) (rules.Value, error) {
	if ref, ok := in.Default.(*rules.Ref); ok && in.Type.Text == "choice" {
		return word(ref.Name), nil
	}
	return rules.Eval(in.Default, noNames{})
}

// readInput reads the text of an input by its type.
func readInput(in *rules.Input, text string) (rules.Value, error) {
	switch in.Type.Text {
	case "length":
		v, err := units.Parse(text)
		return length(v), err
	case "slope":
		v, err := units.ParseSlope(text)
		return rules.Value{Dim: rules.SlopeDim, Num: v.Rat()}, err
	case "percent":
		v, err := units.ParsePercent(text)
		if err != nil {
			return rules.Value{}, err
		}
		return rules.Value{Dim: rules.PercentDim, Num: v.Rat()}, nil
	case "number":
		return readNumber(text)
	}
	return word(text), nil
}

// readNumber reads a plain decimal of at most 32 bytes, as the rule language writes it.
func readNumber(text string) (rules.Value, error) {
	digits := strings.TrimPrefix(text, "-")
	if len(text) > 32 || digits == "" || strings.Trim(digits, "0123456789.") != "" || strings.Count(digits, ".") > 1 || strings.HasPrefix(digits, ".") || strings.HasSuffix(digits, ".") {
		return rules.Value{}, fmt.Errorf("%q is no number; write it plainly, as 4 or 2.5", text)
	}
	n, _ := new(big.Rat).SetString(text)
	return rules.Value{Dim: rules.Number, Num: n}, nil
}

// child is the place of a part: its pointer goes deeper, its line and column stay those of the whole.
func (p Place) child(keys ...any) Place {
	for _, k := range keys {
		p.Pointer += "/" + fmt.Sprint(k)
	}
	return p
}
