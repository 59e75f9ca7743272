package rules

import (
	"bytes"
	"slices"
	"strings"
)

// aligned writes the lines. Lines of one depth that follow one another with neither a blank line nor a comment line
// between stand in tables, one for each sort; the comments after lines that follow one another stand in a column.
func aligned(lines []formatted) []byte {
	texts := make([]string, len(lines))
	stretches(lines, func(l, before formatted) bool {
		return l.depth == before.depth && l.cells != nil && before.cells != nil
	}, func(from, to int) { tables(lines[from:to], texts[from:to]) })
	stretches(lines, func(l, before formatted) bool {
		return l.cells != nil && l.comment != "" && before.cells != nil && before.comment != ""
	}, func(from, to int) { comments(lines[from:to], texts[from:to]) })
	var b bytes.Buffer
	for i, l := range lines {
		if l.spaced {
			b.WriteByte('\n')
		}
		b.WriteString(texts[i])
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// stretches does something with each longest stretch of lines that go on from one another.
func stretches(lines []formatted, goesOn func(l, before formatted) bool, do func(from, to int)) {
	for from := 0; from < len(lines); {
		to := from + 1
		for to < len(lines) && !lines[to].spaced && goesOn(lines[to], lines[to-1]) {
			to++
		}
		do(from, to)
		from = to
	}
}

// tables writes lines that stand together.
func tables(lines []formatted, texts []string) {
	var sorts []string
	for _, l := range lines {
		if !slices.Contains(sorts, l.sort) {
			sorts = append(sorts, l.sort)
		}
	}
	for _, sort := range sorts {
		var rows []int
		for i, l := range lines {
			if l.sort == sort {
				rows = append(rows, i)
			}
		}
		table(lines, texts, rows, sort == "")
	}
}

// table writes lines of one sort. A column that would make a line too long is none.
func table(lines []formatted, texts []string, rows []int, loose bool) {
	var widths []int // of the cells before the last
	for _, i := range rows {
		for k, cell := range lines[i].cells {
			if k == len(widths) {
				widths = append(widths, 0)
			}
			widths[k] = max(widths[k], width(cell))
		}
	}
	tail, fits, fitsTail := 0, len(rows) > 1 && !loose, true
	for _, i := range rows {
		used := width(lines[i].padded(widths))
		tail = max(tail, used+2)
		fits = fits && 2*lines[i].depth+used <= lineWidth
	}
	for _, i := range rows {
		fitsTail = fitsTail && (lines[i].tail == "" || 2*lines[i].depth+tail+width(lines[i].tail) <= lineWidth)
	}
	for _, i := range rows {
		l, text := lines[i], ""
		switch {
		case !fits:
			text = l.text()
		case l.tail == "":
			text = l.padded(widths)
		case fitsTail:
			text = pad(l.padded(widths), tail) + l.tail
		default:
			text = l.padded(widths) + " " + l.tail
		}
		texts[i] = strings.Repeat("  ", l.depth) + text
	}
}

// padded writes the cells in columns.
func (l formatted) padded(widths []int) string {
	text, column := "", 0
	for k, cell := range l.cells {
		if cell != "" {
			text = pad(text, column) + cell
		}
		if widths[k] > 0 {
			column += widths[k] + 1
		}
	}
	return text
}

// text writes a line of no table.
func (l formatted) text() string {
	parts := slices.DeleteFunc(append(slices.Clone(l.cells), l.tail), func(s string) bool { return s == "" })
	return strings.Join(parts, " ")
}

// comments adds the comments to lines that stand together.
func comments(lines []formatted, texts []string) {
	column := 0
	for i := range lines {
		column = max(column, width(texts[i])+2)
	}
	for i, l := range lines {
		switch {
		case l.comment == "":
		case l.cells == nil:
			texts[i] = strings.Repeat("  ", l.depth) + l.comment
		default:
			texts[i] = pad(texts[i], column) + l.comment
		}
	}
}

func pad(s string, column int) string {
	return s + strings.Repeat(" ", max(0, column-width(s)))
}
