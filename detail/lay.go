package detail

import (
	"cmp"
	"context"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// Lay lays a job out by a book, with the default Options.
func Lay(ctx context.Context, book *rules.Book, job *Job) (*Report, error) {
	return Options{}.Lay(ctx, book, job)
}

// Lay lays a job out by a book. What can't be met is in the report's Violations; an error means that the job and
// the book don't fit each other, that a limit was reached (ErrLimit), or that the context ended.
func (o Options) Lay(ctx context.Context, book *rules.Book, job *Job) (*Report, error) {
	l, bindings, err := o.begin(ctx, book, job)
	if err != nil {
		return nil, err
	}
	for _, group := range byRun(l.rep.Runs, bindings) {
		if err := l.run(group); err != nil {
			return nil, err
		}
	}
	if err := l.takeoff(); err != nil {
		return nil, err
	}
	if err := l.movement(); err != nil {
		return nil, err
	}
	l.finish(bindings)
	return l.rep, nil
}

// begin checks a job, decides which details go on which of its runs, and starts a report without any of them.
func (o Options) begin(ctx context.Context, book *rules.Book, job *Job) (*layer, []*binding, error) {
	l := &layer{ctx: ctx, limits: o.Limits.orDefault(), took: o.took, book: book, files: map[string]int{}, solved: map[string]*solution{}}
	l.solver.ConflictChecks = l.limits.ConflictWork
	for i, f := range book.Files {
		l.files[f.Name] = i
	}
	job = job.copied()
	on, err := job.check(l.limits)
	if err != nil {
		return nil, nil, err
	}
	bindings, bare, err := bind(book, job, on)
	if err != nil {
		return nil, nil, err
	}
	for _, b := range bindings {
		b.took, b.cells = l.took, cells(b.run)
		for _, s := range b.run.Sides {
			b.panels = append(b.panels, s.Panels(b.run.Length))
		}
		b.work = map[string][]*work{}
	}
	l.rep = &Report{
		Book: book, Job: job.Name, Runs: on.laid(bindings), Planes: job.Planes, Stock: job.Stock, Heat: job.Heat, Bare: bare,
	}
	return l, bindings, nil
}

// A layer lays one job.
type layer struct {
	ctx            context.Context
	limits         Limits
	took           map[rules.Node]bool // if not nil: the rules and requirements that took part
	book           *rules.Book
	files          map[string]int // a file's place in the order of reading
	rep            *Report
	solver         chain.Solver
	solved         map[string]*solution // equal scopes are solved once
	key            []byte
	room           limits // of the row being laid
	marks          int
	musts, shoulds int // violations kept
}

// binding is a detail on a run, with its inputs.
type binding struct {
	detail *rules.Detail
	run    *geom.Run
	inputs map[string]rules.Value
	plane  *geom.Plane         // whose field the run is of; else nil
	hole   *geom.Penetration   // that the run is; else nil
	took   map[rules.Node]bool // the layer's
	cells  []cell
	panels [][]geom.Panel     // of each side
	work   map[string][]*work // an element's placements, by the element's name
}

// work is what has been laid of one placement, before the report's tables are filled.
type work struct {
	*binding
	element   *rules.Element
	side      int
	lines     []line  // the element's rules in the order of their places
	order     []int64 // marks, sorted
	bands     []band  // laps
	obstacles []geom.Obstacle
	scopes    []Scope
	marks     []int64
	pieces    []Piece
	strips    []Strip
	beads     []Bead
	keepOuts  []KeepOut
	why       []Why
	broken    []Violation
	skipped   []Skip
}

// byRun gathers the bindings of each run, in the job's order.
func byRun(runs []*geom.Run, bindings []*binding) [][]*binding {
	of := map[*geom.Run][]*binding{}
	for _, b := range bindings {
		of[b.run] = append(of[b.run], b)
	}
	var groups [][]*binding
	for _, r := range runs {
		if g := of[r]; g != nil {
			groups = append(groups, g)
		}
	}
	return groups
}

// run lays all details of one run and adds them to the report.
func (l *layer) run(bindings []*binding) error {
	for _, b := range bindings {
		for _, i := range b.detail.Order {
			if err := l.element(b, b.detail.Elements[i]); err != nil {
				return err
			}
		}
	}
	return l.gather(bindings)
}

// gather adds what stands on one run to the report, side by side.
func (l *layer) gather(bindings []*binding) error {
	for side := -1; side < len(bindings[0].run.Sides); side++ {
		for _, b := range bindings {
			if err := l.require(b, side); err != nil {
				return err
			}
			for _, e := range b.detail.Elements {
				for _, w := range b.work[e.Name] {
					if w.side == side {
						if err := l.add(w); err != nil {
							return err
						}
					}
				}
			}
		}
	}
	return nil
}

// element lays one element of a detail on each side that it stands on.
func (l *layer) element(b *binding, e *rules.Element) error {
	for _, side := range b.sides(e.Scope) {
		w := l.newWork(b, e, side)
		for i, sc := range w.enumerate() {
			if i%1024 == 0 && l.ctx.Err() != nil {
				return l.ctx.Err()
			}
			if err := l.scope(w, sc); err != nil {
				return err
			}
		}
	}
	return nil
}

// newWork starts the placement of an element on a side.
func (l *layer) newWork(b *binding, e *rules.Element, side int) *work {
	w := &work{binding: b, element: e, side: side, obstacles: obstaclesOf(b.run, side)}
	b.work[e.Name] = append(b.work[e.Name], w)
	w.lines = l.lines(w)
	return w
}

// scope lays one scope, or lists it as left out.
func (l *layer) scope(w *work, sc Scope) error {
	if why, out, err := l.left(w, &sc); err != nil || out {
		if out {
			w.skip(sc, why)
		}
		return err
	}
	switch w.element.Kind {
	case rules.Row:
		switch w.element.Scope.How {
		case "at":
			return l.station(w, sc)
		case "around":
			return l.around(w, sc)
		}
		return l.row(w, sc)
	case rules.Pieces:
		return l.pieces(w, sc)
	case rules.Strip:
		return l.strip(w, sc)
	default:
		return l.bead(w, sc)
	}
}

// left tells whether a scope is left out, whatever would stand there, and why. One round a penetration gets its ring.
func (l *layer) left(w *work, sc *Scope) (why string, out bool, err error) {
	if id, ok := w.covered(*sc); ok {
		return "obstacle " + id, true, nil
	}
	if w.element.Scope.How == "around" {
		if id, err := w.surround(sc); err != nil || id != "" {
			return "obstacle " + id, err == nil, err
		}
	}
	when := w.element.When
	if when == nil {
		return "", false, nil
	}
	on, err := w.anywhere(when, *sc)
	return l.source(when.Pos()), err == nil && !on, err
}

func (w *work) skip(sc Scope, why string) {
	w.skipped = append(w.skipped, Skip{Scope: ScopeRef{sc.Kind, sc.N}, When: why})
}

// source is the text of a stretch of a rule file.
func (l *layer) source(s rules.Span) string {
	if i, ok := l.files[s.File]; ok {
		if src := l.book.Files[i].Source; s.Start.Offset <= s.End.Offset && s.End.Offset <= len(src) {
			return string(src[s.Start.Offset:s.End.Offset])
		}
	}
	return ""
}

// add appends a placement to the report's tables.
func (l *layer) add(w *work) error {
	r := l.rep
	p := int32(len(r.Placements))
	r.Placements = append(r.Placements, Placement{Run: w.run, Side: w.side, Detail: w.detail, Element: w.element})
	base := int32(len(r.Scopes))
	marks, pieces, strips, beads := len(r.Marks), len(r.Pieces), len(r.Strips), len(r.Beads)
	r.Marks = slices.Grow(r.Marks, len(w.marks))[:marks+len(w.marks)]
	for i, sc := range w.scopes {
		sc.Placement = p
		switch w.element.Kind {
		case rules.Row:
			for k := sc.First; k < sc.Last; k++ {
				if k%many == 0 && l.ctx.Err() != nil {
					return l.ctx.Err()
				}
				r.Marks[marks+k] = Mark{At: ticks(w.marks[k]), Scope: base + int32(i)}
			}
			sc.First, sc.Last = sc.First+marks, sc.Last+marks
		case rules.Pieces:
			for _, x := range w.pieces[sc.First:sc.Last] {
				x.Scope = base + int32(i)
				r.Pieces = append(r.Pieces, x)
			}
			sc.First, sc.Last = sc.First+pieces, sc.Last+pieces
		case rules.Strip:
			for _, x := range w.strips[sc.First:sc.Last] {
				x.Scope = base + int32(i)
				r.Strips = append(r.Strips, x)
			}
			sc.First, sc.Last = sc.First+strips, sc.Last+strips
		case rules.Bead:
			for _, x := range w.beads[sc.First:sc.Last] {
				x.Scope = base + int32(i)
				r.Beads = append(r.Beads, x)
			}
			sc.First, sc.Last = sc.First+beads, sc.Last+beads
		}
		r.Scopes = append(r.Scopes, sc)
	}
	slices.SortStableFunc(w.keepOuts, func(a, b KeepOut) int { return cmp.Compare(a.Rule, b.Rule) })
	for _, k := range w.keepOuts {
		k.Placement = p
		r.KeepOuts = append(r.KeepOuts, k)
	}
	for _, y := range w.why {
		y.Scope += base
		r.Why = append(r.Why, y)
	}
	for _, s := range w.skipped {
		s.Placement = p
		r.Skipped = append(r.Skipped, s)
	}
	for _, v := range w.broken {
		l.violate(v)
	}
	if w.element.Kind != rules.Row {
		return nil
	}
	patterns, err := l.patterns(w, p)
	r.Patterns = append(r.Patterns, patterns...)
	return err
}

// violate keeps a violation, or counts it where there are too many to keep.
func (l *layer) violate(v Violation) {
	kept, more := &l.musts, &l.rep.UnlistedMust
	if v.Severity == "should" {
		kept, more = &l.shoulds, &l.rep.UnlistedShould
	}
	if *kept >= l.limits.Violations {
		*more++
		return
	}
	*kept++
	l.rep.Violations = append(l.rep.Violations, v)
}

// spend counts marks and pieces against the limit.
func (l *layer) spend(n int) error {
	if l.marks += n; l.marks > l.limits.Marks {
		return limitError("marks and pieces in a report", "Marks", l.limits.Marks)
	}
	return nil
}

// ticks is a length that is known to be within bounds: a station of a run, or a difference of two.
func ticks(t int64) units.Length {
	v, err := units.FromTicks(t)
	if err != nil {
		panic("detail: a length on a run that was checked is over 1,000 km")
	}
	return v
}
