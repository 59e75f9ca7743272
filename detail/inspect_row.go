package detail

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
)

const (
	maxTries  = 1 << 20 // ways of sharing marks out between scopes that an inspection looks at
	maxShared = 6       // marks that may lie where two neighbouring scopes overlap
)

// sortMarks gives each mark to a scope.
func (in *inspector) sortMarks(w *work, of []*patch, m *Measure) error {
	at := make([]int64, len(m.At))
	for i, l := range m.At {
		at[i] = l.Ticks()
	}
	if w.element.Scope.How == "at" {
		return in.sortStations(w, of, at)
	}
	slices.SortStableFunc(of, func(a, b *patch) int { return a.From.Cmp(b.From) })
	shared := make([][]int64, len(of)) // of a scope and the next
	next := 0
	for _, x := range at {
		for next < len(of)-1 && of[next].To.Ticks() < x {
			next++
		}
		switch p := of[next]; {
		case next > 0 && p.From.Ticks() > x && p.From.Ticks()-x > x-of[next-1].To.Ticks():
			of[next-1].at = append(of[next-1].at, x) // in neither, and nearer to the one before
		case next+1 < len(of) && of[next+1].From.Ticks() <= x && x <= p.To.Ticks() && len(shared[next]) < maxShared:
			shared[next] = append(shared[next], x)
		case next+1 < len(of) && of[next+1].From.Ticks() <= x && x <= p.To.Ticks():
			if of[next+1].From != p.To {
				in.tooManyShared(w, p, m)
				return nil
			}
			of[next+1].at = append(of[next+1].at, x) // so many in one place are at fault wherever they belong
		default:
			p.at = append(p.at, x)
		}
	}
	if err := in.share(w, of, shared); err != nil {
		return err
	}
	if in.tries < 0 {
		in.tooManyShared(w, of[0], m)
		return nil
	}
	for _, p := range of {
		slices.Sort(p.at)
	}
	return nil
}

// tooManyShared says that there is no telling which of two scopes that overlap each mark belongs to.
func (in *inspector) tooManyShared(w *work, p *patch, m *Measure) {
	in.errs.add(&JobError{Place: m.Place.part("at"),
		Msg: fmt.Sprintf("too many marks lie where %ss %d and %d overlap to tell which belong to which: "+
			"measure each %s by itself, with its number in \"scopes\"", p.Kind, p.N, p.N+1, p.Kind)})
}

// share gives the marks where two scopes meet or overlap to either, so that the fewest rules are broken: all to the
// right one where that does as well.
func (in *inspector) share(w *work, of []*patch, shared [][]int64) error {
	type way struct {
		cost
		from int // the way of the scope before
	}
	ways := make([][]way, len(of)) // of scope i, by which of shared[i] it keeps
	for i, p := range of {
		before, n := []int64(nil), 1
		if i > 0 {
			before, n = shared[i-1], len(ways[i-1])
		}
		for mine := range 1 << len(shared[i]) {
			best := way{from: -1}
			for theirs := range n {
				var c cost
				if len(before)+len(shared[i]) > 0 {
					if in.tries--; in.tries < 0 {
						return nil
					}
					at := slices.Concat(p.at, picked(before, ^theirs), picked(shared[i], mine))
					slices.Sort(at)
					var err error
					if c, err = in.cost(w, p, at); err != nil {
						return err
					}
				}
				if i > 0 {
					c = c.and(ways[i-1][theirs].cost)
				}
				if best.from < 0 || c.less(best.cost) {
					best = way{c, theirs}
				}
			}
			ways[i] = append(ways[i], best)
		}
		if i%1024 == 0 && in.ctx.Err() != nil {
			return in.ctx.Err()
		}
	}
	mine := 0
	for i, p := range slices.Backward(of) {
		theirs := ways[i][mine].from
		p.at = append(p.at, picked(shared[i], mine)...)
		if i > 0 {
			p.at = append(p.at, picked(shared[i-1], ^theirs)...)
		}
		mine = theirs
	}
	return nil
}

// picked are the marks whose bits are set.
func picked(at []int64, set int) []int64 {
	var list []int64
	for i, x := range at {
		if set>>i&1 == 1 {
			list = append(list, x)
		}
	}
	return list
}

// A cost counts the rules that are broken: the musts, then what is advice.
type cost struct{ musts, shoulds int }

func (c cost) and(d cost) cost { return cost{c.musts + d.musts, c.shoulds + d.shoulds} }

func (c cost) less(d cost) bool {
	return cmp.Or(cmp.Compare(c.musts, d.musts), cmp.Compare(c.shoulds, d.shoulds)) < 0
}

// cost counts what marks break in a scope.
func (in *inspector) cost(w *work, p *patch, at []int64) (c cost, err error) {
	if p.left {
		for _, x := range at {
			if _, ok := w.inside(x, x); ok {
				c.musts++
			} else {
				c.shoulds++
			}
		}
		return c, nil
	}
	if len(at) == 0 && !p.listed {
		return c, nil
	}
	if err := in.ask(w, p); err != nil {
		return c, err
	}
	from := p.From.Ticks()
	for _, b := range chain.CheckRow(&p.row, shifted(at, -from)) {
		switch lim := p.limits.list[b.Limit]; {
		case lim.Kind == chain.Step || len(at) == 0 && lim.Kind != chain.CountMin:
		case lim.Should:
			c.shoulds++
		default:
			c.musts++
		}
	}
	if len(at) == 0 {
		c.musts = max(c.musts, 1)
	}
	return c, nil
}

