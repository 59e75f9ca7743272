package verify

import (
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// A Scoped is one scope of a report held against the rules of its element, whatever stands in it.
type Scoped struct {
	Scope  int      // index into the report's Scopes
	Broken []string // rules that it doesn't keep, as Violation writes them
	Shape  []string // what is wrong besides
}

// Scopes holds every scope of an element against its rules: what stands there need not be as the library lays it. The
// book's step is not asked.
func Scopes(r *detail.Report, job *detail.Job, element string) []Scoped {
	v := &verifier{report: r}
	plans := v.plans(job)
	v.assign(plans)
	if v.complaints != nil {
		return []Scoped{{Shape: v.complaints}}
	}
	index := map[*placement]int{}
	var list []Scoped
	for _, p := range plans {
		for _, pl := range p.order {
			if pl.element.Name != element {
				continue
			}
			for _, s := range pl.scopes() {
				k := index[pl]
				if k == len(pl.inReport) || (detail.ScopeRef{Kind: pl.inReport[k].Kind,
					N: pl.inReport[k].N}) != s.ScopeRef {
					continue // left out
				}
				index[pl]++
				v.broken, v.empty, v.complaints = nil, nil, nil
				pl.checkScope(s, pl.inReport[k])
				one := Scoped{Scope: slices.IndexFunc(r.Scopes,
					func(o detail.Scope) bool { return o == pl.inReport[k] })}
				for _, b := range v.broken {
					one.Broken = append(one.Broken, b.String())
				}
				for _, c := range v.complaints {
					if !strings.Contains(c, "is off the step of") && !strings.Contains(c, "doesn't come after") {
						one.Shape = append(one.Shape, c)
					}
				}
				list = append(list, one)
			}
		}
	}
	return list
}

// Violation is a violation as Scopes writes it.
func Violation(x detail.Violation) string { return violationText(x) }

// Needs are the elements that must be measured to judge one: those that it is laid by, in their turn too.
func Needs(d *rules.Detail, element string) map[string]bool {
	needs := map[string]bool{}
	var add func(name string)
	add = func(name string) {
		if needs[name] {
			return
		}
		needs[name] = true
		for _, e := range d.Elements {
			if e.Name != name {
				continue
			}
			if e.Scope.Name != nil {
				add(e.Scope.Name.Text)
			}
			for _, r := range e.Rules {
				if r.From != nil && r.From.Name != nil {
					add(r.From.Name.Text)
				}
			}
		}
	}
	add(element)
	return needs
}
