package sheet

import (
	"strconv"

	"github.com/lapwright/lapwright/units"
)

// A px is a place in a drawing, in hundredths of a pixel of 1/96 in.
type px int64

// String writes the pixels as a decimal.
func (x px) String() string { return string(x.append(nil)) }

func (x px) append(b []byte) []byte {
	if x < 0 {
		b, x = append(b, '-'), -x
	}
	b = strconv.AppendInt(b, int64(x/100), 10)
	if rest := byte(x % 100); rest > 0 {
		if b = append(b, '.', '0'+rest/10); rest%10 > 0 {
			b = append(b, '0'+rest%10)
		}
	}
	return b
}

// A scale draws a run 1 to ratio, in rows of one span each, under a tape that is ticked so.
type scale struct {
	ratio                   int64
	span, minor, mid, major units.Length // major carries the figures
}

// The drawing's measures across, in pixels: a gutter for names, then the row between two margins for what reaches past
// it. Together they are 7 1/2 in, which Letter and A4 both hold.
const (
	gutter = 104
	margin = 20
	across = 576
	wide   = gutter + margin + across + margin
)

func inches(ratio, span int64, minor, mid, major string) scale {
	at := units.MustParse
	return scale{ratio, at(strconv.FormatInt(span, 10) + " in"), at(minor), at(mid), at(major)}
}

func metric(ratio int64, span, minor, mid, major string) scale {
	at := units.MustParse
	return scale{ratio, at(span), at(minor), at(mid), at(major)}
}

// The scales, the largest first. A row of 576 px holds 6 in for each of the ratio.
var (
	inchScales = []scale{
		inches(2, 12, "1/8 in", "1/2 in", "1 in"), inches(4, 24, "1/4 in", "1 in", "3 in"), inches(6, 36, "1/2 in", "1 in", "3 in"),
		inches(8, 48, "1/2 in", "1 in", "6 in"), inches(12, 72, "1 in", "3 in", "6 in"), inches(16, 96, "1 in", "3 in", "12 in"),
		inches(24, 144, "1 in", "3 in", "12 in"),
	}
	metricScales = []scale{
		metric(2, "300 mm", "5 mm", "10 mm", "50 mm"), metric(5, "700 mm", "10 mm", "50 mm", "100 mm"),
		metric(10, "1500 mm", "20 mm", "100 mm", "100 mm"), metric(20, "3000 mm", "50 mm", "100 mm", "500 mm"),
		metric(25, "3500 mm", "50 mm", "100 mm", "500 mm"),
	}
)

// maxRows bounds a run's drawing: a longer run is drawn ten times as small, and ten times more.
const maxRows = 1000

// scaleOf is the largest scale at which a length fits one row, else the smallest of all.
func scaleOf(length units.Length, unit units.Unit) scale {
	list := inchScales
	if unit == units.MM {
		list = metricScales
	}
	for _, s := range list {
		if length.Cmp(s.span) <= 0 {
			return s
		}
	}
	s := list[len(list)-1]
	for length.Ticks()/s.span.Ticks() >= maxRows {
		s.ratio *= 10
		for _, l := range []*units.Length{&s.span, &s.minor, &s.mid, &s.major} {
			*l, _ = l.Mul(10) // below the length, which can be held
		}
	}
	return s
}

// at is how far a distance in ticks reaches, to the nearest hundredth of a pixel: 9600 hundredths are an inch of paper.
// No distance between two lengths overflows it.
func (s scale) at(ticks int64) px {
	const num, den = 3, 7_937_500 // 9600 over the ticks of an inch
	d := den * s.ratio
	return px((ticks/d)*num + (ticks%d*num*2+sign(ticks)*d)/(2*d))
}

func sign(n int64) int64 {
	if n < 0 {
		return -1
	}
	return 1
}

// row is which row a station falls in.
func (s scale) row(at units.Length) int {
	n, rest, _ := at.QuoRem(s.span)
	if rest.Sign() < 0 {
		n--
	}
	return int(n)
}
