package detail

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// text is the source text of a stretch of the book's files.
func (r *Report) text(s rules.Span) string {
	for _, f := range r.Book.Files {
		if f.Name == s.File {
			return strings.Join(strings.Fields(string(f.Source[s.Start.Offset:s.End.Offset])), " ")
		}
	}
	return ""
}

// meets tells whether an expectation holds, and what was found.
func (r *Report) meets(x *rules.Expect) (found string, ok bool) {
	switch x.What {
	case "none":
		for i := range r.Violations {
			v := &r.Violations[i]
			if v.Severity == "must" {
				return v.Message(units.In) + against(v), false
			}
		}
		return "no violation", true
	case "violation":
		return r.meetsViolation(x)
	case "takeoff", "stock", "area", "cost":
		return r.meetsQuantity(x)
	case "at":
		return r.meetsPositions(x)
	}
	values, err := r.measured(x)
	if err != nil {
		return err.Error(), false
	}
	want, err := rules.Eval(x.Value, noNames{})
	if err != nil {
		return err.Error(), false
	}
	if len(values) == 0 {
		return "none", false
	}
	ok = true
	var texts []string
	for _, v := range values {
		ok = ok && compare(v.Num, x.Op, want.Num)
		texts = append(texts, amount("", v).In(units.In))
	}
	return strings.Join(slices.Compact(texts), ", "), ok
}

// noNames is the env of an expectation: it has none.
type noNames struct{}

func (noNames) Lookup(string) (rules.Value, bool) { return rules.Value{}, false }

func compare(x *big.Rat, op rules.Op, y *big.Rat) bool {
	switch c := x.Cmp(y); op {
	case rules.Less:
		return c < 0
	case rules.AtMost:
		return c <= 0
	case rules.AtLeast:
		return c >= 0
	case rules.Greater:
		return c > 0
	default:
		return c == 0
	}
}

// scopesOf are the scopes of the element that an expectation speaks of.
func (r *Report) scopesOf(x *rules.Expect) []Scope {
	var list []Scope
	for _, sc := range r.Scopes {
		if r.Placements[sc.Placement].Element.Name != x.Of.Text {
			continue
		}
		if x.In == nil || x.In.Text == sc.Kind && x.InN == sc.N {
			list = append(list, sc)
		}
	}
	return list
}

func (r *Report) meetsPositions(x *rules.Expect) (string, bool) {
	var found []string
	var at []*big.Rat
	for _, sc := range r.scopesOf(x) {
		for _, m := range r.Marks[sc.First:min(sc.Last, len(r.Marks))] {
			v := m.At.Ticks()
			if x.In != nil {
				v -= sc.From.Ticks()
			}
			at = append(at, new(big.Rat).SetInt64(v))
			found = append(found, ticks(v).String())
		}
	}
	ok := len(at) == len(x.At)
	for i := range x.At {
		want, err := rules.Eval(x.At[i], noNames{})
		if err != nil {
			return err.Error(), false
		}
		ok = ok && at[i].Cmp(want.Num) == 0
	}
	if found == nil {
		return "no mark", ok
	}
	return strings.Join(found, ", "), ok
}

