package rules

import (
	"math/big"
	"slices"

	"github.com/alecthomas/participle/v2/lexer"
)

// This file turns what participle read into the tree that the rest of the package and its users see.

func (p *parser) name(w word) Name { return p.tokenName(w.Token) }

func (p *parser) tokenName(t lexer.Token) Name { return Name{p.spans[t.Pos.Column], t.Value} }

func (p *parser) optionalName(w *word) *Name {
	if w == nil {
		return nil
	}
	n := p.name(*w)
	return &n
}

func (p *parser) names(ws []word) []Name {
	var ns []Name
	for _, w := range ws {
		ns = append(ns, p.name(w))
	}
	return ns
}

func (p *parser) title(q *quoted) string {
	if q == nil {
		return ""
	}
	return p.unquote(q.Token)
}

func (p *parser) literal(l literal) *Literal {
	i := l.Token.Pos.Column
	return &Literal{p.spans[i], l.Token.Value, p.values[i]}
}

func (p *parser) literals(ls ...*literal) []*Literal {
	var out []*Literal
	for _, l := range ls {
		if l != nil {
			out = append(out, p.literal(*l))
		}
	}
	return out
}

// most bounds numbers of order: the 2nd rib, panel 2.
const most = 1_000_000

// whole is a number of order; 1 stands for one that is not whole, which it reports.
func (p *parser) whole(t lexer.Token) int {
	n := p.values[t.Pos.Column].Num
	if !n.IsInt() || n.Sign() <= 0 || n.Cmp(big.NewRat(most, 1)) > 0 {
		p.diags.add(p.spans[t.Pos.Column], CodeNotWhole, "`%s` is not a whole number from 1 to %d", clip(t.Value), most)
		return 1
	}
	return int(n.Num().Int64())
}

// once reports a clause that stands twice where it may stand once.
func (p *parser) once(seen map[string]Span, key string, at Span) bool {
	if first, twice := seen[key]; twice {
		p.diags.add(at, CodeRepeatedClause, "`%s` is said twice", key).relate(first, "first said here")
		return false
	}
	seen[key] = at
	return true
}

func (p *parser) reason(rs []reason) Reason {
	var r Reason
	seen := map[string]Span{}
	for _, c := range rs {
		if !p.once(seen, c.Key.Value, p.between(c.Key.Pos.Column, c.Text.Token.Pos.Column)) {
			continue
		}
		if text := p.unquote(c.Text.Token); c.Key.Value == "because" {
			r.Because = text
		} else {
			r.Source = text
		}
	}
	return r
}

// book reads a book. Like all that read a block it returns nil, as a Decl, where its head could not be read.
func (p *parser) book() declNode {
	start := p.index()
	h, open := head(p, books, bookStarts)
	if !open {
		return nil
	}
	b := &bookNode{}
	seen := map[string]Span{}
	end := p.block(bookStarts, func(first lexer.Token) {
		c, ok := read(p, bookClauses, bookStarts)
		if !ok || !p.once(seen, first.Value, p.span(c.Tokens)) {
			return
		}
		switch first.Value {
		case "edition":
			b.Edition = p.title(c.Edition)
		case "basis":
			b.Basis = p.title(c.Basis)
		case "mark":
			b.Mark = p.literal(*c.Mark)
		case "zones":
			b.Zones = p.names(c.Zones)
		}
	})
	if h == nil {
		p.lose(start)
		return nil
	}
	b.Span, b.Name = p.between(start, end), p.unquote(h.Name.Token)
	return b
}

func (p *parser) item() declNode {
	start := p.index()
	h, open := head(p, items, itemStarts)
	d := &itemNode{}
	end := p.index() - 1
	if open {
		end = p.block(itemStarts, func(lexer.Token) {
			if c, ok := read(p, itemClauses, itemStarts); ok {
				d.Props = append(d.Props, p.property(c))
			}
		})
	}
	if h == nil {
		p.lose(start)
		return nil
	}
	d.Span, d.Name, d.Title = p.between(start, end), p.name(h.Name), p.title(h.Title)
	return d
}

