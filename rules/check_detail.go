package rules

import (
	"slices"
	"strconv"
)

// A draft is a detail while it is put together and checked.
type draft struct {
	*Detail
	decl     *detailNode
	depth    int // how many details it stands on
	inputs   map[string]*Input
	lets     map[string]*letState
	folded   map[string]Value     // of lets; a Value without Num isn't constant
	narrowed map[string]narrowing // of inputs and givens, by conditions that are taken for given
	elements map[string]*Element
	names    map[string]Node // where each element is named
	written  map[string]bool // elements that the detail itself declares or changes
	dropped  map[string]*dropNode
	loosened []loosened
}

// sided tells whether `side` has a value where the detail is laid.
func (d *draft) sided() bool {
	return !slices.ContainsFunc(d.Kinds, func(k string) bool { return k != "transition" })
}

// plane tells whether the detail is for the plane itself.
func (d *draft) plane() bool { return slices.Contains(d.Kinds, "field") }

func (c *checker) checkDetails() {
	for _, f := range c.files {
		for _, decl := range f.decls {
			d, ok := decl.(*detailNode)
			if !ok {
				continue
			}
			if first := c.decls[d.Name.Text]; first != nil {
				c.twice("detail", d.Name.Text, d.Name, first.Name)
				continue
			}
			c.decls[d.Name.Text] = d
			c.names = append(c.names, d.Name.Text)
		}
	}
	for _, name := range c.names {
		if d := c.draft(c.decls[name]); d != nil {
			c.book.Details = append(c.book.Details, d.Detail)
		}
	}
}

// draft puts a detail together, after the one that it extends. It is nil if what it stands on can't be used.
func (c *checker) draft(decl *detailNode) *draft {
	var chain []*detailNode
	for decl != nil {
		if _, done := c.drafts[decl.Name.Text]; done {
			break
		}
		if i := slices.Index(chain, decl); i >= 0 {
			c.extendsCircle(chain[i:])
			break
		}
		chain = append(chain, decl)
		if decl.Extends == nil {
			break
		}
		base := c.decls[decl.Extends.Text]
		if base == nil {
			c.unknown(*decl.Extends, "detail", c.names)
			c.drafts[decl.Name.Text] = nil
		}
		decl = base
	}
	var d *draft
	for _, decl := range slices.Backward(chain) {
		if _, done := c.drafts[decl.Name.Text]; !done {
			c.drafts[decl.Name.Text] = c.build(decl)
		}
		d = c.drafts[decl.Name.Text]
	}
	if len(chain) == 0 {
		return c.drafts[decl.Name.Text]
	}
	return d
}

func (c *checker) extendsCircle(members []*detailNode) {
	names := make([]string, len(members))
	for i, m := range members {
		names[i] = "`" + m.Name.Text + "`"
		c.drafts[m.Name.Text] = nil
	}
	d := c.fail(members[0].Extends, CodeCircle, "%s", circle(names))
	for _, m := range members[1:] {
		d.relate(m.Extends, "`%s` takes part", m.Name.Text)
	}
}

// build puts a detail together from its base and its own clauses, then checks it whole.
func (c *checker) build(decl *detailNode) *draft {
	d := &draft{
		Detail: &Detail{Span: decl.Span, Name: decl.Name.Text, Title: decl.Title},
		decl:   decl,
		inputs: map[string]*Input{}, lets: map[string]*letState{}, folded: map[string]Value{},
		elements: map[string]*Element{}, names: map[string]Node{}, written: map[string]bool{}, dropped: map[string]*dropNode{},
	}
	c.checkFor(d)
	var base *draft
	if decl.Extends != nil {
		if base = c.drafts[decl.Extends.Text]; base == nil {
			return nil
		}
		if base.depth == maxExtends {
			c.fail(decl.Extends, CodeTooLarge, "more than %d details extend one another", maxExtends)
			return nil
		}
	}
	if !c.fits(decl, base) {
		return nil
	}
	if base != nil {
		d.inherit(base)
	}
	c.takeNames(d)
	c.takeElements(d)
	c.takeRest(d)
	c.finish(d)
	return d
}

