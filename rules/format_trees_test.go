package rules

import (
	"math/rand/v2"
	"strconv"
	"strings"
)

// A treeGen makes random trees that the grammar allows, whatever they mean.
type treeGen struct{ *rand.Rand }

// someOf makes a list of n to m.
func someOf[T any](g *treeGen, n, m int, one func() T) []T {
	var out []T
	for range n + g.IntN(m-n+1) {
		out = append(out, one())
	}
	return out
}

// maybe makes one or none.
func maybe[T any](g *treeGen, one func() T) (v T) {
	if g.IntN(2) == 0 {
		return one()
	}
	return v
}

func oneOf[T any](g *treeGen, among ...T) T { return among[g.IntN(len(among))] }

// name is one of the author's; some are words of the language too.
func (g *treeGen) name() Name {
	return Name{Text: oneOf(g, "a", "b_2", "Cap", "spacing", "length", "first", "gap", "stock", "detail", "row", "to", "bead", "must", "F")}
}

func (g *treeGen) aName() *Name { n := g.name(); return &n }

func (g *treeGen) names() []Name { return someOf(g, 1, 3, g.name) }

func (g *treeGen) text() string { return oneOf(g, "t", "a \"b\" \\ c", "# no comment", "{ }", "ç ½") }

func (g *treeGen) literal() *Literal {
	return &Literal{Text: oneOf(g, "1", "2.5", "3 in", "1 3/4 in", "10 ft 6 1/2 in", "400 mm", "1/2:12", "5%", "10.1 floz")}
}

func (g *treeGen) literals(n int) []*Literal { return someOf(g, n, n, g.literal) }

func (g *treeGen) expr(depth int) Expr {
	if depth == 0 {
		return oneOf(g, Expr(g.literal()), Expr(&Ref{Name: oneOf(g, "a", "at", "panel.width", "slope", "zone", "length")}))
	}
	less := func() Expr { return g.expr(g.IntN(depth)) }
	switch g.IntN(5) {
	case 0:
		return &Unary{Op: oneOf(g, "-", "not"), X: less()}
	case 1:
		return &Call{Func: oneOf(g, "min", "max", "floor", "abs"), Args: someOf(g, 1, 3, less)}
	case 2:
		if x := less(); !isComparison(x) {
			return &Is{X: x, Word: oneOf(g, g.name(), Name{Text: "penetration"})}
		}
	}
	b := &Binary{Op: oneOf(g, "+", "-", "*", "/", "<", "<=", "=", ">=", ">", "and", "or"), X: less(), Y: less()}
	for binds(b.Op) == bindsCompare && isComparison(b.X) {
		b.X = less()
	}
	return b
}

func (g *treeGen) anExpr() Expr { return g.expr(g.IntN(4)) }

func (g *treeGen) decls() []declNode {
	return someOf(g, 0, 4, func() declNode {
		switch g.IntN(5) {
		case 0:
			return &bookNode{Name: g.text(), Edition: maybe(g, g.text), Basis: maybe(g, g.text), Mark: maybe(g, g.literal), Zones: maybe(g, g.names)}
		case 1:
			return &includeNode{Path: g.text()}
		case 2:
			return &itemNode{Name: g.name(), Title: maybe(g, g.text), Props: someOf(g, 0, 3, g.property)}
		case 3:
			return &ExampleDecl{Name: g.text(), On: maybe(g, g.on), Lay: someOf(g, 0, 2, g.lay), Expects: someOf(g, 0, 3, g.expect), Source: maybe(g, g.text)}
		}
		d := &detailNode{Name: g.name(), Title: maybe(g, g.text), For: maybe(g, g.names), Extends: maybe(g, g.aName), Body: someOf(g, 0, 6, g.clause)}
		if g.IntN(5) == 0 {
			d.For = []Name{{Text: "field"}}
		}
		return d
	})
}

func (g *treeGen) property() *propertyNode {
	switch key := oneOf(g, "pack", "waste", "stock", "kerf", "girth", "roll", "cartridge", "bead", "movement"); key {
	case "stock":
		return &propertyNode{Key: key, Values: g.literals(1 + g.IntN(2))}
	case "bead":
		if g.IntN(2) == 0 {
			return &propertyNode{Key: key, Values: g.literals(2), Shape: "by"}
		}
		return &propertyNode{Key: key, Values: g.literals(1), Shape: oneOf(g, "round", "square")}
	case "movement":
		return &propertyNode{Key: key, Values: g.literals(2)}
	default:
		return &propertyNode{Key: key, Values: g.literals(1)}
	}
}

