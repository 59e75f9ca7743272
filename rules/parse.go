package rules

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// The words that start a sentence, block by block.
var (
	fileStarts    = []string{"book", "include", "item", "detail", "example"}
	bookStarts    = []string{"edition", "basis", "mark", "zones"}
	itemStarts    = []string{"pack", "waste", "stock", "kerf", "girth", "roll", "cartridge", "bead", "movement"}
	detailStarts  = []string{"input", "let", "require", "should", "row", "pieces", "strip", "bead", "relax", "drop", "step", "hold", "caution", "note"}
	elementStarts = []string{"must", "should", "spacing", "count", "end", "clear", "offset", "lap", "length", "extend", "lay"}
	exampleStarts = []string{"on", "lay", "expect", "source"}
)

// Parse reads one rule file without checking what its names mean. The file holds every declaration that could
// be read; the diagnostics, sorted by place, say what could not. It reads no other file.
func (o Options) Parse(name string, src []byte) (*File, Diagnostics) {
	return parseFile(name, src, o.Limits)
}

func parseFile(name string, src []byte, limits Limits) (*File, Diagnostics) {
	limits = limits.withDefaults()
	f, p := parse(name, src, limits)
	return f, p.diags.sorted([]*File{f}).capped(limits.Diagnostics)
}

func parse(name string, src []byte, limits Limits) (*File, *parser) {
	p := &parser{scanner: scan(name, src, limits), lost: map[string]bool{}, minus: map[int]bool{}}
	f := &File{Name: name, Source: src, comments: p.comments}
	if !p.stopped {
		p.from = peeking(p.tokens)
		p.file(f)
	}
	p.diags = otherFile(f, p.diags)
	return f, p
}

// otherFile leaves of the many mistakes of a file that is of another kind the first: where no declaration could be
// read, and what it starts with is near no word of the language, the others say nothing.
func otherFile(f *File, found Diagnostics) Diagnostics {
	const many = 10
	limit := func(d Diagnostic) bool { return strings.Contains(d.Code, "too-") }
	if len(f.decls) > 0 || len(found) <= many || slices.ContainsFunc(found, limit) {
		return found
	}
	first := &found.sorted([]*File{f})[0]
	if first.Code == CodeUnexpectedWord && first.Suggestion != "" {
		return found
	}
	first.Detail = "no declaration could be read: this seems to be no rule file"
	return found[:1]
}

// A parser reads the sentences of one file, block by block, and goes on after a mistake at the next sentence.
type parser struct {
	*scanner
	from  *lexer.PeekingLexer
	begun []int           // the index of each sentence's first word, for the formatter
	minus map[int]bool    // the minus signs of one operand, by index
	last  sentenceRead    // what an unexpected word may have been meant to go on with
	outer []string        // starts of the sentences round the block being read
	lost  map[string]bool // the words of sentences that could not be read

	reread int // words of a file put together from parts that were read before
}

// A sentenceRead is the last sentence and its production.
type sentenceRead struct {
	start  int
	reach  func([]lexer.Token) int
	trials []trial
}

// words is how many words and comments the file has.
func (p *parser) words() int { return p.reread + len(p.tokens) + len(p.comments) }

func (p *parser) peek() *lexer.Token { return p.from.Peek() }

func (p *parser) index() int { return p.from.Cursor() }

func (p *parser) starts(starts []string) bool {
	t := p.peek()
	return (t.Type == tokWord || t.Type == tokReserved) && slices.Contains(starts, t.Value)
}

// firstOnLine tells whether the next word starts its line, as nearly all sentences do.
func (p *parser) firstOnLine() bool { return p.firstAt(p.index()) }

func (p *parser) firstAt(i int) bool { return i == 0 || p.spans[i-1].End.Line < p.spans[i].Start.Line }

// read reads one sentence. Where it can't, it reports why and skips to where reading can go on.
func read[T any](p *parser, of production[T], starts []string) (*T, bool) {
	start := p.index()
	s, failed, ok := of.read(p.from)
	p.last = sentenceRead{start, of.reach, of.trials}
	if ok {
		p.begun = append(p.begun, start)
		return s, true
	}
	p.unexpected(failed, nil)
	p.skipTo(start, failed, starts)
	p.last = sentenceRead{}
	p.lose(start)
	return nil, false
}

// lose notes the words from a place to here, which were not read: what they declare is unknown for no other
// reason.
func (p *parser) lose(start int) {
	for _, t := range p.tokens[start:p.index()] {
		if t.Type == tokWord {
			p.lost[t.Value] = true
		}
	}
}

// file reads the declarations of a file.
func (p *parser) file(f *File) {
	for p.peek().Type != lexer.EOF {
		if len(f.decls) >= p.limits.Declarations {
			p.diags.add(p.spans[p.index()], CodeTooManyDecls, "the file has more than %d declarations"+raise("Declarations"), p.limits.Declarations)
			return
		}
		start := p.index()
		if !p.starts(fileStarts) {
			p.unexpected(start, fileStarts)
			p.from.Next()
			p.skipTo(start, start, fileStarts)
			continue
		}
		var d declNode
		switch p.peek().Value {
		case "book":
			d = p.book()
		case "include":
			if s, ok := read(p, includes, fileStarts); ok {
				d = &includeNode{p.span(s.Tokens), p.unquote(s.Path.Token)}
			}
		case "item":
			d = p.item()
		case "detail":
			d = p.detail()
		case "example":
			d = p.example()
		}
		if d != nil {
			f.decls = append(f.decls, d)
		}
	}
}

