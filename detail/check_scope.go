package detail

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
)

// groups holds the lines that bind throughout a scope together: those without a condition, then those that one
// condition adds. A condition on a zone or on the kind of an end binds only a part of a scope, and is left out.
func (t *together) groups(lines []line, given []part) {
	if t.element.Scope.How == "at" || t.element.Scope.How == "around" || t.element.Kind == rules.Bead {
		return
	}
	seen := map[string]bool{}
	for _, ln := range append([]line{{}}, lines...) {
		var when rules.Expr
		if ln.rule != nil {
			when = ln.rule.When
		}
		if key := t.text(when); !seen[key] && (when == nil || !t.detail.Uses(when, "zone") &&
			!t.detail.Uses(when, "end.kind")) {
			seen[key] = true
			t.group(lines, given, when)
		}
	}
}

// group looks for musts that leave a scope no layout, and for shoulds for which they leave none.
func (t *together) group(lines []line, given []part, when rules.Expr) {
	s := &scopeCheck{together: t, ends: [2]bool{true, true}}
	if when != nil {
		given = append(slices.Clone(given), part{span: when.Pos(), role: "where this holds", cond: when})
	}
	parts := slices.Clone(given)
	var shoulds []part
	for _, ln := range lines {
		switch r := ln.rule; {
		case r == nil:
			parts = append(parts, ln.of())
		case r.When != nil && t.text(r.When) != t.text(when):
			s.left(r)
		case r.Should:
			shoulds = append(shoulds, ln.of())
		default:
			parts = append(parts, ln.of())
		}
	}
	if s.never(parts) {
		of := smallest(parts, s.never)
		if slices.ContainsFunc(of, func(p part) bool { return p.rule != nil }) && !t.two(of) {
			t.contradiction(of, fmt.Sprintf("`%s` can never keep these lines together", t.element.Name), s.where(of))
		}
		return
	}
	for _, p := range shoulds {
		never := func(of []part) bool { return s.never(append(slices.Clone(of), p)) }
		if never(parts) {
			if of := smallest(parts, never); !t.two(append(of, p)) {
				t.neverKept(p, of)
			}
		}
	}
}

// two tells whether parts are two lines of one measure, beside conditions, which pair reports with less words.
func (t *together) two(of []part) bool {
	var lines []*rules.Rule
	for _, p := range of {
		switch {
		case p.rule != nil:
			lines = append(lines, p.rule)
		case p.cond == nil:
			return false
		}
	}
	return len(lines) == 2 && lines[0].Measure == lines[1].Measure
}

// A scopeCheck asks whether some scope lets lines hold together, obstacles aside: in a panel, one with a rib at each
// side.
type scopeCheck struct {
	*together
	ends    [2]bool // whether no line left out may give this end a maximum
	unclear bool    // whether a line left out may keep marks from the ends
	lapped  bool    // whether a line left out bounds laps
}

// left notes what a line that is left out may loosen: an `end` maximum and a `clear` replace the default limit of an
// end, a `lap` the default joint.
func (s *scopeCheck) left(r *rules.Rule) {
	switch {
	case r.Should:
	case r.Measure == rules.End && isMax(r.Op):
		for _, end := range endsOf(r) {
			s.ends[end-chain.LeftEnd] = false
		}
	case r.Measure == rules.Clear:
		s.unclear = true
	case r.Measure == rules.Lap:
		s.lapped = true
	}
}

// where says what the parts are held against, where that is more than they say.
func (s *scopeCheck) where(of []part) string {
	switch {
	case !slices.ContainsFunc(of, func(p part) bool {
		return p.cond != nil || p.rule != nil &&
			p.rule.Measure == rules.Clear
	}):
		return ""
	case s.element.Scope.Of == "panel":
		return "No panel between two ribs has room for them, obstacles aside."
	}
	return "No scope has room for them, obstacles aside."
}

// An extent is a range of whole numbers of ticks, or of counts; nil: no bound.
type extent struct{ lo, hi *big.Int }

func (x *extent) atLeast(v *big.Int) {
	if v != nil && (x.lo == nil || v.Cmp(x.lo) > 0) {
		x.lo = v
	}
}

func (x *extent) atMost(v *big.Int) {
	if v != nil && (x.hi == nil || v.Cmp(x.hi) < 0) {
		x.hi = v
	}
}

func (x extent) empty() bool { return x.lo != nil && x.hi != nil && x.lo.Cmp(x.hi) > 0 }

// loosest are the least minimum and the greatest maximum that a rule comes to on any roof.
func loosest(r *rules.Rule, in *rules.Ranges) (x extent) {
	lo, hi := in.Of(r.Value)
	one := big.NewInt(1)
	if lo != nil {
		down, up := wholeOf(lo)
		switch r.Op {
		case rules.AtLeast:
			x.lo = up
		case rules.Greater:
			x.lo = new(big.Int).Add(down, one)
		case rules.Equal:
			x.lo = down // the nearer tick may be the lower one
		}
	}
	if hi != nil {
		down, up := wholeOf(hi)
		switch r.Op {
		case rules.AtMost:
			x.hi = down
		case rules.Less:
			x.hi = new(big.Int).Sub(up, one)
		case rules.Equal:
			x.hi = up
		}
	}
	return x
}

