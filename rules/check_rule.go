package rules

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/units"
)

// perSide tells whether a scope goes over each side of a run, so that the panels and ribs of that side are at
// hand. A scope that hangs on another element is as that element's.
func (d *draft) perSide(s *ScopeDecl) bool {
	s = d.root(s)
	return s.Of == "side" || s.Of == "rib" || s.Of == "panel"
}

// root is the scope on which another hangs in the end; an empty one where that isn't known.
func (d *draft) root(s *ScopeDecl) *ScopeDecl {
	for range len(d.Elements) + 1 {
		if s == nil {
			break
		}
		if s.Name == nil {
			return s
		}
		e := d.elements[s.Name.Text]
		if e == nil {
			break
		}
		s = e.Scope
	}
	return &ScopeDecl{} // unknown, or in a circle
}

// setting is where the expressions of an element stand.
func (d *draft) setting(e *Element) setting {
	one := d.perSide(e.Scope)
	return setting{
		detail:      d,
		what:        "in the scope `" + e.Scope.text() + "`",
		run:         true,
		panel:       e.Scope.Of == "panel",
		rib:         one,
		side:        one && d.sided(),
		length:      e.Scope.How != "at",
		penetration: e.Scope.Of == "penetration",
		end:         e.Scope.Of == "end",
	}
}

// checkElement checks an element's scope, item and `when`, then its rules one by one and together.
func (c *checker) checkElement(d *draft, e *Element) {
	at := d.names[e.Name]
	c.checkScope(d, e)
	c.checkElementItem(e, at)
	p := d.setting(e)
	if e.When != nil {
		when := p
		when.zone = true
		c.want(e.When, Condition, when, "`when`")
	}
	bad := false
	for _, r := range e.Rules {
		bad = !c.checkRule(d, e, r, p) || bad
	}
	if !bad {
		c.checkTogether(e, at)
	}
}

// checkScope checks that the scope exists, fits the kind, and hangs on an element of the right kind.
func (c *checker) checkScope(d *draft, e *Element) {
	s := e.Scope
	if (e.Kind == Pieces || e.Kind == Strip) && s.How != "along" && s.How != "in" {
		why := "which has no length"
		if s.How == "around" {
			why = "a ring, which has no ends"
		}
		c.fail(s, CodeScopeUnfit, "%s can't be laid `%s`, %s", e.Kind.article(), s.text(), why).
			suggest("lay it `along …` or `in each …`, or lay a `row` or a `bead`")
		return
	}
	switch {
	case d.plane():
		if s.Name == nil && s.Of != "penetration" && (s.How != "along" || s.Of != "rib") {
			c.fail(s, CodeScopeUnfit, "the field of a plane has no `%s`", s.text()).
				suggest("on the field: `along each rib`, `at each penetration`, `around each penetration`")
		}
	case s.Of == "penetration", s.How == "along" && s.Of == "rib":
		c.fail(s, CodeScopeUnfit, "an edge has no `%s`", s.text()).
			suggest("write it in a detail `for field`, which is laid on the plane itself")
	}
	if s.Name == nil {
		return
	}
	fits := map[string]Kind{"piece": Pieces, "lap": Pieces, "gap": Row, "mark": Row}
	c.checkReference(d, *s.Name, fits[s.Of], "`"+s.How+" each "+s.Of+" of`")
}

// checkReference checks that a line names an element of the kind it needs.
func (c *checker) checkReference(d *draft, name Name, kind Kind, what string) {
	e := d.elements[name.Text]
	switch {
	case e == nil && d.dropped[name.Text] != nil:
		c.droppedName(d, name)
	case e == nil:
		var fit []string
		for _, e := range d.Elements {
			if e.Kind == kind {
				fit = append(fit, e.Name)
			}
		}
		c.unknown(name, "element", fit)
	case e.Kind != kind:
		c.fail(name, CodeWrongKind, "%s takes %s, and `%s` is %s", what, kind.article(), name.Text, e.Kind.article()).
			relate(d.names[e.Name], "`%s` is declared here", e.Name)
	}
}

// article is the kind as a sentence has it: "a row", but "pieces".
func (k Kind) article() string {
	if k == Pieces {
		return "pieces"
	}
	return "a " + k.String()
}