func shifted(at []int64, by int64) []int64 {
	list := make([]int64, len(at))
	for i, x := range at {
		list[i] = x + by
	}
	return list
}

// ask finds what the rules ask of a scope of a row, once.
func (in *inspector) ask(w *work, p *patch) (err error) {
	if p.limits != nil {
		return nil
	}
	p.limits, err = in.rowLimits(w, &p.Scope, &limits{})
	if err != nil {
		return err
	}
	for i, ln := range p.limits.lines {
		if lim := p.limits.list[i]; lim.Fixed {
			s := lim.Spans[0]
			ln.near, ln.wide = []band{{p.From.Ticks() + s.From, p.From.Ticks() + s.To}}, s.To-s.From
			p.limits.lines[i] = ln
		}
	}
	p.row = chain.Row{Length: p.To.Ticks() - p.From.Ticks(), Lay: rowLays[w.element.Lay], Limits: p.limits.list}
	return nil
}

// judgeRow holds the marks of a scope against its rules and returns the marks to add.
func (in *inspector) judgeRow(w *work, p *patch) ([]int64, error) {
	if err := in.ask(w, p); err != nil {
		return nil, err
	}
	from, to := p.From.Ticks(), p.To.Ticks()
	var at []int64 // within the scope, from its start
	for _, x := range p.at {
		past := max(from-x, x-to)
		if past > 0 {
			in.find(w, p, w.outside(p, x, past))
		}
		if past <= in.out.Tolerance.Ticks() {
			at = append(at, min(max(x, from), to)-from)
		}
	}
	breaches := slices.DeleteFunc(chain.CheckRow(&p.row, at), func(b chain.Breach) bool {
		lim := p.limits.list[b.Limit]
		return lim.Kind == chain.Step || lim.Kind == chain.CountMin && p.part != nil
	})
	in.rowBreaches(w, p, at, breaches)
	in.doubles(w, p, at, breaches)
	add, err := in.mendRow(w, p, at, breaches)
	return shifted(add, from), err
}

// rowBreaches turns what marks break into violations.
func (in *inspector) rowBreaches(w *work, p *patch, at []int64, breaches []chain.Breach) {
	from, counted := p.From.Ticks(), false
	for _, b := range breaches {
		lim := p.limits.list[b.Limit]
		if len(at) == 0 && lim.Kind != chain.CountMin {
			continue // where nothing stands there is no distance to measure
		}
		counted = counted || !lim.Should
		v := w.violation(p.Scope, p.limits, b, from, isEnd(b, at, p.row.Length))
		if lim.Fixed {
			v.Measure, v.What = "clear", "clear from "+v.Rule
		}
		in.find(w, p, v)
	}
	if len(at) > 0 || counted || p.part != nil {
		return
	}
	ln := w.own()
	for _, b := range breaches {
		if !p.limits.list[b.Limit].Should {
			ln = p.limits.lines[b.Limit]
			break
		}
	}
	v := w.blame(p.Scope, ln, "must", from, p.To.Ticks())
	v.Measure, v.What = "count", "the number of marks"
	v.Required, v.Found, v.By = Amount{Op: ">=", Text: "1"}, Amount{Text: "0"}, Amount{Text: "1"}
	in.find(w, p, v)
}

// doubles finds marks that share a place with another, where no rule of spacing or count is broken by that.
func (in *inspector) doubles(w *work, p *patch, at []int64, breaches []chain.Breach) {
	for _, b := range breaches {
		if kind := p.limits.list[b.Limit].Kind; kind == chain.CountMax {
			return
		}
	}
	for k := 1; k < len(at); k++ {
		x := at[k]
		if at[k-1] != x || k > 1 && at[k-2] == x || slices.ContainsFunc(breaches, func(b chain.Breach) bool {
			return p.limits.list[b.Limit].Kind == chain.GapMin && b.From == x && b.To == x
		}) {
			continue
		}
		v := w.blame(p.Scope, w.own(), "should", p.From.Ticks()+x, p.From.Ticks()+x)
		v.Measure, v.What, v.Required, v.By = "spacing", "the distance between two marks", Amount{Op: ">"}, Amount{Text: "-"}
		in.find(w, p, v)
	}
}

// outside finds fault with a mark past an end of its scope.
func (w *work) outside(p *patch, x, past int64) Violation {
	v := w.blame(p.Scope, w.own(), "must", x, x)
	v.Measure, v.What, v.Found, v.By = "station", "the station", Amount{Length: ticks(x)}, Amount{Length: ticks(past)}
	v.Required = Amount{Op: "<=", Length: p.To}
	if x < p.From.Ticks() {
		v.Required = Amount{Op: ">=", Length: p.From}
	}
	return v
}

// inside is the obstacle in which something stands, if one is.
func (w *work) inside(from, to int64) (band, bool) {
	for _, o := range w.obstacles {
		if b := (band{o.From.Ticks(), o.To.Ticks()}); b.From < to && from < b.To {
			return b, true
		}
	}
	return band{}, false
}

// inObstacle finds fault with a mark inside an obstacle.
func (w *work) inObstacle(sc Scope, o band, from, to int64) Violation {
	name := ""
	for _, x := range w.obstacles {
		if x.From.Ticks() == o.From && x.To.Ticks() == o.To {
			name = "obstacle " + x.ID
		}
	}
	v := w.blame(sc, line{name: name}, "must", from, to)
	in := min(to-o.From, o.To-from)
	v.Measure, v.What, v.Required = "clear", "clear from "+name, Amount{Op: ">="}
	v.Found, v.By = Amount{Length: ticks(-in)}, Amount{Length: ticks(in)}
	return v
}
