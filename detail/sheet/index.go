package sheet

import (
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// An index finds what belongs together in a report.
type index struct {
	r       *detail.Report
	unit    units.Unit
	byRun   map[*geom.Run][]placed
	whys    []string           // the reasons there are
	why     []int32            // of each scope its reason's place in whys, plus 1; 0: none
	because map[string]string  // of a rule, by its ID
	broken  map[string][]int32 // violations by their run

	keepOuts map[*detail.Placement][]int32
}

func newIndex(r *detail.Report, unit units.Unit) *index {
	x := &index{r: r, unit: unit, byRun: map[*geom.Run][]placed{}, why: make([]int32, len(r.Scopes)),
		because: map[string]string{}, broken: map[string][]int32{}, keepOuts: map[*detail.Placement][]int32{}}
	for _, p := range placements(r) {
		x.byRun[p.Run] = append(x.byRun[p.Run], p)
		for _, rule := range p.Element.Rules {
			x.because[rule.ID] = rule.Because
		}
	}
	for i, k := range r.KeepOuts {
		of := &r.Placements[k.Placement]
		x.keepOuts[of] = append(x.keepOuts[of], int32(i))
	}
	known := map[string]int32{}
	for i := range r.Why {
		w := &r.Why[i]
		text := w.Text(unit)
		if because := x.because[w.Binding]; because != "" {
			text += ", because " + because
		}
		if known[text] == 0 {
			x.whys = append(x.whys, text)
			known[text] = int32(len(x.whys))
		}
		x.why[w.Scope] = known[text]
	}
	for i, v := range r.Violations {
		x.broken[v.Run] = append(x.broken[v.Run], int32(i))
	}
	return x
}

// where says in which scope something stands: "closure_screws, panel 3, 4 marks".
func (x *index) where(i int32) string {
	sc := &x.r.Scopes[i]
	e := x.r.Placements[sc.Placement].Element
	text := fmt.Sprintf("%s, %s", e.Name, scopeName(e.Scope, sc.N))
	if e.Kind == rules.Row {
		text += ", " + count(sc.Last-sc.First, "mark", "marks")
	}
	return text
}

// scopeName names one occurrence of a scope in the trade's words: "panel 3", "lap 2 of cap".
func scopeName(s *rules.ScopeDecl, n int) string {
	switch s.Of {
	case "run":
		return "along the run"
	case "side":
		return "along the side"
	case "end":
		if n == 1 {
			return "left end"
		}
		return "right end"
	}
	name := fmt.Sprintf("%s %d", s.Of, n)
	if s.Name != nil {
		name += " of " + s.Name.Text
	}
	if s.How == "at" {
		name = "at " + name
	}
	return name
}

// ruleWords says what a violation asks, finds and comes to, and why.
func (f *figures) ruleWords(v *detail.Violation) string {
	text := fmt.Sprintf("%s %s, but is %s: off by %s", v.What, f.amount(v.Required), f.amount(v.Found), f.amount(v.By))
	if v.Because != "" {
		text += ", because " + v.Because
	}
	text += "; rule " + v.Rule
	if v.Span.File != "" {
		text += ", " + position(v.Span)
	}
	if len(v.Conflict) > 1 || len(v.Conflict) == 1 && v.Conflict[0].Rule != v.Rule {
		text += "; " + conflict(*v)
	}
	if v.Source != "" {
		text += "; source: " + v.Source
	}
	return strings.TrimSpace(text)
}

// placeOf says where a violation is.
func (f *figures) placeOf(v *detail.Violation) string {
	place := "run " + v.Run
	if v.Side != "" {
		place += ", side " + v.Side
	}
	if v.Scope.Kind != "" && v.Scope.Kind != "run" {
		place += fmt.Sprintf(", %s %d", v.Scope.Kind, v.Scope.N)
	}
	if v.Element != "" {
		place += ", " + v.Element
	}
	return place + ": " + f.place(v.From, v.To)
}
