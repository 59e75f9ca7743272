package detail

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A tried value is one at which the detail was laid.
type tried struct {
	at   int64
	says SweepRange // its verdict and what goes with it
	sig  string     // equal where the same can be said
	key  sweepKey
	seen bool // the key doesn't tell all
}

// try lays the detail at a number of the axis.
func (s *sweeper) try(at int64) (*tried, error) {
	if err := s.ctx.Err(); err != nil {
		return nil, err
	}
	if s.laid/5 > s.limits.Marks {
		return nil, limitError("marks and scopes at the values that a sweep tries, five times those of a report", "Marks", s.limits.Marks)
	}
	s.tries++
	t := &tried{at: at, seen: s.curved}
	v := s.axis.value(at)
	b, err := s.place(v)
	if err == nil {
		err = s.judge(t, b)
	}
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return nil, err
	case err != nil:
		t.seen = true
		t.says = SweepRange{Verdict: Refused, Refused: err.Error()}
	}
	t.sign()
	return t, nil
}

// place makes the run with the axis at a value, and puts the detail on it.
func (s *sweeper) place(v rules.Value) (*binding, error) {
	size := map[string]units.Length{"panel": units.MustParse("18 in"), "length": units.MustParse("40 ft")}
	slope := units.MustParse("3 in").Rat() // rise over 12 in
	slope.Quo(slope, units.MustParse("12 in").Rat())
	inputs := map[string]rules.Value{}
	for _, f := range append(slices.Clone(s.held), fixedValue{s.axis.SweepAxis, s.axis.typ, v}) {
		switch f.Of {
		case "panel", "length":
			l, err := units.FromRat(f.value.Num, units.Exact)
			if err != nil {
				return nil, err
			}
			size[f.Of] = l
		case "slope":
			slope = f.value.Num
		case "input":
			inputs[f.Input] = f.value
		}
	}
	profile := s.profile
	profile.Cover = size["panel"]
	if s.whole {
		l, err := profile.Cover.Mul(3)
		if err != nil {
			return nil, err
		}
		size["length"] = l
	}
	sl, err := units.SlopeFromRat(slope)
	if err != nil {
		return nil, err
	}
	panels := &geom.Panels{First: profile.Cover, Profile: profile}
	spec := geom.Spec{ID: "sweep", Edge: s.edge, Length: size["length"], Sides: []geom.SideSpec{{Slope: sl, Panels: panels}}}
	if s.edge == "transition" {
		spec.Sides = []geom.SideSpec{{ID: "upper", Role: "upper", Slope: sl, Panels: panels}, {ID: "lower", Role: "lower", Slope: sl, Panels: panels}}
	}
	for _, z := range s.spec.Zones {
		if z.To.Cmp(spec.Length) > 0 {
			z.To = spec.Length
		}
		if z.From.Cmp(z.To) < 0 {
			spec.Zones = append(spec.Zones, z)
		}
	}
	run, err := geom.NewRun(spec, s.limits.Panels)
	if err != nil {
		return nil, err
	}
	b := &binding{detail: s.detail, run: run, inputs: inputs, work: map[string][]*work{}, cells: cells(run)}
	for _, side := range run.Sides {
		b.panels = append(b.panels, side.Panels(run.Length))
	}
	return b, b.fillInputs()
}

// fillInputs gives the inputs that have no value their defaults, and holds each against its `where`.
func (b *binding) fillInputs() error {
	for _, in := range b.detail.Inputs {
		v, given := b.inputs[in.Name.Text]
		if !given {
			if in.Default == nil {
				return errors.New("input " + in.Name.Text + " has no default: give it a value")
			}
			var err error
			if v, err = defaultOf(in); err != nil {
				return err
			}
			b.inputs[in.Name.Text] = v
		}
		if err := in.Accept(v); err != nil {
			return errors.New("input " + in.Name.Text + " " + err.Error())
		}
	}
	return nil
}

