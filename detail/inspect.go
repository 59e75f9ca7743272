package detail

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// An Inspection is what was measured on a finished roof, held against the rules.
type Inspection struct {
	// Report is what was measured, in a report's form: its marks, pieces, strips and beads, and as violations what
	// fails. It has no takeoff, patterns or steps.
	Report     *Report
	Tolerance  units.Length
	Judged     int // scopes that were measured and held against the rules
	Unmeasured []Unmeasured
	Mends      []Mend
}

// Unmeasured says of which scopes of an element, or of which rule in them, the measurements tell nothing.
type Unmeasured struct {
	Run, Side, Detail, Element string
	Kind                       string // of the scopes: run side rib panel piece gap lap mark end
	Scopes                     []int  // their numbers; nil where they can't be counted
	Rule                       string // the rule that could not be judged; "" where nothing was
	Why                        string
}

// A Mend is what to do about the musts that fail in one scope: the fewest marks to add, and what no added mark mends.
// What it adds keeps the rules outright, without use of the tolerance.
type Mend struct {
	Run, Side, Detail, Element string
	Scope                      ScopeRef
	Add                        []units.Length // stations, ascending
	Stuck                      []Violation    // to be moved, taken out or made anew
}

// Inspect holds what was measured on a finished roof against the rules, with the default Options.
func Inspect(ctx context.Context, book *rules.Book, job *Job, m *Measured) (*Inspection, error) {
	return Options{}.Inspect(ctx, book, job, m)
}

// Inspect holds what was measured on a finished roof against the rules that lay a job out, and not against a layout:
// whatever keeps the rules passes, and `mark` and `lay` ask nothing. What fails is a violation of the Inspection's
// Report; what fails by no more than the tolerance is advice. What was not measured is listed and not passed.
//
// A *JobErrors names measurements that don't fit the book and the job: an unknown run, side, detail, element or scope,
// stations out of order. Other errors are as of Lay.
func (o Options) Inspect(ctx context.Context, book *rules.Book, job *Job, m *Measured) (*Inspection, error) {
	l, bindings, err := o.begin(ctx, book, job)
	if err != nil {
		return nil, err
	}
	in := &inspector{layer: l, out: &Inspection{Report: l.rep, Tolerance: m.Tolerance}, taken: map[spot][]*Measure{},
		fields: map[onField]bool{}, seen: map[*work]*sight{}, tries: maxTries}
	in.filling = chain.Solver{MaxWork: mendWork, ConflictChecks: 1}
	m.check(&in.errs)
	in.take(bindings, m)
	if err := in.errs.err(); err != nil {
		return nil, err
	}
	for _, group := range byRun(l.rep.Runs, bindings) {
		if err := in.inspect(group); err != nil {
			return nil, err
		}
	}
	if err := in.errs.err(); err != nil {
		return nil, err
	}
	l.finish(bindings)
	l.rep.Steps = nil
	l.rep.Cautions = appendNew(l.rep.Cautions,
		"An inspection tells of what was measured and of nothing else. What the local code asks to be inspected, "+
			"and what an engineer designed, is for those licensed to judge it.")
	return in.out, nil
}

// An inspector holds measurements against one job.
type inspector struct {
	*layer
	out     *Inspection
	errs    JobErrors
	taken   map[spot][]*Measure
	fields  map[onField]bool // of which something was measured
	seen    map[*work]*sight
	tries   int
	filling chain.Solver // of mends: it looks for no conflict, and less far
}

// A spot is where an element stands.
type spot struct {
	*binding
	element *rules.Element
	side    int
}

// An onField is a detail on the field of a plane: on all the runs there.
type onField struct {
	detail *rules.Detail
	plane  *geom.Plane
}

// A sight is what is known of a placement. A placement of which nothing is known has none.
type sight struct {
	hidden []band // its scopes that were not measured
	mends  []Mend
}

