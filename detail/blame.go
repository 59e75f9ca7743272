package detail

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

var opText = map[rules.Op]string{rules.Less: "<", rules.AtMost: "<=", rules.Equal: "=", rules.AtLeast: ">=", rules.Greater: ">"}

var measureText = map[rules.Measure]string{
	rules.Spacing: "spacing", rules.Count: "count", rules.End: "end", rules.Clear: "clear",
	rules.Offset: "offset", rules.Lap: "lap", rules.Length: "length", rules.Extend: "extend",
}

// report turns the breaches of a solved scope into violations; [from, to] is what was solved and origin its 0.
func (l *layer) report(w *work, sc Scope, sol *solution, s *limits, origin, from, to int64) {
	if sol.Conflict == nil && len(sol.breaches) == 0 {
		return
	}
	conflict := refs(sol.Conflict, s)
	empty := len(sol.at) == 0 && len(sol.pieces) == 0
	counted := false
	for i, b := range sol.breaches {
		lim := s.list[b.Limit]
		if empty && lim.Kind != chain.CountMin {
			continue // where nothing stands there is no distance to measure
		}
		if i > 0 && lim.Kind == chain.Keep && b.Limit == sol.breaches[i-1].Limit && b.From == sol.breaches[i-1].From {
			continue // the same lap, too near a second feature
		}
		counted = counted || !lim.Should
		v := w.violation(sc, s, b, origin, isEnd(b, sol.at, to-from))
		if v.Severity == "must" {
			v.Conflict, v.Minimal = conflict, sol.Smallest
		}
		w.broken = append(w.broken, v)
	}
	if empty && !counted {
		ln := w.first()
		if len(sol.Conflict) > 0 {
			ln = s.lines[sol.Conflict[0]]
		}
		v := w.blame(sc, ln, "must", from, to)
		v.Measure, v.Required, v.Found, v.By = "count", Amount{Op: ">=", Text: "1"}, Amount{Text: "0"}, Amount{Text: "1"}
		v.What = "the number that can stand here"
		v.Conflict, v.Minimal = conflict, sol.Smallest
		w.broken = append(w.broken, v)
	}
}

// reportFixed is report for marks whose station is fixed by the lines given.
func (l *layer) reportFixed(w *work, sc Scope, sol *solution, s *limits, by []line) {
	for _, b := range sol.breaches {
		v := w.violation(sc, s, b, 0, 0)
		if v.Severity == "must" {
			v.Minimal = true
			for _, ln := range append([]line{s.lines[b.Limit]}, by...) {
				v.Conflict = append(v.Conflict, RuleRef{Rule: ln.name, Span: ln.span})
			}
		}
		w.broken = append(w.broken, v)
	}
}

// isEnd is the end of the scope from which a breach is the distance to the nearest mark, 0 where it is none.
func isEnd(b chain.Breach, at []int64, length int64) chain.Ends {
	switch {
	case len(at) == 0:
	case b.From == 0 && b.To == at[0]:
		return chain.LeftEnd
	case b.From == at[len(at)-1] && b.To == length:
		return chain.RightEnd
	}
	return 0
}

// first is the line to blame where a scope has no line of its own.
func (w *work) first() line {
	for _, ln := range w.lines {
		if ln.rule != nil {
			return ln
		}
	}
	return line{name: w.detail.Name + "." + w.element.Name, span: w.element.Span}
}

// refs names the lines that conflict, each once; obstacles that take part are named too.
func refs(set []int, s *limits) []RuleRef {
	var list []RuleRef
	seen := map[string]bool{}
	add := func(ln line) {
		if key := ln.name + place(ln.span); !seen[key] {
			seen[key] = true
			list = append(list, RuleRef{Rule: ln.name, Span: ln.span})
		}
	}
	for _, i := range set {
		add(s.lines[i])
	}
	if len(set) == 0 {
		return list
	}
	for i, lim := range s.list {
		if lim.Fixed {
			add(s.lines[i])
		}
	}
	return list
}

// blame starts a violation of a line in a scope.
func (w *work) blame(sc Scope, ln line, severity string, from, to int64) Violation {
	v := Violation{
		Severity: severity, Rule: ln.name, Span: ln.span,
		Run: w.run.ID, Side: sideID(w.run, w.side), Detail: w.detail.Name, Element: w.element.Name,
		Scope: ScopeRef{sc.Kind, sc.N}, From: ticks(from), To: ticks(to),
	}
	switch {
	case ln.rule != nil:
		v.Measure = measureText[ln.rule.Measure]
		v.Because, v.Source = ln.rule.Because, ln.rule.Source
	case ln.mark:
		v.Measure = "mark"
	case ln.item:
		v.Measure = "length"
	}
	return v
}

