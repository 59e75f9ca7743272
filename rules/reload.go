package rules

import (
	"bytes"
	"io/fs"
)

// A Reloader loads rule files again and again, as an editor does on each keystroke. It reads only the declarations whose
// text has changed since its last load, and checks all of them anew. What it returns is what Options.Load returns; books
// of one Reloader share trees, so that whoever wants to change a tree loads it with Options.Load. The zero value is
// ready; it is for one goroutine at a time, and keeps the trees of its last load in memory.
type Reloader struct {
	Options
	last, next map[chunk]*readChunk
	under      Limits // that last was read under
}

// A chunk is the text of a file from the start of one declaration to that of the next.
type chunk struct{ file, text string }

// readChunk is a chunk that was read without a fault, its places counted from its own start.
type readChunk struct {
	file  *File
	words int

	moved *File // the same, its places counted from the start of the file as it was last
	by    shift
}

// movedBy gives the chunk's declarations and comments with their places moved, mostly as far as the last time.
func (c *readChunk) movedBy(s shift) *File {
	if c.moved == nil || c.by != s {
		c.by, c.moved = s, &File{
			decls:    each(c.file.decls, s.decl),
			comments: each(c.file.comments, func(n *commentNode) *commentNode { return &commentNode{s.span(n.Span), n.Text} }),
		}
	}
	return c.moved
}

// Load is Options.Load.
func (r *Reloader) Load(fsys fs.FS, name string) (*Book, Diagnostics, error) {
	if r.Limits != r.under {
		r.last, r.under = nil, r.Limits
	}
	r.next = map[chunk]*readChunk{}
	defer func() { r.last, r.next = r.next, nil }()
	return r.load(fsys, name, r.parse)
}

// parse reads a file in chunks. Where a chunk has a fault, or there is more than the limits allow, it reads the file as a
// whole, which then says so.
func (r *Reloader) parse(name string, src []byte, limits Limits) (*File, *parser) {
	f := &File{Name: name, Source: src}
	words, at := 0, Place{Line: 1}
	for rest := src; len(rest) > 0; {
		text := rest[:chunkEnd(rest)]
		rest = rest[len(text):]
		key := chunk{name, string(text)}
		c := r.last[key]
		if c == nil {
			c = r.next[key]
		}
		if c == nil {
			one, p := parse(name, text, limits)
			if len(p.diags) > 0 {
				return parse(name, src, limits)
			}
			c = &readChunk{file: one, words: p.words() - 1}
		}
		r.next[key] = c
		moved := c.movedBy(shift{at.Offset, at.Line - 1})
		f.decls, f.comments = append(f.decls, moved.decls...), append(f.comments, moved.comments...)
		words += c.words
		at.Offset += len(text)
		at.Line += bytes.Count(text, []byte("\n"))
	}
	if words > limits.Words || len(f.decls) > limits.Declarations {
		return parse(name, src, limits)
	}
	return f, &parser{scanner: &scanner{}, reread: words}
}

// chunkEnd finds the start of the next line, but the first, that begins as a declaration does; texts don't go over lines.
func chunkEnd(src []byte) int {
	for at := 0; ; {
		line := bytes.IndexByte(src[at:], '\n')
		if line < 0 {
			return len(src)
		}
		at += line + 1
		for _, word := range fileStarts {
			if bytes.HasPrefix(src[at:], []byte(word)) {
				return at
			}
		}
	}
}

// A shift moves places by bytes and lines: a chunk starts a line, so columns stay. It copies what it moves.
type shift struct{ offset, line int }

func (s shift) span(at Span) Span {
	if at.Start.Line > 0 {
		at.Start.Offset += s.offset
		at.Start.Line += s.line
		at.End.Offset += s.offset
		at.End.Line += s.line
	}
	return at
}

func (s shift) name(n Name) Name { return Name{s.span(n.Span), n.Text} }

func (s shift) maybe(n *Name) *Name {
	if n == nil {
		return nil
	}
	moved := s.name(*n)
	return &moved
}

// each moves the members of a list; nil stays nil.
func each[T any](list []T, move func(T) T) []T {
	if list == nil {
		return nil
	}
	moved := make([]T, len(list))
	for i, x := range list {
		moved[i] = move(x)
	}
	return moved
}