// take gives each measurement to the element that it is of.
func (in *inspector) take(bindings []*binding, m *Measured) {
	for i := range m.List {
		x := &m.List[i]
		at := x.Place
		if at.Pointer == "" && at.Line == 0 {
			at.Pointer = "/measured/" + strconv.Itoa(i)
		}
		if s, ok := in.spot(bindings, x, at); ok {
			in.taken[s] = append(in.taken[s], x)
			if s.plane != nil {
				in.fields[onField{s.detail, s.plane}] = true
			}
		}
	}
}

// spot finds where a measured element stands, or says what is wrong with its names.
func (in *inspector) spot(bindings []*binding, x *Measure, at Place) (spot, bool) {
	wrong := func(key, found string, known []string, format string, args ...any) (spot, bool) {
		msg := fmt.Sprintf(format, args...)
		in.errs.add(&JobError{Place: at.part(key), Msg: msg, Suggestion: nearest(found, known)})
		return spot{}, false
	}
	var runs, details, elements, sides []string
	var b *binding
	for _, other := range bindings {
		if other.run.ID != x.Run {
			continue
		}
		details = append(details, other.detail.Name)
		if other.detail.Name == x.Detail {
			b = other
		}
	}
	if details == nil {
		for _, r := range in.rep.Runs {
			runs = append(runs, r.ID)
		}
		if slices.Contains(runs, x.Run) {
			return wrong("run", "", nil, "no detail goes on the run %q", x.Run)
		}
		return wrong("run", x.Run, runs, "no run has the id %q", x.Run)
	}
	if b == nil {
		return wrong("detail", x.Detail, details, "the detail %q is not on the run %q", x.Detail, x.Run)
	}
	if b.run.Length.Ticks() > farthest {
		return wrong("run", "", nil, "the run %q is too long to be inspected: want at most 100 km", x.Run)
	}
	var e *rules.Element
	for _, other := range b.detail.Elements {
		elements = append(elements, other.Name)
		if other.Name == x.Element {
			e = other
		}
	}
	if e == nil {
		return wrong("element", x.Element, elements, "the detail %s has no element %q", x.Detail, x.Element)
	}
	s := spot{b, e, -2}
	for _, side := range b.standing(e) {
		id := sideID(b.run, side)
		if sides = append(sides, id); id == x.Side {
			s.side = side
		}
	}
	switch {
	case s.side == -2 && x.Side == "":
		return wrong("side", "", nil, "%s stands on each side: say on which it was measured, %q or %q", x.Element,
			sides[0], sides[len(sides)-1])
	case s.side == -2 && sides[0] == "":
		return wrong("side", "", nil, `%s spans the run's sides: leave the side out`, x.Element)
	case s.side == -2:
		return wrong("side", x.Side, sides, "the run %q has no side %q", x.Run, x.Side)
	}
	for _, other := range in.taken[s] {
		if x.Scopes == nil || other.Scopes == nil {
			return wrong("element", "", nil,
				"%s is measured twice; only measurements that name different scopes go together", x.Element)
		}
		for _, n := range x.Scopes {
			if slices.Contains(other.Scopes, n) {
				return wrong("scopes", "", nil, "scope %d of %s is measured twice", n, x.Element)
			}
		}
	}
	along := e.Scope.Of == "run" || e.Scope.Of == "side"
	if x.Part != nil && !along {
		return wrong("from", "", nil, "%s stands %s each %s: say by their numbers which of them were measured",
			x.Element, e.Scope.How, e.Scope.Of)
	}
	holds := map[rules.Kind]int{rules.Row: len(x.At), rules.Pieces: len(x.Pieces),
		rules.Strip: len(x.Pieces) + len(x.Strips), rules.Bead: len(x.Beads)}
	if x.count() > holds[e.Kind] {
		keys := map[rules.Kind]string{rules.Row: "at", rules.Pieces: "pieces", rules.Strip: "strips",
			rules.Bead: "beads"}
		return wrong("element", "", nil, "%s is measured by %q", x.Element, keys[e.Kind])
	}
	return s, true
}

// standing are the sides on which an element will stand, -1 where it spans them.
func (b *binding) standing(e *rules.Element) []int {
	for e.Scope.Name != nil {
		for _, other := range b.detail.Elements {
			if other.Name == e.Scope.Name.Text {
				e = other
				break
			}
		}
	}
	return b.sides(e.Scope)
}