func (p *parser) property(c *itemClause) *propertyNode {
	prop := &propertyNode{Span: p.span(c.Tokens), Key: c.Tokens[0].Value}
	prop.Values = p.literals(c.Value, c.Stock, c.Price, c.Bead, c.Depth, c.Moves, c.Per)
	switch {
	case c.Shape != nil:
		prop.Shape = c.Shape.Value
	case c.Depth != nil:
		prop.Shape = "by"
	case c.Degrees != nil:
		if i := c.Degrees.Pos.Column; p.values[i].Num.Cmp(big.NewRat(100, 1)) != 0 {
			p.diags.add(p.spans[i], CodePerHundredF, "a movement is given per 100 F, not per %s", c.Degrees.Value)
		}
	}
	return prop
}

func (p *parser) detail() declNode {
	start := p.index()
	h, open := head(p, details, detailStarts)
	if !open {
		return nil
	}
	d := &detailNode{}
	end := p.block(detailStarts, func(first lexer.Token) {
		if c := p.clause(first); c != nil {
			d.Body = append(d.Body, c)
		}
	})
	if h == nil {
		p.lose(start)
		return nil
	}
	d.Span, d.Name, d.Title = p.between(start, end), p.name(h.Name), p.title(h.Title)
	d.For, d.Extends = p.names(h.Edges), p.optionalName(h.Extends)
	if h.Field != nil {
		d.For = []Name{p.tokenName(*h.Field)}
	}
	return d
}

func (p *parser) clause(first lexer.Token) clauseNode {
	switch first.Value {
	case "input":
		if c, ok := read(p, inputs, detailStarts); ok {
			return p.input(c)
		}
	case "let":
		if c, ok := read(p, lets, detailStarts); ok {
			return &Let{p.span(c.Tokens), p.name(c.Name), p.expr(&c.Value)}
		}
	case "require", "should":
		if c, ok := read(p, requirements, detailStarts); ok {
			return p.require(c)
		}
	case "relax":
		return p.relax()
	case "drop":
		if c, ok := read(p, drops, detailStarts); ok {
			return &dropNode{p.span(c.Tokens), p.name(c.Name), p.reason(c.Reasons)}
		}
	case "step", "hold":
		if c, ok := read(p, steps, detailStarts); ok {
			if c.Hold != nil {
				return &Step{Span: p.span(c.Tokens), Text: p.title(c.Hold), Hold: true}
			}
			return &Step{Span: p.span(c.Tokens), Text: p.title(c.Step), Sets: p.names(c.Sets)}
		}
	case "caution", "note":
		if c, ok := read(p, remarks, detailStarts); ok {
			return &remarkNode{p.span(c.Tokens), p.unquote(c.Text.Token), c.Key.Value == "caution"}
		}
	default:
		return p.element()
	}
	return nil
}

func (p *parser) input(c *inputClause) *Input {
	in := &Input{Span: p.span(c.Tokens), Name: p.name(c.Name), Choices: p.names(c.Choices), Title: p.title(c.Title)}
	if in.Type = p.tokenName(*either(c.Type, c.Choice)); c.Default != nil {
		in.Default = p.expr(c.Default)
	}
	if c.Where != nil {
		in.Where = p.expr(c.Where)
	}
	return in
}

// either returns the one that was read.
func either(a, b *lexer.Token) *lexer.Token {
	if a != nil {
		return a
	}
	return b
}

func (p *parser) require(c *requireClause) *Require {
	r := &Require{Span: p.span(c.Tokens), Should: c.Should != nil, Reason: p.reason(c.Reasons)}
	if c.Clear == nil {
		r.Cond = p.expr(c.Cond)
		return r
	}
	far := c.Clear
	r.Clear = &Rule{
		Span: p.span(far.Tokens), Should: r.Should,
		Measure: Clear, Op: spelt[Op](far.Op.Value), Value: p.expr(&far.Value), From: p.feature(&far.From),
	}
	if f := r.Clear.From; f.Of == "mark" && slices.Contains(edgeKinds[:], f.Name.Text) {
		f.Of, f.Name = f.Name.Text, nil
	}
	return r
}

