package chain

// inUnits returns p measured in the largest unit that goes into all its lengths, and that unit. So the sums of what is
// broken have room on a long stretch. Joints stand on multiples of the unit, as there is a step; without one it is p.
func (p *Pieces) inUnits() (*Pieces, int64) {
	unit, stepped := int64(0), false
	p.eachLength(func(x *int64) { unit = gcd(unit, *x) })
	for _, l := range p.Limits {
		stepped = stepped || l.Kind == Step && !l.Should
	}
	if unit <= 1 || !stepped {
		return p, 1
	}
	q := &Pieces{p.From, p.To, p.Lay, append([]Limit(nil), p.Limits...)}
	for i := range q.Limits {
		l := &q.Limits[i]
		if l.Spans != nil { // nil is everywhere
			l.Spans = append([]Span{}, l.Spans...)
		}
		l.Lengths = append([]int64(nil), l.Lengths...)
	}
	q.eachLength(func(x *int64) { *x /= unit })
	return q, unit
}

// eachLength calls f with every length and place of p.
func (p *Pieces) eachLength(f func(*int64)) {
	f(&p.From)
	f(&p.To)
	for i := range p.Limits {
		l := &p.Limits[i]
		switch l.Kind {
		case LapMin, LapMax, LengthMin, LengthMax, Step:
			f(&l.Value)
		}
		for k := range l.Spans {
			f(&l.Spans[k].From)
			f(&l.Spans[k].To)
		}
		for k := range l.Lengths {
			f(&l.Lengths[k])
		}
	}
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, -a)
}
