package mutation

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// differ lists expectations that hold in one report and not in another of the same run, the plainest first; other is
// nil where the changed book can't be laid at all.
func differ(r, other *detail.Report) []string {
	if other == nil {
		if musts(r) == 0 {
			return []string{"no violation"}
		}
		return violations(r, &detail.Report{})
	}
	list := violations(r, other)
	if musts(r) == 0 && musts(other) > 0 {
		list = append(list, "no violation")
	}
	for i := range r.Scopes {
		if k := sameScope(r, i, other); k >= 0 {
			list = append(list, scope(r, i, other, k)...)
		}
		if len(list) > mostDifferent {
			return list
		}
	}
	for i, q := range r.Takeoff {
		if i >= len(other.Takeoff) || other.Takeoff[i].Item.Name != q.Item.Name {
			break
		}
		net := q.Net.String()
		if q.Unit == "in" || q.Unit == "mm" {
			net += " " + q.Unit
		}
		if !q.Net.Equal(other.Takeoff[i].Net) {
			list = append(list, "takeoff "+q.Item.Name+" = "+net)
		}
		if area := other.Takeoff[i].Area; !q.Area.Equal(area) && q.Unit == "in" {
			list = append(list, fmt.Sprintf("area %s = %s in * 1 in", q.Item.Name, q.Area))
		}
		if !q.Cost.Equal(other.Takeoff[i].Cost) {
			list = append(list, "cost "+q.Item.Name+" = "+q.Cost.String())
		}
		if !q.Packs.Equal(other.Takeoff[i].Packs) {
			list = append(list, "stock "+q.Item.Name+" = "+q.Packs.String())
		}
	}
	return list
}

// mostDifferent is after how many differences no more are listed.
const mostDifferent = 8

func musts(r *detail.Report) int {
	n := 0
	for _, v := range r.Violations {
		if v.Severity == "must" {
			n++
		}
	}
	return n
}

// violations are those of a report that another hasn't.
func violations(r, other *detail.Report) []string {
	has := map[string]bool{}
	for i := range other.Violations {
		has[violation(&other.Violations[i])] = true
	}
	var list []string
	for i := range r.Violations {
		if text := violation(&r.Violations[i]); !has[text] && len(list) < mostDifferent {
			list = append(list, text)
			has[text] = true
		}
	}
	return list
}

// violation is how an example expects one.
func violation(v *detail.Violation) string {
	words := []string{v.Severity, "violation of"}
	switch v.Measure {
	case "require":
		words = append(words, "require")
	case "mark":
		words = append(words, v.Element)
	default:
		words = append(words, v.Element, v.Measure)
	}
	if v.Scope.Kind != "run" {
		words = append(words, fmt.Sprintf("in %s %d", v.Scope.Kind, v.Scope.N))
	}
	return strings.Join(words, " ")
}

// sameScope finds the scope of another report that stands for the i-th of a report, or -1.
func sameScope(r *detail.Report, i int, other *detail.Report) int {
	sc := r.Scopes[i]
	p := r.Placements[sc.Placement]
	for k, s := range other.Scopes {
		q := other.Placements[s.Placement]
		if s.Kind == sc.Kind && s.N == sc.N && q.Element.Name == p.Element.Name && q.Side == p.Side && q.Run.ID == p.Run.ID {
			return k
		}
	}
	return -1
}

// scope lists what differs in one scope.
func scope(r *detail.Report, i int, other *detail.Report, k int) []string {
	sc, so := r.Scopes[i], other.Scopes[k]
	e := r.Placements[sc.Placement].Element
	in := ""
	if sc.Kind != "run" {
		in = fmt.Sprintf(" in %s %d", sc.Kind, sc.N)
	}
	n := sc.Last - sc.First
	var list []string
	if n != so.Last-so.First && (e.Kind == rules.Row || e.Kind == rules.Pieces) {
		list = append(list, fmt.Sprintf("count of %s%s = %d", e.Name, in, n))
	}
	switch e.Kind {
	case rules.Row:
		same := n == so.Last-so.First
		var at []string
		for x := range n {
			m := r.Marks[sc.First+x].At
			same = same && m.Cmp(other.Marks[so.First+x].At) == 0
			if in != "" {
				m, _ = m.Sub(sc.From)
			}
			at = append(at, inches(m))
		}
		if !same && n > 0 && n <= 12 {
			list = append(list, e.Name+in+" at "+strings.Join(at, ", "))
		}
	case rules.Pieces:
		for x := range min(n, so.Last-so.First) {
			p, q := r.Pieces[sc.First+x], other.Pieces[so.First+x]
			length, _ := p.To.Sub(p.From)
			was, _ := q.To.Sub(q.From)
			if length.Cmp(was) != 0 {
				list = append(list, fmt.Sprintf("length of %s %d = %s", e.Name, x+1, inches(length)))
			}
			if p.Joint && p.Lap.Cmp(q.Lap) != 0 {
				list = append(list, fmt.Sprintf("lap of %s %d = %s", e.Name, x+1, inches(p.Lap)))
			}
		}
	case rules.Strip:
		for x := range min(n, so.Last-so.First) {
			if l := r.Strips[sc.First+x].Length; l.Cmp(other.Strips[so.First+x].Length) != 0 {
				list = append(list, fmt.Sprintf("length of %s %d = %s", e.Name, x+1, inches(l)))
			}
		}
	case rules.Bead:
		for x := range min(n, so.Last-so.First) {
			if l := r.Beads[sc.First+x].Length; l.Cmp(other.Beads[so.First+x].Length) != 0 {
				list = append(list, fmt.Sprintf("length of %s%s = %s", e.Name, in, inches(l)))
			}
		}
	}
	return list
}
