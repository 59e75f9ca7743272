package detail

import (
	"cmp"
	"errors"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/units"
)

const (
	mendWork = 1 << 22 // intervals looked at to fill one gap before it is given up
	mendWays = 1 << 12 // fillings looked at to share out the marks that a count asks for
)

// mend says what to do about the musts that fail in a scope. What still fails with the marks added is stuck.
func (in *inspector) mend(w *work, p *patch, broken []Violation, add []int64) error {
	stuck := musts(broken)
	if len(stuck) == 0 {
		return nil
	}
	m := Mend{Run: w.run.ID, Side: sideID(w.run, w.side), Detail: w.detail.Name, Element: w.element.Name,
		Scope: ScopeRef{p.Kind, p.N}}
	if len(add) > 0 {
		mended := *p
		mended.at = slices.Concat(p.at, add)
		slices.Sort(mended.at)
		before := len(w.broken)
		var err error
		if w.element.Scope.How == "at" {
			_, err = in.judgeStation(w, &mended)
		} else {
			_, err = in.judgeRow(w, &mended)
		}
		if err != nil {
			return err
		}
		stuck = musts(w.broken[before:])
		w.broken = w.broken[:before]
		for _, x := range add {
			m.Add = append(m.Add, ticks(x))
		}
	}
	m.Stuck = stuck
	s := in.seen[w]
	s.mends = append(s.mends, m)
	return nil
}

func musts(list []Violation) []Violation {
	var some []Violation
	for _, v := range list {
		if v.Severity == "must" {
			some = append(some, v)
		}
	}
	return some
}

// mendRow finds the fewest marks that, added to those of a scope, fill each gap that is too wide and reach the least
// count. A gap that no mark mends is left. at and the result are counted from the scope's start.
func (in *inspector) mendRow(w *work, p *patch, at []int64, breaches []chain.Breach) ([]int64, error) {
	n := len(at)
	f := &filler{inspector: in, row: chain.Row{Length: p.row.Length, Lay: p.row.Lay}, at: at, gaps: make([]gap, n+1)}
	least, most, failing := int64(0), int64(-1), n == 0 && p.part == nil
	for k := range f.gaps {
		g := &f.gaps[k]
		g.To = p.row.Length
		if k > 0 {
			g.From = at[k-1]
		} else {
			g.outer |= chain.LeftEnd
		}
		if k < n {
			g.To = at[k]
		} else {
			g.outer |= chain.RightEnd
		}
	}
	for _, b := range breaches {
		lim := p.limits.list[b.Limit]
		v := w.violation(p.Scope, p.limits, b, p.From.Ticks(), isEnd(b, at, p.row.Length))
		if lim.Should || v.By.Text == "" && v.By.Length.Cmp(in.out.Tolerance) <= 0 || p.unseen(&v) {
			continue
		}
		switch lim.Kind {
		case chain.GapMax, chain.EndMax:
			k, _ := slices.BinarySearch(at, b.To)
			if n > 0 && b.From == at[n-1] {
				k = n
			}
			f.gaps[k].fails, failing = true, true
		case chain.CountMin:
			failing = true
		}
	}
	if !failing {
		return nil, nil
	}
	f.first[0], f.first[1] = chain.FirstAllowed(&p.row)
	for _, lim := range p.limits.list {
		switch {
		case lim.Should || lim.Kind == chain.Step:
		case lim.Kind == chain.CountMin && p.part != nil:
		case lim.Kind == chain.CountMin:
			least = max(least, lim.Value)
		case lim.Kind == chain.CountMax && (most < 0 || lim.Value < most):
			most = lim.Value
		case lim.Kind == chain.CountMax:
		case lim.Kind == chain.Keep:
			lim.Spans = splitAt(lim.Spans, at)
			f.row.Limits = append(f.row.Limits, lim)
		default:
			f.row.Limits = append(f.row.Limits, lim)
		}
	}
	if n == 0 && p.part == nil {
		f.gaps[0].fails, least = true, max(least, 1)
	}
	add, err := f.fill(least - int64(n))
	if most >= 0 && int64(n+len(add)) > most {
		return nil, err
	}
	return add, err
}