// head reads the sentence before a block and tells whether the block is open. Where it can't read the sentence,
// it still looks for the block, so that mistakes in there are reported too.
func head[T any](p *parser, of production[T], inner []string) (s *T, open bool) {
	start := p.index()
	s, failed, ok := of.read(p.from)
	p.last = sentenceRead{start, of.reach, of.trials}
	if ok {
		p.begun = append(p.begun, start)
		return s, p.tokens[p.index()-1].Value == "{"
	}
	p.unexpected(failed, nil)
	p.last = sentenceRead{}
	defer func() { p.lose(start) }()
	if p.starts(inner) && p.firstOnLine() {
		return nil, true // its brace is all that is missing
	}
	for ; !p.atEnd() && !(p.index() > start && p.firstOnLine() && p.starts(p.outer)); p.from.Next() {
		switch p.peek().Value {
		case "{":
			p.from.Next()
			return nil, true
		case "}":
			return nil, false
		}
	}
	return nil, false
}

func (p *parser) atEnd() bool { return p.peek().Type == lexer.EOF || p.newDeclaration() }

// newDeclaration tells whether a declaration seems to start here, whatever is still open: its word starts a
// line and what must follow it does.
func (p *parser) newDeclaration() bool {
	if !p.firstOnLine() || !p.starts(fileStarts) {
		return false
	}
	next := p.tokens[min(p.index()+1, len(p.tokens)-1)]
	switch p.peek().Value {
	case "item", "detail":
		after := p.tokens[min(p.index()+2, len(p.tokens)-1)]
		return next.Type == tokWord && (after.Type == tokText || after.Value == "{" || after.Value == "for" || after.Value == "extends")
	}
	return next.Type == tokText
}

// block reads the sentences up to the closing brace of a block whose opening brace was just read, and returns
// the index of its last word.
func (p *parser) block(starts []string, sentence func(first lexer.Token)) (end int) {
	open, outer := p.index()-1, p.outer
	p.outer = append(slices.Clip(outer), starts...)
	defer func() { p.outer = outer }()
	p.last = sentenceRead{}
	for {
		start := p.index()
		switch {
		case p.peek().Value == "}":
			p.from.Next()
			p.last = sentenceRead{}
			return start
		case p.starts(starts):
			sentence(*p.peek())
		case p.peek().Type == lexer.EOF, p.newDeclaration(), p.firstOnLine() && p.starts(outer):
			p.diags.add(p.spans[open], CodeUnclosedBlock, "this `{` has no `}`").
				relate(p.spans[start], "`}` is missed before here")
			return start - 1
		default:
			p.unexpected(start, append(slices.Clip(starts), "}"))
			p.from.Next()
			p.skipTo(start, start, starts)
		}
	}
}

// skipTo moves on from a word that doesn't fit, in the sentence begun at another, to the next at which a
// sentence of the block seems to start, or to the end of the block.
func (p *parser) skipTo(begun, failed int, starts []string) {
	for depth := 0; ; p.from.Next() {
		t := p.peek()
		switch {
		case p.atEnd():
			return
		case t.Value == "{":
			depth++
		case t.Value == "}" && depth == 0 && len(p.outer) > 0:
			return
		case t.Value == "}":
			depth = max(0, depth-1)
		case depth == 0 && p.index() > begun && p.starts(starts) && (p.firstOnLine() || p.afterSentence()),
			depth == 0 && p.index() > begun && p.firstOnLine() && (p.starts(p.outer) || p.index() > failed && p.misspelt(starts)):
			return
		}
	}
}

// misspelt tells whether the next word is nearly the start of a sentence.
func (p *parser) misspelt(starts []string) bool {
	t := p.peek()
	return t.Type == tokWord && nearest(t.Value, starts) != ""
}

// afterSentence tells whether the word before can end a sentence.
func (p *parser) afterSentence() bool {
	t := p.tokens[p.index()-1]
	switch t.Type {
	case tokSign:
		return t.Value == ")" || t.Value == "}" || t.Value == "{"
	case tokReserved:
		return !slices.Contains([]string{"and", "or", "not", "is", "from", "when", "where"}, t.Value)
	case tokWord:
		return !slices.Contains([]string{"of", "sets", "with", "by", "per", "to"}, t.Value)
	}
	return true
}

// span is that of a sentence's words, of which there are some.
func (p *parser) span(tokens []lexer.Token) Span {
	return p.between(tokens[0].Pos.Column, tokens[len(tokens)-1].Pos.Column)
}

// between is the span from one word to another.
func (p *parser) between(first, last int) Span {
	return Span{p.scanner.file, p.spans[first].Start, p.spans[max(first, last)].End}
}

// unquote takes a text out of its quotes. Bad escapes are reported already and stay as written.
func (p *parser) unquote(t lexer.Token) string {
	s := strings.TrimPrefix(t.Value, `"`)
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '"':
			return b.String()
		case s[i] == '\\' && i+1 < len(s) && (s[i+1] == '"' || s[i+1] == '\\'):
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}