// violation says where and by how much a limit is broken.
func (w *work) violation(sc Scope, s *limits, b chain.Breach, origin int64, end chain.Ends) Violation {
	ln, lim := s.lines[b.Limit], s.list[b.Limit]
	severity := "must"
	if lim.Should {
		severity = "should"
	}
	v := w.blame(sc, ln, severity, origin+b.From, origin+b.To)
	atEnd := end != 0 && lim.Kind == chain.GapMax
	required, found := lim.Value, b.Found
	if lim.Kind == chain.Stock {
		required = slices.Max(lim.Lengths)
	}
	if lim.Kind == chain.Keep {
		// The distance to the nearest face; negative inside it. The solver's own depth is that of joined or cut keep-outs.
		found = required
		from, to := origin+b.From, origin+b.To
		first, _ := slices.BinarySearchFunc(ln.near, from-required-ln.wide, func(f band, t int64) int { return cmp.Compare(f.From, t) })
		for _, f := range ln.near[first:] {
			if f.From-to >= required {
				break
			}
			found = min(found, max(f.From-to, from-f.To))
		}
	}
	if atEnd && (w.element.Lay != "stepped" || end == chain.LeftEnd) {
		required /= 2
	}
	v.Required = limitAmount(lim.Kind, required)
	v.Found, v.By = limitAmount(lim.Kind, found), limitAmount(lim.Kind, abs(required-found))
	v.Found.Op, v.By.Op = "", ""
	// A strict comparator was turned into one step less or more: say it as it is written.
	if ln.rule != nil && (ln.rule.Op == rules.Less || ln.rule.Op == rules.Greater) && !atEnd {
		step := int64(1)
		if ln.rule.Op == rules.Greater {
			step = -1
		}
		v.Required.Op = opText[ln.rule.Op]
		if v.Required.Text == "" {
			v.Required.Length = ticks(required + step)
		} else {
			v.Required.Text = strconv.FormatInt(required+step, 10)
		}
	}
	v.What = v.Measure
	if atEnd {
		v.What = "the distance from the end (half the spacing)"
	} else if ln.rule != nil && ln.rule.From != nil {
		v.What += " from " + featureText(ln.rule.From)
	}
	return v
}

// limitAmount is a value of a limit with its comparator: a count, or a length.
func limitAmount(kind chain.Kind, v int64) Amount {
	a := Amount{Op: limitOps[kind]}
	if kind == chain.CountMin || kind == chain.CountMax {
		a.Text = strconv.FormatInt(v, 10)
	} else {
		a.Length = ticks(v)
	}
	return a
}

var limitOps = map[chain.Kind]string{
	chain.Keep: ">=", chain.GapMin: ">=", chain.GapMax: "<=", chain.EndMin: ">=", chain.EndMax: "<=",
	chain.CountMin: ">=", chain.CountMax: "<=", chain.LapMin: ">=", chain.LapMax: "<=",
	chain.LengthMin: ">=", chain.LengthMax: "<=", chain.Stock: "<=",
}

func featureText(f *rules.Feature) string {
	switch f.Of {
	case "lap":
		return "lap of " + f.Name.Text
	case "mark":
		return f.Name.Text
	}
	return f.Of
}

func abs(v int64) int64 { return max(v, -v) }

// amount writes a value for a violation.
func amount(op string, v rules.Value) Amount {
	a := Amount{Op: op}
	switch v.Dim {
	case rules.LengthDim:
		if lo, hi, err := whole(v.Num); err == nil && lo == hi {
			a.Length = ticks(lo)
			return a
		}
		a.Text = v.Num.RatString() + " ticks"
	case rules.SlopeDim:
		a.Text = v.Num.RatString()
		if s, err := units.SlopeFromRat(v.Num); err == nil {
			a.Text = s.String()
		}
	case rules.PercentDim:
		a.Text = plain(new(big.Rat).Mul(v.Num, big.NewRat(100, 1))) + "%"
	case rules.Condition:
		a.Text = strconv.FormatBool(v.Bool)
	case rules.Word:
		a.Text = fmt.Sprint(v.Words)
		if len(v.Words) == 1 {
			a.Text = v.Words[0]
		}
	default:
		a.Text = plain(v.Num)
	}
	return a
}

// plain writes a number plainly where it has a finite decimal, else as a fraction.
func plain(x *big.Rat) string {
	if n, exact := x.FloatPrec(); exact {
		return x.FloatString(n)
	}
	return x.RatString()
}