// inherit takes all of the base. Rules are copied, because each detail names its own.
func (d *draft) inherit(base *draft) {
	d.Extends, d.depth = base.Name, base.depth+1
	if len(d.Kinds) == 0 {
		d.Kinds = base.Kinds
	}
	for _, in := range base.Inputs {
		d.Inputs = append(d.Inputs, in)
		d.inputs[in.Name.Text] = in
	}
	for _, l := range base.Lets {
		d.Lets = append(d.Lets, l)
		d.lets[l.Name.Text] = &letState{let: l}
	}
	for _, r := range base.Requires {
		d.Requires = append(d.Requires, r.copy())
	}
	now := map[*Rule]*Rule{}
	for _, e := range base.Elements {
		mine := *e
		mine.Rules = make([]*Rule, len(e.Rules))
		for i, r := range e.Rules {
			mine.Rules[i] = r.copy()
			if len(base.loosened) > 0 {
				now[r] = mine.Rules[i]
			}
		}
		d.add(&mine, base.names[e.Name])
	}
	for _, l := range base.loosened {
		l.rule = now[l.rule]
		d.loosened = append(d.loosened, l)
	}
	d.Steps = slices.Clone(base.Steps)
	d.Cautions, d.Notes = slices.Clone(base.Cautions), slices.Clone(base.Notes)
}

func (d *draft) add(e *Element, at Node) {
	d.Elements = append(d.Elements, e)
	d.elements[e.Name], d.names[e.Name] = e, at
}

func (r *Rule) copy() *Rule {
	mine := *r
	return &mine
}

func (r *Require) copy() *Require {
	mine := *r
	if r.Clear != nil {
		mine.Clear = r.Clear.copy()
	}
	return &mine
}

// fits counts the lines of all details, so that a book doesn't grow far beyond what was written, through details
// that extend large ones.
func (c *checker) fits(decl *detailNode, base *draft) bool {
	c.resolved += len(decl.Body)
	if base != nil {
		c.resolved += len(base.Elements)
		for _, e := range base.Elements {
			c.resolved += len(e.Rules)
		}
	}
	if c.resolved > maxResolved {
		c.fail(decl.Name, CodeTooLarge, "the details of the book have more than %d lines with those of their bases", maxResolved)
		return false
	}
	return true
}

// checkFor checks what the detail says that it is for.
func (c *checker) checkFor(d *draft) {
	decl := d.decl
	d.For = c.distinct("edge kind", decl.For)
	d.Kinds = d.For
	for _, n := range decl.For {
		switch {
		case n.Text == "field":
			if len(decl.For) > 1 {
				c.fail(n, CodeBadFor, "a detail is for edges or for the field, not both").suggest("make two details of it")
			}
		case !slices.Contains(edgeKinds[:], n.Text):
			c.fail(n, CodeUnknownWord, "there is no edge kind `%s`", n.Text).meant(n.Text, edgeKinds[:])
		}
	}
	if len(decl.For) == 0 && decl.Extends == nil {
		c.fail(decl.Name, CodeBadFor, "detail `%s` doesn't say what it is for", d.Name).
			suggest("for example `for edge eave`; only a detail that extends another may leave it out")
	}
}

// takeNames takes the inputs and lets that the detail declares.
func (c *checker) takeNames(d *draft) {
	mine := map[string]Node{}
	for _, clause := range d.decl.Body {
		switch clause := clause.(type) {
		case *Input:
			name := clause.Name.Text
			if first := mine[name]; first != nil {
				c.twice("name", name, clause.Name, first)
				continue
			}
			mine[name] = clause.Name
			c.input(d, clause)
		case *Let:
			name := clause.Name.Text
			first := mine[name]
			if in := d.inputs[name]; first == nil && in != nil {
				first = in.Name
			}
			if l := d.lets[name]; first == nil && l != nil {
				first = l.let.Name
			}
			if first != nil {
				c.twice("name", name, clause.Name, first)
				continue
			}
			mine[name] = clause.Name
			d.Lets = append(d.Lets, clause)
			d.lets[name] = &letState{let: clause}
		}
	}
	for _, l := range d.Lets {
		c.resolveLet(d.lets[l.Name.Text], d, nil)
	}
}

