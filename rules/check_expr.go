package rules

import (
	"slices"
	"strings"
)

// A setting is where an expression stands: which names have a value there. The zero setting has none but those
// of only, and in a detail its inputs and lets.
type setting struct {
	detail *draft
	only   *Input // in an input's own `where`: the input
	what   string // for messages: "`along run`"

	run, panel, rib, side, length, penetration, zone, end bool
}

// gives tells whether a given has a value at the place.
func (p setting) gives(name string) bool {
	switch head, _, _ := strings.Cut(name, "."); head {
	case "run", "slope":
		return p.run
	case "panel":
		return p.panel
	case "rib":
		return p.rib
	case "side":
		return p.side
	case "scope":
		return p.length
	case "penetration":
		return p.penetration
	case "zone":
		return p.zone
	case "end":
		return p.end
	}
	return false
}

// names lists what may be named at the place.
func (p setting) names() []string {
	var names []string
	if p.only != nil {
		names = append(names, p.only.Name.Text)
	}
	if p.detail != nil {
		for _, in := range p.detail.Inputs {
			names = append(names, in.Name.Text)
		}
		for _, l := range p.detail.Lets {
			names = append(names, l.Name.Text)
		}
	}
	for _, g := range givens {
		if p.gives(g.name) {
			names = append(names, g.name)
		}
	}
	return names
}

// want checks that an expression comes to a dimension.
func (c *checker) want(e Expr, want Dim, p setting, what string) bool {
	got, ok := c.dim(e, p)
	if !ok || got == want {
		return ok
	}
	d := c.fail(e, CodeWrongDimension, "%s takes %s, and this is %s", what, want, got)
	if want == LengthDim && got == Number {
		d.suggest("a length has a unit: `%s in`, or another", c.text(e))
	}
	return false
}

// dim is the dimension of an expression; it is not ok if something in it is wrong, which is then reported.
func (c *checker) dim(e Expr, p setting) (Dim, bool) {
	switch e := e.(type) {
	case *Literal:
		return e.Value.Dim, true
	case *Ref:
		return c.refDim(e, p)
	case *Unary:
		x, ok := c.dim(e.X, p)
		if !ok {
			return 0, false
		}
		dim, ok := unaryDim(e.Op, x)
		if !ok {
			c.fail(e, CodeWrongDimension, "`%s` doesn't take %s", e.Op, x)
		}
		return dim, ok
	case *Binary:
		return c.binaryDim(e, p)
	case *Call:
		dims, ok := make([]Dim, len(e.Args)), true
		for i, a := range e.Args {
			d, good := c.dim(a, p)
			dims[i], ok = d, ok && good
		}
		if !ok {
			return 0, false
		}
		dim, wrong := callDim(e.Func, dims)
		if wrong != "" {
			c.fail(e, CodeWrongDimension, "%s", wrong)
		}
		return dim, wrong == ""
	case *Is:
		return Condition, c.is(e, p)
	}
	return 0, false
}

func (c *checker) binaryDim(e *Binary, p setting) (Dim, bool) {
	x, okX := c.dim(e.X, p)
	y, okY := c.dim(e.Y, p)
	if !okX || !okY {
		return 0, false
	}
	dim, ok := binaryDim(e.Op, x, y)
	if !ok {
		d := c.fail(e, CodeWrongDimension, "`%s` doesn't go with %s and %s", e.Op, x, y)
		switch {
		case x == Word || y == Word:
			d.suggest("ask about a word with `is`, for example `run.edge is eave`")
		case x == LengthDim && y == Number || x == Number && y == LengthDim:
			d.suggest("a length has a unit: `6 in`, `400 mm`")
		}
		return 0, false
	}
	if e.Op == "/" {
		if v, err := Eval(e.Y, p.constants()); err == nil && v.Num.Sign() == 0 {
			c.fail(e.Y, CodeDivideByZero, "this is zero, and nothing is divided by zero")
			return 0, false
		}
	}
	return dim, true
}

// refDim is the dimension of a name at a place.
func (c *checker) refDim(r *Ref, p setting) (Dim, bool) {
	if p.only != nil && p.only.Name.Text == r.Name {
		return inputDim(p.only)
	}
	if d := p.detail; d != nil {
		if in := d.inputs[r.Name]; in != nil {
			return inputDim(in)
		}
		if l := d.lets[r.Name]; l != nil {
			return c.letAt(r, l, p)
		}
	}
	g := givenNamed(r.Name)
	switch {
	case g != nil && p.gives(g.name):
		return g.dim, true
	case g != nil:
		c.fail(r, CodeNotGiven, "`%s` has no value %s", r.Name, p.what).suggest("it is given %s", g.at)
	case p.detail != nil && p.detail.elements[r.Name] != nil:
		c.fail(r, CodeUnknownName, "`%s` is an element, and an element has no value", r.Name)
	default:
		c.fail(r, CodeUnknownName, "nothing is named `%s` %s", r.Name, p.what).meant(r.Name, p.names())
	}
	return 0, false
}

