package detail

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A target is where a scope asks for a mark or a bead.
type target struct {
	at    int64
	patch *patch
}

// targets are where an `at` scope asks for marks: n of them from first on, gap apart.
func (in *inspector) targets(w *work, sc *Scope) (f *fixed, first, n, gap int64, err error) {
	if f, err = w.fix(sc); err != nil {
		return nil, 0, 0, 0, err
	}
	at, n, gap := f.marks(all)
	switch {
	case w.element.Kind != rules.Row:
		return f, at, 1, 0, nil
	case n > int64(in.layer.limits.Marks):
		return nil, 0, 0, 0, limitError("marks and pieces in a report", "Marks", in.layer.limits.Marks)
	case gap > 0 && n > 1 && (gap > units.MaxTicks/n || max(at, -at) > units.MaxTicks-n*gap):
		return nil, 0, 0, 0, fmt.Errorf("%s: %d marks at a spacing of %s: %w", place(w.element.Span), n, ticks(gap),
			units.ErrOverflow)
	}
	return f, start(at, n, gap), n, gap, nil
}

// sortStations gives marks at features to their scopes.
func (in *inspector) sortStations(w *work, of []*patch, at []int64) error {
	var targets []target
	for _, p := range of {
		_, first, n, gap, err := in.targets(w, &p.Scope)
		if err != nil {
			return err
		}
		if n > int64(in.layer.limits.Marks-len(targets)) {
			return limitError("marks and pieces in a report", "Marks", in.layer.limits.Marks)
		}
		for k := range max(n, 1) {
			targets = append(targets, target{first + k*gap, p})
		}
	}
	for k, p := range assign(targets, at) {
		p.at = append(p.at, at[k])
	}
	return nil
}

// assign gives each of some stations to a scope: first those that stand exactly where one is asked for, then each of
// the rest to the nearest place asked for, of those that share it to the first with nothing there yet.
func assign(targets []target, at []int64) []*patch {
	slices.SortStableFunc(targets, func(a, b target) int { return cmp.Compare(a.at, b.at) })
	first := func(x int64) int { // of the targets at x or past it
		i, _ := slices.BinarySearchFunc(targets, x, func(t target, x int64) int { return cmp.Compare(t.at, x) })
		return i
	}
	taken := map[int64]int{} // how many of those at a station
	given := make([]*patch, len(at))
	give := func(k, i int) bool {
		x := targets[i].at
		n := i + taken[x]
		if n == len(targets) || targets[n].at != x {
			return false
		}
		taken[x]++
		given[k] = targets[n].patch
		return true
	}
	for k, x := range at {
		if i := first(x); i < len(targets) && targets[i].at == x {
			give(k, i)
		}
	}
	for k, x := range at {
		if given[k] != nil {
			continue
		}
		i := first(x)
		if i == len(targets) || i > 0 && x-targets[i-1].at <= targets[i].at-x {
			i = first(targets[i-1].at)
		}
		if !give(k, i) {
			given[k] = targets[i].patch
		}
	}
	return given
}

// judgeStation holds the marks at one feature against where they are asked for, and returns those to add.
func (in *inspector) judgeStation(w *work, p *patch) ([]int64, error) {
	f, first, n, gap, err := in.targets(w, &p.Scope)
	if err != nil {
		return nil, err
	}
	at := p.at
	in.offRun(w, p, f, first, first+(n-1)*gap)
	if int64(len(at)) != n {
		v := in.fixedBy(w, p, f, rules.Count, p.From.Ticks(), p.To.Ticks())
		v.Measure, v.What = "count", "the number of marks"
		v.count(n, int64(len(at)))
		in.find(w, p, v)
	}
	placed := in.spaced(w, p, f, first, n, gap)
	s, err := in.keepsOut(w, p, at)
	if err != nil {
		return nil, err
	}
	row := chain.Row{Length: w.run.Length.Ticks(), Limits: s.list}
	for _, b := range chain.CheckRow(&row, at) {
		v := w.violation(p.Scope, s, b, 0, 0)
		if s.list[b.Limit].Fixed {
			v.Measure, v.What = "clear", "clear from "+v.Rule
		}
		in.find(w, p, v)
	}
	if !placed || int64(len(at)) >= n {
		return nil, nil
	}
	var add []int64
	rest := slices.Clone(at)
	for k := range n {
		x := first + k*gap
		if i, ok := slices.BinarySearch(rest, x); ok {
			rest = slices.Delete(rest, i, i+1)
		} else {
			add = append(add, x)
		}
	}
	s, err = in.keepsOut(w, p, add)
	row.Limits = s.list
	if err != nil || slices.ContainsFunc(chain.CheckRow(&row, add),
		func(b chain.Breach) bool { return !s.list[b.Limit].Should }) {
		return nil, err // what is asked for breaks a rule itself
	}
	return add, nil
}