// checkElementItem checks that an item can be laid in this way.
func (c *checker) checkElementItem(e *Element, at Node) {
	if e.Item == nil {
		return
	}
	bought := map[string]bool{
		"stock": len(e.Item.Stock) > 0, "roll": e.Item.Roll.Sign() > 0, "pack": e.Item.Pack > 0,
		"cartridge": e.Item.Cartridge != (units.Volume{}), "bead": e.Item.Bead.Width.Sign() > 0,
	}
	never := [...][]string{
		Row:    {"stock", "roll", "cartridge", "bead"},
		Pieces: {"cartridge", "bead"},
		Strip:  {"stock", "cartridge", "bead", "pack"},
		Bead:   {"stock", "roll", "pack"},
	}[e.Kind]
	for _, key := range never {
		if bought[key] {
			c.fail(at, CodeItemUnfit, "%s can't be of `%s`, which has a `%s`", e.Kind.article(), e.Item.Name, key).
				relate(e.Item, "`%s` is declared here", e.Item.Name)
			return
		}
	}
	if e.Kind == Bead && !bought["bead"] {
		c.fail(at, CodeItemUnfit, "a bead's volume depends on its section, and `%s` has none", e.Item.Name).
			relate(e.Item, "`%s` is declared here", e.Item.Name).suggest("add for example `bead 3/8 in round`")
	}
}

// lay takes the way of laying that an element asks for.
func (c *checker) lay(e *Element, lay *Name) {
	if lay == nil {
		return
	}
	ways := [...][]string{Row: {"even", "stepped", "centered"}, Pieces: {"full", "even"}, Strip: nil, Bead: nil}[e.Kind]
	if slices.Contains(ways, lay.Text) {
		e.Lay = lay.Text
		if e.Kind == Row && e.Scope.How == "at" {
			c.fail(lay, CodeLayUnfit, "`lay` has no meaning `%s`: the marks stand at the feature", e.Scope.text())
		}
		return
	}
	d := c.fail(lay, CodeLayUnfit, "`lay %s` is no way to lay %s", lay.Text, e.Kind.article())
	if ways != nil {
		d.suggest("what fits here: %s", strings.Join(ways, ", "))
	} else {
		d.suggest("leave `lay` out; a %s lies where its scope is", e.Kind)
	}
}

// checkRule checks one line of an element: that its measure has a meaning there, and its value, feature and `when`.
func (c *checker) checkRule(d *draft, e *Element, r *Rule, p setting) bool {
	if u := unfit(e.Kind, e.Scope, r); u.code != "" {
		c.fail(r, u.code, "%s", u.why).suggest("%s", u.instead)
		return false
	}
	if u := d.farOff(e.Scope, r); u.code != "" {
		c.fail(r, u.code, "%s", u.why).suggest("%s", u.instead)
		return false
	}
	if r.From != nil {
		c.checkFeature(d, r.From)
	}
	ok := c.checkLimit(e.Kind, r, p)
	if r.When != nil {
		when := p
		when.zone = true
		when.end = p.end || (r.Measure == End || r.Measure == Extend)
		ok = c.want(r.When, Condition, when, "`when`") && ok
	}
	return ok
}

// An unfitness is why a line has no meaning, and what would have.
type unfitness struct{ code, why, instead string }

// unfit tells why a measure has no meaning for a kind in a scope; its zero value means that it has.
func unfit(k Kind, s *ScopeDecl, r *Rule) unfitness {
	m, at, ring := r.Measure, s.How == "at", s.How == "around"
	of := [...][]Kind{
		Spacing: {Row}, Count: {Row, Pieces}, End: {Row}, Clear: {Row, Pieces}, Offset: {Row, Bead},
		Lap: {Pieces, Strip}, Length: {Pieces, Strip, Bead}, Extend: {Pieces, Strip, Bead},
	}[m]
	where := "`" + s.text() + "`"
	switch {
	case !slices.Contains(of, k):
		names := make([]string, len(of))
		for i, k := range of {
			names[i] = k.article()
		}
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`%s` has no meaning for %s", m, k.article()),
			fmt.Sprintf("`%s` is of %s", m, strings.Join(names, ", "))}
	case m == Offset && !at && !ring:
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`offset` has no meaning %s: there is no feature to be off", where),
			"`offset` is for `at` and `around` scopes; here `end` or `clear` keeps a distance"}
	case (m == End || m == Extend) && at:
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`%s` has no meaning %s: the scope has no ends", m, where),
			"`offset` moves it from the feature"}
	case (m == End || m == Extend) && ring:
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`%s` has no meaning %s: a ring has no ends", m, where),
			"`spacing` goes all the way round"}
	case m == Length && k == Bead && at && r.Op != Equal:
		return unfitness{CodeComparatorUnfit, fmt.Sprintf("a bead %s has no length of its own to bound", where), "write `length =`"}
	case (m == Spacing || m == Count) && at && r.Op != Equal:
		return unfitness{CodeComparatorUnfit, fmt.Sprintf("%s `%s` is given, not bounded", where, m),
			fmt.Sprintf("write `%s =`", m)}
	case (m == Offset || m == Extend) && r.Op != Equal:
		return unfitness{CodeComparatorUnfit, fmt.Sprintf("`%s` is given, not bounded", m), fmt.Sprintf("write `%s =`", m)}
	case m == Clear && r.Op != AtLeast && r.Op != Greater:
		return unfitness{CodeComparatorUnfit, "`clear` is kept at least", "write `clear >=`"}
	case m == Clear && r.From == nil:
		return unfitness{CodeFeatureUnfit, "`clear` doesn't say of what", "add `from rib`, or another feature"}
	case m != Clear && r.From != nil:
		return unfitness{CodeFeatureUnfit, fmt.Sprintf("`%s` isn't measured from a feature", m), "leave `from` out, or write `clear`"}
	case r.Side != BothEnds && m != End && m != Extend:
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`%s` has no left and right", m), "only `end` and `extend` have"}
	}
	return unfitness{}
}