func inputDim(in *Input) (Dim, bool) {
	switch in.Type.Text {
	case "number":
		return Number, true
	case "length":
		return LengthDim, true
	case "slope":
		return SlopeDim, true
	case "percent":
		return PercentDim, true
	case "choice":
		return Word, true
	}
	return 0, false // reported where it is declared
}

// A letState is what is known of a let: its dimension and the givens that it stands on.
type letState struct {
	let    *Let
	done   bool
	dim    Dim
	ok     bool
	givens map[string]bool
	form   *linear // once it was asked for; formed tells whether there is one
	formed bool
}

// letAt is the dimension of a let that is named at a place, which must give all that the let stands on.
func (c *checker) letAt(r *Ref, l *letState, p setting) (Dim, bool) {
	c.resolveLet(l, p.detail, nil)
	if !l.ok {
		return 0, false
	}
	for _, g := range givens {
		if l.givens[g.name] && !p.gives(g.name) {
			c.fail(r, CodeNotGiven, "`%s` stands on `%s`, which has no value %s", r.Name, g.name, p.what).
				relate(l.let, "`%s` is written here", r.Name).suggest("it is given %s", g.at)
			return 0, false
		}
	}
	return l.dim, true
}

// resolveLet finds the dimension of a let, after those that it names; lets may stand in any order. The lets
// that wait for it are in path.
func (c *checker) resolveLet(l *letState, d *draft, path []*letState) {
	if l.done {
		return
	}
	if i := slices.Index(path, l); i >= 0 {
		c.letCircle(path[i:])
		return
	}
	path = append(path, l)
	l.givens = map[string]bool{}
	eachRef(l.let.Value, func(r *Ref) {
		if other := d.lets[r.Name]; other != nil {
			c.resolveLet(other, d, path)
			for g := range other.givens {
				l.givens[g] = true
			}
		} else if givenNamed(r.Name) != nil {
			l.givens[r.Name] = true
		}
	})
	if l.done { // in a circle
		return
	}
	l.done = true
	l.dim, l.ok = c.dim(l.let.Value, setting{
		detail: d, what: "in a `let`",
		run: true, panel: true, rib: true, side: true, length: true, penetration: true, zone: true, end: true,
	})
	if l.ok {
		_, err := Eval(l.let.Value, constants{d})
		c.evalFailed(err)
	}
}

// letCircle reports lets that stand on one another, and gives none of them a dimension.
func (c *checker) letCircle(members []*letState) {
	names := make([]string, len(members))
	for i, m := range members {
		names[i], m.done = "`"+m.let.Name.Text+"`", true
	}
	d := c.fail(members[0].let.Name, CodeCircle, "%s", circle(names))
	for _, m := range members[1:] {
		d.relate(m.let.Name, "`%s` takes part", m.let.Name.Text)
	}
}

// circle says that each of the names needs the next, and the last the first.
func circle(names []string) string {
	if len(names) == 1 {
		return names[0] + " needs itself"
	}
	return strings.Join(append(names, names[0]), " needs ")
}

// is checks `x is word`: that x can be such a word.
func (c *checker) is(e *Is, p setting) bool {
	dim, ok := c.dim(e.X, p)
	if !ok {
		return false
	}
	r, named := e.X.(*Ref)
	if dim != Word || !named {
		c.fail(e.X, CodeWrongDimension, "`is` asks about a word, and this is %s", dim).
			suggest("compare it with `<`, `<=`, `=`, `>=` or `>`")
		return false
	}
	words := c.words(r.Name, p)
	if words != nil && !slices.Contains(words, e.Word.Text) {
		d := c.fail(e.Word, CodeUnknownWord, "`%s` is never `%s`", r.Name, e.Word.Text).meant(e.Word.Text, words)
		if len(words) == 0 {
			d.suggest("list it in the `zones` of the book")
		}
		return false
	}
	return true
}

// words lists what a name of Word dimension can be; nil if that isn't known.
func (c *checker) words(name string, p setting) []string {
	switch name {
	case "zone":
		if c.book.Zones == nil {
			return []string{}
		}
		return c.book.Zones
	case "run.edge":
		return edgeKinds[:]
	case "end.kind":
		return append(slices.Clone(edgeKinds[:]), endKinds[:]...)
	case "side":
		return []string{"upper", "lower"}
	}
	in := p.only
	if p.detail != nil {
		in = p.detail.inputs[name]
	}
	if in == nil {
		return nil
	}
	return in.choices()
}

// constants is the Env of an expression that names nothing but lets of literals.
func (p setting) constants() Env { return constants{p.detail} }

type constants struct{ detail *draft }

// Lookup gives a let that is the same on every roof.
func (k constants) Lookup(name string) (Value, bool) {
	if k.detail == nil {
		return Value{}, false
	}
	if v, ok := k.detail.folded[name]; ok {
		return v, v.Num != nil
	}
	l := k.detail.lets[name]
	if l == nil || !l.ok {
		return Value{}, false
	}
	v, err := Eval(l.let.Value, k)
	if err != nil || v.Num == nil {
		v = Value{}
	}
	k.detail.folded[name] = v
	return v, v.Num != nil
}
