package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A page gathers the lines of a sheet, none of them wider than columns.
type page struct {
	buf     bytes.Buffer
	columns int
	field   string // the rib lines or penetrations written last
	err     error  // the first
	figures
}

// line writes one line that is known to fit.
func (p *page) line(s string) {
	p.buf.WriteString(strings.TrimRight(s, " "))
	p.buf.WriteByte('\n')
}

// gap writes an empty line, but never two.
func (p *page) gap() {
	if b := p.buf.Bytes(); len(b) > 0 && !bytes.HasSuffix(b, []byte("\n\n")) {
		p.buf.WriteByte('\n')
	}
}

// heading starts a part of the sheet.
func (p *page) heading(format string, args ...any) {
	p.gap()
	p.text("", "  ", format, args...)
	p.line(strings.Repeat("-", p.columns))
}

// text writes words, as many on a line as fit: the first line after head, the others after rest.
func (p *page) text(head, rest, format string, args ...any) {
	line, filled := head, false
	for _, word := range strings.Fields(clean(fmt.Sprintf(format, args...))) {
		for {
			sep := ""
			if filled {
				sep = " "
			}
			room := p.columns - width(line) - len(sep)
			if width(word) <= room {
				line, filled = line+sep+word, true
				break
			}
			if filled {
				p.line(line)
				line, filled = rest, false
				continue
			}
			// Not even an empty line holds the word.
			part := cut(word, room)
			p.line(line + part)
			line, word = rest, word[len(part):]
		}
	}
	p.line(line)
}

// list writes short entries in columns, after a label on the first line.
func (p *page) list(head, rest string, entries []string) {
	cell := 0
	for _, e := range entries {
		cell = max(cell, width(e))
	}
	across := max(1, (p.columns-width(rest)+2)/(cell+2))
	for i := 0; i < len(entries); i += across {
		line := head
		if i > 0 {
			line = rest
		}
		for k, e := range entries[i:min(i+across, len(entries))] {
			if k > 0 {
				line += "  "
			}
			line += strings.Repeat(" ", cell-width(e)) + e
		}
		p.line(line)
	}
}

// table writes rows under a head, the first column to the left and as wide as there is room, wrapped, the others to
// the right. Where the page is too narrow, each row becomes a paragraph.
func (p *page) table(indent string, head []string, rows [][]string) {
	wide := make([]int, len(head))
	for _, row := range append([][]string{head}, rows...) {
		for i, cell := range row {
			wide[i] = max(wide[i], width(clean(cell)))
		}
	}
	others := 0
	for _, w := range wide[1:] {
		others += w + 2
	}
	first := min(wide[0], p.columns-len(indent)-others)
	if first < min(wide[0], 16) {
		for _, row := range rows {
			text := row[0]
			for i, cell := range row[1:] {
				text += "; " + head[i+1] + " " + cell
			}
			p.text(indent, indent+"  ", "%s", text)
		}
		return
	}
	for _, row := range append([][]string{head}, rows...) {
		lines := p.wrapped(row[0], first)
		for i, l := range lines {
			line := indent + l + strings.Repeat(" ", first-width(l))
			for k, cell := range row[1:] {
				if cell = clean(cell); i == 0 {
					line += "  " + strings.Repeat(" ", wide[k+1]-width(cell)) + cell
				}
			}
			p.line(line)
		}
	}
}

// wrapped is the lines of a text in a narrow column.
func (p *page) wrapped(text string, columns int) []string {
	narrow := page{columns: columns}
	narrow.text("", "", "%s", text)
	return strings.Split(strings.TrimSuffix(narrow.buf.String(), "\n"), "\n")
}

// cut is the beginning of a word that fits in columns, at least one character.
func cut(word string, columns int) string {
	used := 0
	for i, r := range word {
		if used += runeWidth(r); used > columns && i > 0 {
			return word[:i]
		}
	}
	return word
}

// width is how many columns a clean text takes at most.
func width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

// runeWidth never says too little: all beyond the alphabets that are sure to take one column count as two.
func runeWidth(r rune) int {
	if r < 0x1100 || 0x2000 <= r && r < 0x2300 {
		return 1
	}
	return 2
}

// clean makes a text from outside harmless: what has no shape of its own, or steers a terminal or the direction of
// writing, is shown as its number.
func clean(s string) string {
	sound := func(r rune) bool { return r != utf8.RuneError && unicode.IsPrint(r) }
	if strings.IndexFunc(s, func(r rune) bool { return !sound(r) }) < 0 {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch {
		case sound(r):
			b.WriteRune(r)
		case unicode.Is(unicode.Zs, r):
			b.WriteByte(' ')
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)):
			fmt.Fprintf(&b, `\x%02x`, s[i])
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}
