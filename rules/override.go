package rules

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// loosened is a rule or an element that a detail relaxed or dropped.
type loosened struct {
	rule    *Rule  // nil: dropped
	dropped string // the element
	at      Span
	because string
}

// element takes an element that the detail declares, or changes in its base.
func (c *checker) element(d *draft, decl *elementNode) {
	d.written[decl.Name.Text] = true
	e := d.elements[decl.Name.Text]
	if e != nil {
		c.changeElement(d, e, decl)
		return
	}
	if decl.Scope == nil {
		diag := c.fail(decl.Name, CodeScopeMissing, "`%s` has no scope", decl.Name.Text)
		if near := nearest(decl.Name.Text, d.elementNames()); near != "" {
			diag.suggest("did you mean `%s` of the detail extended?", near)
		} else {
			diag.suggest("say where it lies, for example `along run` or `in each panel`")
		}
		return
	}
	e = &Element{
		Span: decl.Span, Kind: decl.Kind, Name: decl.Name.Text, Title: decl.Title,
		Item: c.itemOf(decl.Item), Scope: decl.Scope, When: decl.When,
	}
	c.lay(e, decl.Lay)
	for _, r := range decl.Rules {
		e.Rules = append(e.Rules, r.copy())
	}
	d.add(e, decl.Name)
}

func (c *checker) itemOf(name *Name) *Item {
	if name == nil {
		return nil
	}
	item := c.items[name.Text]
	if item == nil {
		c.unknown(*name, "item", c.itemNames)
		return nil
	}
	c.usedItems[name.Text] = true
	return item
}

// changeElement applies what a detail says of an element of its base.
func (c *checker) changeElement(d *draft, e *Element, decl *elementNode) {
	base := d.names[e.Name]
	fixed := func(at Node, what string) {
		c.fail(at, CodeElementChanged, "the %s of `%s` is another than in the detail extended", what, e.Name).
			relate(base, "`%s` of the detail extended", e.Name).
			suggest("leave it as it is, or drop `%s` and write a new element", e.Name)
	}
	if decl.Kind != e.Kind {
		fixed(decl.Name, "kind")
		return
	}
	if decl.Scope != nil && !decl.Scope.equal(e.Scope) {
		fixed(decl.Scope, "scope")
	}
	if decl.When != nil && (e.When == nil || canon(decl.When) != canon(e.When)) {
		fixed(decl.When, "`when`")
	}
	if decl.Item != nil {
		e.Item = c.itemOf(decl.Item)
	}
	if decl.Title != "" {
		e.Title = decl.Title
	}
	e.Span, d.names[e.Name] = decl.Span, decl.Name
	c.lay(e, decl.Lay)
	c.override(d, e, decl.Rules, nil)
}

func (c *checker) relax(d *draft, relax *relaxNode) {
	if relax.Because == "" {
		c.fail(relax, CodeBecauseMissing, "`relax` doesn't say why").
			suggest("add `because \"…\"`: whoever reads the layout will ask")
	}
	e := d.elements[relax.Name.Text]
	if e == nil {
		c.unknown(relax.Name, "element of the detail extended", d.elementNames())
		return
	}
	d.written[e.Name] = true
	c.lay(e, relax.Lay)
	c.override(d, e, relax.Rules, relax)
}

// drop removes an element of the base; at is where the detail changes it as well.
func (c *checker) drop(d *draft, drop *dropNode, at Node) {
	name := drop.Name.Text
	if drop.Because == "" {
		c.fail(drop, CodeBecauseMissing, "`drop` doesn't say why").
			suggest("add `because \"…\"`: whoever reads the layout will ask")
	}
	e := d.elements[name]
	switch {
	case d.dropped[name] != nil:
		c.twice("`drop` of", name, drop.Name, d.dropped[name].Name)
		return
	case e == nil:
		c.unknown(drop.Name, "element of the detail extended", d.elementNames())
		return
	case at != nil:
		c.fail(drop.Name, CodeDroppedNeeded, "`%s` is dropped, and changed by the same detail", name).
			relate(at, "changed here").suggest("leave out one of the two")
		return
	}
	d.Elements = slices.DeleteFunc(d.Elements, func(x *Element) bool { return x == e })
	d.dropped[name] = drop
	delete(d.elements, name)
	d.loosened = slices.DeleteFunc(d.loosened, func(l loosened) bool { return slices.Contains(e.Rules, l.rule) })
	d.loosened = append(d.loosened, loosened{dropped: name, at: drop.Span, because: drop.Because})
}

// droppedName reports that a line names an element that its detail drops.
func (c *checker) droppedName(d *draft, at Name) {
	drop := d.dropped[at.Text]
	c.fail(drop.Name, CodeDroppedNeeded, "`%s` is dropped, and something else names it", drop.Name.Text).
		relate(at, "named here").suggest("drop that too, or keep `%s`", drop.Name.Text)
}

