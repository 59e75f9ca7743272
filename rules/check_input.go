package rules

import (
	"fmt"
	"slices"
	"strings"
)

// input takes an input that the detail declares, or declares anew for its base.
func (c *checker) input(d *draft, in *Input) {
	name := in.Name.Text
	base := d.inputs[name]
	if l := d.lets[name]; l != nil {
		c.twice("name", name, in.Name, l.let.Name)
		return
	}
	if base != nil {
		in = c.inputAgain(base, in)
		i := slices.Index(d.Inputs, base)
		d.Inputs[i] = in
	} else {
		d.Inputs = append(d.Inputs, in)
	}
	d.inputs[name] = in
	dim, ok := inputDim(in)
	if !ok {
		types := []string{"length", "number", "slope", "percent", "choice"}
		c.fail(in.Type, CodeUnknownWord, "an input is never a `%s`", in.Type.Text).meant(in.Type.Text, types)
		return
	}
	c.checkChoices(in, dim)
	if in.Where != nil && !c.want(in.Where, Condition, setting{only: in, what: "in the `where` of an input, which speaks of that input alone"}, "`where`") {
		return
	}
	if in.Default == nil {
		return
	}
	v, ok := c.given(in, in.Default, "a default")
	if !ok {
		return
	}
	if err := in.Accept(v); err != nil {
		diag := c.fail(in.Default, CodeBadDefault, "the default of `%s` %v", name, err)
		if in.Where != nil {
			diag.relate(in.Where, "its `where`")
		}
	}
}

// inputAgain checks an input that a detail declares for its base: only the default and the title may be others.
func (c *checker) inputAgain(base, in *Input) *Input {
	changed := func(at Node, what string) {
		c.fail(at, CodeInputChanged, "the %s of input `%s` is another than in the detail extended", what, in.Name.Text).
			relate(base, "the detail extended says this").
			suggest("a detail that extends another may change the default and the title; for more, give the input a new name")
	}
	if in.Type.Text != base.Type.Text {
		changed(in.Type, "type")
		return base // which its rules go by
	}
	if !slices.EqualFunc(in.Choices, base.Choices, func(a, b Name) bool { return a.Text == b.Text }) {
		changed(in, "choice")
		return base
	}
	mine := *in
	switch {
	case in.Where == nil:
		mine.Where = base.Where
	case base.Where == nil || canon(in.Where) != canon(base.Where):
		changed(in.Where, "`where`")
	}
	if in.Title == "" {
		mine.Title = base.Title
	}
	return &mine
}

func (c *checker) checkChoices(in *Input, dim Dim) {
	switch {
	case dim == Word && len(in.Choices) == 0:
		c.fail(in, CodeBadChoice, "the choice `%s` has nothing to choose from", in.Name.Text).suggest("list its words")
	case dim != Word && len(in.Choices) > 0:
		c.fail(in.Choices[0], CodeBadChoice, "only a `choice` lists words, and `%s` is %s", in.Name.Text, dim)
	default:
		c.distinct("choice", in.Choices)
	}
}

// given is the value that is written for an input: a word of a choice, or an expression of literals.
func (c *checker) given(in *Input, e Expr, what string) (Value, bool) {
	dim, ok := inputDim(in)
	if !ok {
		return Value{}, false
	}
	if r, ok := e.(*Ref); ok && dim == Word {
		return Value{Dim: Word, Words: []string{r.Name}}, true
	}
	if dim == Word {
		c.fail(e, CodeWrongDimension, "`%s` is a choice, and this is none of its words", in.Name.Text)
		return Value{}, false
	}
	p := setting{what: "in " + what}
	if !c.want(e, dim, p, fmt.Sprintf("`%s`", in.Name.Text)) {
		return Value{}, false
	}
	return c.fold(e, p)
}

// fold computes a checked expression that names nothing.
func (c *checker) fold(e Expr, p setting) (Value, bool) {
	v, err := Eval(e, p.constants())
	if err == nil {
		return v, true
	}
	c.evalFailed(err)
	return Value{}, false
}

// evalFailed reports why an expression has no value on any roof.
func (c *checker) evalFailed(err error) {
	if e, ok := err.(*EvalError); ok && e.Code != CodeNoValue {
		c.fail(e, e.Code, "%s", e.Text)
	}
}

// Accept tells why a value can't be given to the input: another dimension, a word that isn't one of its choices,
// or its `where`. It is nil if the value can.
func (in *Input) Accept(v Value) error {
	dim, ok := inputDim(in)
	switch {
	case !ok || v.Dim != dim:
		return fmt.Errorf("is %s, where %s is wanted", v.Dim, dim)
	case dim == Word && (len(v.Words) != 1 || !slices.Contains(in.choices(), v.Words[0])):
		return fmt.Errorf("is none of its choices: %s", strings.Join(in.choices(), ", "))
	}
	if in.Where == nil {
		return nil
	}
	held, err := Eval(in.Where, ownValue{in.Name.Text, v})
	if err != nil {
		return fmt.Errorf("can't be held against its `where`: %w", err)
	}
	if !held.Bool {
		return fmt.Errorf("doesn't keep its `where`")
	}
	return nil
}

func (in *Input) choices() []string {
	words := make([]string, len(in.Choices))
	for i, n := range in.Choices {
		words[i] = n.Text
	}
	return words
}

// ownValue is the Env of an input's `where`.
type ownValue struct {
	name  string
	value Value
}

// Lookup gives the input its value.
func (o ownValue) Lookup(name string) (Value, bool) { return o.value, name == o.name }
