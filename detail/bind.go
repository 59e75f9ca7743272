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

// bind decides which details go on which runs, with which inputs. Runs that take none are bare. The job has been
// checked.
func bind(book *rules.Book, job *Job) (bindings []*binding, bare []string, err error) {
	errs := &JobErrors{}
	if len(job.Uses) == 0 {
		bindings = bindByKind(book, job, errs)
	} else {
		bindings = bindByUse(book, job, errs)
	}
	for _, r := range job.Runs {
		if !slices.ContainsFunc(bindings, func(b *binding) bool { return b.run == r }) {
			bare = append(bare, r.ID)
		}
	}
	return bindings, bare, errs.err()
}

// bindByKind gives each run the one detail that is `for` its kind.
func bindByKind(book *rules.Book, job *Job, errs *JobErrors) (list []*binding) {
	for i, r := range job.Runs {
		var fit []*rules.Detail
		for _, d := range book.Details {
			if slices.Contains(d.For, r.Edge) {
				fit = append(fit, d)
			}
		}
		at := Place{Pointer: fmt.Sprintf("/runs/%d/edge", i)}
		switch len(fit) {
		case 0:
		case 1:
			b := &binding{detail: fit[0], run: r}
			b.setInputs(nil, at, errs)
			list = append(list, b)
		default:
			names := make([]string, len(fit))
			for k, d := range fit {
				names[k] = d.Name
			}
			errs.add(&JobError{Place: at, Msg: fmt.Sprintf("run %q: more than one detail is for %s: %s; say in \"use\" which one to lay", r.ID, r.Edge, strings.Join(names, ", "))})
		}
	}
	return list
}

// bindByUse gives runs the details that the job's uses name.
func bindByUse(book *rules.Book, job *Job, errs *JobErrors) (list []*binding) {
	byID := map[string]*geom.Run{}
	for _, r := range job.Runs {
		byID[r.ID] = r
	}
	for _, u := range job.Uses {
		d := book.Detail(u.Detail)
		if d == nil {
			names := make([]string, len(book.Details))
			for i, d := range book.Details {
				names[i] = d.Name
			}
			errs.add(&JobError{Place: u.Place.child("detail"), Msg: fmt.Sprintf("the book has no detail %q", u.Detail), Suggestion: nearest(u.Detail, names)})
			continue
		}
		var runs []*geom.Run
		for i, id := range u.Runs {
			r := byID[id]
			if !slices.Contains(d.Kinds, r.Edge) {
				errs.add(&JobError{Place: u.Place.child("runs", i), Msg: fmt.Sprintf("detail %s is for %s; run %q is of kind %s", d.Name, strings.Join(d.Kinds, ", "), id, r.Edge)})
				continue
			}
			runs = append(runs, r)
		}
		if u.Runs == nil {
			for _, r := range job.Runs {
				if slices.Contains(d.Kinds, r.Edge) {
					runs = append(runs, r)
				}
			}
			if runs == nil {
				errs.add(&JobError{Place: u.Place.child("detail"), Msg: fmt.Sprintf("detail %s is for %s, and no run of the job is of such a kind", d.Name, strings.Join(d.Kinds, ", "))})
			}
		}
		for _, r := range runs {
			if slices.ContainsFunc(list, func(b *binding) bool { return b.run == r && b.detail == d }) {
				errs.add(&JobError{Place: u.Place.child("detail"), Msg: fmt.Sprintf("detail %s is laid on run %q twice", d.Name, r.ID)})
				continue
			}
			b := &binding{detail: d, run: r}
			b.setInputs(u.Inputs, u.Place.child("inputs"), errs)
			list = append(list, b)
		}
	}
	return list
}

// setInputs reads the inputs that a use gives, fills in the defaults, and holds each against its `where`.
func (b *binding) setInputs(given []Input, at Place, errs *JobErrors) {
	b.inputs = map[string]rules.Value{}
	fail := func(place Place, format string, args ...any) {
		errs.add(&JobError{Place: place, Msg: fmt.Sprintf(format, args...)})
	}
	names := make([]string, len(b.detail.Inputs))
	for i, in := range b.detail.Inputs {
		names[i] = in.Name.Text
	}
	places := map[string]Place{}
	for _, g := range given {
		k := slices.Index(names, g.Name)
		if k < 0 {
			errs.add(&JobError{Place: g.Place, Msg: fmt.Sprintf("detail %s has no input %q", b.detail.Name, g.Name), Suggestion: nearest(g.Name, names)})
			continue
		}
		v, err := readInput(b.detail.Inputs[k], g.Value)
		if err != nil {
			fail(g.Place, "input %s: %v", g.Name, err)
			continue
		}
		b.inputs[g.Name], places[g.Name] = v, g.Place
	}
	e := &env{binding: b}
	for _, in := range b.detail.Inputs {
		if _, ok := b.inputs[in.Name.Text]; ok {
			continue
		}
		if in.Default == nil {
			if !slices.ContainsFunc(given, func(g Input) bool { return g.Name == in.Name.Text }) {
				fail(at, "detail %s on run %q needs the input %s (%s)", b.detail.Name, b.run.ID, in.Name.Text, in.Type.Text)
			}
			continue
		}
		v, err := defaultOf(in, e)
		if err != nil {
			fail(at, "input %s: %v", in.Name.Text, err)
			continue
		}
		b.inputs[in.Name.Text] = v
	}
	for _, in := range b.detail.Inputs {
		if _, ok := b.inputs[in.Name.Text]; !ok || in.Where == nil {
			continue
		}
		if v, err := rules.Eval(in.Where, e); err != nil || !v.Bool {
			p, ok := places[in.Name.Text]
			if !ok {
				p = at
			}
			if err == nil {
				fail(p, "input %s is not within its `where` at %s", in.Name.Text, place(in.Where.Pos()))
			} else {
				fail(p, "input %s: %v", in.Name.Text, err)
			}
		}
	}
}

// defaultOf is an input's default; the default of a choice is one of its words.
func defaultOf(in *rules.Input, e *env) (rules.Value, error) {
	if ref, ok := in.Default.(*rules.Ref); ok && in.Type.Text == "choice" {
		return word(ref.Name), nil
	}
	return rules.Eval(in.Default, e)
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
	for _, c := range in.Choices {
		if c.Text == text {
			return word(text), nil
		}
	}
	words := make([]string, len(in.Choices))
	for i, c := range in.Choices {
		words[i] = c.Text
	}
	return rules.Value{}, fmt.Errorf("%q is none of %s", text, strings.Join(words, ", "))
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
