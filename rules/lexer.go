package rules

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"
)

// The types of a word of the language. A literal with its unit is one word.
const (
	tokWord       lexer.TokenType = iota + 1 // a name, or a keyword that may also be one
	tokReserved                              // a word that is never a name
	tokDotted                                // panel.width
	tokText                                  // "…", quotes and escapes as written
	tokNumber                                // 4
	tokOrdinal                               // 2nd
	tokLength                                // 10 ft 6 1/2 in
	tokSlope                                 // 3:12
	tokPercent                               // 5%
	tokVolume                                // 10.1 floz
	tokDegrees                               // 100 F
	tokCompare                               // < <= = >= >
	tokArithmetic                            // + - * /
	tokSign                                  // { } ( ) , :
)

// reserved are the words that can't be names. No other word ever is, so that a new keyword breaks no book.
var reserved = [...]string{
	"and", "or", "not", "is", "min", "max", "floor", "ceil", "abs", "rib", "end", "zone", "penetration", "lap",
	"run", "slope", "panel", "side", "scope", "no", "count", "violation", "from", "when", "because", "source",
	"where",
}

// definition is the language's lexer for participle.
type definition struct{}

func (definition) Symbols() map[string]lexer.TokenType {
	return map[string]lexer.TokenType{
		"EOF": lexer.EOF, "Word": tokWord, "Reserved": tokReserved, "Dotted": tokDotted, "Text": tokText,
		"Number": tokNumber, "Ordinal": tokOrdinal, "Length": tokLength, "Slope": tokSlope,
		"Percent": tokPercent, "Volume": tokVolume, "Degrees": tokDegrees,
		"Compare": tokCompare, "Arithmetic": tokArithmetic, "Sign": tokSign,
	}
}

func (definition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	limits := Limits{}.withDefaults()
	src, err := io.ReadAll(io.LimitReader(r, int64(limits.FileBytes)+1))
	if err != nil {
		return nil, err
	}
	s := scan(name, src, limits)
	return &words{s.tokens}, s.diags.Err()
}

// words hands tokens to participle. The last is always the end of the file.
type words struct{ rest []lexer.Token }

func (w *words) Next() (lexer.Token, error) {
	t := w.rest[0]
	if len(w.rest) > 1 {
		w.rest = w.rest[1:]
	}
	return t, nil
}

// A scanner cuts a source into words. Each token's Pos.Column is its index in tokens and spans, which keep
// the exact places that participle's own positions lose.
type scanner struct {
	file     string
	src      string
	limits   Limits
	at       Place
	tokens   []lexer.Token
	spans    []Span
	comments []*commentNode
	values   map[int]Value // of literals, by index
	excused  map[int]bool  // by index: words that may not fit because of what is wrong before them
	diags    Diagnostics
	depth    int
	stopped  bool // a limit was met: what follows is not read
}

// scan reads all words of a source, within limits whose defaults are filled in.
func scan(file string, src []byte, limits Limits) *scanner {
	s := &scanner{file: file, src: string(src), limits: limits, at: Place{Line: 1, Column: 1, UTF16: 1}, values: map[int]Value{}, excused: map[int]bool{}}
	if len(src) > limits.FileBytes {
		s.stop(s.at, CodeFileTooLarge, "the file is larger than %d bytes"+raise("FileBytes"), limits.FileBytes).
			suggest("cut it into files that `include` one another")
	}
	const bytesPerWord = 5 // about, in a rule file
	words := min(len(src)/bytesPerWord, limits.Words) + 1
	s.tokens, s.spans = make([]lexer.Token, 0, words), make([]Span, 0, words)
	if strings.HasPrefix(s.src, "\ufeff") {
		s.at.Offset = len("\ufeff")
	}
	for !s.stopped && s.next() {
	}
	s.token(lexer.EOF, s.at)
	return s
}

func (s *scanner) report(from Place, code, format string, args ...any) *Diagnostic {
	return s.diags.add(Span{s.file, from, s.at}, code, format, args...)
}

func (s *scanner) stop(from Place, code, format string, args ...any) *Diagnostic {
	s.stopped = true
	return s.report(from, code, format, args...)
}

// rest is what is not read yet.
func (s *scanner) rest() string { return s.src[s.at.Offset:] }

