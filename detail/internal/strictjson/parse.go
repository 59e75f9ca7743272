package strictjson

import (
	"bytes"
	"fmt"
	"math"
	"unicode/utf16"
	"unicode/utf8"
)

// A Fault is one thing wrong with a document's text.
type Fault struct {
	Pointer      string // of the value it stands in
	Line, Column int    // 1-based; the column in bytes
	Msg          string
	Deep         bool // nested deeper than the limit
}

const (
	maxFaults = 50
	maxKey    = 1_000  // bytes of a key as written: they stand in pointers
	maxDepth  = 10_000 // whatever the caller allows: the parser recurses
	maxBytes  = math.MaxInt32
)

// Parse reads a document. It goes on after a repeated key or bad UTF-8, and stops at the first fault of syntax: then
// it returns no Doc. At most 50 faults are kept. A key longer than 1,000
// bytes is a fault of syntax too. A byte order mark at the start is passed over.
func Parse(src []byte, depth int) (*Doc, []Fault) {
	if len(src) >= maxBytes {
		return nil, []Fault{{Line: 1, Column: 1, Msg: fmt.Sprintf("the text is longer than %d bytes", maxBytes-1)}}
	}
	p := &parser{src: src, depth: min(depth, maxDepth), doc: &Doc{src: src, lines: []int32{0}}}
	if bytes.HasPrefix(src, []byte("\uFEFF")) {
		p.pos = len("\uFEFF")
		p.doc.lines[0] = int32(p.pos)
	}
	ok := p.document()
	for i := range p.faults {
		f := &p.faults[i]
		f.Line, f.Column = p.doc.place(f.at)
		if len(p.doc.nodes) > 0 {
			f.Pointer = Value{p.doc, f.node}.Pointer()
		}
	}
	faults := make([]Fault, len(p.faults))
	for i, f := range p.faults {
		faults[i] = f.Fault
	}
	if !ok {
		return nil, faults
	}
	return p.doc, faults
}

type parser struct {
	src    []byte
	pos    int
	depth  int
	doc    *Doc
	faults []fault
}

type fault struct {
	Fault
	at   int
	node int32
}

// fail keeps a fault that ends the reading, and is false, so that a caller can return it.
func (p *parser) fail(at int, node int32, format string, args ...any) bool {
	p.faults = append(p.faults, fault{Fault: Fault{Msg: fmt.Sprintf(format, args...)}, at: at, node: node})
	return false
}

// note keeps a fault after which reading goes on.
func (p *parser) note(at int, node int32, format string, args ...any) {
	if len(p.faults) < maxFaults-1 {
		p.fail(at, node, format, args...)
	}
}

func (p *parser) document() bool {
	p.space()
	if p.pos == len(p.src) {
		return p.fail(p.pos, 0, "there is nothing here: want a JSON object")
	}
	if !p.value(0, 0) {
		return false
	}
	p.space()
	if p.pos < len(p.src) {
		return p.fail(p.pos, 0, "%s after the end of the document: want nothing more", p.found())
	}
	return true
}

// space passes over white space and notes where lines start.
func (p *parser) space() {
	for ; p.pos < len(p.src); p.pos++ {
		switch p.src[p.pos] {
		case '\n':
			p.doc.lines = append(p.doc.lines, int32(p.pos+1))
		case ' ', '\t', '\r':
		default:
			return
		}
	}
}

// value reads one value, which stands in the node parent.
func (p *parser) value(parent int32, depth int) (ok bool) {
	start := p.pos
	if start == len(p.src) {
		return p.fail(start, parent, "the text ends where a value is wanted")
	}
	i := int32(len(p.doc.nodes))
	var kind Kind
	c := p.src[start]
	switch {
	case c == '{':
		kind = Object
	case c == '[':
		kind = Array
	case c == '"':
		_, ok := p.string(parent)
		return ok
	case c == '-' || '0' <= c && c <= '9':
		kind = Number
	case p.word("null"):
		kind = Null
	case p.word("false"):
		kind = False
	case p.word("true"):
		kind = True
	default:
		return p.fail(start, parent, "%s where a value is wanted%s", p.found(), p.hint())
	}
	if kind >= Array && depth >= p.depth {
		p.fail(start, parent, "nested deeper than %d levels", p.depth)
		p.faults[len(p.faults)-1].Deep = true
		return false
	}
	p.doc.nodes = append(p.doc.nodes, node{from: int32(start), kind: kind})
	defer func() {
		n := &p.doc.nodes[i]
		n.to, n.next = int32(p.pos), int32(len(p.doc.nodes))
	}()
	switch kind {
	case Object:
		return p.object(i, depth+1)
	case Array:
		return p.array(i, depth+1)
	case Number:
		return p.number(parent)
	}
	return true
}

func (p *parser) object(self int32, depth int) bool {
	seen := make(map[string]int) // key to the line where it stands
	for first := true; ; first = false {
		p.pos++ // the brace or the comma
		p.space()
		switch {
		case p.at('}') && first:
			p.pos++
			return true
		case p.at('}'):
			return p.fail(p.pos, self, "a comma before the closing brace: take it out")
		case !p.at('"'):
			return p.fail(p.pos, self, "%s where a key in double quotes is wanted", p.found())
		}
		at := p.pos
		key, ok := p.string(self)
		if !ok {
			return false
		}
		if n := p.pos - at; n > maxKey {
			return p.fail(at, self, "a key of %d bytes: want at most %d", n, maxKey)
		}
		line, _ := p.doc.place(at)
		name := Value{p.doc, key}.Text()
		if before, twice := seen[name]; twice {
			p.note(at, key, "the key %q stands here and in line %d: keep one", name, before)
		} else {
			seen[name] = line
		}
		p.space()
		if !p.at(':') {
			return p.fail(p.pos, key, "%s where a colon is wanted after the key %q", p.found(), name)
		}
		p.pos++
		p.space()
		if !p.value(key, depth) {
			return false
		}
		p.space()
		if p.at('}') {
			p.pos++
			return true
		}
		if !p.at(',') {
			return p.fail(p.pos, self, "%s where a comma or a closing brace is wanted", p.found())
		}
	}
}

