package verify

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// A breach is one rule that what was laid doesn't keep, as the report has to list it.
type breach struct {
	placement *placement
	scope     detail.ScopeRef
	rule      *rules.Rule // nil: the line called name
	name      string
	measure   string
	place     band
	op        string
	limit     num // what is required
	found, by num
	count     bool // limit, found and by are counts
}

// hold says so where a rule that binds at a place doesn't keep what was found there.
func (p *placement) hold(r *rules.Rule, s scope, end int, place band, found num) {
	p.holdWhere(r, s, end, place, place, found)
}

// holdWhere is hold where the condition is read at one place and the breach is listed at another.
func (p *placement) holdWhere(r *rules.Rule, s scope, end int, binding, place band, found num) {
	if !p.binds(r.When, s, end, binding) {
		return
	}
	a, ok := p.ask(r, s, end)
	if !ok {
		return
	}
	by, broken := a.breach(found)
	if !broken {
		return
	}
	b := breach{scope: s.ScopeRef, rule: r, place: place, op: "<=", limit: a.max, found: found, by: by, count: r.Measure == rules.Count}
	if a.min != nil && less(found, a.min) {
		b.op, b.limit = ">=", a.min
	}
	switch r.Op { // written strictly, a limit is one step past the last value that keeps it
	case rules.Less:
		b.op, b.limit = "<", add(b.limit, whole(1))
	case rules.Greater:
		b.op, b.limit = ">", sub(b.limit, whole(1))
	}
	p.broke(b)
}

func (p *placement) broke(b breach) {
	b.placement = p
	if b.op == "" {
		b.op = "<="
	}
	if b.rule != nil {
		b.name, b.measure = b.rule.ID, measureNames[b.rule.Measure]
	}
	p.broken = append(p.broken, b)
}

var measureNames = map[rules.Measure]string{
	rules.Spacing: "spacing", rules.Count: "count", rules.End: "end", rules.Clear: "clear",
	rules.Offset: "offset", rules.Lap: "lap", rules.Length: "length", rules.Extend: "extend",
}

// String is all that the report has to say of a breach, so that equal texts are equal breaches.
func (b breach) String() string {
	p := b.placement
	severity := "must"
	if b.rule != nil && b.rule.Should {
		severity = "should"
	}
	amount := show
	if b.count {
		amount = num.RatString
	}
	return fmt.Sprintf("%s %s (%s): run %s side %q %s.%s, %s %d, %s to %s: required %s %s, found %s, by %s",
		severity, b.name, b.measure, p.run.ID, p.sideID(), p.detail.Name, p.element.Name, b.scope.Kind, b.scope.N,
		show(b.place.from), show(b.place.to), b.op, amount(b.limit), amount(b.found), amount(b.by))
}

// listed holds the report's violations against the breaches that were found: each listed once, and none besides.
func (v *verifier) listed() {
	missing := map[string]int{}
	for _, b := range v.broken {
		missing[b.String()]++
	}
	for _, got := range v.report.Violations {
		v.sound(got)
		if i := slices.IndexFunc(v.unmet, func(u unmet) bool { return u.lists(got) }); i >= 0 {
			v.unmet = slices.Delete(v.unmet, i, i+1)
			continue
		}
		text := violationText(got)
		if missing[text] > 0 {
			missing[text]--
			continue
		}
		if i := slices.IndexFunc(v.empty, func(b breach) bool { return b.isNothing(got) }); i >= 0 {
			v.empty = slices.Delete(v.empty, i, i+1)
			continue
		}
		v.complain("listed, but not so: %s", text)
	}
	if v.report.UnlistedMust+v.report.UnlistedShould > 0 {
		return
	}
	for _, text := range slices.Sorted(maps.Keys(missing)) {
		for range missing[text] {
			v.complain("broken, but not listed: %s", text)
		}
	}
	for _, b := range v.empty {
		v.complain("nothing stands there, but it is not listed: %s", b.placement.at(b.scope))
	}
	for _, u := range v.unmet {
		v.complain("not met, but not listed: %s %s: run %s side %q, %s %d", u.severity, u.id, u.run, u.side, u.scope.Kind, u.scope.N)
	}
}

func violationText(x detail.Violation) string {
	return fmt.Sprintf("%s %s (%s): run %s side %q %s.%s, %s %d, %s to %s: required %s %s, found %s, by %s",
		x.Severity, x.Rule, x.Measure, x.Run, x.Side, x.Detail, x.Element, x.Scope.Kind, x.Scope.N,
		x.From, x.To, x.Required.Op, amountText(x.Required), amountText(x.Found), amountText(x.By))
}

func amountText(a detail.Amount) string { return cmp.Or(a.Text, a.Length.String()) }

// isNothing tells whether a violation says that no mark can stand in the scope of b.
func (b breach) isNothing(x detail.Violation) bool {
	p := b.placement
	return x.Severity == "must" && x.Measure == "count" && x.Required == (detail.Amount{Op: ">=", Text: "1"}) && x.Found.Text == "0" && x.By.Text == "1" &&
		x.Run == p.run.ID && x.Side == p.sideID() && x.Detail == p.detail.Name && x.Element == p.element.Name && x.Scope == b.scope &&
		equal(ticks(x.From), b.place.from) && equal(ticks(x.To), b.place.to)
}

// sound holds what a violation says besides its numbers: what was measured, the rule's own words and place, and, for a must,
// the rules that conflict.
func (v *verifier) sound(x detail.Violation) {
	d := v.detailNamed(x.Detail)
	if d == nil {
		v.complain("a violation of the detail %q, which the book has not", x.Detail)
		return
	}
	if x.What == "" {
		v.complain("the violation of %s says not what was measured", x.Rule)
	}
	for _, e := range d.Elements {
		for _, r := range e.Rules {
			if r.ID == x.Rule && (r.Because != x.Because || r.Source != x.Source || r.Span != x.Span) {
				v.complain("the violation of %s has not the rule's own place, because and source", x.Rule)
			}
		}
	}
	if x.Severity != "must" {
		return
	}
	if len(x.Conflict) == 0 {
		v.complain("the violation of %s names no conflict", x.Rule)
	}
	known := v.linesOf(d, x)
	for _, ref := range x.Conflict {
		if !slices.Contains(known, ref.Rule) {
			v.complain("the violation of %s conflicts with %q, which is no line that takes part", x.Rule, ref.Rule)
		}
	}
}

// linesOf are the names that may take part in a conflict of an element.
func (v *verifier) linesOf(d *rules.Detail, x detail.Violation) []string {
	list := []string{"mark"}
	for _, q := range d.Requires {
		list = append(list, q.ID)
	}
	for _, e := range d.Elements {
		if e.Name != x.Element {
			continue
		}
		for _, r := range e.Rules {
			list = append(list, r.ID)
		}
		if e.Item != nil {
			list = append(list, e.Item.Name+".stock", e.Item.Name+".roll")
		}
	}
	for _, run := range v.report.Runs {
		if run.ID == x.Run {
			for _, o := range run.Obstacles {
				list = append(list, "obstacle "+o.ID)
			}
		}
	}
	return list
}
