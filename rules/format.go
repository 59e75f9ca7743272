package rules

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// lineWidth is how many columns a formatted line takes at most, unless it has no place to be broken at.
const lineWidth = 120

// Format writes a rule file in its one true form and keeps its words, its comments and their places. What is
// left to the author are blank lines, one at most, and whether a block stands on one line, which it does if it
// is written so and fits. A file with errors is not formatted: the bytes are then nil. It checks no names and
// reads no other file.
func (o Options) Format(name string, src []byte) ([]byte, Diagnostics) {
	return formatFile(name, src, o.Limits)
}

func formatFile(name string, src []byte, limits Limits) ([]byte, Diagnostics) {
	limits = limits.withDefaults()
	file, p := parse(name, src, limits)
	if len(p.diags) > 0 {
		return nil, p.diags.sorted([]*File{file}).capped(limits.Diagnostics)
	}
	f := formatter{parser: p, starts: make([]bool, len(p.tokens))}
	for _, i := range p.begun {
		f.starts[i] = true
	}
	f.block("", 0)
	return aligned(f.lines), nil
}

// A formatter goes through the words and comments of a file and puts them on lines.
type formatter struct {
	*parser
	starts []bool // whether a sentence starts with this word
	next   int    // the first word that is on no line yet
	noted  int    // the first comment that is on no line yet
	ended  int    // the line of the source on which the last word or comment put on a line ends
	lines  []formatted
}

// A formatted line. Lines of one sort that follow one another make a table of their cells.
type formatted struct {
	depth   int
	spaced  bool     // after a blank line
	sort    string   // empty: of no table
	cells   []string // none: a comment by itself
	tail    string   // what the sentence says for itself, in a column of its own
	comment string
}

// block writes the sentences of a block, named by its first word, up to its closing brace.
func (f *formatter) block(in string, depth int) {
	for {
		f.remarks(depth)
		if t := f.tokens[f.next]; t.Type == lexer.EOF || t.Value == "}" {
			return
		}
		first := len(f.lines)
		f.sentence(in, depth)
		if depth == 0 && len(f.lines) > first+1 {
			f.setOff(first)
		}
	}
}

// setOff parts a declaration of several lines, with the comments right before it, from what stands round it.
func (f *formatter) setOff(first int) {
	for first > 0 && f.lines[first-1].cells == nil && !f.lines[first].spaced {
		first--
	}
	f.lines[first].spaced = first > 0
	f.ended = -1 // whatever comes next comes after a blank line
}

// sentence writes one sentence with its block, if it has one, and the comment after it.
func (f *formatter) sentence(in string, depth int) {
	start, end := f.next, f.next+1
	for f.goesOn(end) {
		end++
	}
	if l, after, ok := f.flat(in, start, end, depth); ok {
		f.put(l, start, after)
		return
	}
	f.words(start, end, depth)
	if f.tokens[end-1].Value == "{" {
		f.block(f.tokens[start].Value, depth+1)
		f.ended = f.spans[f.next].Start.Line // a brace stands after no blank line
		f.words(f.next, f.reasonsEnd(f.next+1), depth)
	}
}

// goesOn tells whether a word belongs to the sentence of the word before it.
func (f *formatter) goesOn(i int) bool {
	t := f.tokens[i]
	return t.Type != lexer.EOF && !f.starts[i] && t.Value != "}" && f.tokens[i-1].Value != "{"
}

// reasonsEnd is where the reasons end that may start at a word.
func (f *formatter) reasonsEnd(i int) int {
	for v := f.tokens[i].Value; v == "because" || v == "source"; v = f.tokens[i].Value {
		i += 2
	}
	return i
}

// put adds a line of the words from one to another, with the comment after it.
func (f *formatter) put(l formatted, from, to int) {
	l.spaced = len(f.lines) > 0 && f.spans[from].Start.Line > f.ended+1
	f.next, f.ended = to, f.spans[to-1].End.Line
	if f.commentBefore(to) && f.comments[f.noted].Start.Line == f.ended {
		l.comment = strings.TrimRight(f.comments[f.noted].Text, " \t")
		f.noted++
	}
	f.lines = append(f.lines, l)
}

// remarks adds the comments before the next word, each a line of its own.
func (f *formatter) remarks(depth int) {
	for ; f.commentBefore(f.next); f.noted++ {
		c := f.comments[f.noted]
		f.lines = append(f.lines, formatted{
			depth: depth, comment: strings.TrimRight(c.Text, " \t"),
			spaced: len(f.lines) > 0 && c.Start.Line > f.ended+1,
		})
		f.ended = c.Start.Line
	}
}

// commentBefore tells whether a comment that is on no line yet stands before a word.
func (f *formatter) commentBefore(i int) bool {
	return f.noted < len(f.comments) && f.comments[f.noted].Start.Offset < f.spans[i].Start.Offset
}

// flat puts a sentence on one line, if it goes on one, and returns where the line ends.
func (f *formatter) flat(in string, start, end, depth int) (l formatted, after int, ok bool) {
	if f.tokens[end-1].Value != "{" {
		l, after = f.cut(in, start, end), end
	} else {
		block, closed := f.flatBlock(end)
		if after = closed; block == "" {
			return l, after, false
		}
		l = f.cut(in, start, end-1)
		l.cells = append(l.cells, block)
	}
	l.depth = depth
	return l, after, !f.commentBefore(after-1) && 2*depth+width(l.text()) <= lineWidth
}