func (p *parser) array(self int32, depth int) bool {
	for first := true; ; first = false {
		p.pos++ // the bracket or the comma
		p.space()
		switch {
		case p.at(']') && first:
			p.pos++
			return true
		case p.at(']'):
			return p.fail(p.pos, self, "a comma before the closing bracket: take it out")
		}
		if !p.value(self, depth) {
			return false
		}
		p.space()
		if p.at(']') {
			p.pos++
			return true
		}
		if !p.at(',') {
			return p.fail(p.pos, self, "%s where a comma or a closing bracket is wanted", p.found())
		}
	}
}

// string reads a string and returns its node.
func (p *parser) string(parent int32) (int32, bool) {
	start, plain := p.pos, true
	i := int32(len(p.doc.nodes))
	for p.pos++; ; {
		if p.pos == len(p.src) {
			return 0, p.fail(start, parent, "this string has no end: a double quote is missing")
		}
		switch c := p.src[p.pos]; {
		case c == '"':
			p.pos++
			p.doc.nodes = append(p.doc.nodes, node{from: int32(start), to: int32(p.pos), next: i + 1, kind: String, plain: plain})
			return i, true
		case c == '\n' || c == '\r':
			return 0, p.fail(start, parent, "this string has no end in its line: a double quote is missing")
		case c < ' ':
			return 0, p.fail(p.pos, parent, "a control character (0x%02x) in a string: write it as \\u%04x", c, c)
		case c == '\\':
			plain = false
			if !p.escape(parent) {
				return 0, false
			}
		case c < utf8.RuneSelf:
			p.pos++
		default:
			r, size := utf8.DecodeRune(p.src[p.pos:])
			if r == utf8.RuneError && size == 1 {
				p.note(p.pos, parent, "byte 0x%02x is not UTF-8: save the file as UTF-8", c)
			}
			p.pos += size
		}
	}
}

func (p *parser) escape(parent int32) bool {
	at := p.pos
	p.pos++ // the backslash
	if p.pos == len(p.src) {
		return true // string reports that it has no end
	}
	switch c := p.src[p.pos]; c {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		p.pos++
		return true
	case 'u':
	default:
		return p.fail(at, parent, "no such escape in a string: want \\\" \\\\ \\/ \\b \\f \\n \\r \\t or \\u and four hexadecimal digits")
	}
	p.pos++
	r, ok := hex4(p.src[p.pos:])
	if !ok {
		return p.fail(at, parent, "\\u wants four hexadecimal digits")
	}
	p.pos += 4
	if utf16.IsSurrogate(r) {
		low, ok := rune(0), bytes.HasPrefix(p.src[p.pos:], []byte(`\u`))
		if ok {
			low, ok = hex4(p.src[p.pos+2:])
		}
		if !ok || utf16.DecodeRune(r, low) == utf8.RuneError {
			return p.fail(at, parent, "half of a surrogate pair: it takes two \\u escapes, the high half first")
		}
		p.pos += 6
	}
	return true
}

func (p *parser) number(parent int32) bool {
	start := p.pos
	if p.at('-') {
		p.pos++
	}
	from := p.pos
	if p.digits() == 0 {
		return p.fail(start, parent, "a minus without a number")
	}
	if p.src[from] == '0' && p.pos > from+1 {
		return p.fail(start, parent, "a number with a leading zero: take the zero out")
	}
	if p.at('.') {
		p.pos++
		if p.digits() == 0 {
			return p.fail(start, parent, "a number ends with its point: want digits after it")
		}
	}
	if p.at('e') || p.at('E') {
		p.pos++
		if p.at('+') || p.at('-') {
			p.pos++
		}
		if p.digits() == 0 {
			return p.fail(start, parent, "an exponent without digits")
		}
	}
	return true
}

func (p *parser) digits() int {
	from := p.pos
	for p.pos < len(p.src) && '0' <= p.src[p.pos] && p.src[p.pos] <= '9' {
		p.pos++
	}
	return p.pos - from
}

func (p *parser) at(c byte) bool { return p.pos < len(p.src) && p.src[p.pos] == c }

// word reads a word of JSON, if it stands here.
func (p *parser) word(w string) bool {
	if !bytes.HasPrefix(p.src[p.pos:], []byte(w)) {
		return false
	}
	p.pos += len(w)
	return true
}

// found names what stands at the place, for a message.
func (p *parser) found() string {
	if p.pos == len(p.src) {
		return "the text ends"
	}
	r, size := utf8.DecodeRune(p.src[p.pos:])
	if r == utf8.RuneError && size == 1 {
		return fmt.Sprintf("byte 0x%02x", p.src[p.pos])
	}
	return fmt.Sprintf("%q", string(r))
}

// hint says what would be right where a value starts wrong.
func (p *parser) hint() string {
	switch c := p.src[p.pos]; {
	case c == '\'':
		return ": a string stands in double quotes"
	case c == '/' || c == '#':
		return ": JSON has no comments"
	case c == '+' || c == '.':
		return ": a number starts with a digit or a minus"
	case 'a' <= c|0x20 && c|0x20 <= 'z':
		return ": a word stands in double quotes"
	}
	return ""
}
