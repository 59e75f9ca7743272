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
	checkStock(book, job.Stock, errs)
	taken := map[*geom.Run]bool{}
	for _, b := range bindings {
		taken[b.run] = true
	}
	for _, r := range job.Runs {
		if !taken[r] {
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
	type pair struct {
		detail *rules.Detail
		run    *geom.Run
	}
	laid := map[pair]bool{}
	for i, u := range job.Uses {
		at := u.Place
		if at.Pointer == "" { // a job built in Go
			at.Pointer = fmt.Sprintf("/use/%d", i)
		}
		d := book.Detail(u.Detail)
		if d == nil {
			names := make([]string, len(book.Details))
			for i, d := range book.Details {
				names[i] = d.Name
			}
			errs.add(&JobError{Place: at.child("detail"), Msg: fmt.Sprintf("the book has no detail %q", u.Detail), Suggestion: nearest(u.Detail, names)})
			continue
		}
		var runs []*geom.Run
		for i, id := range u.Runs {
			r := byID[id]
			if !slices.Contains(d.Kinds, r.Edge) {
				errs.add(&JobError{Place: at.child("runs", i), Msg: fmt.Sprintf("detail %s is for %s; run %q is of kind %s", d.Name, strings.Join(d.Kinds, ", "), id, r.Edge)})
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
				errs.add(&JobError{Place: at.child("detail"), Msg: fmt.Sprintf("detail %s is for %s, and no run of the job is of such a kind", d.Name, strings.Join(d.Kinds, ", "))})
			}
		}
		for _, r := range runs {
			if laid[pair{d, r}] {
				errs.add(&JobError{Place: at.child("detail"), Msg: fmt.Sprintf("detail %s is laid on run %q twice", d.Name, r.ID)})
				continue
			}
			laid[pair{d, r}] = true
			b := &binding{detail: d, run: r}
			b.setInputs(u.Inputs, at.child("inputs"), errs)
			list = append(list, b)
		}
	}
	return list
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