func (p *parser) element() clauseNode {
	start := p.index()
	h, open := head(p, elements, elementStarts)
	if !open {
		return nil
	}
	rules, lay, end := p.rules()
	if h == nil {
		p.lose(start)
		return nil
	}
	e := &elementNode{
		Span: p.between(start, end), Kind: spelt[Kind](h.Kind.Value), Name: p.name(h.Name), Title: p.title(h.Title),
		Item: p.optionalName(h.Item), Lay: lay, Rules: rules,
	}
	if h.Scope != nil {
		e.Scope = p.scopeDecl(h.Scope)
	}
	if h.When != nil {
		e.When = p.expr(h.When)
	}
	return e
}

func (p *parser) relax() clauseNode {
	start := p.index()
	h, open := head(p, relaxations, elementStarts)
	if !open {
		return nil
	}
	rules, lay, end := p.rules()
	why, ok := read(p, reasonLists, detailStarts)
	if h == nil || !ok {
		p.lose(start)
		return nil
	}
	if n := len(why.Tokens); n > 0 {
		end = why.Tokens[n-1].Pos.Column
	}
	return &relaxNode{Span: p.between(start, end), Name: p.name(h.Name), Rules: rules, Lay: lay, Reason: p.reason(why.Reasons)}
}

// rules reads the block of an element.
func (p *parser) rules() (rules []*Rule, lay *Name, end int) {
	seen := map[string]Span{}
	end = p.block(elementStarts, func(first lexer.Token) {
		if first.Value != "lay" {
			if c, ok := read(p, ruleLines, elementStarts); ok {
				rules = append(rules, p.rule(c))
			}
		} else if c, ok := read(p, lays, elementStarts); ok && p.once(seen, "lay", p.span(c.Tokens)) {
			way := p.tokenName(c.Way)
			lay = &way
		}
	})
	return rules, lay, end
}

func (p *parser) rule(c *ruleClause) *Rule {
	r := &Rule{
		Span: p.span(c.Tokens), Should: c.Force != nil && c.Force.Value == "should",
		Measure: spelt[Measure](either(c.Measure, c.Sided).Value), Op: spelt[Op](c.Op.Value), Value: p.expr(&c.Value),
		Reason: p.reason(c.Reasons),
	}
	if c.Side != nil {
		r.Side = spelt[Side](c.Side.Value)
	}
	if c.From != nil {
		r.From = p.feature(c.From)
	}
	if c.When != nil {
		r.When = p.expr(c.When)
	}
	return r
}

func (p *parser) feature(c *feature) *Feature {
	f := &Feature{Span: p.span(c.Tokens)}
	switch {
	case c.Of != nil:
		f.Of = c.Of.Value
	case c.Lap != nil:
		f.Of, f.Name = "lap", p.optionalName(c.Lap)
	default:
		f.Of, f.Name = "mark", p.optionalName(c.Mark)
	}
	return f
}

func (p *parser) scopeDecl(c *scope) *ScopeDecl {
	s := &ScopeDecl{Span: p.span(c.Tokens), How: c.Tokens[0].Value, Every: 1}
	counted := func(r *ribs) {
		s.Of = "rib"
		if r.Every != nil {
			s.Every = p.whole(*r.Every)
		}
		if r.From != nil {
			s.From = p.whole(r.From.Token)
		}
	}
	of := func(kind string, name *word) { s.Of, s.Name = kind, p.optionalName(name) }
	switch {
	case c.Along != nil && c.Along.Run != nil:
		s.Of = "run"
	case c.Along != nil && c.Along.Each.Side != nil:
		s.Of = "side"
	case c.Along != nil && c.Along.Each.Rib != nil:
		counted(c.Along.Each.Rib)
	case c.Along != nil:
		of("piece", c.Along.Each.Piece)
	case c.Around != nil:
		s.Of = "penetration"
	case c.In != nil && c.In.Panel != nil:
		s.Of = "panel"
	case c.In != nil:
		of("gap", c.In.Gap)
	case c.At.Of != nil:
		s.Of = c.At.Of.Value
	case c.At.Rib != nil:
		counted(c.At.Rib)
	case c.At.Lap != nil:
		of("lap", c.At.Lap)
	case c.At.Mark != nil:
		of("mark", c.At.Mark)
	default:
		of("gap", c.At.Gap)
	}
	return s
}