// peek returns the byte n further on, 0 past the end.
func (s *scanner) peek(n int) byte {
	if i := s.at.Offset + n; i < len(s.src) {
		return s.src[i]
	}
	return 0
}

// skip moves on by n bytes and keeps the place.
func (s *scanner) skip(n int) {
	for end := s.at.Offset + n; s.at.Offset < end; {
		r, size := utf8.DecodeRuneInString(s.rest())
		s.at.Offset += size
		s.at.Column += size
		s.at.UTF16 += utf16Len(r)
		if r == '\n' {
			s.at.Line, s.at.Column, s.at.UTF16 = s.at.Line+1, 1, 1
		}
	}
}

// utf16Len is how many UTF-16 code units a character takes.
func utf16Len(r rune) int {
	if r > 0xffff {
		return 2
	}
	return 1
}

// token adds the word from a place to here.
func (s *scanner) token(kind lexer.TokenType, from Place) {
	if kind != lexer.EOF && !s.room(from) {
		return
	}
	s.tokens = append(s.tokens, lexer.Token{
		Type:  kind,
		Value: s.src[from.Offset:s.at.Offset],
		Pos:   lexer.Position{Offset: from.Offset, Line: from.Line, Column: len(s.tokens)},
	})
	s.spans = append(s.spans, Span{s.file, from, s.at})
}

// room tells whether one more word or comment may be read.
func (s *scanner) room(from Place) bool {
	if len(s.tokens)+len(s.comments) < s.limits.Words {
		return true
	}
	s.stop(from, CodeTooManyWords, "the file has more than %d words"+raise("Words"), s.limits.Words).
		suggest("cut it into files that `include` one another")
	return false
}

// next reads one word, comment or stretch of blanks, and tells whether there was one.
func (s *scanner) next() bool {
	from := s.at
	switch c := s.peek(0); {
	case s.at.Offset >= len(s.src):
		return false
	case isBlank(c) || c == '\n':
		s.skip(1)
	case c == '#':
		s.comment(from)
	case c == '"':
		s.text(from)
	case isDigit(c):
		s.number(from)
	case isLetter(c):
		s.word(from)
	case strings.IndexByte("{}(),:+-*/<>=", c) >= 0:
		s.sign(from, c)
	case unicode.IsLetter(firstRune(s.rest())):
		s.word(from)
	default:
		s.noise(from)
	}
	return true
}

func (s *scanner) comment(from Place) {
	line, _, _ := strings.Cut(s.rest(), "\n")
	line = strings.TrimSuffix(line, "\r")
	s.skip(len(line))
	if !s.room(from) {
		return
	}
	s.comments = append(s.comments, &commentNode{Span{s.file, from, s.at}, line})
	if i := strings.IndexFunc(line, isControl); i >= 0 {
		s.report(from, CodeBadCharacter, "this comment has a control character (%U)", firstRune(line[i:]))
	} else if !utf8.ValidString(line) {
		s.report(from, CodeBadUTF8, "this comment is not UTF-8")
	}
}

// maxName is how many bytes a name may have: it stands in each line of a report.
const maxName = 200

// word reads a name or keyword. A letter beyond a to z is reported and read as part of it.
func (s *scanner) word(from Place) {
	kind, foreign := tokWord, rune(0)
	for {
		if isLetter(s.peek(0)) || isDigit(s.peek(0)) {
			s.skip(1)
			if s.peek(0) == '.' && isLetter(s.peek(1)) {
				s.skip(1)
				kind = tokDotted
			}
		} else if r, size := utf8.DecodeRuneInString(s.rest()); r >= utf8.RuneSelf && unicode.IsLetter(r) {
			s.skip(size)
			foreign = r
		} else {
			break
		}
	}
	if foreign != 0 {
		s.report(from, CodeBadCharacter, "the language has no use for %s", quoteRune(foreign)).
			suggest("names are made of the letters a to z, digits and _")
	}
	if s.at.Offset-from.Offset > maxName {
		s.report(from, CodeTextTooLong, "this name is longer than %d letters", maxName)
	}
	if slices.Contains(reserved[:], s.src[from.Offset:s.at.Offset]) {
		kind = tokReserved
	}
	s.token(kind, from)
}