// override replaces the lines of an element that are of the same measure, side, comparator, feature and `when`,
// and adds the others. What may come out looser needs relax.
func (c *checker) override(d *draft, e *Element, lines []*Rule, relax *relaxNode) {
	base := slices.Clone(e.Rules)
	keys := make([]string, len(base))
	for i, b := range base {
		keys[i] = b.key()
	}
	loosens := false
	for _, line := range lines {
		r := line.copy()
		i := replaced(base, keys, r)
		var v verdict
		var old *Rule
		if i >= 0 {
			keys[i], old = "", base[i]
			v = d.compare(old, r)
			e.Rules[i] = r
		} else {
			old, v = d.added(base, r)
			e.Rules = append(e.Rules, r)
		}
		for j := range d.loosened {
			if i >= 0 && d.loosened[j].rule == old {
				d.loosened[j].rule = r
			}
		}
		switch {
		case v == tighter || !c.wantLimit(r, d.setting(e)) || !c.wantLimit(old, d.setting(e)):
		case relax == nil:
			c.looser(e, v, old, r)
		default:
			loosens = true
			d.loosened = append(d.loosened, loosened{rule: r, at: line.Span, because: relax.Because})
		}
	}
	if relax != nil && !loosens && len(lines) > 0 {
		c.warn(relax, CodeRelaxesNothing, "this relaxes nothing: every line is at least as tight as before").
			suggest("write it as `%s %s { … }`", e.Kind, e.Name)
	}
}

func (c *checker) looser(e *Element, v verdict, old, r *Rule) {
	d := &Diagnostic{}
	if v == undecided {
		d = c.fail(r, CodeUndecided, "whether this is looser than the line that it replaces can't be told")
	} else {
		d = c.fail(r, CodeLooser, "this is looser than what the detail extended asks for")
	}
	d.relate(old, "the detail extended: `%s`", c.text(old)).
		suggest("if it is meant, write `relax %s { … } because \"…\"`", e.Name)
}

// replaced finds the line of the base that a line replaces, or -1: of several with its key, one as binding (must
// or should) comes first.
func replaced(base []*Rule, keys []string, r *Rule) int {
	found, key := -1, r.key()
	for i := range base {
		if keys[i] != key {
			continue
		}
		if base[i].Should == r.Should {
			return i
		}
		if found < 0 {
			found = i
		}
	}
	return found
}

// key is the same for rules that bound the same thing the same way; `<` and `<=` do, else one could never replace
// the other.
func (r *Rule) key() string {
	return strings.Join([]string{
		r.Measure.String(), r.Side.String(), strconv.Itoa(r.Op.direction()), r.From.key(), canon(r.When),
	}, "|")
}

// direction is -1 for a maximum, 1 for a minimum and 0 for `=`.
func (o Op) direction() int {
	switch o {
	case Less, AtMost:
		return -1
	case Greater, AtLeast:
		return 1
	}
	return 0
}

func (f *Feature) key() string {
	switch {
	case f == nil:
		return ""
	case f.Name == nil:
		return f.Of
	}
	return f.Of + " " + f.Name.Text
}

// A verdict is how a changed rule compares with what it was.
type verdict int

const (
	tighter verdict = iota // or the same
	looser
	undecided
)

// compare tells whether a rule asks for less than the one that it replaces.
func (d *draft) compare(old, r *Rule) verdict {
	switch {
	case old.Should:
		return tighter
	case r.Should:
		return looser
	}
	diff, ok := d.difference(r.Value, old.Value)
	if old.Op == Equal {
		if ok && len(diff.terms) == 0 && diff.constant.Sign() == 0 || canon(r.Value) == canon(old.Value) {
			return tighter
		}
		return undecided
	}
	if !ok {
		return undecided
	}
	v, same := diff.against(old.Op.direction())
	strict := old.Op == Less || old.Op == Greater
	switch {
	case v != tighter || !same || !strict || old.Op == r.Op:
		return v
	case diff.exact():
		return looser
	}
	return undecided
}

// against tells whether a change of a limit, in a direction, can loosen it, and whether it can be none at all.
func (l linear) against(direction int) (v verdict, same bool) {
	lo, hi := l.bounds()
	if direction > 0 {
		lo, hi = negate(hi), negate(lo)
	}
	switch {
	case hi != nil && hi.Sign() <= 0:
		return tighter, hi.Sign() == 0
	case l.exact() || lo != nil && lo.Sign() > 0:
		return looser, false
	}
	return undecided, false
}

func negate(r *big.Rat) *big.Rat {
	if r == nil {
		return nil
	}
	return new(big.Rat).Neg(r)
}

// added tells whether a rule that replaces none loosens what the element did without it: an `end` maximum takes
// the place of the default one, half the least spacing maximum. If so, the line of the default is returned.
func (d *draft) added(base []*Rule, r *Rule) (*Rule, verdict) {
	if r.Should || r.Measure != End || r.Op.direction() > 0 {
		return nil, tighter
	}
	bounded := map[Side]bool{}
	for _, b := range base {
		if !b.Should && b.Measure == End && b.Op.direction() <= 0 && b.When == nil {
			bounded[b.Side] = true
		}
	}
	if bounded[BothEnds] || bounded[r.Side] || bounded[Left] && bounded[Right] {
		return nil, tighter
	}
	for _, b := range base {
		if b.Should || b.Measure != Spacing || b.Op.direction() > 0 {
			continue
		}
		diff, ok := d.difference(r.Value, half(b.Value))
		if !ok {
			return b, undecided
		}
		if v, _ := diff.against(-1); v != tighter {
			return b, v
		}
	}
	return nil, tighter
}

// half is an expression of half the value of another.
func half(e Expr) Expr {
	return &Binary{Span: e.Pos(), Op: "*", X: &Literal{Span: e.Pos(), Value: Value{Dim: Number, Num: big.NewRat(1, 2)}}, Y: e}
}
