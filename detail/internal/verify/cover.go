package verify

import (
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// A stretch is a part of a scope that is covered by itself, its extends included.
type stretch struct {
	band
	left, right bool // it reaches to the scope's own end
}

// stretches cut a scope at obstacles and add the extends at the scope's own ends.
func (p *placement) stretches(s scope) []stretch {
	left, right := p.extend(s, 1), p.extend(s, 2)
	var list []stretch
	for _, free := range without(s.band, obstacles(p.run, p.side)) {
		st := stretch{free, equal(free.from, s.from), equal(free.to, s.to)}
		if st.left {
			st.from = sub(st.from, left)
		}
		if st.right {
			st.to = add(st.to, right)
		}
		if less(st.from, st.to) {
			list = append(list, st)
		}
	}
	return list
}

// extend is how far a scope is covered past one of its ends. A rule for one end goes before one for both, a later
// line before an earlier.
func (p *placement) extend(s scope, end int) num {
	past, own := whole(0), false
	for _, r := range p.element.Rules {
		if r.Measure != rules.Extend || !slices.Contains(endsOf(r), end) || own && r.Side == rules.BothEnds || !p.binds(r.When, s, end, s.band) {
			continue
		}
		if a, ok := p.ask(r, s, end); ok {
			past, own = a.min, r.Side != rules.BothEnds
		}
	}
	return past
}

// used is the length that `length =` sets for a strip or a bead; nil where none does.
func (p *placement) used(s scope) num {
	var used num
	for _, r := range p.element.Rules {
		if r.Measure == rules.Length && r.Op == rules.Equal && p.binds(r.When, s, 0, s.band) {
			if a, ok := p.ask(r, s, 0); ok {
				used = a.min
			}
		}
	}
	return used
}

// cover holds the pieces or strips of a scope: each stretch covered without a hole, and every rule.
func (p *placement) cover(s scope, laid detail.Scope) {
	all := p.lengthsOf(laid)
	stretches := p.stretches(s)
	for i, l := range all {
		if l.number != i+1 {
			p.complain("%s: piece %d is numbered %d", p.at(s.ScopeRef), i+1, l.number)
		}
		if p.element.Kind == rules.Strip && l.joint != p.report.Strips[laid.First+i].Joint {
			p.complain("%s: strip %d joins the one before it: %v; the report says %v", p.at(s.ScopeRef), i+1, l.joint, !l.joint)
		}
	}
	for _, st := range stretches {
		n := 0
		for n < len(all) && (n == 0 || all[n].joint) {
			n++
		}
		if n == 0 {
			p.complain("%s: nothing covers %s to %s", p.at(s.ScopeRef), show(st.from), show(st.to))
			return
		}
		p.coverStretch(s, st, all[:n])
		all = all[n:]
	}
	if len(all) > 0 {
		p.complain("%s: %d pieces too many", p.at(s.ScopeRef), len(all))
	}
}

func (p *placement) coverStretch(s scope, st stretch, row []length) {
	first, last := row[0], row[len(row)-1]
	if !equal(first.from, st.from) || !equal(last.to, st.to) {
		p.complain("%s: covered from %s to %s, not from %s to %s", p.at(s.ScopeRef), show(first.from), show(last.to), show(st.from), show(st.to))
	}
	if p.element.Kind == rules.Strip {
		if used := p.used(s); used != nil {
			p.stripUsed(s, row, used)
			return
		}
	}
	for i, l := range row {
		p.piece(s, st, l)
		if i > 0 {
			p.joint(s, row[i-1], l)
		} else if l.lap != nil && l.lap.Sign() != 0 {
			p.complain("%s: the first piece laps by %s", p.at(s.ScopeRef), show(l.lap))
		}
		if i > 1 && less(l.from, row[i-2].to) {
			p.complain("%s: the lap at %s reaches across a third piece", p.at(s.ScopeRef), show(l.from))
		}
	}
	for _, r := range p.element.Rules {
		if r.Measure == rules.Count {
			p.holdWhere(r, s, 0, s.band, st.band, whole(int64(len(row))))
		}
	}
}

// stripUsed holds a strip whose length a rule sets: one band, whatever its roll.
func (p *placement) stripUsed(s scope, row []length, used num) {
	if len(row) != 1 || !equal(row[0].used, used) {
		p.complain("%s: %d strips of %s, not one of %s", p.at(s.ScopeRef), len(row), show(row[0].used), show(used))
	}
	p.bounded(s, row[0].band, row[0].used)
}

// piece holds one length: what it is cut to, its stock or roll, the step that its joints stand on.
func (p *placement) piece(s scope, st stretch, l length) {
	if !less(l.from, l.to) {
		p.complain("%s: the piece at %s has no length", p.at(s.ScopeRef), show(l.from))
	}
	if !equal(l.used, l.length()) {
		p.complain("%s: the piece at %s is cut to %s but lies over %s", p.at(s.ScopeRef), show(l.from), show(l.used), show(l.length()))
	}
	step := ticks(p.report.Book.Mark)
	for _, x := range []num{l.from, l.to} {
		if step.Sign() > 0 && !equal(x, st.to) && !multipleOf(sub(x, st.from), step) {
			p.complain("%s: the joint at %s is off the step of %s", p.at(s.ScopeRef), show(x), show(step))
		}
	}
	if most, name := p.longest(); most != nil && less(most, l.length()) {
		p.broke(breach{scope: s.ScopeRef, name: name, measure: "length", place: l.band, op: "<=", limit: most, found: l.length(), by: sub(l.length(), most)})
	}
	for _, r := range p.element.Rules {
		if r.Measure == rules.Length {
			p.holdWhere(r, s, 0, s.band, l.band, l.length())
		}
	}
}

// longest is the longest that a piece can be cut, and the name of the line that says so; nil for no bound.
func (p *placement) longest() (num, string) {
	item := p.element.Item
	switch {
	case item == nil:
	case p.element.Kind == rules.Strip && !item.Roll.IsZero():
		return ticks(item.Roll), item.Name + ".roll"
	case p.element.Kind == rules.Pieces && len(item.Stock) > 0:
		most := whole(0)
		for _, st := range item.Stock {
			most = larger(most, ticks(st.Length))
		}
		return most, item.Name + ".stock"
	}
	return nil, ""
}

// joint holds the lap of two neighbours.
func (p *placement) joint(s scope, left, right length) {
	lap := sub(left.to, right.from)
	if !equal(lap, right.lap) {
		p.complain("%s: the lap at %s is %s, the report says %s", p.at(s.ScopeRef), show(right.from), show(lap), show(right.lap))
	}
	if less(right.from, left.from) {
		p.complain("%s: the piece at %s starts before the one before it", p.at(s.ScopeRef), show(right.from))
	}
	b := lapBand(left.band, right.band)
	asked, negative := false, false
	for _, r := range p.element.Rules {
		switch r.Measure {
		case rules.Lap:
			p.hold(r, s, 0, b, lap)
			if a, ok := p.ask(r, s, 0); ok && p.binds(r.When, s, 0, b) {
				asked = true
				negative = negative || a.min != nil && a.min.Sign() < 0 || a.max != nil && a.max.Sign() < 0
			}
		case rules.Clear:
			p.clear(r, s, []band{b})
		}
	}
	if lap.Sign() < 0 && !negative {
		p.complain("%s: a hole from %s to %s", p.at(s.ScopeRef), show(b.from), show(b.to))
	}
	if lap.Sign() > 0 && !asked {
		p.complain("%s: a lap of %s at %s that no rule asks for", p.at(s.ScopeRef), show(lap), show(b.from))
	}
}
