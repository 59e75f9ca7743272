package sheet

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// A pen writes markup as it goes. The first error of the writer is kept by bufio until Flush.
type pen struct {
	w *bufio.Writer
	figures
}

func newPen(w io.Writer, o Options) *pen {
	return &pen{w: bufio.NewWriterSize(w, 1<<16), figures: figures{unit: o.Unit}}
}

// end hands the rest over and says what went wrong first.
func (p *pen) end() error {
	if p.err != nil {
		return p.err
	}
	return p.w.Flush()
}

// put writes markup; texts from outside among its arguments have been through markup or quoted.
func (p *pen) put(format string, args ...any) { fmt.Fprintf(p.w, format, args...) }

func (p *pen) raw(s string) { p.w.WriteString(s) }

// text writes a text of a class at a place.
func (p *pen) text(class string, x, y px, s string) {
	p.put(`<text class="%s" x="%v" y="%v">%s</text>`, class, x, y, markup(s))
}

var (
	entities = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")
	quotes   = strings.NewReplacer(`"`, "&#34;", "'", "&#39;")
)

// markup is a text that is harmless within an element.
func markup(s string) string {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '&' || c == '<' || c == '>' {
			return entities.Replace(clean(s))
		}
	}
	return s
}

// quoted is a text that is harmless within a quoted attribute.
func quoted(s string) string { return quotes.Replace(markup(s)) }

// short is a clean text of at most so many columns; one that is cut ends in dots.
func short(s string, columns int) string {
	s = clean(s)
	if width(s) <= columns {
		return s
	}
	return cut(s, columns-1) + "…"
}

// room is how much a text of a size in pixels takes at most across, in a plain face.
func room(s string, size px) px { return px(width(s)) * size * 56 }