// fixedBy starts a violation of the line of a measure that fixes an `at` scope's marks, or of the element itself.
func (in *inspector) fixedBy(w *work, p *patch, f *fixed, of rules.Measure, from, to int64) Violation {
	ln, severity := w.own(), "must"
	for _, x := range f.by {
		if x.rule.Measure == of {
			if ln = x; x.rule.Should {
				severity = "should"
			}
		}
	}
	v := w.blame(p.Scope, ln, severity, from, to)
	v.Measure = measureText[of]
	return v
}

// spaced holds the marks of an `at` scope against where they are asked for. It tells whether all stand at one of these.
func (in *inspector) spaced(w *work, p *patch, f *fixed, first, n, gap int64) bool {
	at := p.at
	if int64(len(at)) != n {
		for _, x := range at {
			k := int64(0)
			if gap > 0 && n > 0 {
				k = min(max((2*(x-first)+gap)/(2*gap), 0), n-1)
			}
			if off := x - (first + k*gap); off != 0 {
				in.offset(w, p, f, x, x, off)
				return false
			}
		}
		return true
	}
	for k := 1; k < len(at); k++ {
		if d := at[k] - at[k-1]; d != gap {
			v := in.fixedBy(w, p, f, rules.Spacing, at[k-1], at[k])
			v.What = "spacing"
			v.length(gap, d)
			in.find(w, p, v)
		}
	}
	if n > 0 {
		if twice := (at[0] - first) + (at[n-1] - first - (n-1)*gap); twice != 0 {
			off := twice / 2
			if twice%2 != 0 {
				off = (twice + twice/abs(twice)) / 2
			}
			in.offset(w, p, f, at[0], at[n-1], off)
		}
	}
	return true
}

// offset finds fault with marks, or a bead, whose middle is off by a length toward the run's far end.
func (in *inspector) offset(w *work, p *patch, f *fixed, from, to, off int64) {
	want, _, _ := f.marks(all)
	want -= f.feature
	found := want + off
	if p.Kind == "end" && p.N == 2 {
		want, found = -want, -found
	}
	v := in.fixedBy(w, p, f, rules.Offset, from, to)
	v.What = "offset from the " + p.Kind
	v.length(want, found)
	in.find(w, p, v)
}

// offRun finds fault with what stands off the run, though the feature doesn't.
func (in *inspector) offRun(w *work, p *patch, f *fixed, first, last int64) {
	if w.hole != nil {
		return // what is at a penetration is not along a run
	}
	at := p.at
	for _, b := range p.beads {
		at = append(at, b.At.Ticks())
	}
	length := w.run.Length.Ticks()
	if first < 0 || last > length { // the rules themselves take it there
		before := len(w.broken)
		w.offRun(p.Scope, f, at)
		list := slices.Clone(w.broken[before:])
		w.broken = w.broken[:before]
		for _, v := range list {
			in.find(w, p, v)
		}
		return
	}
	for _, x := range at {
		if past := max(-x, x-length); past > 0 {
			v := w.outside(&patch{Scope: Scope{Kind: p.Kind, N: p.N, To: w.run.Length}}, x, past)
			in.find(w, p, v)
		}
	}
}

// keepsOut are the obstacles and clear rules that marks of an `at` scope are held against.
func (in *inspector) keepsOut(w *work, p *patch, at []int64) (*limits, error) {
	s := &limits{}
	if len(at) == 0 {
		return s, nil
	}
	from, to := slices.Min(at), slices.Max(at)
	for _, o := range w.obstacles {
		b := band{o.From.Ticks(), o.To.Ticks()}
		s.add(line{name: "obstacle " + o.ID, near: []band{b}, wide: b.To - b.From}, chain.Limit{Kind: chain.Keep,
			Spans: []chain.Span{chain.Span(b)}, Fixed: true})
	}
	for _, ln := range w.lines {
		if ln.rule != nil && ln.rule.Measure == rules.Clear {
			if err := w.clear(s, ln, &p.Scope, 0, from, to); err != nil {
				return nil, err
			}
		}
	}
	return s, nil
}

// count says how many there should be and are.
func (v *Violation) count(want, found int64) {
	text := func(n int64) string { return strconv.FormatInt(n, 10) }
	v.Required, v.Found, v.By = Amount{Op: "=", Text: text(want)}, Amount{Text: text(found)}, Amount{Text: text(abs(want - found))}
}

// length says how long or where something should be and is.
func (v *Violation) length(want, found int64) {
	v.Required, v.Found = Amount{Op: "=", Length: ticks(want)}, Amount{Length: ticks(found)}
	v.By = Amount{Length: ticks(abs(want - found))}
}