func (s shift) decl(d declNode) declNode {
	switch d := d.(type) {
	case *bookNode:
		n := *d
		n.Span, n.Mark, n.Zones = s.span(d.Span), s.literal(d.Mark), each(d.Zones, s.name)
		return &n
	case *includeNode:
		return &includeNode{s.span(d.Span), d.Path}
	case *itemNode:
		n := *d
		n.Span, n.Name = s.span(d.Span), s.name(d.Name)
		n.Props = each(d.Props, func(p *propertyNode) *propertyNode {
			n := *p
			n.Span, n.Values = s.span(p.Span), each(p.Values, s.literal)
			return &n
		})
		return &n
	case *detailNode:
		n := *d
		n.Span, n.Name, n.For, n.Extends = s.span(d.Span), s.name(d.Name), each(d.For, s.name), s.maybe(d.Extends)
		n.Body = each(d.Body, s.clause)
		return &n
	case *ExampleDecl:
		n := *d
		n.Span = s.span(d.Span)
		if d.On != nil {
			on := *d.On
			on.Span, on.Edge = s.span(on.Span), s.name(on.Edge)
			on.Parts = each(on.Parts, func(p *OnPart) *OnPart {
				n := *p
				n.Span, n.Word, n.Words, n.Values = s.span(p.Span), s.maybe(p.Word), each(p.Words, s.name), each(p.Values, s.literal)
				return &n
			})
			n.On = &on
		}
		n.Lay = each(d.Lay, func(l *LayDecl) *LayDecl { return &LayDecl{s.span(l.Span), s.name(l.Detail), each(l.With, s.let)} })
		n.Expects = each(d.Expects, func(e *Expect) *Expect {
			n := *e
			n.Span, n.Of, n.In, n.Value, n.At = s.span(e.Span), s.maybe(e.Of), s.maybe(e.In), s.expr(e.Value), each(e.At, s.expr)
			n.Against, n.Range, n.Verdict = each(e.Against, s.name), each(e.Range, s.literal), s.maybe(e.Verdict)
			return &n
		})
		return &n
	}
	return d
}

func (s shift) let(l *Let) *Let { return &Let{s.span(l.Span), s.name(l.Name), s.expr(l.Value)} }

func (s shift) clause(c clauseNode) clauseNode {
	switch c := c.(type) {
	case *Input:
		n := *c
		n.Span, n.Name, n.Type, n.Choices = s.span(c.Span), s.name(c.Name), s.name(c.Type), each(c.Choices, s.name)
		n.Default, n.Where = s.expr(c.Default), s.expr(c.Where)
		return &n
	case *Let:
		return s.let(c)
	case *Require:
		n := *c
		n.Span, n.Cond, n.Clear = s.span(c.Span), s.expr(c.Cond), s.rule(c.Clear)
		return &n
	case *elementNode:
		n := *c
		n.Span, n.Name, n.Item, n.When, n.Lay = s.span(c.Span), s.name(c.Name), s.maybe(c.Item), s.expr(c.When), s.maybe(c.Lay)
		if c.Scope != nil {
			scope := *c.Scope
			scope.Span, scope.Name = s.span(scope.Span), s.maybe(scope.Name)
			n.Scope = &scope
		}
		n.Rules = each(c.Rules, s.rule)
		return &n
	case *relaxNode:
		n := *c
		n.Span, n.Name, n.Rules, n.Lay = s.span(c.Span), s.name(c.Name), each(c.Rules, s.rule), s.maybe(c.Lay)
		return &n
	case *dropNode:
		n := *c
		n.Span, n.Name = s.span(c.Span), s.name(c.Name)
		return &n
	case *Step:
		n := *c
		n.Span, n.Sets = s.span(c.Span), each(c.Sets, s.name)
		return &n
	case *remarkNode:
		n := *c
		n.Span = s.span(c.Span)
		return &n
	}
	return c
}

func (s shift) rule(r *Rule) *Rule {
	if r == nil {
		return nil
	}
	n := *r
	n.Span, n.Value, n.When = s.span(r.Span), s.expr(r.Value), s.expr(r.When)
	if r.From != nil {
		n.From = &Feature{s.span(r.From.Span), r.From.Of, s.maybe(r.From.Name)}
	}
	return &n
}

func (s shift) literal(l *Literal) *Literal {
	if l == nil {
		return nil
	}
	return &Literal{s.span(l.Span), l.Text, l.Value}
}

func (s shift) expr(e Expr) Expr {
	switch e := e.(type) {
	case *Literal:
		return s.literal(e)
	case *Ref:
		return &Ref{s.span(e.Span), e.Name}
	case *Unary:
		return &Unary{s.span(e.Span), e.Op, s.expr(e.X)}
	case *Binary:
		return &Binary{s.span(e.Span), e.Op, s.expr(e.X), s.expr(e.Y)}
	case *Call:
		return &Call{s.span(e.Span), e.Func, each(e.Args, s.expr)}
	case *Is:
		return &Is{s.span(e.Span), s.expr(e.X), s.name(e.Word)}
	}
	return e
}
