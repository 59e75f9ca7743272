package rules

import (
	"fmt"
	"slices"
)

// checkExamples checks the names, dimensions and inputs of the worked examples; `detail` lays them.
func (c *checker) checkExamples() {
	first := map[string]*ExampleDecl{}
	for _, f := range c.files {
		for _, d := range f.decls {
			e, ok := d.(*ExampleDecl)
			if !ok {
				continue
			}
			if at := first[e.Name]; at != nil {
				c.twice("example", e.Name, e, at)
				continue
			}
			first[e.Name] = e
			c.example(e)
			c.book.Examples = append(c.book.Examples, e)
		}
	}
}

func (c *checker) example(e *ExampleDecl) {
	if e.On == nil {
		c.fail(e, CodeExampleIncomplete, "the example doesn't say where it is laid").
			suggest("add `on edge peak length 10 ft …`, or `on job \"….json\"`")
	} else if e.On.Job == "" {
		c.on(e.On)
	}
	if len(e.Lay) == 0 && e.On != nil && e.On.Job == "" {
		c.fail(e, CodeExampleIncomplete, "the example doesn't say what is laid").suggest("add `lay DETAIL`")
	}
	if len(e.Expects) == 0 {
		c.fail(e, CodeExampleIncomplete, "the example expects nothing").suggest("add for example `expect no violation`")
	}
	var laid []*draft
	known := true // whether every detail that the example lays can be used
	for _, l := range e.Lay {
		d := c.drafts[l.Detail.Text]
		if c.decls[l.Detail.Text] == nil {
			c.unknown(l.Detail, "detail", c.names)
		}
		if d == nil {
			known = false
			continue
		}
		laid = append(laid, d)
		c.layDecl(l, d)
	}
	if len(e.Lay) == 0 {
		for _, name := range c.names {
			if d := c.drafts[name]; d != nil {
				laid = append(laid, d)
			} else {
				known = false
			}
		}
	}
	for _, x := range e.Expects {
		if x.What == "along" {
			c.expectAlong(e, x, laid, known)
		} else {
			c.expect(x, laid, known)
		}
	}
}

// expectAlong checks a range: its run is described by its parts, and its values are of one kind.
func (c *checker) expectAlong(e *ExampleDecl, x *Expect, laid []*draft, known bool) {
	if e.On != nil && e.On.Job != "" || len(e.Lay) > 1 {
		c.fail(x, CodeExampleIncomplete, "a range is of one detail on a run that the example describes").
			suggest("write an example of its own for it, `on edge … length …`")
		return
	}
	want := LengthDim
	switch of := x.Of.Text; of {
	case "panel", "length":
	case "slope":
		want = SlopeDim
	default:
		if !known || len(laid) == 0 {
			return
		}
		in := laid[0].inputs[of]
		if in == nil {
			names := []string{"panel", "length", "slope"}
			for _, in := range laid[0].Inputs {
				names = append(names, in.Name.Text)
			}
			c.unknown(*x.Of, "input", names)
			return
		}
		dims := map[string]Dim{"length": LengthDim, "number": Number, "slope": SlopeDim, "percent": PercentDim}
		var ranged bool
		if want, ranged = dims[in.Type.Text]; !ranged {
			c.fail(x.Of, CodeWrongDimension, "`%s` is a %s, which has no range", of, in.Type.Text)
			return
		}
	}
	for _, l := range x.Range {
		if l.Value.Dim != want {
			c.fail(l, CodeWrongDimension, "a range of `%s` takes %s, and this is %s", x.Of.Text, want, l.Value.Dim)
			return
		}
	}
	if x.Range[0].Value.Num.Cmp(x.Range[1].Value.Num) > 0 {
		c.fail(x, CodeBadProperty, "this ends before it starts").suggest("write the smaller first")
	}
}

// on checks the parts of the run that an example describes.
func (c *checker) on(on *On) {
	if !slices.Contains(edgeKinds[:], on.Edge.Text) {
		c.fail(on.Edge, CodeUnknownWord, "there is no edge kind `%s`", on.Edge.Text).meant(on.Edge.Text, edgeKinds[:])
	}
	by := map[string]*OnPart{}
	for _, part := range on.Parts {
		if first := by[part.Key]; first != nil && part.Key != "zone" && part.Key != "penetration" {
			c.fail(part, CodeRepeatedProperty, "`%s` is said twice", part.Key).relate(first, "first said here")
			continue
		}
		by[part.Key] = part
		c.onPart(part)
	}
	if by["length"] == nil {
		c.fail(on, CodeExampleIncomplete, "the run of the example has no length").suggest("add for example `length 10 ft`")
	}
	if first := by["first"]; first != nil && by["panels"] == nil {
		c.fail(first, CodeExampleIncomplete, "a first panel is of panels, and the run has none").
			suggest("add for example `panels 18 in`")
	}
}