// farOff tells why `clear` has no meaning on the field of a plane: along a rib the rib is no feature, and at or round a
// penetration there is none along the way.
func (d *draft) farOff(s *ScopeDecl, r *Rule) unfitness {
	root := d.root(s)
	switch {
	case r.Measure != Clear || !d.plane():
	case root.Of == "penetration":
		return unfitness{CodeMeasureUnfit, fmt.Sprintf("`clear` has no meaning `%s`: there is no run with features along it", s.text()),
			"`require penetration clear` keeps the penetration itself away from ribs, edges and others"}
	case root.Of == "rib" && root.How == "along" && r.From.Of == "rib":
		return unfitness{CodeFeatureUnfit, "what is laid along a rib stands on it", "on an edge `clear … from rib` keeps off ribs that cross it"}
	}
	return unfitness{}
}

// checkFeature checks what a distance is measured from.
func (c *checker) checkFeature(d *draft, f *Feature) {
	switch f.Of {
	case "lap":
		c.checkReference(d, *f.Name, Pieces, "`lap of`")
	case "mark":
		if d.elements[f.Name.Text] == nil && slices.Contains(edgeKinds[:], f.Name.Text) {
			c.fail(f, CodeFeatureUnfit, "a run has no `%s` along it", f.Name.Text).
				suggest("only `require penetration clear` is measured from an edge; `clear … from end` is kept from the run's ends")
			return
		}
		c.checkReference(d, *f.Name, Row, "a distance from marks")
	}
}

// checkLimit checks the value of a line: its dimension and, where it is the same on every roof, its size.
func (c *checker) checkLimit(kind Kind, r *Rule, p setting) bool {
	if !c.wantLimit(r, p) {
		return false
	}
	v, err := Eval(r.Value, p.constants())
	if err != nil {
		c.evalFailed(err)
		return true
	}
	maximum := r.Op.direction() <= 0
	sign := v.Num.Sign()
	switch r.Measure {
	case Lap, Offset, Extend:
		return true
	case Count:
		switch {
		case !v.Num.IsInt():
			c.fail(r.Value, CodeBadCount, "a count is whole, and this is %s", v.Num.FloatString(3))
		case maximum && (sign <= 0 || r.Op == Less && v.Num.Num().Cmp(big.NewInt(1)) <= 0):
			c.fail(r.Value, CodeBadLimit, "this leaves no room for even one").
				suggest("where none is wanted, give the element a `when`")
		}
		return true
	}
	mark := c.book.Mark
	order := v.Num.Cmp(mark.Rat())
	switch {
	case sign < 0:
		c.fail(r.Value, CodeBadLimit, "`%s` is never below zero", r.Measure)
	case sign == 0 && maximum && (r.Measure != End || r.Op == Less):
		c.fail(r.Value, CodeBadLimit, "nothing keeps a `%s` of zero", r.Measure)
	case kind == Row && sign > 0 && (order < 0 || order == 0 && r.Measure == Spacing && r.Op == Less):
		c.fail(r.Value, CodeBelowMark, "this limit is finer than the step on which marks fall, %s", mark).
			relate(c.book.MarkSpan, "`mark` is set here").
			suggest("make it at least one step")
	}
	return true
}

