// Package verify holds a layout against the rules that it was made by, with code that shares nothing with the solver
// or with the language's own evaluator: every number is a big.Rat, and each rule is read again and held against what
// was laid. It says whether a layout is true; whether a better one exists is for the solver's own tests.
//
//	number.go    exact numbers and bands
//	expr.go      what an expression comes to
//	line.go      ribs, panels, zones and obstacles along a run
//	plane.go     where runs stand on their planes
//	plan.go      which details lie on which runs, with which inputs
//	scopes.go    where an element's scope clause asks for something
//	ask.go       what a rule asks for, and where its condition holds
//	row.go       marks
//	cover.go     pieces and strips
//	ring.go      rings, and how far penetrations are from what is near
//	bead.go      beads
//	require.go   requirements
//	broken.go    the violations that must be listed, and no others
//	quantity.go  patterns, takeoff, cuts
//	book.go      steps, cautions, notes, sources, bare runs, reasons
package verify

import (
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// Report holds a report against its book and the job that it was made from, and returns what is wrong with it, in
// plain sentences; nothing where all is well. A nil job is one without uses.
func Report(r *detail.Report, job *detail.Job) []string {
	v := &verifier{report: r}
	if v.onPlanes(); v.complaints != nil {
		return v.complaints // what is told of runs by their planes can't be held
	}
	plans := v.plans(job)
	v.assign(plans)
	if v.complaints != nil {
		return v.complaints // where its tables don't fit together, a report can't be read further
	}
	for _, p := range plans {
		for _, pl := range p.order {
			pl.check()
		}
		p.requirements()
	}
	v.listed()
	v.quantities(plans)
	v.movement()
	v.bookwork(plans)
	if v.complaints == nil {
		keep(r)
	}
	return v.complaints
}

type verifier struct {
	report     *detail.Report
	broken     []breach // rules
	unmet      []unmet  // requirements
	empty      []breach // rows without a mark
	complaints []string
}

func (v *verifier) complain(format string, args ...any) {
	v.complaints = append(v.complaints, fmt.Sprintf(format, args...))
}

// assign gives each placement what the report lays for it and leaves out, and holds the order of the report's
// tables: by run, side, detail, element, and the tables one into the other without a hole.
func (v *verifier) assign(plans []*plan) {
	var want []*placement
	for i := 0; i < len(plans); {
		run := plans[i].run
		n := i
		for n < len(plans) && plans[n].run == run {
			n++
		}
		for side := -1; side < len(run.Sides); side++ {
			for _, p := range plans[i:n] {
				for _, pl := range p.order {
					if pl.side == side {
						want = append(want, pl)
					}
				}
			}
		}
		i = n
	}
	r := v.report
	if len(want) != len(r.Placements) {
		v.complain("%d placements, not %d", len(r.Placements), len(want))
	}
	for i, pl := range want[:min(len(want), len(r.Placements))] {
		if got := r.Placements[i]; got.Run != pl.run || got.Side != pl.side || got.Detail != pl.detail || got.Element != pl.element {
			v.complain("placement %d is %s.%s on run %s, side %d; it should be %s.%s on run %s, side %d", i+1,
				got.Detail.Name, got.Element.Name, got.Run.ID, got.Side, pl.detail.Name, pl.element.Name, pl.run.ID, pl.side)
			return
		}
	}
	next := map[rules.Kind]int{}
	for i, s := range r.Scopes {
		if int(s.Placement) >= len(want) || i > 0 && s.Placement < r.Scopes[i-1].Placement {
			v.complain("scope %d is out of order", i+1)
			return
		}
		pl := want[s.Placement]
		kind := pl.element.Kind
		if s.First != next[kind] || s.Last < s.First || s.Last > v.rows(kind) {
			v.complain("%s: its table rows are %d to %d, they should start at %d", pl.at(detail.ScopeRef{Kind: s.Kind, N: s.N}), s.First, s.Last, next[kind])
			return
		}
		next[kind] = s.Last
		for k := s.First; k < s.Last; k++ {
			if owner := v.owner(kind, k); owner != i {
				v.complain("%s: table row %d belongs to scope %d", pl.at(detail.ScopeRef{Kind: s.Kind, N: s.N}), k, owner)
			}
		}
		if pl.inReport == nil {
			pl.first = i
		}
		pl.inReport = append(pl.inReport, s)
	}
	for _, kind := range []rules.Kind{rules.Row, rules.Pieces, rules.Strip, rules.Bead} {
		if next[kind] != v.rows(kind) {
			v.complain("%d marks, pieces, strips or beads belong to no scope", v.rows(kind)-next[kind])
		}
	}
	for _, s := range r.Skipped {
		if int(s.Placement) >= len(want) {
			v.complain("%s %d is left out of no placement", s.Scope.Kind, s.Scope.N)
			continue
		}
		want[s.Placement].skipped = append(want[s.Placement].skipped, s)
	}
}

// rows is how many marks, pieces, strips or beads the report has.
func (v *verifier) rows(k rules.Kind) int {
	return [...]int{len(v.report.Marks), len(v.report.Pieces), len(v.report.Strips), len(v.report.Beads)}[k]
}

// owner is the scope to which a mark, piece, strip or bead says that it belongs.
func (v *verifier) owner(k rules.Kind, i int) int {
	switch k {
	case rules.Row:
		return int(v.report.Marks[i].Scope)
	case rules.Pieces:
		return int(v.report.Pieces[i].Scope)
	case rules.Strip:
		return int(v.report.Strips[i].Scope)
	}
	return int(v.report.Beads[i].Scope)
}

// check holds each scope that the placement's clause asks for, once, whether it was laid or left out.
func (p *placement) check() {
	laid, skipped := p.inReport, p.skipped
	for _, s := range p.scopes() {
		isLaid := len(laid) > 0 && (detail.ScopeRef{Kind: laid[0].Kind, N: laid[0].N}) == s.ScopeRef
		isSkipped := len(skipped) > 0 && skipped[0].Scope == s.ScopeRef
		reasons := p.reasonsToSkip(s)
		if isLaid {
			got := laid[0]
			laid = laid[1:]
			if b := bandOf(got.From, got.To); !equal(b.from, s.from) || !equal(b.to, s.to) {
				p.complain("%s: runs from %s to %s, not from %s to %s", p.at(s.ScopeRef), got.From, got.To, show(s.from), show(s.to))
			}
			if len(reasons) > 0 {
				p.complain("%s: is laid, though it is to be left out: %s", p.at(s.ScopeRef), reasons[0])
			}
			p.checkScope(s, got)
			p.places(int32(p.first+len(p.inReport)-len(laid)-1), s, got)
		}
		if isSkipped {
			if why := oneBlank(skipped[0].When); !slices.Contains(reasons, why) {
				p.complain("%s: is left out because of %q; true reasons: %q", p.at(s.ScopeRef), why, reasons)
			}
			skipped = skipped[1:]
		}
		if isLaid == isSkipped {
			p.complain("%s: laid: %v, left out: %v", p.at(s.ScopeRef), isLaid, isSkipped)
		}
	}
	for _, s := range laid {
		p.complain("%s: is laid, but there is no such scope or it is out of order", p.at(detail.ScopeRef{Kind: s.Kind, N: s.N}))
	}
	for _, s := range skipped {
		p.complain("%s: is left out, but there is no such scope or it is out of order", p.at(s.Scope))
	}
}

func (p *placement) checkScope(s scope, laid detail.Scope) {
	at := p.element.Scope.How == "at"
	switch {
	case p.element.Kind == rules.Row && p.element.Scope.How == "around":
		p.ringRow(s, laid)
	case p.element.Kind == rules.Row && at:
		p.stations(s, laid)
	case p.element.Kind == rules.Row:
		p.row(s, laid)
	case p.element.Kind == rules.Bead:
		p.beads(s, laid)
	default:
		p.cover(s, laid)
	}
}

// reasonsToSkip are the reasons for which a scope is to be left out, as the report writes them.
func (p *placement) reasonsToSkip(s scope) []string {
	var list []string
	all := obstacles(p.run, p.side)
	for _, o := range all {
		b := obstacleBand(o)
		inside := strictlyIn(b.from, s.from, b.to)
		if s.length().Sign() > 0 {
			inside = len(without(s.band, all)) == 0 && b.overlaps(s.band)
		} else if p.element.Kind == rules.Row {
			// No mark stands inside an obstacle: where one would, the group is left out.
			inside = inside || slices.ContainsFunc(p.wanted(s), func(x num) bool { return strictlyIn(b.from, x, b.to) })
		}
		if inside {
			list = append(list, "obstacle "+o.ID)
		}
	}
	if p.element.Scope.How == "around" {
		if by := p.blocked(s.ring); by != "" {
			list = append(list, "obstacle "+by)
		}
	} else if p.run.Edge == "penetration" && s.ring == nil && p.element.Kind == rules.Row {
		on := p.run.Sides[0].On
		for _, x := range p.wanted(s) {
			middle := at(on.Start).plus(xy{whole(0), down(x)})
			if by := p.standsOver(p.planeNamed(on.Plane), p.run.ID, middle); by != "" {
				list = append(list, "obstacle "+by)
				break
			}
		}
	}
	if len(list) == 0 && p.element.Kind != rules.Row && p.element.Scope.How != "at" && len(p.stretches(s)) == 0 {
		list = append(list, "extend leaves nothing")
	}
	if when := p.element.When; when != nil && !p.binds(when, s, 0, s.band) {
		list = append(list, asWritten(p.report.Book, when))
	}
	return list
}

// show writes a number of ticks for a complaint.
func show(x num) string {
	if x.IsInt() && x.Num().IsInt64() {
		if l, err := units.FromTicks(x.Num().Int64()); err == nil {
			return l.String()
		}
	}
	return x.RatString() + " ticks"
}
