package rules

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// drawn is the width that a drawing keeps to.
const drawn = 80

// Draw writes the diagnostic as a terminal shows it: the place and what is wrong, the line of the source with
// the stretch underlined, other places that take part, and what would be right. source returns the text of
// a file, or nil if it is not to be had; then its line is left out. Lines are at most 80 columns wide unless
// a single word is wider.
func (d Diagnostic) Draw(w io.Writer, source func(file string) []byte) error {
	var b strings.Builder
	wrap(&b, d.String(), "    ")
	excerpt(&b, d.Span, source)
	if d.Detail != "" {
		wrap(&b, "  "+visible(d.Detail), "    ")
	}
	for _, r := range d.Related {
		at := r.Span.String()
		if at != "" {
			at += ": "
		}
		wrap(&b, "  "+visible(at+r.Text), "    ")
		excerpt(&b, r.Span, source)
	}
	if d.Suggestion != "" {
		wrap(&b, "  help: "+visible(d.Suggestion), "    ")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Draw writes all of them, as each draws itself.
func (ds Diagnostics) Draw(w io.Writer, source func(file string) []byte) error {
	for _, d := range ds {
		if err := d.Draw(w, source); err != nil {
			return err
		}
	}
	return nil
}

// wrap writes a paragraph, its further lines indented.
func wrap(b *strings.Builder, text, indent string) {
	lead := text[:len(text)-len(strings.TrimLeft(text, " "))]
	column := 0
	for i, word := range strings.Fields(text) {
		n := width(word)
		switch {
		case i == 0:
			b.WriteString(lead)
			column = len(lead)
		case column+1+n > drawn:
			b.WriteString("\n" + indent)
			column = len(indent)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
	}
	b.WriteByte('\n')
}

// excerpt writes the first line of a span with its number, and a line of carets under the span.
func excerpt(b *strings.Builder, at Span, source func(file string) []byte) {
	if at.Start.Line == 0 || source == nil {
		return
	}
	line, from, to, ok := lineOf(source(at.File), at)
	if !ok || strings.TrimSpace(line) == "" {
		return
	}
	const far = 1000 // bytes: a line of a whole file's length isn't looked through for each diagnostic
	near := line[max(0, from-far):from]
	to = min(to, from+far)
	before, under, after := visible(near), visible(line[from:to]), visible(line[to:min(len(line), to+far)])
	gutter := fmt.Sprintf("%5d | ", at.Start.Line)
	room := drawn - len(gutter)
	before, under, after = window(before, under, after, room)
	fmt.Fprintf(b, "%s\n", strings.TrimRight(gutter+before+under+after, " "))
	fmt.Fprintf(b, "      | %s%s\n", strings.Repeat(" ", width(before)), strings.Repeat("^", max(1, width(under))))
}

// lineOf returns the line on which a span starts and the span's part of it, in bytes.
func lineOf(src []byte, at Span) (line string, from, to int, ok bool) {
	start := at.Start.Offset
	if start < 0 || start > len(src) {
		return "", 0, 0, false
	}
	begin := bytes.LastIndexByte(src[:start], '\n') + 1
	if mark := []byte("\ufeff"); begin == 0 && start >= len(mark) && bytes.HasPrefix(src, mark) {
		begin = len(mark)
	}
	text, _, _ := bytes.Cut(src[begin:], []byte("\n"))
	text = bytes.TrimSuffix(text, []byte("\r"))
	from = min(start-begin, len(text))
	to = min(max(from, at.End.Offset-begin), len(text))
	return string(text), from, to, true
}

// window cuts a long line to what fits round the stretch underlined, which is shown from its start.
func window(before, under, after string, room int) (string, string, string) {
	if width(before)+width(under)+width(after) <= room {
		return before, under, after
	}
	keep := max(room-width(under)-20, room/3)
	if width(before) > keep {
		before = "…" + tail(before, keep-1)
	}
	if left := room - width(before); width(under) > left {
		return before, start(under, left-1) + "…", ""
	}
	if left := room - width(before) - width(under); width(after) > left {
		after = start(after, left-1)
		if left > 0 {
			after += "…"
		}
	}
	return before, under, after
}

// start returns as much of the beginning of s as is n columns wide.
func start(s string, n int) string {
	for i, r := range s {
		if n -= runeWidth(r); n < 0 {
			return s[:i]
		}
	}
	return s
}

// tail returns as much of the end of s as is n columns wide.
func tail(s string, n int) string {
	for i := len(s); i > 0; {
		r, size := utf8.DecodeLastRuneInString(s[:i])
		if n -= runeWidth(r); n < 0 {
			return s[i:]
		}
		i -= size
	}
	return s
}

// visible puts a mark in place of every character that a terminal would act on or not show, and a space in
// place of a tab.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n':
			return ' '
		case r < ' ':
			return '\u2400' + r
		case r == 0x7f:
			return '\u2421'
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
			return utf8.RuneError
		}
		return r
	}, s)
}

// width is how many columns of a terminal a visible text takes.
func width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

// wide are the scripts and signs that terminals draw two columns wide.
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{
		{0x1100, 0x115f, 1}, {0x231a, 0x231b, 1}, {0x2e80, 0x303e, 1}, {0x3041, 0x4dbf, 1}, {0x4e00, 0xa4cf, 1},
		{0xa960, 0xa97f, 1}, {0xac00, 0xd7a3, 1}, {0xf900, 0xfaff, 1}, {0xfe30, 0xfe6f, 1}, {0xff00, 0xff60, 1}, {0xffe0, 0xffe6, 1},
	},
	R32: []unicode.Range32{
		{0x16fe0, 0x18cff, 1}, {0x1b000, 0x1b2ff, 1}, {0x1f300, 0x1f64f, 1}, {0x1f680, 0x1f6ff, 1}, {0x1f900, 0x1faff, 1}, {0x20000, 0x3fffd, 1},
	},
}

func runeWidth(r rune) int {
	switch {
	case r < 0x300:
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	case unicode.Is(wide, r):
		return 2
	}
	return 1
}
