package rules

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// lineWidth is how many columns a formatted line takes at most, unless it has no place to be broken at.
const lineWidth = 100

// Format writes a rule file in its one true form and keeps its words, its comments and their places. What is
// left to the author are blank lines, one at most, and whether a block stands on one line, which it does if it
// is written so and fits. A file with errors is not formatted: the bytes are then nil. It checks no names and
// reads no other file.
func Format(name string, src []byte, limits Limits) ([]byte, Diagnostics) {
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
	return draw(f.lines), nil
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
	f.ended = 0
}

// sentence writes one sentence with its block, if it has one, and the comment after it.
func (f *formatter) sentence(in string, depth int) {
	start, end := f.next, f.next+1
	for f.goesOn(end) {
		end++
	}
	first := f.tokens[start].Value
	switch l, flat := f.flat(in, start, end, depth); {
	case flat:
		f.put(l, start)
	case f.tokens[end-1].Value == "{":
		f.words(formatted{depth: depth}, start, end)
		f.block(first, depth+1)
		f.ended = f.spans[f.next].Start.Line // no blank line before the brace
		f.words(formatted{depth: depth}, f.next, f.reasonsEnd(f.next+1))
	default:
		f.words(formatted{depth: depth}, start, end)
	}
}

// goesOn tells whether a word belongs to the sentence of the word before it.
func (f *formatter) goesOn(i int) bool {
	t := f.tokens[i]
	return t.Type != lexer.EOF && !f.starts[i] && t.Value != "}" && f.tokens[i-1].Value != "{"
}

// reasonsEnd is where the reasons that may stand after a block end.
func (f *formatter) reasonsEnd(i int) int {
	for v := f.tokens[i].Value; v == "because" || v == "source"; v = f.tokens[i].Value {
		i += 2
	}
	return i
}

// flat returns a sentence on one line, and whether it goes on one.
func (f *formatter) flat(in string, start, end, depth int) (formatted, bool) {
	l := formatted{depth: depth}
	closing := end // after the block
	if f.tokens[end-1].Value != "{" {
		f.cut(&l, in, start, end)
	} else {
		written := f.spans[end-1].End.Line == f.spans[end].Start.Line
		var inner []string
		for f.tokens[closing].Value != "}" {
			from := closing
			for closing++; f.goesOn(closing); closing++ {
			}
			if !written || f.tokens[closing-1].Value == "{" {
				return l, false
			}
			inner = append(inner, f.text(from, closing))
		}
		closing = f.reasonsEnd(closing + 1)
		block := strings.Join(append([]string{"{"}, strings.Join(inner, "  "), "}"), " ")
		if len(inner) == 0 {
			block = "{ }"
		}
		if reasons := f.afterBlock(closing); reasons != "" {
			block += " " + reasons
		}
		f.cut(&l, in, start, end-1)
		l.cells = append(l.cells, block)
	}
	if f.commentBefore(closing-1) || width(l.text(nil, 1)) > lineWidth-2*depth {
		return l, false
	}
	f.next = closing
	return l, true
}

// afterBlock writes the reasons after a block that end before a word.
func (f *formatter) afterBlock(end int) string {
	from := end
	for f.tokens[from-1].Value != "}" {
		from--
	}
	return f.text(from, end)
}

// cut cuts a sentence into the cells of its sort's table.
func (f *formatter) cut(l *formatted, in string, start, end int) {
	first := f.tokens[start].Value
	cells := func(at ...int) {
		for _, i := range at {
			l.cells = append(l.cells, f.text(start, min(i, end)))
			start = min(i, end)
		}
		l.cells = append(l.cells, f.text(start, end))
	}
	find := func(is func(lexer.Token) bool) int {
		if i := slices.IndexFunc(f.tokens[start+1:end], is); i >= 0 {
			return start + 1 + i
		}
		return end
	}
	tail := func(words ...string) {
		from := find(func(t lexer.Token) bool { return slices.Contains(words, t.Value) })
		l.tail = f.text(from, end)
		end = from
	}
	switch in {
	case "":
		if first == "item" {
			l.sort = first
			cells(start + 2)
			return
		}
	case "book", "item":
		l.sort = in
		cells(start + 1)
		return
	case "detail":
		switch first {
		case "require", "should", "drop":
			l.sort = first
			tail("because", "source")
		case "step":
			l.sort = first
			tail("sets")
		}
	case "row", "pieces", "strip", "bead", "relax":
		if first == "lay" {
			break
		}
		l.sort = "rule"
		if first == "must" || first == "should" {
			l.sort = first
		}
		tail("because", "source")
		compare := find(func(t lexer.Token) bool { return t.Type == tokCompare })
		cells(compare, compare+1)
		return
	}
	cells()
}

// words writes a sentence, or the part of one before or after its block, on as many lines as it needs.
func (f *formatter) words(l formatted, from, to int) {
	text, first, depth := "", from, l.depth
	flush := func() {
		l.cells = []string{text}
		f.next = to
		f.put(l, first)
		l, text = formatted{depth: depth + 2}, ""
	}
	brackets := 0
	for k := from; k < to; {
		if k > from && f.commentBefore(k) {
			if text != "" {
				flush()
			}
			f.next = k
			f.remarks(depth + 2)
			first = k
		}
		n := k
		for n == k || n < to && !f.commentBefore(n) && (brackets > 0 || !f.breaksBefore(n)) {
			switch f.tokens[n].Value {
			case "(":
				brackets++
			case ")":
				brackets--
			}
			n++
		}
		chunk := f.text(k, n)
		if text != "" && 2*l.depth+width(text)+1+width(chunk) > lineWidth {
			flush()
			first = k
		}
		if text != "" {
			text += " "
		}
		text += chunk
		k = n
	}
	flush()
}

// breaksBefore tells whether a long sentence may go on, on a new line, with a word that is in no brackets.
func (f *formatter) breaksBefore(i int) bool {
	switch t, before := f.tokens[i], f.tokens[i-1]; {
	case t.Type == tokArithmetic:
		return (t.Value == "+" || t.Value == "-") && !f.minus[i] && !f.minus[i-1]
	case t.Type == tokReserved:
		return slices.Contains([]string{"and", "or", "when", "because", "source", "where", "zone", "penetration", "rib"}, t.Value) &&
			(t.Value != "zone" && t.Value != "penetration" && t.Value != "rib" || isLiteral(before))
	case t.Type == tokWord:
		return isLiteral(before) && slices.Contains([]string{"slope", "panels", "first", "ends"}, t.Value) || t.Value == "sets" || t.Value == "with"
	default:
		return before.Value == ","
	}
}

func isLiteral(t lexer.Token) bool { return t.Type >= tokNumber && t.Type <= tokDegrees }