func (g *treeGen) reason() Reason { return Reason{Because: maybe(g, g.text), Source: maybe(g, g.text)} }

func (g *treeGen) clause() clauseNode {
	switch g.IntN(9) {
	case 0:
		in := &Input{Name: g.name(), Type: Name{Text: oneOf(g, "length", "number", "slope", "percent", "choice")}, Default: maybe(g, g.anExpr), Where: maybe(g, g.anExpr), Title: maybe(g, g.text)}
		if in.Type.Text == "choice" {
			in.Choices = g.names()
		}
		return in
	case 1:
		return &Let{Name: g.name(), Value: g.anExpr()}
	case 2:
		r := &Require{Should: g.IntN(2) == 0, Reason: g.reason()}
		if g.IntN(2) == 0 {
			r.Clear = &Rule{Should: r.Should, Measure: Clear, Op: Op(g.IntN(5)), Value: g.anExpr(), From: oneOf(g, g.feature(), &Feature{Of: "eave"})}
		} else {
			r.Cond = g.anExpr()
		}
		return r
	case 3:
		return &relaxNode{Name: g.name(), Rules: someOf(g, 0, 3, g.rule), Lay: maybe(g, g.way), Reason: g.reason()}
	case 4:
		return &dropNode{Name: g.name(), Reason: g.reason()}
	case 5:
		if g.IntN(3) == 0 {
			return &Step{Text: g.text(), Hold: true}
		}
		return &Step{Text: g.text(), Sets: maybe(g, g.names)}
	case 6:
		return &remarkNode{Text: g.text(), Caution: g.IntN(2) == 0}
	}
	return &elementNode{
		Kind: Kind(g.IntN(4)), Name: g.name(), Title: maybe(g, g.text), Item: maybe(g, g.aName), Scope: maybe(g, g.scope),
		When: maybe(g, g.anExpr), Lay: maybe(g, g.way), Rules: someOf(g, 0, 4, g.rule),
	}
}

func (g *treeGen) way() *Name { return &Name{Text: oneOf(g, "even", "stepped", "centered", "full")} }

func (g *treeGen) scope() *ScopeDecl {
	s := oneOf(g,
		ScopeDecl{How: "along", Of: "run"}, ScopeDecl{How: "along", Of: "side"}, ScopeDecl{How: "along", Of: "rib"},
		ScopeDecl{How: "along", Of: "piece", Name: g.aName()}, ScopeDecl{How: "around", Of: "penetration"},
		ScopeDecl{How: "in", Of: "panel"}, ScopeDecl{How: "in", Of: "gap", Name: g.aName()},
		ScopeDecl{How: "at", Of: "panel"}, ScopeDecl{How: "at", Of: "end"}, ScopeDecl{How: "at", Of: "penetration"},
		ScopeDecl{How: "at", Of: "rib"}, ScopeDecl{How: "at", Of: "lap", Name: g.aName()},
		ScopeDecl{How: "at", Of: "mark", Name: g.aName()}, ScopeDecl{How: "at", Of: "gap", Name: g.aName()},
	)
	s.Every = 1
	if s.Of == "rib" {
		s.Every, s.From = oneOf(g, 1, 2, 3, 11, 22), oneOf(g, 0, 1, 4)
	}
	return &s
}

func (g *treeGen) feature() *Feature {
	return oneOf(g, &Feature{Of: "rib"}, &Feature{Of: "end"}, &Feature{Of: "penetration"}, &Feature{Of: "zone"},
		&Feature{Of: "lap", Name: g.aName()}, &Feature{Of: "mark", Name: g.aName()})
}

func (g *treeGen) rule() *Rule {
	r := &Rule{
		Should: g.IntN(3) == 0, Measure: Measure(g.IntN(8)), Op: Op(g.IntN(5)), Value: g.anExpr(), From: maybe(g, g.feature),
		When: maybe(g, g.anExpr), Reason: g.reason(),
	}
	if r.Measure == End || r.Measure == Extend {
		r.Side = Side(g.IntN(3))
	}
	return r
}

