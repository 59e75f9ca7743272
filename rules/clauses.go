package rules

// A Clause is a line of a rule file that sizes or rules stand in, for programs that try changes of a book: what it
// points to may be changed, and the files be given to [Check] anew. What doesn't apply is empty.
type Clause struct {
	Span
	Detail  string // the detail that it stands in; "" of a mark and of an item
	Item    string // the item that it stands in
	Key     string // of an item: pack, waste, stock, kerf, girth, roll, cartridge, bead or movement
	Input   string // the input that it is
	Element string // the element that it stands in, or that it relaxes

	Numbers []*Literal // of an item, or the mark: what it is set to
	Exprs   []Expr     // of an input, a let or a `when`; those of rules and requirements are theirs
	Require *Require
	Scope   *ScopeDecl
	Rule    *Rule
}

// Clauses lists the lines of the file in their order, without those of examples.
func (f *File) Clauses() []Clause {
	var list []Clause
	for _, d := range f.decls {
		switch d := d.(type) {
		case *bookNode:
			if d.Mark != nil {
				list = append(list, Clause{Span: d.Mark.Span, Numbers: []*Literal{d.Mark}})
			}
		case *itemNode:
			for _, p := range d.Props {
				list = append(list, Clause{Span: p.Span, Item: d.Name.Text, Key: p.Key, Numbers: p.Values})
			}
		case *detailNode:
			for _, c := range d.Body {
				list = appendClauses(list, d.Name.Text, c)
			}
		}
	}
	return list
}

// appendClauses adds the lines that one clause of a detail takes.
func appendClauses(list []Clause, detail string, c clauseNode) []Clause {
	rules := func(element string, of []*Rule) {
		for _, r := range of {
			list = append(list, Clause{Span: r.Span, Detail: detail, Element: element, Rule: r})
		}
	}
	switch c := c.(type) {
	case *Input:
		list = append(list, Clause{Span: c.Span, Detail: detail, Input: c.Name.Text, Exprs: []Expr{c.Default, c.Where}})
	case *Let:
		list = append(list, Clause{Span: c.Span, Detail: detail, Exprs: []Expr{c.Value}})
	case *Require:
		list = append(list, Clause{Span: c.Span, Detail: detail, Require: c})
	case *elementNode:
		name := c.Name.Text
		if c.Scope != nil {
			list = append(list, Clause{Span: c.Scope.Span, Detail: detail, Element: name, Scope: c.Scope})
		}
		if c.When != nil {
			list = append(list, Clause{Span: c.When.Pos(), Detail: detail, Element: name, Exprs: []Expr{c.When}})
		}
		rules(name, c.Rules)
	case *relaxNode:
		rules(c.Name.Text, c.Rules)
	}
	return list
}

// Examples lists the worked examples of the file in their order.
func (f *File) Examples() []*ExampleDecl {
	var list []*ExampleDecl
	for _, d := range f.decls {
		if ex, ok := d.(*ExampleDecl); ok {
			list = append(list, ex)
		}
	}
	return list
}