func (c *checker) onPart(part *OnPart) {
	want := LengthDim
	if part.Key == "slope" {
		want = SlopeDim
	}
	for i, l := range part.Values {
		if l.Value.Dim != want {
			c.fail(l, CodeWrongDimension, "`%s` takes %s, and this is %s", part.Key, want, l.Value.Dim)
			return
		}
		sign := l.Value.Num.Sign()
		zero := part.Key == "slope" || part.Key == "rib" || part.Key == "zone" || part.Key == "penetration"
		if sign < 0 || sign == 0 && !zero {
			c.fail(l, CodeBadProperty, "`%s` is above zero", part.Key)
		}
		if i == 1 && part.Key != "rib" && l.Value.Num.Cmp(part.Values[0].Value.Num) < 0 {
			c.fail(part, CodeBadProperty, "this ends before it starts").suggest("write the nearer end first")
		}
	}
	if part.Key == "zone" && part.Word != nil && !slices.Contains(c.book.Zones, part.Word.Text) {
		c.fail(part.Word, CodeUnknownWord, "there is no zone `%s`", part.Word.Text).meant(part.Word.Text, c.book.Zones)
	}
	if part.Key == "ends" {
		kinds := append(slices.Clone(edgeKinds[:]), endKinds[:]...)
		for _, w := range part.Words {
			if !slices.Contains(kinds, w.Text) {
				c.fail(w, CodeUnknownWord, "a run never ends at `%s`", w.Text).meant(w.Text, kinds)
			}
		}
	}
}

// layDecl checks the inputs that an example gives.
func (c *checker) layDecl(l *LayDecl, d *draft) {
	first := map[string]Name{}
	for _, w := range l.With {
		name := w.Name.Text
		if at, ok := first[name]; ok {
			c.twice("input", name, w.Name, at)
			continue
		}
		first[name] = w.Name
		in := d.inputs[name]
		if in == nil {
			var names []string
			for _, in := range d.Inputs {
				names = append(names, in.Name.Text)
			}
			c.unknown(w.Name, "input", names)
			continue
		}
		if v, ok := c.given(in, w.Value, "an example"); ok {
			if err := in.Accept(v); err != nil {
				c.fail(w.Value, CodeBadInput, "`%s` %v", name, err).relate(in, "the input")
			}
		}
	}
	for _, in := range d.Inputs {
		if _, ok := first[in.Name.Text]; !ok && in.Default == nil {
			c.fail(l, CodeBadInput, "the input `%s` has no default and is given no value", in.Name.Text).
				relate(in, "the input").suggest("add `with %s = …`", in.Name.Text)
		}
	}
}

// expect checks what an example expects: that it names what there is, and compares like with like.
func (c *checker) expect(x *Expect, laid []*draft, known bool) {
	c.expectOf(x, laid, known)
	p := setting{what: "in an example"}
	for _, at := range x.At {
		c.want(at, LengthDim, p, "a position")
	}
	if x.Value == nil {
		return
	}
	what := fmt.Sprintf("`%s`", x.What)
	switch x.What {
	case "count", "stock", "cost":
		c.want(x.Value, Number, p, what)
	case "area":
		c.want(x.Value, AreaDim, p, what)
	case "takeoff":
		if dim, ok := c.dim(x.Value, p); ok && dim != Number && dim != LengthDim && dim != VolumeDim {
			c.fail(x.Value, CodeWrongDimension, "%s takes a number, a length or a volume, and this is %s", what, dim)
		}
	case "gap", "length", "lap":
		c.want(x.Value, LengthDim, p, what)
	}
}

// expectOf checks the element or item that is spoken of.
func (c *checker) expectOf(x *Expect, laid []*draft, known bool) {
	if x.Of == nil {
		return
	}
	switch x.What {
	case "takeoff", "stock", "area", "cost":
		if c.items[x.Of.Text] == nil {
			c.unknown(*x.Of, "item", c.itemNames)
		}
		return
	}
	var e *Element
	var names []string
	for _, d := range laid {
		names = append(names, d.elementNames()...)
		if found := d.elements[x.Of.Text]; found != nil && e == nil {
			e = found
		}
	}
	if e == nil && x.What == "violation" && x.Of.Text == "require" {
		return // of no element, but of the detail
	}
	if e == nil {
		if known {
			c.unknown(*x.Of, "element", names)
		}
		return
	}
	kinds := map[string][]Kind{
		"at": {Row}, "gap": {Row}, "count": {Row, Pieces}, "lap": {Pieces, Strip}, "length": {Pieces, Strip, Bead},
	}[x.What]
	if kinds != nil && !slices.Contains(kinds, e.Kind) {
		c.fail(x.Of, CodeWrongKind, "`%s` is %s, of which this can't be expected", e.Name, e.Kind.article())
	}
}