// inspect judges all that was measured on one run.
func (in *inspector) inspect(bindings []*binding) error {
	var some []*binding
	for _, b := range bindings {
		// What a detail for the field requires is of the plane as a whole, on which nothing stands, and of penetrations.
		found := b.plane != nil && b.run.Edge != geom.RibLine && in.fields[onField{b.detail, b.plane}]
		for _, i := range b.detail.Order {
			e := b.detail.Elements[i]
			for _, side := range b.sides(e.Scope) {
				w := in.newWork(b, e, side)
				if err := in.placement(w, in.taken[spot{b, e, side}]); err != nil {
					return err
				}
				found = found || in.taken[spot{b, e, side}] != nil
			}
		}
		if found {
			some = append(some, b)
		}
	}
	if some == nil {
		return nil
	}
	for side := -1; side < len(some[0].run.Sides); side++ {
		for _, b := range some {
			for _, e := range b.detail.Elements {
				for _, w := range b.work[e.Name] {
					if s := in.seen[w]; s != nil && w.side == side {
						in.out.Mends = append(in.out.Mends, s.mends...)
					}
				}
			}
		}
	}
	return in.gather(some)
}

// A patch is one scope of a placement that is inspected, and what was found in it.
type patch struct {
	Scope
	left      bool   // the rules leave it out
	why       string // and this is why
	listed    bool   // it was measured whatever was found there
	part      *band  // of which only this was measured
	at        []int64
	beads     []Bead
	stretches []stretch // of pieces and strips, and of beads along a scope
	limits    *limits
	row       chain.Row // of a row along or in its scope
}

func (p *patch) measured() bool {
	return p.listed || len(p.at)+len(p.beads)+p.covered() > 0
}

// covered is how many pieces or strips were found.
func (p *patch) covered() (n int) {
	for _, c := range p.stretches {
		n += len(c.found)
	}
	return n
}

// placement judges what was measured of one placement.
func (in *inspector) placement(w *work, taken []*Measure) error {
	if on := in.hiddenName(w); on != "" {
		why := "not measured"
		if taken != nil {
			why = on + " is not measured, so that there is no telling where this belongs"
		}
		in.unmeasured(w, nil, "", why)
		return nil
	}
	if w.element.Scope.How == "around" {
		in.unmeasured(w, nil, "", "what goes round a penetration is not inspected by this version")
		return nil
	}
	scopes := w.enumerate()
	if taken == nil {
		var n []int
		for _, sc := range scopes {
			p, err := in.patch(w, sc)
			if err != nil {
				return err
			}
			if !p.left {
				n = append(n, sc.N)
			}
		}
		if n != nil {
			in.unmeasured(w, n, "", "not measured")
		} else {
			in.seen[w] = &sight{} // all that there is to know: it stands nowhere
		}
		return nil
	}
	s := &sight{}
	in.seen[w] = s
	places, err := in.places(w, scopes)
	if err != nil {
		return err
	}
	all, byN := make([]*patch, len(places)), make(map[int]*patch, len(places))
	for i := range places {
		all[i], byN[places[i].N] = &places[i], &places[i]
	}
	for _, m := range taken {
		if err := in.spend(m.count()); err != nil {
			return err
		}
		if err := in.sort(w, all, byN, m); err != nil {
			return err
		}
	}
	var not []int
	for i := range places {
		if i%1024 == 0 && in.ctx.Err() != nil {
			return in.ctx.Err()
		}
		p := &places[i]
		switch {
		case !p.measured() && p.left:
			w.skip(p.Scope, p.why)
			continue
		case !p.measured():
			not = append(not, p.N)
			s.hidden = append(s.hidden, p.band())
			continue
		case !p.left:
			in.out.Judged++
		}
		if p.part != nil {
			why := fmt.Sprintf("measured from %s to %s only", ticks(p.part.From), ticks(p.part.To))
			in.unmeasured(w, []int{p.N}, "", why)
			s.hidden = append(s.hidden, band{-farthest, p.part.From}, band{p.part.To, farthest})
		}
		if err := in.judge(w, p); err != nil {
			return err
		}
	}
	if not != nil {
		in.unmeasured(w, not, "", "not measured")
	}
	return in.blind(w, places)
}

