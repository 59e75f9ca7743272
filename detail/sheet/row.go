package sheet

import (
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A frame is one row of a board with the lanes that stand under one tape.
type frame struct {
	*pen
	*board
	row  int // from 0, whichever station it starts at
	from units.Length
	y    px // where the next lane goes
	tip  px // where it is said why a mark stands where it does
}

// high is a row's height, in pixels.
func (b *board) high(column []section) int {
	high := tapeHigh
	for i := range column {
		high += column[i].high()
		for _, l := range column[i].lanes {
			high += l.high()
		}
	}
	return high + b.tipHigh
}

// draw draws one row from (0, 0) of what it stands in, which is wide pixels across.
func (b *board) draw(p *pen, row int, column []section) {
	f := &frame{pen: p, board: b, row: row, from: b.start(row + b.first), tip: px(b.high(column)-b.tipHigh+11) * 100}
	p.put(`<g transform="translate(%d 0)" data-row="%d" data-from="%s" data-ratio="%d">`+"\n",
		gutter+margin, row, f.from.Format(units.In), b.scale.ratio)
	f.scaleTape()
	for i := range column {
		f.section(&column[i])
	}
	f.borders()
	p.raw("</g>\n")
}

// at is where a station stands in the row, cut to the row with its margins; open tells that it was cut.
func (f *frame) at(l units.Length) (x px, open bool) {
	x = f.scale.at(l.Ticks() - f.from.Ticks())
	low, high := px(0), px(across*100)
	if f.row == 0 {
		low = -margin * 100
	}
	if f.row == f.rows()-1 {
		high += margin * 100
	}
	return min(max(x, low), high), x < low || x > high
}

// ends are where a stretch stands in the row.
func (f *frame) ends(from, to units.Length) (x, y px, openLeft, openRight bool) {
	x, openLeft = f.at(from)
	y, openRight = f.at(to)
	return x, y, openLeft, openRight
}

// box draws a stretch, without a side where it goes on in the next row.
func (f *frame) box(class string, from, to units.Length, y, high px, title string) {
	x, x2, openLeft, openRight := f.ends(from, to)
	f.put(`<path class="%s" d="M%v %v`, class, x, y)
	f.put("H%vv%v", x2, high)
	if openRight {
		f.put("M%v %v", x2, y+high)
	}
	f.put("H%v", x)
	if !openLeft {
		f.put("V%v", y)
	}
	if openRight {
		f.put("M%v %vH%vV%vH%v", x, y, x2, y+high, x)
	}
	f.put(`"><title>%s</title></path>`+"\n", markup(title))
}

// scaleTape draws the zones, and the tape that the stations are read on.
func (f *frame) scaleTape() {
	last, _ := f.from.Add(f.scale.span)
	if last.Cmp(f.run.Length) > 0 {
		last = f.run.Length
	}
	caption := f.place(f.from, last)
	f.put(`<text class="n" x="%d" y="26">%s</text>`, 2-gutter-margin, markup(short(caption, 22)))
	for _, z := range f.run.Zones {
		x, x2, _, _ := f.ends(z.From, z.To)
		if x < x2 {
			name := z.Kind + ": " + f.place(z.From, z.To)
			f.box("zone", z.From, z.To, 100, 900, name)
			if w := room(short(z.Kind, 20), 9); w < x2-x {
				f.text("o", (x+x2)/2, 850, short(z.Kind, 20))
			}
		}
	}
	end := f.run.Length
	steps := int(f.scale.span.Ticks() / f.scale.major.Ticks())
	if rest := end.Ticks() - f.from.Ticks(); rest < f.scale.span.Ticks() {
		steps = int((rest + f.scale.major.Ticks() - 1) / f.scale.major.Ticks())
	}
	if steps <= 0 {
		return
	}
	major := f.scale.at(f.scale.major.Ticks())
	f.put(`<path class="tape" d="M0 12H%vv20H0z"/>`, major*px(steps))
	for i := range steps {
		at, _ := f.scale.major.Mul(int64(i))
		at, _ = at.Add(f.from)
		x := major * px(i)
		f.put(`<use href="#lw-t%d" x="%v" y="12"/>`, f.scale.ratio, x)
		f.text("t", x+300, 2900, f.station(at))
	}
	if f.row+f.first == 0 { // its hook
		f.raw(`<path class="rib" d="M-3 10h3v24h3v3h-6z"/>`)
	}
	f.raw("\n")
}

// station is a figure on the tape: whole feet alone, inches as they are.
func (f *frame) station(at units.Length) string {
	s := f.exact(at)
	if at.IsZero() {
		return "0"
	}
	return strings.TrimSuffix(strings.TrimSuffix(s, ` 0"`), " mm")
}

// name writes a lane's name into the gutter.
func (f *frame) name(x px, class, name string, y px) {
	f.put(`<text class="%s" x="%v" y="%v">%s`, class, x, y, markup(short(name, 19)))
	if width(clean(name)) > 19 {
		f.put("<title>%s</title>", markup(name))
	}
	f.raw("</text>")
}

// left is where the gutter starts.
const left = (2 - gutter - margin) * 100

// section draws the panels of a side and the lanes on it.
func (f *frame) section(s *section) {
	if f.y == 0 {
		f.y = tapeHigh * 100
	}
	top := f.y
	if s.strip {
		f.panels(s)
	}
	if s.broken != nil {
		f.faults(s.broken)
	}
	high := px(s.high()) * 100
	for _, l := range s.lanes {
		high += px(l.high()) * 100
	}
	for _, o := range f.run.Obstacles {
		if x, x2, _, _ := f.ends(o.From, o.To); x < x2 && (s.side < 0 || o.Side == "" || o.Side == f.run.Sides[s.side].ID) {
			f.box("out", o.From, o.To, top, high, "obstacle "+o.ID+" ("+o.Kind+"): "+f.place(o.From, o.To))
			f.text("o", (x+x2)/2, top+1300, short(or(o.ID, o.Kind), 20))
		}
	}
	for _, l := range s.lanes {
		f.lane(l)
	}
}

// panels draws the panels of a side and their ribs, each as wide as it is.
func (f *frame) panels(s *section) {
	side := &f.run.Sides[s.side]
	name := ""
	switch {
	case side.ID != "":
		name = "side " + side.ID
	case side.HasPanels:
		name = "panels"
	}
	f.name(left, "g", name, f.y+1200)
	x, x2, _, _ := f.ends(units.Length{}, f.run.Length)
	if x < x2 {
		f.box("panel", units.Length{}, f.run.Length, f.y, 1700, "the run: "+f.place(units.Length{}, f.run.Length))
	}
	if s.byRow != nil {
		for _, i := range s.byRow[f.row] {
			p := &s.panels[i]
			if x, x2, _, _ := f.ends(p.From, p.To); x2-x > room("999", 9) {
				f.put(`<text class="c" x="%v" y="%v">%d<title>panel %d: %s, %s wide</title></text>`, (x+x2)/2, f.y+1200, i+1, i+1,
					markup(f.place(p.From, p.To)), markup(f.tape(p.Width(), units.Nearest)))
			}
		}
	}
	if s.ribs != nil && len(s.ribs[f.row]) > 0 {
		f.raw("\n" + `<path class="rib" d="`)
		for _, i := range s.ribs[f.row] {
			from, to := side.RibBand(int(i))
			x := f.scale.at(from.Ticks() - f.from.Ticks())
			across := max(f.scale.at(to.Ticks()-from.Ticks()), 120)
			f.put("M%v %vh%vv15h%vz", x, f.y+100, across, -across)
		}
		f.raw(`"/>`)
	}
	f.raw("\n")
	f.y += stripHigh * 100
}

// borders draws the borders of zones down through the lanes.
func (f *frame) borders() {
	for _, z := range f.run.Zones {
		for _, at := range []units.Length{z.From, z.To} {
			if x, cut := f.at(at); !cut && at.Sign() > 0 && at.Cmp(f.run.Length) < 0 {
				f.put(`<path class="border" d="M%v 10V%v"/>`, x, f.y)
			}
		}
	}
	f.raw("\n")
}

// lane draws what one element lays.
func (f *frame) lane(l *lane) {
	x := px(left)
	mid := f.y + 900
	symbol := l.symbol
	switch l.Element.Kind {
	case rules.Bead:
		symbol, mid = "lw-bead", f.y+800
	case rules.Strip:
		mid = f.y + 600
	}
	if symbol != "" {
		f.put(`<use href="#%s" x="%v" y="%v"/>`, symbol, x+400, mid)
		x += 1200
	}
	f.name(x, "n", l.Element.Name, mid+300)
	f.raw("\n")
	switch l.Element.Kind {
	case rules.Row:
		f.keepOuts(l, f.y+200, 1400)
		f.marks(l, mid)
		f.chain(l, f.y+2000)
		f.y += 2900
	case rules.Pieces:
		f.keepOuts(l, f.y+200, 1900)
		f.pieces(l)
		f.y += 3100
	case rules.Strip:
		f.strips(l)
		f.y += 1500
	case rules.Bead:
		f.beads(l, mid)
		f.y += 1700
	}
	if l.broken != nil {
		f.faults(l.broken)
	}
}

// here is what a list of rows holds for this one.
func (f *frame) here(rows [][]int32) []int32 {
	if rows == nil {
		return nil
	}
	return rows[f.row]
}

// byScope hands over neighbours of one scope together.
func (f *frame) byScope(list []int32, scope func(i int32) int32, draw func(scope int32, of []int32)) {
	for len(list) > 0 {
		n := 1
		for n < len(list) && scope(list[n]) == scope(list[0]) {
			n++
		}
		draw(scope(list[0]), list[:n])
		list = list[n:]
	}
}

// why writes where it is read, while a mark is pointed at or tabbed to, why it stands there.
func (f *frame) why(scope int32) {
	f.text("w", left, f.tip, f.where(scope))
	if k := f.index.why[scope]; k > 0 {
		f.put(`<use class="w" href="#lw-w%d" x="%v" y="%v"/>`, k, px(left), f.tip+1200)
	}
}

// reading is a text in the lines under a row.
func reading(s string) []string { return (&page{columns: 130}).wrapped(s, 130) }

// marks draws a row's marks, each at its station.
func (f *frame) marks(l *lane, y px) {
	list := f.here(l.marks)
	if list == nil {
		return
	}
	f.put(`<g transform="translate(0 %v)">`+"\n", y)
	f.tip -= y
	var b []byte
	f.byScope(list, func(i int32) int32 { return f.r.Marks[i].Scope }, func(scope int32, of []int32) {
		f.raw(`<g class="s">`)
		for k, i := range of {
			at := f.r.Marks[i].At
			b = append(append(append(b[:0], `<use href="#`...), l.symbol...), `" x="`...)
			b = append(f.scale.at(at.Ticks()-f.from.Ticks()).append(b), `" tabindex="0"><title>`...)
			b = append(append(b, markup(f.exact(at))...), `</title></use>`...)
			f.w.Write(b)
			if k > 0 && f.r.Marks[of[k-1]].At == at && (k+1 == len(of) || f.r.Marks[of[k+1]].At != at) {
				n := 2
				for k-n >= 0 && f.r.Marks[of[k-n]].At == at {
					n++
				}
				f.text("l", f.scale.at(at.Ticks()-f.from.Ticks())+500, 300, strconv.Itoa(n))
			}
		}
		f.why(scope)
		f.raw("</g>\n")
	})
	f.tip += y
	f.raw("</g>\n")
}

// keepOuts draws where a lane's marks or laps may not stand.
func (f *frame) keepOuts(l *lane, y, high px) {
	list := f.here(l.kept)
	if len(list) == 0 {
		return
	}
	f.raw(`<path class="keep" d="`)
	for _, i := range list {
		if x, x2, _, _ := f.ends(f.r.KeepOuts[i].From, f.r.KeepOuts[i].To); x < x2 {
			f.put("M%v %vH%vv%vH%vz", x, y, x2, high, x)
		}
	}
	f.raw(`"/>` + "\n")
}

// chain draws the dimensions between a row's marks and to the ends of the run, equal neighbours as one.
func (f *frame) chain(l *lane, y px) {
	if len(l.stations) == 0 {
		return
	}
	points := l.stations
	if points[0].Sign() > 0 {
		points = append([]units.Length{{}}, points...)
	}
	if points[len(points)-1].Cmp(f.run.Length) < 0 {
		points = append(slices.Clip(points), f.run.Length)
	}
	end, _ := f.from.Add(f.scale.span)
	k, _ := slices.BinarySearchFunc(points, f.from, units.Length.Cmp)
	if f.row == 0 {
		k = 1
	}
	for k = max(k, 1); k < len(points); {
		from, gap := points[k-1], f.less(points[k], points[k-1])
		if f.row < f.rows()-1 && from.Cmp(end) >= 0 {
			return
		}
		n := 1
		inside := func(k int) bool { return f.row == f.rows()-1 || points[k].Cmp(end) <= 0 }
		for from.Cmp(f.from) >= 0 && inside(k) && k+n < len(points) && f.less(points[k+n], points[k+n-1]) == gap && inside(k+n) {
			n++
		}
		f.dimension(from, points[k+n-1], gap, n, y)
		k += n
	}
}

// dimension draws n equal spaces, with as much of a figure as there is room for.
func (f *frame) dimension(from, to, gap units.Length, n int, y px) {
	x, x2, openLeft, openRight := f.ends(from, to)
	if x >= x2 {
		return
	}
	f.put(`<path class="dim" d="M%v %vH%v`, x, y, x2)
	if !openLeft {
		f.put("M%v %vv5", x, y-250)
	}
	if !openRight {
		f.put("M%v %vv5", x2, y-250)
	}
	one := f.tape(gap, units.Nearest)
	figures := []string{one}
	if n > 1 {
		each := strconv.Itoa(n) + " @ " + one
		figures = []string{each + " = " + f.tape(f.less(to, from), units.Nearest), each}
	}
	f.put(`"><title>%s</title></path>`, markup(figures[0]))
	for _, s := range figures {
		if room(s, 9) <= x2-x {
			f.text("d", (x+x2)/2, y+800, s)
			break
		}
	}
	f.raw("\n")
}

// pieces draws cut lengths, every other one lower, and their laps.
func (f *frame) pieces(l *lane) {
	list := f.here(l.pieces)
	f.byScope(list, func(i int32) int32 { return f.r.Pieces[i].Scope }, func(scope int32, of []int32) {
		f.raw(`<g class="s" tabindex="0">`)
		for _, i := range of {
			x := &f.r.Pieces[i]
			class, y := "piece", f.y+200
			if x.N%2 == 0 {
				class, y = "piece even", f.y+800
			}
			f.box(class, x.From, x.To, y, 1200, "piece "+strconv.Itoa(int(x.N))+": "+f.piece(*x, units.Length{}))
		}
		for _, i := range of {
			f.lap(&f.r.Pieces[i])
		}
		for _, i := range of {
			f.pieceText(&f.r.Pieces[i])
		}
		f.why(scope)
		f.raw("</g>\n")
	})
}

// lap draws where a piece laps the one before.
func (f *frame) lap(x *detail.Piece) {
	if !x.Joint || x.Lap.Sign() <= 0 {
		return
	}
	to, err := x.From.Add(x.Lap)
	if err != nil {
		return
	}
	if a, b, _, _ := f.ends(x.From, to); a < b {
		text := f.tape(x.Lap, units.Down)
		f.box("lap", x.From, to, f.y+800, 600, "lap of "+f.exact(x.Lap)+" from "+f.exact(x.From)+" to "+f.exact(to))
		f.text("k", (a+b)/2, f.y+2900, "lap "+text)
	}
}

// pieceText writes a piece's number and length into it.
func (f *frame) pieceText(x *detail.Piece) {
	a, b, _, _ := f.ends(x.From, x.To)
	y := f.y + 1150
	if x.N%2 == 0 {
		y = f.y + 1750
	}
	n := strconv.Itoa(int(x.N))
	for _, s := range []string{n + ": " + f.tape(f.less(x.To, x.From), units.Up), n} {
		if room(s, 9) < b-a {
			f.text("k", (a+b)/2, y, s)
			return
		}
	}
}

// strips draws bands.
func (f *frame) strips(l *lane) {
	for _, i := range f.here(l.strips) {
		x := &f.r.Strips[i]
		y := f.y + 300
		if x.N%2 == 0 {
			y = f.y + 500
		}
		f.box("strip", x.From, x.To, y, 600, "strip "+strconv.Itoa(int(x.N))+": "+f.span(x.From, x.To)+", "+f.tape(x.Length, units.Up)+" long")
	}
}

// beads draws beads of sealant: at a feature across the run, else along it.
func (f *frame) beads(l *lane, y px) {
	f.byScope(f.here(l.beads), func(i int32) int32 { return f.r.Beads[i].Scope }, func(scope int32, of []int32) {
		for _, i := range of {
			x := &f.r.Beads[i]
			title := f.exact(x.At) + ", " + f.tape(x.Length, units.Up) + " long"
			if end := f.beadEnd(&f.r.Scopes[scope], x); end != x.At {
				f.box("run", x.At, end, y-300, 600, title)
				continue
			}
			f.put(`<g class="s"><use href="#lw-bead" x="%v" y="%v" tabindex="0"><title>%s</title></use>`,
				f.scale.at(x.At.Ticks()-f.from.Ticks()), y, markup(title))
			f.why(scope)
			f.raw("</g>\n")
		}
	})
}

// faults draws violations under their lane: a bar over each stretch, and a flag with their numbers in the list. A flag
// that would cover another stands at its right.
func (f *frame) faults(rows [][]int32) {
	here := f.here(rows)
	var flags [][2]px // from, to
	for len(here) > 0 {
		first := &f.r.Violations[here[0]]
		var same, others []int32
		for _, i := range here {
			if v := &f.r.Violations[i]; v.From == first.From && v.To == first.To {
				same = append(same, i)
			} else {
				others = append(others, i)
			}
		}
		here = others
		flags = f.fault(same, flags)
	}
	f.y += faultHigh * 100
}

// fault draws the violations of one stretch, and adds their flag to those drawn.
func (f *frame) fault(same []int32, flags [][2]px) [][2]px {
	x, x2, openLeft, openRight := f.ends(f.r.Violations[same[0]].From, f.r.Violations[same[0]].To)
	class := "s soft"
	var numbers, titles, words []string
	for _, i := range same {
		v := &f.r.Violations[i]
		if v.Severity == "must" {
			class = "s"
		}
		n := strconv.Itoa(int(i) + 1)
		numbers, titles = append(numbers, n), append(titles, f.ruleWords(v))
		words = append(words, reading(n+". "+f.ruleWords(v))...)
	}
	y := f.y + 500
	f.put(`<g class="%s" tabindex="0"><title>%s</title><path class="bad" d="M%v %vH%v`, class, markup(strings.Join(titles, "; ")), x, y, max(x2, x+200))
	if !openLeft {
		f.put("M%v %vv8", x, y-400)
	}
	if !openRight {
		f.put("M%v %vv8", x2, y-400)
	}
	middle := (x + x2) / 2
	if len(numbers) > 3 {
		numbers = append(numbers[:2], "…")
	}
	label := strings.Join(numbers, ", ")
	half := room(label, 9)/2 + 400
	most := px((across+margin)*100) - half - 500
	for k := 0; k < len(flags) && middle < most; k++ {
		if o := flags[k]; middle-half-400 < o[1] && middle+half+400 > o[0] {
			middle, k = o[1]+half+400, -1
		}
	}
	if middle < most {
		flags = append(flags, [2]px{middle - half - 400, middle + half + 400})
	}
	middle = min(middle, most) // where there is no more room, one covers a part of another
	f.put(`"/><path class="flag" d="M%v %vh%vl4 6-4 6h%vl-4-6z"/>`, middle-half, f.y-100, 2*half, -2*half)
	f.text("f", middle, f.y+850, label)
	for k, line := range words {
		f.text("w", left, f.tip+px(k)*1200, line)
	}
	f.raw("</g>\n")
	return flags
}