// flatBlock writes a block, from the word after its opening brace, on one line with the reasons after it. It
// returns nothing for one that is written otherwise or holds other blocks.
func (f *formatter) flatBlock(from int) (block string, after int) {
	written := f.spans[from-1].End.Line == f.spans[from].Start.Line
	block = "{"
	for i := from; f.tokens[i].Value != "}"; from = i {
		for i++; f.goesOn(i); i++ {
		}
		if !written || f.tokens[i-1].Value == "{" {
			return "", i
		}
		block += " " + f.text(from, i)
		if f.tokens[i].Value != "}" {
			block += " "
		}
	}
	after = f.reasonsEnd(from + 1)
	return block + " " + f.text(from, after), after
}

// cut cuts a sentence into the cells of its sort's table.
func (f *formatter) cut(in string, start, end int) (l formatted) {
	find := func(is func(lexer.Token) bool) int {
		if i := slices.IndexFunc(f.tokens[start+1:end], is); i >= 0 {
			return start + 1 + i
		}
		return end
	}
	tail := func(words ...string) {
		from := find(func(t lexer.Token) bool { return slices.Contains(words, t.Value) })
		l.tail, end = f.text(from, end), from
	}
	cell := func(to int) {
		to = min(to, end)
		l.cells = append(l.cells, f.text(start, to))
		start = to
	}
	switch first := f.tokens[start].Value; {
	case in == "" && first == "item":
		l.sort = first
		cell(start + 2)
	case in == "book" || in == "item":
		l.sort = in
		cell(start + 1)
	case in == "detail" && (first == "require" || first == "should" || first == "drop"):
		l.sort = first
		tail("because", "source")
	case in == "detail" && first == "step":
		l.sort = first
		tail("sets")
	case first != "lay" && slices.Contains([]string{"row", "pieces", "strip", "bead", "relax"}, in):
		if l.sort = "rule"; first == "must" || first == "should" {
			l.sort = first
		}
		tail("because", "source")
		compare := find(func(t lexer.Token) bool { return t.Type == tokCompare })
		cell(compare)
		cell(compare + 1)
	}
	cell(end)
	return l
}

// words writes a sentence, or the part of one before or after its block, on as many lines as it needs.
func (f *formatter) words(from, to, depth int) {
	start, indent := from, depth // of the line that is being filled
	flush := func(next int) {
		if start > from {
			f.ended = f.spans[start].Start.Line // no blank line within a sentence
		}
		f.put(formatted{depth: indent, cells: []string{f.text(start, next)}}, start, next)
		start, indent = next, depth+2
	}
	for k, brk, brackets := from, from, 0; k < to; k++ {
		switch {
		case k == from:
		case f.commentBefore(k):
			flush(k)
			f.remarks(indent)
			brk = k
		case brackets == 0 && f.breaksBefore(k):
			brk = k
		}
		if brk > start && 2*indent+width(f.text(start, k+1)) > lineWidth {
			flush(brk)
		}
		switch f.tokens[k].Value {
		case "(":
			brackets++
		case ")":
			brackets--
		}
	}
	flush(to)
}

// breaksBefore tells whether a long sentence may go on with a word, outside brackets, on a new line.
func (f *formatter) breaksBefore(i int) bool {
	switch t, before := f.tokens[i], f.tokens[i-1]; {
	case before.Value == ",":
		return true
	case isLiteral(before):
		return slices.Contains([]string{"+", "-", "and", "or", "from", "when", "because", "source", "where", "to",
			"slope", "panels", "first", "rib", "ends", "zone", "penetration"}, t.Value)
	default:
		return slices.Contains([]string{"and", "or", "from", "when", "because", "source", "where", "zone", "penetration", "sets", "with"}, t.Value)
	}
}

func isLiteral(t lexer.Token) bool { return t.Type >= tokNumber && t.Type <= tokDegrees }

// text writes the words from one to another.
func (f *formatter) text(from, to int) string {
	var b strings.Builder
	for i := from; i < to; i++ {
		if i > from && f.parted(i) {
			b.WriteByte(' ')
		}
		b.WriteString(spelling(f.tokens[i]))
	}
	return b.String()
}

// parted tells whether a blank stands between a word and the one before.
func (f *formatter) parted(i int) bool {
	before := f.tokens[i-1]
	switch f.tokens[i].Value {
	case ")", ",", ":":
		return false
	case "(":
		if slices.Contains([]string{"min", "max", "floor", "ceil", "abs"}, before.Value) {
			return false
		}
	}
	return before.Value != "(" && !f.minus[i-1]
}

// spelling is a word with one blank where a literal may have more or none.
func spelling(t lexer.Token) string {
	switch t.Type {
	case tokLength, tokVolume, tokDegrees, tokSlope:
	default:
		return t.Value
	}
	var b strings.Builder
	for i, part := range strings.Fields(t.Value) {
		if i > 0 {
			b.WriteByte(' ')
		}
		n := strings.IndexFunc(part, func(r rune) bool { return isLetter(byte(r)) })
		if n > 0 {
			b.WriteString(part[:n] + " ")
			part = part[n:]
		}
		b.WriteString(part)
	}
	return b.String()
}