func (s *scanner) sign(from Place, c byte) {
	s.skip(1)
	if (c == '<' || c == '>') && s.peek(0) == '=' {
		s.skip(1)
	}
	kind := tokSign
	switch c {
	case '(', '{':
		s.depth++
	case ')', '}':
		s.depth = max(0, s.depth-1)
	case '<', '=', '>':
		kind = tokCompare
	case '+', '-', '*', '/':
		kind = tokArithmetic
	}
	if s.depth > s.limits.Nesting {
		s.stop(from, CodeTooDeep, "brackets are nested more than %d deep"+raise("Nesting"), s.limits.Nesting)
		return
	}
	s.token(kind, from)
}

func (s *scanner) text(from Place) {
	s.skip(1)
	for {
		c := s.peek(0)
		switch {
		case s.at.Offset >= len(s.src) || c == '\n' || c == '\r' && s.peek(1) == '\n':
			s.report(from, CodeTextUnended, "this text has no closing quote on its line").
				suggest("close it with \" before the line ends")
			s.excused[len(s.tokens)+1] = true
		case c == '"':
			s.skip(1)
		case c == '\\':
			at := s.at
			s.skip(1)
			if n := s.peek(0); n == '"' || n == '\\' {
				s.skip(1)
				continue
			}
			s.report(at, CodeBadEscape, "a backslash in a text stands before \" or \\ only").
				suggest("write \\\\ for a backslash")
			continue
		default:
			s.skip(1)
			continue
		}
		break
	}
	value := s.src[from.Offset:s.at.Offset]
	switch i := strings.IndexFunc(value, isControl); {
	case len(value) > s.limits.TextBytes+2:
		s.report(from, CodeTextTooLong, "this text is longer than %d bytes"+raise("TextBytes"), s.limits.TextBytes)
	case !utf8.ValidString(value):
		s.report(from, CodeBadUTF8, "this text is not UTF-8").suggest("save the file as UTF-8")
	case i >= 0:
		s.report(from, CodeBadCharacter, "this text has a control character (%U)", firstRune(value[i:]))
	}
	s.token(tokText, from)
}

// noise reports a stretch of characters that the language doesn't use.
func (s *scanner) noise(from Place) {
	first, size := utf8.DecodeRuneInString(s.rest())
	s.skip(size)
	for s.at.Offset < len(s.src) {
		c, size := utf8.DecodeRuneInString(s.rest())
		if c < utf8.RuneSelf && (c >= ' ' || c == '\t' || c == '\n' || c == '\r') {
			break
		}
		s.skip(size)
	}
	s.excused[len(s.tokens)] = true
	if first == utf8.RuneError && size == 1 {
		s.report(from, CodeBadUTF8, "these bytes are not UTF-8").suggest("save the file as UTF-8")
		return
	}
	d := s.report(from, CodeBadCharacter, "the language has no use for %s", quoteRune(first))
	if right := typed[first]; right != "" {
		d.suggest("%s", right)
	}
}

// typed are characters that writing programs and other notations put, and what is meant here.
var typed = map[rune]string{
	'≤': "write <=", '≥': "write >=", '“': `texts stand between plain quotes: "…"`, '”': `texts stand between plain quotes: "…"`,
	'×': "write x", '−': "write a plain minus: -", '–': "write a plain minus: -", '½': "write 1/2", '¼': "write 1/4", '¾': "write 3/4",
	'\'': "feet are written `ft`: `10 ft`", '′': "feet are written `ft`: `10 ft`", '″': "inches are written `in`: `6 in`",
	';': "leave it out: every clause starts with its own word", '!': "write `not`", '&': "write `and`", '|': "write `or`",
	'.': "a decimal starts with a digit: 0.5", '[': "write {", ']': "write }",
}

// quoteRune shows a character, by its number if it can't be seen.
func quoteRune(r rune) string {
	if unicode.IsGraphic(r) {
		return "`" + string(r) + "`"
	}
	return fmt.Sprintf("the character %U", r)
}

func firstRune(s string) rune {
	r, _ := utf8.DecodeRuneInString(s)
	return r
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\r' }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' || c == '_' }

// isControl tells of characters that a text or comment may not hold: they can't be seen, or turn what is seen.
func isControl(r rune) bool {
	return r != '\t' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
}
