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
	for range len(d.Elements) + 1 {
		if s == nil || s.Name == nil {
			return s != nil && (s.Of == "side" || s.Of == "rib" || s.Of == "panel")
		}
		e := d.elements[s.Name.Text]
		if e == nil {
			return false
		}
		s = e.Scope
	}
	return false // in a circle
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
		// The field itself isn't laid, and says so.
		if s.Name == nil && s.Of != "penetration" && (s.How != "along" || s.Of != "rib") {
			c.fail(s, CodeScopeUnfit, "the field of a plane has no `%s`", s.text()).
				suggest("on the field: `along each rib`, `at each penetration`, `around each penetration`")
		}
	case s.Of == "penetration", s.How == "along" && s.Of == "rib":
		c.notLaid(s, "`"+s.text()+"`")
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

// checkFeature checks what a distance is measured from.
func (c *checker) checkFeature(d *draft, f *Feature) {
	switch f.Of {
	case "lap":
		c.checkReference(d, *f.Name, Pieces, "`lap of`")
	case "mark":
		if d.elements[f.Name.Text] == nil && slices.Contains(edgeKinds[:], f.Name.Text) {
			c.notLaid(f, "a distance from an edge of a plane")
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
			c.notLaid(r, "`require penetration clear`")
			p := setting{detail: d, what: "in a `require`", run: true, penetration: true}
			c.checkFeature(d, r.Clear.From)
			if u := unfit(Row, &ScopeDecl{How: "at", Of: "penetration"}, r.Clear); u.code != "" {
				c.fail(r.Clear, u.code, "%s", u.why).suggest("%s", u.instead)
			} else {
				c.checkLimit(Row, r.Clear, p)
			}
			continue
		}
		p := setting{
			detail: d, what: "in a `require`",
			run: true, panel: true, rib: true, side: d.sided(), end: true,
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
