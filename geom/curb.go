package geom

// curbParts are the sides of a curb in the order of its runs.
func curbParts() []string { return []string{"headwall", "sidewall left", "sidewall right", "backpan"} }

// curbRuns returns the runs round the plane's curbs: the headwall along the low side, the two sidewalls, the backpan
// along the high side, as far as each is within the outline. Their ids are lake/hatch headwall, lake/hatch sidewall
// left, lake/hatch sidewall right and lake/hatch backpan, with part 2 and so on where the outline cuts one.
func (p *Plane) curbRuns() []*Run {
	var runs []*Run
	for i := range p.holes {
		if p.holes[i].Kind != "curb" {
			continue
		}
		low, high := p.holes[i].box()
		lines := [4]line{
			newLine(low, point{high.x, low.y}),
			newLine(low, point{low.x, high.y}),
			newLine(point{high.x, low.y}, high),
			newLine(point{low.x, high.y}, high),
		}
		ends := [4][2]string{{"sidewall", "sidewall"}, {"headwall", "backpan"}, {"headwall", "backpan"}, {"sidewall", "sidewall"}}
		kinds := [4]string{"headwall", "sidewall", "sidewall", "backpan"}
		for j, part := range curbParts() {
			id := p.id + "/" + p.holes[i].ID + " " + part
			for n, c := range p.clip(lines[j]) {
				runs = append(runs, p.lay(partID(id, n), kinds[j], c.line, c.endsOr(ends[j], p), i))
			}
		}
	}
	return runs
}

// cutLine is a part of a line within the outline; ends are the sides that cut it there, or -1.
type cutLine struct {
	line
	ends [2]int
}

func (c *cutLine) endsOr(own [2]string, p *Plane) [2]string {
	for i, side := range c.ends {
		if side >= 0 {
			own[i] = p.sides[side].edge
		}
	}
	return own
}

// clip returns the parts of a level or upright line, which goes right or up, that are within the outline, their ends
// rounded outward to the tick.
func (p *Plane) clip(l line) []cutLine {
	q, from, to, at := p, l.a.y, l.b.y, l.a.x
	if l.level() {
		q, from, to, at = p.turned(), l.a.x, l.b.x, l.a.y
	}
	var parts []cutLine
	for _, c := range q.chords(at, nil) {
		whole := upright(at, &c)
		low, high := whole.a.y, whole.b.y
		cut := cutLine{ends: [2]int{c.from.side, c.to.side}}
		if low < from {
			low, cut.ends[0] = from, -1
		}
		if high > to {
			high, cut.ends[1] = to, -1
		}
		if low >= high {
			continue
		}
		cut.a, cut.b = point{at, low}, point{at, high}
		if q != p {
			cut.a, cut.b = point{low, at}, point{high, at}
		}
		cut.hi = uint64(high - low)
		parts = append(parts, cut)
	}
	return parts
}

// turned is the plane's outline with x and y exchanged.
func (p *Plane) turned() *Plane {
	q := &Plane{sides: make([]side, len(p.sides))}
	for i, s := range p.sides {
		s.a, s.b = point{s.a.y, s.a.x}, point{s.b.y, s.b.x}
		q.sides[i] = s
	}
	return q
}