// takeElements takes the detail's elements, in the order written, and what it changes in its base's.
func (c *checker) takeElements(d *draft) {
	mine := map[string]Node{}
	relaxed := map[string]Node{}
	for _, clause := range d.decl.Body {
		switch clause := clause.(type) {
		case *elementNode:
			name := clause.Name.Text
			if first := mine[name]; first != nil {
				c.twice("element", name, clause.Name, first)
				continue
			}
			mine[name] = clause.Name
			c.element(d, clause)
		case *relaxNode:
			name := clause.Name.Text
			if first := relaxed[name]; first != nil {
				c.twice("`relax` of", name, clause.Name, first)
				continue
			}
			relaxed[name] = clause.Name
			c.relax(d, clause)
		}
	}
	for _, clause := range d.decl.Body {
		if drop, ok := clause.(*dropNode); ok {
			at := mine[drop.Name.Text]
			if at == nil {
				at = relaxed[drop.Name.Text]
			}
			c.drop(d, drop, at)
		}
	}
}

// takeRest takes requirements, steps and remarks. A detail that writes any step writes them all.
func (c *checker) takeRest(d *draft) {
	var steps []*Step
	for _, clause := range d.decl.Body {
		switch clause := clause.(type) {
		case *Require:
			d.Requires = append(d.Requires, clause.copy())
		case *Step:
			steps = append(steps, clause)
		case *remarkNode:
			if clause.Caution {
				d.Cautions = append(d.Cautions, clause.Text)
			} else {
				d.Notes = append(d.Notes, clause.Text)
			}
		}
	}
	if steps != nil {
		d.Steps = steps
		return
	}
	for i, s := range d.Steps {
		d.Steps[i] = s.without(d.dropped)
	}
}

// without is the step less what was dropped.
func (s *Step) without(dropped map[string]*dropNode) *Step {
	gone := func(n Name) bool { return dropped[n.Text] != nil }
	if !slices.ContainsFunc(s.Sets, gone) {
		return s
	}
	mine := *s
	mine.Sets = slices.DeleteFunc(slices.Clone(s.Sets), gone)
	return &mine
}

// finish names the rules, puts the elements in order and checks all that was put together.
func (c *checker) finish(d *draft) {
	d.nameRules()
	// What is taken from a base as it is was checked there, unless it lies elsewhere now or names what is gone.
	all := len(d.For) > 0 || len(d.dropped) > 0
	for _, e := range d.Elements {
		if all || d.written[e.Name] {
			c.checkElement(d, e)
		}
	}
	c.checkRequires(d)
	c.checkSteps(d)
	c.order(d)
	c.warnInputs(d)
}

// warnInputs reports the inputs that nothing uses; those of a base are reported there.
func (c *checker) warnInputs(d *draft) {
	used := map[string]bool{}
	use := func(e Expr) { eachRef(e, func(r *Ref) { used[r.Name] = true }) }
	for _, l := range d.Lets {
		use(l.Value)
	}
	for _, r := range d.Requires {
		use(r.Cond)
		if r.Clear != nil {
			use(r.Clear.Value)
		}
	}
	for _, e := range d.Elements {
		use(e.When)
		for _, r := range e.Rules {
			use(r.Value)
			use(r.When)
		}
	}
	for _, clause := range d.decl.Body {
		if in, ok := clause.(*Input); ok && !used[in.Name.Text] {
			c.warn(in.Name, CodeUnusedInput, "nothing uses the input `%s`", in.Name.Text)
		}
	}
}