func (g *treeGen) on() *On {
	if g.IntN(4) == 0 {
		return &On{Job: g.text()}
	}
	return &On{Edge: g.name(), Parts: someOf(g, 0, 4, func() *OnPart {
		switch key := oneOf(g, "length", "slope", "panels", "first", "rib", "ends", "zone", "penetration"); key {
		case "rib", "penetration":
			return &OnPart{Key: key, Values: g.literals(2)}
		case "zone":
			return &OnPart{Key: key, Word: g.aName(), Values: g.literals(2)}
		case "ends":
			return &OnPart{Key: key, Words: []Name{g.name(), {Text: "penetration"}}}
		default:
			return &OnPart{Key: key, Values: g.literals(1)}
		}
	})}
}

func (g *treeGen) lay() *LayDecl {
	return &LayDecl{Detail: g.name(), With: someOf(g, 0, 2, func() *Let { return &Let{Name: g.name(), Value: g.anExpr()} })}
}

func (g *treeGen) expect() *Expect {
	e := &Expect{What: oneOf(g, "at", "count", "gap", "length", "lap", "takeoff", "stock", "area", "cost", "violation", "none", "along")}
	switch e.What {
	case "none":
		return e
	case "along":
		e.Of, e.Verdict = g.aName(), &Name{Text: oneOf(g, "built", "yields", "conflicts", "refused")}
		e.Range = []*Literal{g.literal(), g.literal()}
		return e
	}
	e.Of = g.aName()
	place := func() {
		e.In, e.InN = &Name{Text: oneOf(g, "panel", "rib", "side", "gap", "piece", "lap", "mark", "end")}, 1+g.IntN(20)
	}
	where := g.IntN(3)
	switch e.What {
	case "at":
		e.At = someOf(g, 1, 3, g.anExpr)
		if where == 0 {
			place()
		}
		return e
	case "violation":
		e.Measure = maybe(g, func() string { return Measure(g.IntN(8)).String() })
		e.Severity = oneOf(g, "", "must", "should")
		if where == 0 {
			place()
		}
		if g.IntN(3) == 0 {
			e.Against = someOf(g, 1, 3, func() Name { return *g.aName() })
		}
		return e
	case "takeoff", "stock", "area", "cost":
	default:
		if where == 0 {
			place()
		} else if where == 1 {
			e.N = 1 + g.IntN(20)
		}
	}
	e.Op, e.Value = Op(g.IntN(5)), g.anExpr()
	return e
}

// A treeWriter writes trees word by word, with anything between the words that means nothing.
type treeWriter struct {
	*rand.Rand
	strings.Builder
	last string
}

func (w *treeWriter) put(words ...string) {
	for _, word := range words {
		if word == "" {
			continue
		}
		tight := w.last == "" || w.last == "(" || strings.Contains("(){},", w.last) || strings.Contains("(){},:", word)
		switch n := w.IntN(40); {
		case n == 0:
			w.WriteString(" # " + word + "\n")
		case n == 1:
			w.WriteString("\n# by itself \n\n\n")
		case n < 6:
			w.WriteString("\n")
		case n < 8:
			w.WriteString("\n\n\n  ")
		case n < 20 && tight:
		default:
			w.WriteString(" ")
		}
		w.WriteString(word)
		w.last = word
	}
}

func (w *treeWriter) quote(s string) {
	if s != "" {
		w.put(`"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`)
	}
}

// said writes a keyword and its text, if there is one.
func (w *treeWriter) said(key, text string) {
	if text != "" {
		w.put(key)
		w.quote(text)
	}
}

func (w *treeWriter) list(names []Name) {
	for i, n := range names {
		if i > 0 {
			w.put(",")
		}
		w.put(n.Text)
	}
}

func (w *treeWriter) named(key string, n *Name) {
	if n != nil {
		w.put(key, n.Text)
	}
}

// literal writes a literal with other blanks than are usual, where it may have them.
func (w *treeWriter) literal(l *Literal) {
	text := l.Text
	if strings.Contains(text, " ") {
		switch w.IntN(3) {
		case 0:
			text = strings.ReplaceAll(text, " ", "  ")
		case 1:
			i := strings.LastIndex(text, " ")
			text = text[:i] + text[i+1:]
		}
	}
	w.put(text)
}

func (w *treeWriter) expr(key string, e Expr) {
	if e != nil {
		w.put(key)
		w.operand(e, 0, false)
	}
}