func (p *parser) example() declNode {
	start := p.index()
	h, open := head(p, examples, exampleStarts)
	if !open {
		return nil
	}
	e := &ExampleDecl{}
	seen := map[string]Span{}
	end := p.block(exampleStarts, func(first lexer.Token) {
		switch first.Value {
		case "on":
			if c, ok := read(p, ons, exampleStarts); ok && p.once(seen, "on", p.span(c.Tokens)) {
				e.On = p.on(c)
			}
		case "lay":
			if c, ok := read(p, layings, exampleStarts); ok {
				l := &LayDecl{Span: p.span(c.Tokens), Detail: p.name(c.Detail)}
				for _, b := range c.With {
					l.With = append(l.With, &Let{p.span(b.Tokens), p.name(b.Name), p.expr(&b.Value)})
				}
				e.Lay = append(e.Lay, l)
			}
		case "expect":
			if c, ok := read(p, expects, exampleStarts); ok {
				e.Expects = append(e.Expects, p.expect(c))
			}
		case "source":
			if c, ok := read(p, sources, exampleStarts); ok && p.once(seen, "source", p.span(c.Tokens)) {
				e.Source = p.unquote(c.Text.Token)
			}
		}
	})
	if h == nil {
		p.lose(start)
		return nil
	}
	e.Span, e.Name = p.between(start, end), p.unquote(h.Name.Token)
	return e
}

func (p *parser) on(c *onClause) *On {
	on := &On{Span: p.span(c.Tokens)}
	if c.Job != nil {
		on.Job = p.unquote(c.Job.Token)
		return on
	}
	on.Edge = p.name(*c.Edge)
	for _, part := range c.Parts {
		o := &OnPart{Span: p.span(part.Tokens), Key: part.Tokens[0].Value, Word: p.optionalName(part.Zone)}
		o.Values = p.literals(part.Value, part.Width, part.Height, part.From, part.To)
		for _, w := range part.Ends {
			o.Words = append(o.Words, p.tokenName(w.Token))
		}
		on.Parts = append(on.Parts, o)
	}
	return on
}

func (p *parser) expect(c *expectClause) *Expect {
	e := &Expect{Span: p.span(c.Tokens)}
	in := func(at *place) {
		if at != nil {
			n := p.tokenName(at.Of)
			e.In, e.InN = &n, p.whole(at.N.Token)
		}
	}
	switch {
	case c.None != nil:
		e.What = "none"
	case c.Violation != nil:
		e.What, e.Of = "violation", p.optionalName(&c.Violation.Of)
		if c.Violation.Measure != nil {
			e.Measure = c.Violation.Measure.Value
		}
		if c.Violation.Force != nil {
			e.Severity = c.Violation.Force.Value
		}
		in(c.Violation.In)
		for _, r := range c.Violation.Against {
			n := p.tokenName(r.Token)
			if r.Token.Type == tokText {
				n.Text = p.unquote(r.Token)
			}
			e.Against = append(e.Against, n)
		}
	case c.Range != nil:
		of, verdict := p.tokenName(c.Range.Of), p.tokenName(c.Range.Verdict)
		e.What, e.Of, e.Verdict = "along", &of, &verdict
		e.Range = p.literals(&c.Range.From, &c.Range.To)
	case c.Measured != nil:
		e.What, e.Of = c.Measured.What.Value, p.optionalName(&c.Measured.Of)
		e.Op, e.Value = spelt[Op](c.Measured.Op.Value), p.expr(&c.Measured.Value)
		if c.Measured.N != nil {
			e.N = p.whole(c.Measured.N.Token)
		}
		in(c.Measured.In)
	case c.Bought != nil:
		e.What, e.Of = c.Bought.What.Value, p.optionalName(&c.Bought.Of)
		e.Op, e.Value = spelt[Op](c.Bought.Op.Value), p.expr(&c.Bought.Value)
	default:
		e.What, e.Of = "at", p.optionalName(&c.At.Of)
		in(c.At.In)
		for i := range c.At.At {
			e.At = append(e.At, p.expr(&c.At.At[i]))
		}
	}
	return e
}

// spelt returns the value that is written so; the grammar lets no other pass.
func spelt[T interface {
	~uint8
	String() string
}](word string) T {
	var v T
	for v.String() != word {
		v++
	}
	return v
}