// wantLimit checks the dimension of a line's value.
func (c *checker) wantLimit(r *Rule, p setting) bool {
	want := LengthDim
	if r.Measure == Count {
		want = Number
	}
	return c.want(r.Value, want, p, "`"+r.Measure.String()+"`")
}

// checkTogether checks that the lines of an element are enough to lay it.
func (c *checker) checkTogether(e *Element, at Node) {
	has := func(m Measure, maximum bool) bool {
		return slices.ContainsFunc(e.Rules, func(r *Rule) bool {
			return r.Measure == m && (!maximum || r.Op.direction() <= 0)
		})
	}
	switch {
	case e.Kind == Row && e.Scope.How != "at" && !has(Spacing, true) && !has(End, true) && !has(Count, false):
		c.fail(at, CodeUnboundedRow, "nothing says how many marks `%s` needs", e.Name).
			suggest("add a `spacing` or `end` maximum, or a `count`")
	case e.Kind == Row && e.Scope.How == "at" && has(Spacing, false) && !has(Count, false):
		c.fail(at, CodeUnboundedRow, "`%s` takes one mark, which has no `spacing`", e.Name).
			suggest("add `count =`, or leave `spacing` out")
	case e.Kind == Bead && e.Scope.How == "at" && !has(Length, false):
		c.fail(at, CodeBeadLength, "nothing says how long the bead `%s` is", e.Name).
			suggest("add `length =`; only a scope with a length gives a bead its own")
	}
}

// checkRequires checks the requirements, each at what its names speak of.
func (c *checker) checkRequires(d *draft) {
	for _, r := range d.Requires {
		if r.Clear != nil {
			if !d.plane() {
				c.fail(r, CodeScopeUnfit, "an edge has no penetrations to be clear of something").
					suggest("write it in a detail `for field`, which is laid on the plane itself")
			}
			p := setting{detail: d, what: "in a `require`", run: true, penetration: true}
			c.checkFarFeature(r.Clear.From)
			if u := unfit(Row, &ScopeDecl{How: "at", Of: "penetration"}, r.Clear); u.code != "" {
				c.fail(r.Clear, u.code, "%s", u.why).suggest("%s", u.instead)
			} else {
				c.checkLimit(Pieces, r.Clear, p) // no mark has to fall on a step
			}
			continue
		}
		p := setting{
			detail: d, what: "in a `require`",
			run: true, panel: true, rib: true, side: d.sided(), end: !d.plane(),
		}
		if !c.want(r.Cond, Condition, p, "`require`") {
			continue
		}
		if heads := d.heads(r.Cond); heads["end"] && (heads["panel"] || heads["rib"] || heads["side"]) {
			c.fail(r.Cond, CodeMixedScopes, "one requirement can't speak of an end and of a panel, a rib or a side").
				suggest("make two requirements of it")
		}
	}
}

// checkFarFeature checks what a penetration is clear of: a rib, another penetration, any side of the plane, or a kind of
// edge, which reads as a name at first.
func (c *checker) checkFarFeature(f *Feature) {
	switch {
	case f == nil || f.Of == "rib" || f.Of == "penetration" || f.Of == "end" || slices.Contains(edgeKinds[:], f.Of):
	case f.Of == "mark" && slices.Contains(edgeKinds[:], f.Name.Text):
		f.Of, f.Name = f.Name.Text, nil
	case f.Of == "mark":
		c.fail(f, CodeFeatureUnfit, "a penetration is not kept clear of `%s`", f.Name.Text).meant(f.Name.Text, edgeKinds[:])
	default:
		c.fail(f, CodeFeatureUnfit, "a penetration is kept clear of a rib, another penetration, an end of the plane or a kind of edge").
			suggest("write for example `from rib` or `from valley`")
	}
}

// heads are the first words of the givens that an expression stands on: panel, rib, side, slope, end.
func (d *Detail) heads(e Expr) map[string]bool {
	heads := map[string]bool{}
	d.eachRef(e, func(r *Ref) {
		if givenNamed(r.Name) != nil {
			head, _, _ := strings.Cut(r.Name, ".")
			heads[head] = true
		}
	})
	return heads
}

// RequireScope tells where a requirement is checked and reported, by the names in it: at each "panel", "rib",
// "side" or "end", or once for the "run". A requirement on `slope` is on each side.
func (d *Detail) RequireScope(r *Require) string {
	heads := d.heads(r.Cond)
	switch {
	case heads["panel"]:
		return "panel"
	case heads["rib"]:
		return "rib"
	case heads["end"]:
		return "end"
	case heads["side"], heads["slope"]:
		return "side"
	}
	return "run"
}