// nameRules gives each rule and requirement its ID, and lists what was loosened under it.
func (d *draft) nameRules() {
	numbered := func(id string, n int) string {
		if n > 1 {
			return id + "#" + strconv.Itoa(n)
		}
		return id
	}
	for _, e := range d.Elements {
		count := map[Measure]int{}
		for _, r := range e.Rules {
			count[r.Measure]++
			r.ID = numbered(d.Name+"."+e.Name+"."+r.Measure.String(), count[r.Measure])
		}
	}
	for i, r := range d.Requires {
		r.ID = numbered(d.Name+".require", i+1)
		if r.Clear != nil {
			r.Clear.ID = r.ID
		}
	}
	d.Relaxed = nil
	for _, l := range d.loosened {
		name := d.Name + "." + l.dropped
		if l.rule != nil {
			name = l.rule.ID
		}
		d.Relaxed = append(d.Relaxed, Relaxation{Span: l.at, Rule: name, Because: l.because})
	}
}

// order puts the elements in the order in which they are laid: each after those that it refers to, otherwise
// as written.
func (c *checker) order(d *draft) {
	index := map[string]int{}
	for i, e := range d.Elements {
		index[e.Name] = i
	}
	const (
		waiting = iota + 1
		placed
	)
	state := make([]int, len(d.Elements))
	var path []int
	var place func(i int)
	place = func(i int) {
		switch state[i] {
		case placed:
			return
		case waiting:
			c.elementCircle(d, path[slices.Index(path, i):])
			return
		}
		state[i], path = waiting, append(path, i)
		for _, name := range d.Elements[i].references() {
			if j, ok := index[name.Text]; ok {
				place(j)
			}
		}
		state[i], path = placed, path[:len(path)-1]
		d.Order = append(d.Order, i)
	}
	for i := range d.Elements {
		place(i)
	}
}

func (c *checker) elementCircle(d *draft, members []int) {
	names := make([]string, len(members))
	for i, m := range members {
		names[i] = "`" + d.Elements[m].Name + "`"
	}
	first := d.Elements[members[0]]
	diag := c.fail(d.names[first.Name], CodeCircle, "%s", circle(names)).
		suggest("an element is laid after those that it names; measure one of them from something else")
	for i, m := range members {
		next := d.Elements[members[(i+1)%len(members)]].Name
		for _, name := range d.Elements[m].references() {
			if name.Text == next {
				diag.relate(name, "%s names `%s` here", names[i], next)
				break
			}
		}
	}
}

// references lists the elements that the element's scope and rules name.
func (e *Element) references() []Name {
	var names []Name
	if e.Scope != nil && e.Scope.Name != nil {
		names = append(names, *e.Scope.Name)
	}
	for _, r := range e.Rules {
		if r.From != nil && r.From.Name != nil {
			names = append(names, *r.From.Name)
		}
	}
	return names
}

// checkSteps checks that each element is set once, by a step that names it rightly and comes no sooner than what the
// element is laid from.
func (c *checker) checkSteps(d *draft) {
	if len(d.Steps) == 0 {
		return
	}
	set, step := map[string]Name{}, map[string]int{}
	for i, s := range d.Steps {
		for _, n := range s.Sets {
			first, again := set[n.Text]
			switch {
			case d.dropped[n.Text] != nil:
				c.droppedName(d, n)
			case d.elements[n.Text] == nil:
				c.unknown(n, "element", d.elementNames())
			case again:
				c.fail(n, CodeSetTwice, "`%s` is set by two steps", n.Text).relate(first, "set here too").
					suggest("leave it out of one")
			default:
				set[n.Text], step[n.Text] = n, i
			}
		}
	}
	for _, e := range d.Elements {
		at, ok := set[e.Name]
		if !ok {
			c.warn(d.names[e.Name], CodeUnsetElement, "no step sets `%s`", e.Name).
				suggest("add it to a step's `sets`")
			continue
		}
		for _, from := range e.references() {
			if first, ok := set[from.Text]; ok && step[e.Name] < step[from.Text] {
				c.warn(at, CodeStepOrder, "`%s` is set before `%s`, which it is laid by", e.Name, from.Text).
					relate(from, "`%s` names it here", e.Name).relate(first, "set here").
					suggest("set `%s` first, or both in one step", from.Text)
			}
		}
	}
}

func (d *draft) elementNames() []string {
	names := make([]string, len(d.Elements))
	for i, e := range d.Elements {
		names[i] = e.Name
	}
	return names
}