// operand writes an expression that stands beside an operator, in brackets where it needs them and at times where
// it doesn't.
func (w *treeWriter) operand(e Expr, beside int, right bool) {
	own := bindsMinus + 1
	switch e := e.(type) {
	case *Binary:
		own = binds(e.Op)
	case *Is:
		own = bindsCompare
	case *Unary:
		own = 1
	}
	if beside > 0 && (own < beside || own == beside && right) || w.IntN(8) == 0 {
		w.put("(")
		defer w.put(")")
	}
	switch e := e.(type) {
	case *Literal:
		w.literal(e)
	case *Ref:
		w.put(e.Name)
	case *Unary:
		w.put(e.Op)
		w.operand(e.X, bindsMinus+1, true)
	case *Binary:
		w.operand(e.X, own, false)
		w.put(e.Op)
		w.operand(e.Y, own, true)
	case *Is:
		w.operand(e.X, own, false)
		w.put("is", e.Word.Text)
	case *Call:
		w.put(e.Func, "(")
		for i, a := range e.Args {
			if i > 0 {
				w.put(",")
			}
			w.operand(a, 0, false)
		}
		w.put(")")
	}
}

func (w *treeWriter) decls(decls []declNode) {
	for _, d := range decls {
		switch d := d.(type) {
		case *bookNode:
			w.said("book", d.Name)
			w.put("{")
			w.said("edition", d.Edition)
			w.said("basis", d.Basis)
			if d.Mark != nil {
				w.put("mark")
				w.literal(d.Mark)
			}
			if d.Zones != nil {
				w.put("zones")
				w.list(d.Zones)
			}
			w.put("}")
		case *includeNode:
			w.said("include", d.Path)
		case *itemNode:
			w.put("item", d.Name.Text)
			w.quote(d.Title)
			if len(d.Props) > 0 || w.IntN(2) == 0 {
				w.put("{")
				for _, p := range d.Props {
					w.property(p)
				}
				w.put("}")
			}
		case *detailNode:
			w.put("detail", d.Name.Text)
			w.quote(d.Title)
			switch {
			case len(d.For) == 1 && d.For[0].Text == "field":
				w.put("for", "field")
			case len(d.For) > 0:
				w.put("for", "edge")
				w.list(d.For)
			}
			w.named("extends", d.Extends)
			w.put("{")
			for _, c := range d.Body {
				w.clause(c)
			}
			w.put("}")
		case *ExampleDecl:
			w.example(d)
		}
	}
}

func (w *treeWriter) property(p *propertyNode) {
	w.put(p.Key)
	for i, v := range p.Values {
		switch {
		case i > 0 && p.Key == "stock":
			w.put("price")
		case i > 0 && p.Key == "bead":
			w.put("by")
		case i > 0 && p.Key == "movement":
			w.put("per")
		}
		w.literal(v)
	}
	switch {
	case p.Key == "movement":
		w.put("per", "100 F")
	case p.Shape != "by":
		w.put(p.Shape)
	}
}

func (w *treeWriter) reasons(r Reason) {
	if w.IntN(2) == 0 {
		w.said("because", r.Because)
		w.said("source", r.Source)
	} else {
		w.said("source", r.Source)
		w.said("because", r.Because)
	}
}

func (w *treeWriter) clause(c clauseNode) {
	switch c := c.(type) {
	case *Input:
		w.put("input", c.Name.Text, ":", c.Type.Text)
		if len(c.Choices) > 0 {
			w.put("of")
			w.list(c.Choices)
		}
		w.expr("=", c.Default)
		w.expr("where", c.Where)
		w.quote(c.Title)
	case *Let:
		w.put("let", c.Name.Text)
		w.expr("=", c.Value)
	case *Require:
		if c.Should {
			w.put("should")
		}
		if c.Clear != nil {
			w.put("require", "penetration", "clear")
			w.expr(c.Clear.Op.String(), c.Clear.Value)
			w.feature(c.Clear.From)
		} else {
			w.expr("require", c.Cond)
		}
		w.reasons(c.Reason)
	case *relaxNode:
		w.put("relax", c.Name.Text)
		w.rules(c.Rules, c.Lay)
		w.reasons(c.Reason)
	case *dropNode:
		w.put("drop", c.Name.Text)
		w.reasons(c.Reason)
	case *Step:
		if c.Hold {
			w.said("hold", c.Text)
			return
		}
		w.said("step", c.Text)
		if len(c.Sets) > 0 {
			w.put("sets")
			w.list(c.Sets)
		}
	case *remarkNode:
		key := "note"
		if c.Caution {
			key = "caution"
		}
		w.said(key, c.Text)
	case *elementNode:
		w.put(c.Kind.String(), c.Name.Text)
		w.quote(c.Title)
		w.named("of", c.Item)
		if c.Scope != nil {
			w.scope(c.Scope)
		}
		w.expr("when", c.When)
		w.rules(c.Rules, c.Lay)
	}
}