// splitAt cuts open keep-outs at the marks inside them: those stand, and their fault is their own.
func splitAt(spans []chain.Span, at []int64) []chain.Span {
	list := []chain.Span{}
	for _, s := range spans {
		i, _ := slices.BinarySearch(at, s.From+1)
		for ; i < len(at) && at[i] < s.To; i++ {
			if at[i] > s.From {
				list = append(list, chain.Span{From: s.From, To: at[i]})
				s.From = at[i]
			}
		}
		list = append(list, s)
	}
	return list
}

// A gap is what lies between two neighbouring marks, or a mark and an end of the scope.
type gap struct {
	band
	outer chain.Ends // the scope's own ends
	fails bool
	add   []int64
}

// A filler fills the gaps of one row.
type filler struct {
	*inspector
	row   chain.Row // the musts, without steps and counts
	first [2]int64  // the first place for a mark, from each end
	at    []int64
	gaps  []gap
}

// fill fills the gaps that fail with the fewest marks and goes on to so many in all.
func (f *filler) fill(asked int64) ([]int64, error) {
	var open []int // the gaps into which marks may go
	for k := range f.gaps {
		g := &f.gaps[k]
		if g.fails {
			add, ok, err := f.into(g, -1)
			if err != nil {
				return nil, err
			}
			if !ok {
				continue // no mark mends it
			}
			g.add = add
			asked -= int64(len(add))
		}
		open = append(open, k)
	}
	if asked > 0 && len(open) > 0 {
		if err := f.more(open, asked); err != nil {
			return nil, err
		}
	}
	var all []int64
	for _, g := range f.gaps {
		all = append(all, g.add...)
	}
	slices.Sort(all)
	return all, nil
}

// more shares out marks that only a count asks for: all into one gap if that can be, the widest first, else so that
// there are the fewest over.
func (f *filler) more(open []int, asked int64) error {
	slices.SortStableFunc(open, func(a, b int) int {
		x, y := f.gaps[a], f.gaps[b]
		return cmp.Compare(y.To-y.From, x.To-x.From)
	})
	for i, k := range open {
		if i == 16 {
			break
		}
		g := &f.gaps[k]
		add, ok, err := f.into(g, int64(len(g.add))+asked)
		if err != nil {
			return err
		}
		if ok {
			g.add = add
			return nil
		}
	}
	if asked > 64 || int64(len(open))*(asked+2) > mendWays {
		return nil // the scope stays short: the mend says so
	}
	type way struct {
		total int64 // marks added beyond the fewest; -1: there is no such way
		from  int64 // those asked for of the gaps before
		add   []int64
	}
	ways := make([][]way, len(open)+1) // by how many of the marks asked for are there
	for i := range ways {
		ways[i] = slices.Repeat([]way{{total: -1}}, int(asked)+1)
	}
	ways[0][0].total = 0
	for i, k := range open {
		g := &f.gaps[k]
		for c := int64(0); c <= asked+2; c++ {
			add, ok, err := g.add, true, error(nil)
			if c > 0 {
				add, ok, err = f.into(g, int64(len(g.add))+c)
			}
			if err != nil {
				return err
			}
			if !ok {
				continue
			}
			for t, before := range ways[i] {
				if before.total < 0 {
					continue
				}
				w := &ways[i+1][min(asked, int64(t)+c)]
				if total := before.total + c; w.total < 0 || total < w.total {
					*w = way{total, int64(t), add}
				}
			}
		}
	}
	if ways[len(open)][asked].total < 0 {
		return nil
	}
	for i, t := len(open), asked; i > 0; i-- {
		f.gaps[open[i-1]].add = ways[i][t].add
		t = ways[i][t].from
	}
	return nil
}