// wholeOf rounds down and up.
func wholeOf(r *big.Rat) (down, up *big.Int) {
	down = new(big.Int).Div(r.Num(), r.Denom()) // Euclidean: down, since a denominator is positive
	if r.IsInt() {
		return down, down
	}
	return down, new(big.Int).Add(down, big.NewInt(1))
}

// length is the length of the scope.
func (s *scopeCheck) length(in *rules.Ranges) extent {
	x := extent{lo: big.NewInt(1)}
	bound := func(name string, upper bool) {
		lo, hi := in.Of(&rules.Ref{Name: name})
		if lo != nil {
			_, up := wholeOf(lo)
			x.atLeast(up)
		}
		if hi != nil && upper {
			down, _ := wholeOf(hi)
			x.atMost(down)
		}
	}
	bound("scope.length", true)
	switch s.element.Scope.Of {
	case "run", "side":
		bound("run.length", true)
	case "panel": // along a hip or a valley longer than the panel is wide
		bound("panel.width", !slices.ContainsFunc(s.detail.Kinds, func(k string) bool { return k == "hip" || k == "valley" }))
	}
	return x
}

// never tells whether the parts leave no scope a layout.
func (s *scopeCheck) never(parts []part) bool {
	in := s.detail.Ranges(conditions(parts)...)
	length := s.length(in)
	if length.empty() {
		return false // the requirements, or the condition, are at fault
	}
	if s.element.Kind == rules.Row {
		return s.noRow(parts, in, length)
	}
	return s.noCover(parts, in, length)
}

// has tells whether the book's mark, or the item's stock or roll, is among the parts.
func (s *scopeCheck) has(parts []part, span rules.Span) bool {
	return slices.ContainsFunc(parts, func(p part) bool { return p.rule == nil && p.cond == nil && p.span == span })
}

// noRow tells whether there is no row of marks: the first in an extent from the left end, equal bounds on each gap, and
// the last in an extent from the right.
func (s *scopeCheck) noRow(parts []part, in *rules.Ranges, length extent) bool {
	step := big.NewInt(1)
	if !s.book.Mark.IsZero() && s.has(parts, s.book.MarkSpan) {
		step = big.NewInt(s.book.Mark.Ticks())
	}
	gap, count := extent{lo: new(big.Int)}, extent{lo: big.NewInt(1)}
	ends := [2]extent{{lo: new(big.Int)}, {lo: new(big.Int)}}
	known := s.ends // whether the default limit of an end is, where it has no maximum of its own
	for _, p := range parts {
		if p.rule == nil {
			continue
		}
		x := loosest(p.rule, in)
		switch p.rule.Measure {
		case rules.Spacing:
			gap.atLeast(x.lo)
			gap.atMost(x.hi)
		case rules.Count:
			count.atLeast(x.lo)
			count.atMost(x.hi)
		case rules.End:
			for _, end := range endsOf(p.rule) {
				ends[end-chain.LeftEnd].atLeast(x.lo)
				ends[end-chain.LeftEnd].atMost(x.hi)
			}
		case rules.Clear:
			known = [2]bool{}
			if s.atEnds(p.rule.From) {
				ends[0].atLeast(x.lo)
				ends[1].atLeast(x.lo)
			}
		}
	}
	for i := range ends {
		if ends[i].hi != nil || !known[i] || s.unclear || gap.hi == nil {
			continue
		}
		def := new(big.Int).Rsh(gap.hi, 1)
		if i == 1 && s.element.Lay == "stepped" {
			def = gap.hi
		}
		if first := new(big.Int).Add(ends[i].lo, step); first.Cmp(def) > 0 { // the first place where a mark may stand
			def = first
		}
		ends[i].hi = def
	}
	ends[0].onto(step)
	gap.onto(step)
	if ends[0].empty() || ends[1].empty() || count.empty() {
		return true
	}
	both := extent{new(big.Int).Add(ends[0].lo, ends[1].lo), nil}
	if ends[0].hi != nil && ends[1].hi != nil {
		both.hi = new(big.Int).Add(ends[0].hi, ends[1].hi)
	}
	if count.lo.Cmp(big.NewInt(1)) <= 0 && meet(both, length) {
		return false
	}
	if gap.empty() {
		return true // no two marks
	}
	count.atLeast(big.NewInt(2))
	gaps := extent{new(big.Int).Sub(count.lo, big.NewInt(1)), nil}
	if count.hi != nil {
		gaps.hi = new(big.Int).Sub(count.hi, big.NewInt(1))
	}
	return !repeats(both, gap, gaps, length)
}

