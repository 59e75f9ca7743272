package verify

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A plan is one detail on one run with its inputs.
type plan struct {
	*verifier
	run        *geom.Run
	detail     *rules.Detail
	inputs     map[string]value
	cells      []cell
	placements map[key]*placement
	sides      map[int][]panel
	order      []*placement // as the report lists them: by side, then by element
}

// at names a scope for a complaint.
func (p *placement) at(s detail.ScopeRef) string {
	return fmt.Sprintf("run %s side %q: %s.%s in %s %d", p.run.ID, p.sideID(), p.detail.Name, p.element.Name, s.Kind, s.N)
}

// plans finds which details lie on which runs, run by run.
func (v *verifier) plans(job *detail.Job) []*plan {
	if job == nil {
		job = &detail.Job{}
	}
	for _, use := range job.Uses {
		if v.detailNamed(use.Detail) == nil {
			v.complain("the job uses the detail %s, which the book has not", use.Detail)
		}
	}
	var list []*plan
	for _, run := range v.report.Runs {
		for _, use := range v.usesOn(run, job) {
			d := v.detailNamed(use.Detail)
			p := &plan{verifier: v, run: run, detail: d, cells: zoneCells(run), placements: map[key]*placement{}, sides: map[int][]panel{}}
			p.read(use)
			for _, e := range d.Elements {
				for _, side := range p.sidesOf(e) {
					p.placements[key{e.Name, side}] = &placement{plan: p, element: e, side: side}
				}
			}
			for side := -1; side < len(run.Sides); side++ {
				for _, e := range d.Elements {
					if pl := p.placements[key{e.Name, side}]; pl != nil {
						p.order = append(p.order, pl)
					}
				}
			}
			list = append(list, p)
		}
	}
	return list
}

// usesOn are the uses that reach a run; without any in the job, that of the one detail for its kind.
func (v *verifier) usesOn(run *geom.Run, job *detail.Job) []detail.Use {
	var list []detail.Use
	if len(job.Uses) == 0 {
		for _, d := range v.report.Book.Details {
			if slices.Contains(d.For, kindOf(run)) {
				list = append(list, detail.Use{Detail: d.Name})
			}
		}
		if len(list) > 1 {
			v.complain("run %s: %d details are for its kind of edge, and the job names none", run.ID, len(list))
		}
		return list
	}
	for _, use := range job.Uses {
		d := v.detailNamed(use.Detail)
		if d != nil && slices.Contains(d.Kinds, kindOf(run)) && (len(use.Runs) == 0 || slices.ContainsFunc(use.Runs, calls(run))) {
			list = append(list, use)
		}
	}
	return list
}

// kindOf is what a detail must be for to go on a run.
func kindOf(run *geom.Run) string {
	if run.Edge == geom.RibLine || run.Edge == "penetration" {
		return "field"
	}
	return run.Edge
}

// calls tells of an id whether it is a run's, or that of a plane that it stands on.
func calls(run *geom.Run) func(string) bool {
	return func(id string) bool {
		return id == run.ID || slices.ContainsFunc(run.Sides, func(s geom.Side) bool { return s.On != nil && s.On.Plane == id })
	}
}

func (v *verifier) detailNamed(name string) *rules.Detail {
	for _, d := range v.report.Book.Details {
		if d.Name == name {
			return d
		}
	}
	return nil
}

// read gives each input of a detail its value: the job's, or else its default.
func (p *plan) read(use detail.Use) {
	p.inputs = map[string]value{}
	for _, in := range p.detail.Inputs {
		name := in.Name.Text
		text, ok := inputText(use, name)
		switch {
		case ok:
			v, err := parseInput(in, text)
			if err != nil {
				p.complain("input %s of %s: %v", name, p.detail.Name, err)
			}
			p.inputs[name] = v
		case in.Default != nil:
			v, err := eval(in.Default, func(other string) (value, bool) {
				if slices.ContainsFunc(in.Choices, func(c rules.Name) bool { return c.Text == other }) {
					return value{words: []string{other}}, true
				}
				v, ok := p.inputs[other]
				return v, ok
			})
			if err != nil {
				p.complain("input %s of %s: %v", name, p.detail.Name, err)
			}
			p.inputs[name] = v
		default:
			p.complain("input %s of %s has no value", name, p.detail.Name)
		}
	}
}

func parseInput(in *rules.Input, text string) (value, error) {
	switch in.Type.Text {
	case "length":
		l, err := units.Parse(text)
		return value{num: ticks(l)}, err
	case "slope":
		s, err := units.ParseSlope(text)
		return value{num: s.Rat()}, err
	case "choice":
		return value{words: []string{text}}, nil
	}
	digits, percent := strings.CutSuffix(text, "%")
	n, ok := new(big.Rat).SetString(digits)
	if !ok {
		return value{}, fmt.Errorf("%q is no number", text)
	}
	if percent {
		n = quo(n, whole(100))
	}
	return value{num: n}, nil
}

// inputText is what a use gives an input, as written.
func inputText(use detail.Use, name string) (string, bool) {
	for _, in := range use.Inputs {
		if in.Name == name {
			return in.Value, true
		}
	}
	return "", false
}