// into fills one gap with so many marks, -1 for the fewest; ok says that it can be done.
func (f *filler) into(g *gap, count int64) (add []int64, ok bool, err error) {
	if g.From == g.To {
		return nil, count <= 0 && !g.fails, nil
	}
	natural := f.row
	if g.outer&chain.RightEnd == 0 {
		natural.Lay = chain.Even // how a row ends is asked at its end only
	}
	add, ok, err = f.within(g, &natural, count)
	if err != nil || g.outer == 0 || ok && count >= 0 {
		return add, ok, err
	}
	// As the language lays a row its ends may take a mark more than the rules ask for.
	row := chain.Row{Length: f.row.Length, Lay: chain.Even, Limits: slices.Clone(f.row.Limits)}
	for i, end := range []chain.Ends{chain.LeftEnd, chain.RightEnd} {
		if g.outer&end == 0 || slices.ContainsFunc(f.row.Limits,
			func(l chain.Limit) bool { return l.Kind == chain.EndMax && l.Ends&end != 0 }) {
			continue
		}
		// How far the mark nearest to an end may be that no rule of its own bounds: by the book's step, which asks nothing
		// of the marks here.
		for _, lim := range f.row.Limits {
			if lim.Kind == chain.GapMax {
				if lim.Kind, lim.Ends, lim.Joined = chain.EndMax, end, false; end == chain.LeftEnd ||
					f.row.Lay != chain.Stepped {
					lim.Value /= 2
				}
				lim.Value = max(lim.Value, f.first[i])
				row.Limits = append(row.Limits, lim)
			}
		}
	}
	fewer, can, err := f.within(g, &row, count)
	if can && (!ok || len(fewer) < len(add)) {
		return fewer, can, err
	}
	return add, ok, err
}

// within fills one gap of a row. Of steps on which as few marks do, they stand on the first.
func (f *filler) within(g *gap, row *chain.Row, count int64) (add []int64, ok bool, err error) {
	sub, _ := between(row, g.band, g.outer)
	ends := int64(2)
	for _, end := range []chain.Ends{chain.LeftEnd, chain.RightEnd} {
		if g.outer&end != 0 {
			ends--
		}
	}
	if count >= 0 {
		want := count + ends
		sub.Limits = append(sub.Limits, chain.Limit{Kind: chain.CountMin, Value: want},
			chain.Limit{Kind: chain.CountMax, Value: want})
	}
	at, ok, err := f.lay(sub)
	if !ok || err != nil {
		return nil, false, err
	}
	for _, step := range []int64{f.book.Mark.Ticks(), units.TicksPerInch / 16, units.TicksPerMM} {
		if step == 0 || g.outer&chain.RightEnd == 0 && sub.Length%step != 0 {
			continue
		}
		on := *sub
		on.Limits = append(slices.Clone(sub.Limits), chain.Limit{Kind: chain.Step, Value: step})
		stepped, can, err := f.lay(&on)
		if err != nil {
			return nil, false, err
		}
		if can && len(stepped) == len(at) {
			at = stepped
			break
		}
	}
	if g.outer&chain.LeftEnd == 0 {
		at = at[1:]
	}
	if g.outer&chain.RightEnd == 0 {
		at = at[:len(at)-1]
	}
	return shifted(at, g.From), true, nil
}

// lay lays a row; ok is false where its limits can't all be met, or not within the work for it.
func (f *filler) lay(p *chain.Row) (at []int64, ok bool, err error) {
	at, res, err := f.filling.Row(f.ctx, p, nil)
	switch {
	case errors.Is(err, chain.ErrWork) || errors.As(err, new(chain.ErrFiner)):
		return nil, false, nil
	case err != nil:
		return nil, false, err
	}
	return at, res.Conflict == nil && len(at) > 0, nil
}