// atEnds tells whether the feature bounds the scope on both sides, so that a `clear` is from its ends.
func (s *scopeCheck) atEnds(f *rules.Feature) bool {
	switch of := s.element.Scope.Of; f.Of {
	case "rib":
		return of == "panel"
	case "end":
		return of == "run" || of == "side"
	}
	return false
}

// onto moves the bounds inward, onto multiples of a step.
func (x *extent) onto(step *big.Int) {
	if x.lo != nil {
		n := new(big.Int).Add(x.lo, step)
		n.Sub(n, big.NewInt(1))
		x.lo = n.Mul(n.Div(n, step), step)
	}
	if x.hi != nil {
		n := new(big.Int).Div(x.hi, step)
		x.hi = n.Mul(n, step)
	}
}

func meet(a, b extent) bool {
	return !(a.hi != nil && b.lo != nil && a.hi.Cmp(b.lo) < 0) && !(b.hi != nil && a.lo != nil && b.hi.Cmp(a.lo) < 0)
}

// repeats tells whether, for some number of times, a start and so many times a part come to a length. Start and part
// have a lower bound that is not below 0, a number of times one above 0.
func repeats(start, part, times, length extent) bool {
	times = extent{times.lo, times.hi}
	if length.hi != nil {
		room := new(big.Int).Sub(length.hi, start.lo)
		switch {
		case room.Sign() < 0:
			return false
		case part.lo.Sign() > 0:
			times.atMost(room.Div(room, part.lo))
		}
	}
	if start.hi != nil && part.hi != nil {
		lack := new(big.Int).Sub(length.lo, start.hi)
		switch {
		case lack.Sign() <= 0:
		case part.hi.Sign() <= 0:
			return false
		default: // rounded up
			lack.Add(lack, part.hi)
			lack.Sub(lack, big.NewInt(1))
			times.atLeast(lack.Div(lack, part.hi))
		}
	}
	return !times.empty()
}

// noCover tells whether no number of pieces or strips covers the scope with its extends.
func (s *scopeCheck) noCover(parts []part, in *rules.Ranges, length extent) bool {
	size, lap, count := extent{lo: new(big.Int)}, extent{}, extent{lo: big.NewInt(1)}
	for _, p := range parts {
		switch {
		case p.cond != nil:
		case p.rule == nil && p.span != s.book.MarkSpan:
			size.atMost(s.bought())
		case p.rule == nil:
		case p.rule.Measure == rules.Length && p.rule.Op == rules.Equal && s.element.Kind == rules.Strip:
			return false // what is used, whatever the scope
		default:
			x := loosest(p.rule, in)
			switch p.rule.Measure {
			case rules.Length:
				size.atLeast(x.lo)
				size.atMost(x.hi)
			case rules.Count:
				count.atLeast(x.lo)
				count.atMost(x.hi)
			case rules.Lap:
				lap.atLeast(x.lo)
				lap.atMost(x.hi)
			}
		}
	}
	if size.empty() || count.empty() {
		return true
	}
	if !s.fixedEnds() {
		length = extent{lo: big.NewInt(1)}
	}
	if count.lo.Cmp(big.NewInt(1)) <= 0 && meet(size, length) || s.lapped {
		return false
	}
	if !slices.ContainsFunc(s.element.Rules, func(r *rules.Rule) bool { return r.Measure == rules.Lap }) {
		lap.hi = new(big.Int) // they butt
	}
	if lap.lo == nil {
		lap.lo = new(big.Int)
	}
	switch {
	case lap.empty():
		return false // pair reports it
	case size.hi != nil && lap.lo.Cmp(size.hi) > 0:
		return true // a lap longer than what laps
	}
	more := extent{lo: new(big.Int)}
	if lap.hi != nil && size.lo.Cmp(lap.hi) > 0 {
		more.lo = new(big.Int).Sub(size.lo, lap.hi)
	}
	if size.hi != nil {
		more.hi = new(big.Int).Sub(size.hi, lap.lo)
	}
	count.atLeast(big.NewInt(2))
	times := extent{new(big.Int).Sub(count.lo, big.NewInt(1)), nil}
	if count.hi != nil {
		times.hi = new(big.Int).Sub(count.hi, big.NewInt(1))
	}
	return !repeats(size, more, times, length)
}

// bought is the longest length of the element's item.
func (s *scopeCheck) bought() *big.Int {
	longest := s.element.Item.Roll
	for _, st := range s.element.Item.Stock {
		if st.Length.Cmp(longest) > 0 {
			longest = st.Length
		}
	}
	return big.NewInt(longest.Ticks())
}

// fixedEnds tells whether the element covers its scope and no more.
func (s *scopeCheck) fixedEnds() bool {
	return !slices.ContainsFunc(s.element.Rules, func(r *rules.Rule) bool { return r.Measure == rules.Extend })
}
