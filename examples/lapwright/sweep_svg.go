package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
)

// The measures of the picture, in pixels.
const (
	sweepLeft = 24  // of the bars, and of the text
	sweepBar  = 860 // the length of a bar
	sweepHigh = 34  // its height
	sweepText = 18  // from one line of text to the next
)

// hatches are the fills of the verdicts: they differ without colour.
const hatches = `<defs>
<pattern id="v1" width="10" height="10" patternUnits="userSpaceOnUse"><path d="M-1 11L11 -1" stroke="#222"/></pattern>
<pattern id="v2" width="6" height="6" patternUnits="userSpaceOnUse"><path d="M0 0L6 6M0 6L6 0" stroke="#222"/></pattern>
<pattern id="v3" width="6" height="6" patternUnits="userSpaceOnUse"><circle cx="3" cy="3" r="1.2" fill="#222"/></pattern>
</defs>
`

// A sweepPicture is the drawing of a sweep while it grows downward.
type sweepPicture struct {
	bytes.Buffer
	y, wide int
}

// sweepSVG draws a bar for each line of a sweep along lengths, its ranges hatched by what can be said of them, over
// an axis in feet and inches; below, each range in words.
func sweepSVG(rep *detail.SweepReport) ([]byte, error) {
	for _, line := range rep.Lines {
		for _, r := range line.Ranges {
			if r.From.Text != "" || r.To.Text != "" {
				return nil,
					errors.New("-format svg draws ranges of lengths, and this one is along " + rep.Along.String() + ": use text")
			}
		}
	}
	p := &sweepPicture{y: sweepText, wide: 2*sweepLeft + sweepBar}
	p.say(`font-weight="bold"`, "%s on %s, along %s", rep.Detail, rep.Edge, rep.Along)
	p.say("", "%s", strings.Join(rep.Run, " "))
	p.key()
	inexact := false
	for _, line := range rep.Lines {
		p.y += sweepText
		for _, at := range line.At {
			p.say("", "%s %s", at.SweepAxis, at.Value.In(units.In))
		}
		p.bar(line.Ranges)
		for i, r := range line.Ranges {
			inexact = inexact || !r.Exact
			p.words(i+1, r)
		}
	}
	if inexact {
		p.say("", "~ and a dashed border: tried at least every %s, and not proved in between", rep.Step.In(units.In))
	}
	var b bytes.Buffer
	fmt.Fprintf(&b,
		`<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" font-family="monospace" font-size="13" fill="#222">`+"\n", p.wide, p.y, p.wide, p.y)
	fmt.Fprintf(&b, "<rect width=\"%d\" height=\"%d\" fill=\"#fff\"/>\n%s", p.wide, p.y, hatches)
	b.Write(p.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// say writes a line of text and goes on below it.
func (p *sweepPicture) say(style, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	p.text(sweepLeft, p.y, style, text)
	p.wide = max(p.wide, 2*sweepLeft+8*utf8.RuneCountInString(text))
	p.y += sweepText
}

func (p *sweepPicture) text(x, y int, style, text string) {
	fmt.Fprintf(p, `<text x="%d" y="%d" xml:space="preserve" %s>`, x, y, style)
	xml.EscapeText(p, []byte(text))
	p.WriteString("</text>\n")
}

// key shows what the hatches mean.
func (p *sweepPicture) key() {
	for v := detail.Buildable; v <= detail.Refused; v++ {
		x := sweepLeft + 210*int(v)
		p.box(x, p.y-4, 26, 14, v)
		p.text(x+34, p.y+8, "", v.String())
	}
	p.y += sweepText
}

func (p *sweepPicture) box(x, y, w, h int, v detail.SweepVerdict) {
	fill := "none"
	if v != detail.Buildable {
		fill = fmt.Sprintf("url(#v%d)", v)
	}
	fmt.Fprintf(p, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s" stroke="#222"/>`+"\n", x, y, w, h, fill)
}

// bar draws the ranges side by side, each with its number where that has room, and the axis below.
func (p *sweepPicture) bar(ranges []detail.SweepRange) {
	from, to := ranges[0].From.Length.Ticks(), ranges[len(ranges)-1].To.Length.Ticks()
	span := max(to-from, 1)
	scale := 1 + span>>50 // so that nothing wraps
	at := func(ticks int64) int {
		return sweepLeft + int((ticks-from)/scale*sweepBar/max(span/scale, 1))
	}
	for i, r := range ranges {
		a, b := at(r.From.Length.Ticks()), at(r.To.Length.Ticks())
		p.box(a, p.y, max(b-a, 1), sweepHigh, r.Verdict)
		if !r.Exact && i > 0 {
			fmt.Fprintf(p, `<path d="M%d %dv%d" stroke="#fff" stroke-width="2" stroke-dasharray="3 3"/>`+"\n", a, p.y, sweepHigh)
		}
		if number := fmt.Sprint(i + 1); b-a > 10+8*len(number) {
			x := (a + b) / 2
			fmt.Fprintf(p, `<rect x="%d" y="%d" width="%d" height="18" fill="#fff"/>`+"\n", x-4-4*len(number), p.y+8,
				8+8*len(number))
			p.text(x, p.y+21, `text-anchor="middle"`, number)
		}
	}
	p.y += sweepHigh
	step := axisStep(span)
	last := -100
	for t := (from + step - 1) / step * step; t <= to; t += step {
		x := at(t)
		fmt.Fprintf(p, `<path d="M%d %dv5" stroke="#222"/>`+"\n", x, p.y)
		if label := tape(t); x-last > 8*len(label)+8 {
			p.text(x, p.y+18, `text-anchor="middle"`, label)
			last = x
		}
	}
	p.y += 2*sweepText + 4
}

// axisStep is a round step of which a span takes at most sixteen.
func axisStep(span int64) int64 {
	const sixteenth = units.TicksPerInch / 16
	for _, n := range []int64{1, 2, 4, 8, 16, 32, 48, 96, 192, 384, 576, 1152} { // sixteenths: up to 6 ft
		if n*sixteenth*16 >= span {
			return n * sixteenth
		}
	}
	step := int64(1920 * sixteenth) // 10 ft
	for step*16 < span {
		step *= 2
	}
	return step
}

// tape writes ticks as a tape shows them, to the nearest sixteenth.
func tape(ticks int64) string {
	l, err := units.FromTicks(ticks)
	if err != nil {
		return ""
	}
	sixteenth, _ := units.FromTicks(units.TicksPerInch / 16)
	text, _ := l.Tape(sixteenth, units.Nearest)
	return text
}

// words says what a range is.
func (p *sweepPicture) words(n int, r detail.SweepRange) {
	for i, line := range rangeText(r) {
		if lead := fmt.Sprintf("%3d ", n); i == 0 {
			p.say("", "%s%s", lead, line)
		} else {
			p.say("", "        %s", line)
		}
	}
}