// judge lays what is needed and gathers what is broken, and the key of it.
func (s *sweeper) judge(t *tried, b *binding) error {
	l := &layer{ctx: s.ctx, limits: s.limits, book: s.book, files: s.base.files, rep: &Report{Runs: []*geom.Run{b.run}}, solved: map[string]*solution{}}
	t.key.panels(b)
	for _, i := range s.detail.Order {
		e := s.detail.Elements[i]
		if !s.needed[e.Name] {
			continue
		}
		if err := l.element(b, e); err != nil {
			return err
		}
		for _, w := range b.work[e.Name] {
			s.laid += len(w.marks) + len(w.scopes)
			if err := s.describe(t, l, w); err != nil {
				return err
			}
			if s.judged[e.Name] {
				s.blame(t, w.broken, w)
			}
		}
	}
	w := &work{binding: b, element: &rules.Element{}}
	for side := -1; side < len(b.run.Sides); side++ {
		l.rep.Violations, l.musts, l.shoulds = nil, 0, 0
		if err := l.require(b, side); err != nil {
			return err
		}
		w.side = side
		s.blame(t, slices.DeleteFunc(l.rep.Violations, s.ofLength), w)
		for _, q := range s.detail.Requires {
			if q.Cond == nil || !s.varies[q.Cond] {
				continue
			}
			for _, sc := range w.required(q) {
				for _, view := range w.views(q.Cond) {
					t.key.trace(q.Cond, w.at(&sc, view))
				}
			}
		}
	}
	return nil
}

// ofLength tells whether a requirement asks for the length of a run that is only as long as three panels.
func (s *sweeper) ofLength(v Violation) bool {
	for _, q := range s.detail.Requires {
		if s.whole && q.ID == v.Rule && q.Cond != nil && s.detail.Uses(q.Cond, "run.length") {
			return true
		}
	}
	return false
}

// blame adds violations to what is said of a value, but for those in cut panels.
func (s *sweeper) blame(t *tried, broken []Violation, w *work) {
	conflicted := map[ScopeRef]bool{}
	for _, v := range broken {
		conflicted[v.Scope] = conflicted[v.Scope] || v.Severity == "must" && v.Element != ""
	}
	for _, v := range broken {
		if v.Scope.Kind == "panel" && w.side >= 0 && w.panels[w.side][v.Scope.N-1].Cut {
			continue
		}
		if v.Severity == "must" {
			c := SweepConflict{Element: v.Element, Rules: v.Conflict, Smallest: v.Minimal}
			if !slices.ContainsFunc(t.says.Conflicts, func(o SweepConflict) bool { return o.text() == c.text() }) {
				t.says.Conflicts = append(t.says.Conflicts, c)
			}
			continue
		}
		if ref := (RuleRef{Rule: v.Rule, Span: v.Span}); !conflicted[v.Scope] && !slices.Contains(t.says.GivenUp, ref) {
			t.says.GivenUp = append(t.says.GivenUp, ref)
		}
	}
}

// text names a conflict's rules.
func (c *SweepConflict) text() string {
	names := make([]string, len(c.Rules))
	for i, r := range c.Rules {
		names[i] = r.Rule
	}
	return c.Element + ": " + strings.Join(names, ", ")
}

// sign settles the verdict and writes it so that equal verdicts are written alike.
func (t *tried) sign() {
	r := &t.says
	if r.Verdict == Refused {
		t.sig = "refused"
		return
	}
	switch {
	case len(r.Conflicts) > 0:
		r.Verdict = Conflict
	case len(r.GivenUp) > 0:
		r.Verdict = Yielding
	}
	slices.SortStableFunc(r.Conflicts, func(a, b SweepConflict) int { return strings.Compare(a.text(), b.text()) })
	slices.SortStableFunc(r.GivenUp, func(a, b RuleRef) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Span.Start.Offset, b.Span.Start.Offset))
	})
	var sig strings.Builder
	for _, c := range r.Conflicts {
		sig.WriteString(c.text() + "; ")
	}
	sig.WriteString("| ")
	for _, g := range r.GivenUp {
		sig.WriteString(g.Rule + "; ")
	}
	t.sig = sig.String()
}