// measured are the values that an expectation of a count, gap, length or lap compares.
func (r *Report) measured(x *rules.Expect) ([]rules.Value, error) {
	var list []rules.Value
	size := func(t int64) { list = append(list, length(ticks(t))) }
	for _, sc := range r.scopesOf(x) {
		kind := r.Placements[sc.Placement].Element.Kind
		switch {
		case x.What == "count" && x.N != 0:
			return nil, fmt.Errorf("a count is of a whole scope; write `in %s %d`", sc.Kind, x.N)
		case x.What == "count":
			list = append(list, rules.Value{Num: big.NewRat(int64(sc.Last-sc.First), 1)})
		case x.What == "gap" && kind == rules.Row:
			for k := sc.First + 1; k < sc.Last; k++ {
				if x.N != 0 && k-sc.First != x.N {
					continue
				}
				size(r.Marks[k].At.Ticks() - r.Marks[k-1].At.Ticks())
			}
		case kind == rules.Strip:
			for k, s := range r.Strips[sc.First:sc.Last] {
				if x.N != 0 && int(s.N) != x.N {
					continue
				}
				if x.What == "length" {
					size(s.Length.Ticks())
				} else if s.Joint {
					before := r.Strips[sc.First+k-1]
					size(before.To.Ticks() - s.From.Ticks())
				}
			}
		case x.What == "length" && kind == rules.Bead:
			for k, b := range r.Beads[sc.First:sc.Last] {
				if x.N == 0 || k+1 == x.N {
					size(b.Length.Ticks())
				}
			}
		case kind == rules.Pieces:
			for _, p := range r.Pieces[sc.First:sc.Last] {
				if x.N != 0 && int(p.N) != x.N {
					continue
				}
				if x.What == "length" {
					size(p.To.Ticks() - p.From.Ticks())
				} else if p.Joint {
					size(p.Lap.Ticks())
				}
			}
		default:
			return nil, fmt.Errorf("%s has no %s", x.Of.Text, x.What)
		}
	}
	if x.What == "count" && x.In == nil && len(list) > 0 {
		all := new(big.Rat)
		for _, v := range list {
			all.Add(all, v.Num)
		}
		list = []rules.Value{{Num: all}}
	}
	return list, nil
}

func (r *Report) meetsQuantity(x *rules.Expect) (string, bool) {
	want, err := rules.Eval(x.Value, noNames{})
	if err != nil {
		return err.Error(), false
	}
	sum, texts, unit := new(big.Rat), []string(nil), ""
	for _, q := range r.Takeoff {
		if q.Item.Name != x.Of.Text || unit != "" && q.Unit != unit {
			continue
		}
		unit = q.Unit // an item that is counted and cut: as it is counted
		found := q.Net.Rat()
		text := plainDecimal(q.Net) + " " + q.Unit
		switch {
		case x.What == "stock":
			found, text = q.Packs.Rat(), plainDecimal(q.Packs)
		case x.What == "cost":
			found, text = q.Cost.Rat(), plainDecimal(q.Cost)
		case x.What == "area":
			found, text = q.Area.Rat(), plainDecimal(q.Area)+" square "+q.Unit
			found.Mul(found, big.NewRat(ticksPer(q.Unit), 1)).Mul(found, big.NewRat(ticksPer(q.Unit), 1))
		case want.Dim == rules.LengthDim:
			found.Mul(found, big.NewRat(ticksPer(q.Unit), 1))
		}
		sum.Add(sum, found)
		texts = append(texts, text)
	}
	if texts == nil {
		texts = []string{"none"}
	}
	return strings.Join(texts, " and "), compare(sum, x.Op, want.Num)
}

func (r *Report) meetsViolation(x *rules.Expect) (string, bool) {
	var found []string
	for i := range r.Violations {
		v := &r.Violations[i]
		if speaksOf(x, v) {
			return v.Message(units.In), true
		}
		found = append(found, v.Severity+": "+v.Message(units.In)+against(v))
	}
	if found == nil {
		return "no violation", false
	}
	return strings.Join(found, "; "), false
}

// speaksOf tells whether a violation is one that an example expects.
func speaksOf(x *rules.Expect, v *Violation) bool {
	of := v.Element == x.Of.Text || v.Element == "" && v.Measure == x.Of.Text
	return of && (x.Severity == "" || v.Severity == x.Severity) && (x.Measure == "" || v.Measure == x.Measure) &&
		(x.In == nil || v.Scope == ScopeRef{x.In.Text, x.InN}) && (x.Against == nil || conflicts(x.Against, v))
}

// conflicts tells whether the rules named are those that a violation says conflict, all of them and no other.
func conflicts(names []rules.Name, v *Violation) bool {
	for _, n := range names {
		named := func(c RuleRef) bool { return c.Rule == n.Text || c.Rule == v.Detail+"."+n.Text }
		if !slices.ContainsFunc(v.Conflict, named) {
			return false
		}
	}
	return len(names) == len(v.Conflict)
}

// ticksPer is the number of ticks in a quantity's unit; 1 for what is no length.
func ticksPer(unit string) int64 {
	switch unit {
	case "in":
		return units.TicksPerInch
	case "mm":
		return units.TicksPerMM
	}
	return 1
}