// places are the scopes of a placement, none of them measured so far. Those that touch what was not measured of the
// element that they come from are no scopes of the roof: they are left to be measured.
func (in *inspector) places(w *work, scopes []Scope) ([]patch, error) {
	var hidden []band
	if name := w.element.Scope.Name; name != nil {
		if s := in.seen[w.referred()]; s != nil {
			hidden = s.hidden
		}
	}
	var list []patch
	var not []int
	for _, sc := range scopes {
		if overlaps(hidden, sc.band()) {
			not = append(not, sc.N)
			continue
		}
		p, err := in.patch(w, sc)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	if not != nil {
		in.unmeasured(w, not, "", w.element.Scope.Name.Text+" is not measured throughout")
	}
	return list, nil
}

// patch is a scope of which nothing is known so far.
func (in *inspector) patch(w *work, sc Scope) (patch, error) {
	p := patch{Scope: sc}
	var err error
	p.why, p.left, err = in.layer.left(w, &p.Scope)
	at := w.element.Scope.How == "at"
	switch {
	case p.left || err != nil:
	case at && w.element.Kind == rules.Row && (len(w.obstacles) > 0 || w.hole != nil):
		var first, n, gap int64
		if _, first, n, gap, err = in.targets(w, &p.Scope); err == nil {
			p.why, p.left = w.barred(&p.Scope, first, n, gap)
		}
	case !at && w.element.Kind != rules.Row:
		var covers []band
		covers, err = w.covers(&p.Scope)
		for _, c := range covers {
			p.stretches = append(p.stretches, stretch{band: c})
		}
		p.left = len(covers) == 0
		p.why = "extend leaves nothing"
	}
	return p, err
}

// overlaps tells whether a band shares more than a border with any of the others.
func overlaps(bands []band, b band) bool {
	return slices.ContainsFunc(bands, func(o band) bool { return o.From < b.To && b.From < o.To })
}

// hiddenName is the element that a placement's scopes come from, where nothing is known of it.
func (in *inspector) hiddenName(w *work) string {
	if name := w.element.Scope.Name; name != nil && in.seen[w.referred()] == nil {
		return name.Text
	}
	return ""
}

func (in *inspector) unmeasured(w *work, scopes []int, rule, why string) {
	in.out.Unmeasured = append(in.out.Unmeasured, Unmeasured{
		Run: w.run.ID, Side: sideID(w.run, w.side), Detail: w.detail.Name, Element: w.element.Name,
		Kind: w.element.Scope.Of, Scopes: scopes, Rule: rule, Why: why,
	})
}

// sort gives what a measurement found to the scopes that it lists, or to all.
func (in *inspector) sort(w *work, of []*patch, byN map[int]*patch, m *Measure) error {
	if m.Scopes != nil {
		of = nil
		for _, n := range slices.Sorted(slices.Values(m.Scopes)) {
			p := byN[n]
			if p == nil {
				in.errs.add(&JobError{Place: m.Place.part("scopes"),
					Msg: fmt.Sprintf("%s has no %s %d to be measured: there are %d", w.element.Name, w.element.Scope.Of, n, len(byN))})
				continue
			}
			p.listed = true
			of = append(of, p)
		}
	}
	if w.element.Scope.Of == "run" || w.element.Scope.Of == "side" {
		for _, p := range of {
			p.listed = true
			if m.Part != nil {
				p.part = &band{m.Part[0].Ticks(), m.Part[1].Ticks()}
			}
		}
	}
	if len(of) == 0 {
		if m.count() > 0 {
			in.errs.add(&JobError{Place: m.Place,
				Msg: fmt.Sprintf("%s stands nowhere on the run %q, so there is nothing to measure", w.element.Name, w.run.ID)})
		}
		return nil
	}
	switch w.element.Kind {
	case rules.Row:
		return in.sortMarks(w, of, m)
	case rules.Bead:
		return in.sortBeads(w, of, m)
	}
	found := m.Strips
	for _, p := range m.Pieces {
		found = append(found, Strip{From: p.From, To: p.To, Length: ticks(p.To.Ticks() - p.From.Ticks())})
	}
	in.sortPieces(of, found)
	return nil
}

// judge holds one scope against the rules and keeps what was found in it.
func (in *inspector) judge(w *work, p *patch) error {
	before := len(w.broken)
	first := map[rules.Kind]int{rules.Row: len(w.marks), rules.Pieces: len(w.pieces), rules.Strip: len(w.strips),
		rules.Bead: len(w.beads)}
	p.First = first[w.element.Kind]
	p.Last = p.First + len(p.at) + len(p.beads) + p.covered()
	w.marks = append(w.marks, p.at...)
	w.beads = append(w.beads, p.beads...)
	w.keep(p)
	w.scopes = append(w.scopes, p.Scope)
	var add []int64
	var err error
	switch {
	case p.left:
		in.surplus(w, p)
	case w.element.Kind == rules.Row && w.element.Scope.How == "at":
		add, err = in.judgeStation(w, p)
	case w.element.Kind == rules.Row:
		add, err = in.judgeRow(w, p)
	case w.element.Kind == rules.Bead:
		err = in.judgeBeads(w, p)
	default:
		err = in.judgeCover(w, p)
	}
	if err != nil {
		return err
	}
	return in.mend(w, p, w.broken[before:], add)
}

// find keeps what fails; by no more than the tolerance, as advice.
func (in *inspector) find(w *work, p *patch, v Violation) {
	if p.unseen(&v) {
		return
	}
	if v.Severity == "must" && v.By.Text == "" && !in.out.Tolerance.IsZero() && v.By.Length.Cmp(in.out.Tolerance) <= 0 {
		v.Severity, v.Tolerated = "should", true
	}
	w.broken = append(w.broken, v)
}

// unseen tells whether a violation lies, if only in part, where nothing was measured.
func (p *patch) unseen(v *Violation) bool {
	return p.part != nil && v.Measure != "count" && (v.From.Ticks() < p.part.From || v.To.Ticks() > p.part.To)
}

// own is a line for what an element itself asks, where no rule of it does.
func (w *work) own() line {
	return line{name: w.detail.Name + "." + w.element.Name, span: w.element.Span}
}

// surplus finds fault with all that stands in a scope that the rules leave out.
func (in *inspector) surplus(w *work, p *patch) {
	one := func(from, to int64) {
		v := w.blame(p.Scope, w.own(), "should", from, to)
		v.Measure, v.What, v.Required, v.Found, v.By = "when", "what stands here", Amount{Text: "nothing (left out: " + p.why + ")"}, Amount{Text: "one"}, Amount{Text: "1"}
		in.find(w, p, v)
	}
	for _, x := range p.at {
		if o, ok := w.inside(x, x); ok {
			in.find(w, p, w.inObstacle(p.Scope, o, x, x))
		} else {
			one(x, x)
		}
	}
	for _, c := range p.stretches {
		for _, x := range c.found {
			one(x.From.Ticks(), x.To.Ticks())
		}
	}
	for _, x := range p.beads {
		one(x.At.Ticks(), x.At.Ticks())
	}
}

// blind lists the rules that could not be judged, because what they are measured from was not.
func (in *inspector) blind(w *work, places []patch) error {
	for _, ln := range w.lines {
		r := ln.rule
		if r == nil || r.From == nil || r.From.Name == nil {
			continue
		}
		var not []int
		for i := range places {
			p := &places[i]
			if p.left || !p.measured() {
				continue
			}
			b, err := w.bound(r, &p.Scope, 0)
			if err != nil {
				return err
			}
			near := band{p.From.Ticks() - b.min, p.To.Ticks() + b.min}
			for _, o := range w.beside(r.From.Name.Text) {
				if s := in.seen[o]; s == nil || touches(s.hidden, near.From, near.To) {
					not = append(not, p.N)
					break
				}
			}
		}
		if not != nil {
			in.unmeasured(w, not, ln.name, r.From.Name.Text+" is not measured there")
		}
	}
	return nil
}