func (w *treeWriter) scope(s *ScopeDecl) {
	w.put(s.How)
	if s.Of == "run" {
		w.put("run")
		return
	}
	w.put("each")
	if s.Every > 1 {
		w.put(ordinal(s.Every))
	}
	w.put(s.Of)
	w.named("of", s.Name)
	if s.From > 0 {
		w.put("from", "rib", strconv.Itoa(s.From))
	}
}

func (w *treeWriter) rules(rules []*Rule, lay *Name) {
	w.put("{")
	at := 0
	if len(rules) > 0 {
		at = w.IntN(len(rules))
	}
	for i, r := range rules {
		if i == at {
			w.named("lay", lay)
		}
		if r.Should {
			w.put("should")
		} else if w.IntN(4) == 0 {
			w.put("must")
		}
		w.put(r.Measure.String(), r.Side.String())
		w.expr(r.Op.String(), r.Value)
		if r.From != nil {
			w.feature(r.From)
		}
		w.expr("when", r.When)
		w.reasons(r.Reason)
	}
	if len(rules) == 0 {
		w.named("lay", lay)
	}
	w.put("}")
}

func (w *treeWriter) feature(f *Feature) {
	w.put("from")
	switch f.Of {
	case "lap":
		w.put("lap", "of", f.Name.Text)
	case "mark":
		w.put(f.Name.Text)
	default:
		w.put(f.Of)
	}
}

func (w *treeWriter) example(e *ExampleDecl) {
	w.said("example", e.Name)
	w.put("{")
	if e.On != nil && e.On.Job != "" {
		w.put("on")
		w.said("job", e.On.Job)
	} else if e.On != nil {
		w.put("on", "edge", e.On.Edge.Text)
		for _, p := range e.On.Parts {
			w.part(p)
		}
	}
	for _, l := range e.Lay {
		w.put("lay", l.Detail.Text)
		for i, b := range l.With {
			w.put([]string{"with", ","}[min(i, 1)], b.Name.Text)
			w.expr("=", b.Value)
		}
	}
	for _, x := range e.Expects {
		w.expect(x)
	}
	w.said("source", e.Source)
	w.put("}")
}

func (w *treeWriter) part(p *OnPart) {
	w.put(p.Key)
	if p.Word != nil {
		w.put(p.Word.Text)
	}
	w.list(p.Words)
	for i, v := range p.Values {
		switch {
		case i > 0 && p.Key == "rib":
			w.put("x")
		case i > 0:
			w.put("to")
		}
		w.literal(v)
	}
}

func (w *treeWriter) expect(e *Expect) {
	w.put("expect")
	switch e.What {
	case "none":
		w.put("no", "violation")
		return
	case "at":
		w.put(e.Of.Text)
	case "takeoff", "stock", "area", "cost":
		w.put(e.What, e.Of.Text)
	case "along":
		w.put("along", e.Of.Text)
		w.literal(e.Range[0])
		w.put("to")
		w.literal(e.Range[1])
		w.put(e.Verdict.Text)
		return
	case "violation":
		w.put(e.Severity, e.What, "of", e.Of.Text, e.Measure)
	default:
		w.put(e.What, "of", e.Of.Text, e.Measure)
	}
	if e.N > 0 {
		w.put(strconv.Itoa(e.N))
	}
	if e.In != nil {
		w.put("in", e.In.Text, strconv.Itoa(e.InN))
	}
	for i, r := range e.Against {
		w.put([]string{"against", ","}[min(i, 1)], r.Text)
	}
	for i, x := range e.At {
		w.expr([]string{"at", ","}[min(i, 1)], x)
	}
	if e.Value != nil {
		w.expr(e.Op.String(), e.Value)
	}
}
