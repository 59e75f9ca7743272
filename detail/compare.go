package detail

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Comparison says what a new edition of a book changes on some jobs: marks moved, counts and quantities, violations
// that come and go, and the lines of the rules behind each. It is written as JSON in the form of
// schema/compare.schema.json.
type Comparison struct {
	Format  int                `json:"format"` // 1
	Old     ComparedBook       `json:"old"`
	New     ComparedBook       `json:"new"`
	Jobs    []ComparedJob      `json:"jobs"`
	Takeoff []ComparedQuantity `json:"takeoff"` // of all jobs together that both editions lay; only what changes
}

// A ComparedBook is one of the editions.
type ComparedBook struct {
	Name    string `json:"name"`
	Edition string `json:"edition"`
	Digest  string `json:"digest"`
}

// A ComparedJob is what changes on one job.
type ComparedJob struct {
	Job        string              `json:"job"`
	OldRefused string              `json:"old_refused"` // why an edition can't lay it; "" if it can
	NewRefused string              `json:"new_refused"`
	Elements   []ComparedElement   `json:"elements"` // those laid otherwise
	Come       []ComparedViolation `json:"come"`     // violations that the new edition brings
	Gone       []ComparedViolation `json:"gone"`     // and those of which it gets rid
}

// A ComparedElement is an element that the new edition lays otherwise on a run.
type ComparedElement struct {
	Run     string         `json:"run"`
	Side    string         `json:"side"`
	Detail  string         `json:"detail"`
	Element string         `json:"element"`
	Old     int            `json:"old"` // how many marks, pieces, strips or beads there were
	New     int            `json:"new"`
	Moved   int            `json:"moved"` // those of them that stand elsewhere, or have another size
	Scopes  int            `json:"scopes"`
	First   string         `json:"first"` // the first scope in which something changes
	Lines   []ComparedLine `json:"lines"`
}

// A ComparedLine is a line of the rules behind a change: as it was, as it is; "" where it is new, or gone.
type ComparedLine struct {
	Old   string `json:"old"`
	OldAt string `json:"old_at"` // file:line:column
	New   string `json:"new"`
	NewAt string `json:"new_at"`
}

// A ComparedViolation is a violation of one edition only.
type ComparedViolation struct {
	Severity string         `json:"severity"`
	Rule     string         `json:"rule"`
	At       string         `json:"at"` // file:line:column of the rule
	Message  string         `json:"message"`
	Lines    []ComparedLine `json:"lines"` // what changed in the element's rules
}

// A ComparedQuantity is a quantity that changes; lengths are in the unit.
type ComparedQuantity struct {
	Item     string `json:"item"`
	Unit     string `json:"unit"`
	OldNet   string `json:"old_net"`
	NewNet   string `json:"new_net"`
	OldPacks string `json:"old_packs"`
	NewPacks string `json:"new_packs"`
}

// WriteJSON writes the comparison, indented.
func (c *Comparison) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(c)
}

// Compare lays jobs out by two editions of a book and says what changes. A job that an edition can't lay is listed with
// the reason. An error means that the context ended, or that quantities can't be added up.
func (o Options) Compare(ctx context.Context, old, new *rules.Book, jobs []*Job) (*Comparison, error) {
	c := &Comparison{Format: 1, Old: editionOf(old), New: editionOf(new)}
	c.Jobs, c.Takeoff = []ComparedJob{}, []ComparedQuantity{}
	var before, after []*Report
	for _, job := range jobs {
		was, err1 := o.Lay(ctx, old, job)
		now, err2 := o.Lay(ctx, new, job)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		one := ComparedJob{
			Job: job.Name, Elements: []ComparedElement{}, Come: []ComparedViolation{}, Gone: []ComparedViolation{},
		}
		if err1 != nil {
			one.OldRefused = err1.Error()
		}
		if err2 != nil {
			one.NewRefused = err2.Error()
		}
		if err1 == nil && err2 == nil {
			before, after = append(before, was), append(after, now)
			one.compare(was, now)
		}
		c.Jobs = append(c.Jobs, one)
	}
	if len(before) == 0 {
		return c, nil
	}
	was, err := AddUp(ctx, before...)
	if err != nil {
		return nil, err
	}
	now, err := AddUp(ctx, after...)
	if err != nil {
		return nil, err
	}
	c.quantities(was.Lines, now.Lines)
	return c, nil
}

func editionOf(b *rules.Book) ComparedBook { return ComparedBook{b.Name, b.Edition, b.Digest} }

// placed names an element on a run, or a scope of it.
type placed struct {
	run, side, detail, element string
	scope                      ScopeRef
}

// scopesBy are the scopes of a report by what they are of, and the elements in order.
func (r *Report) scopesBy() (by map[placed]int, elements []placed) {
	by = map[placed]int{}
	for i, sc := range r.Scopes {
		at := r.placed(sc)
		of := at
		of.scope = ScopeRef{}
		if !slices.Contains(elements, of) {
			elements = append(elements, of)
		}
		by[at] = i
	}
	return by, elements
}

// compare fills in what changes between two reports of one job.
func (c *ComparedJob) compare(was, now *Report) {
	old, elements := was.scopesBy()
	new, more := now.scopesBy()
	for _, e := range more {
		if !slices.Contains(elements, e) {
			elements = append(elements, e)
		}
	}
	changed := map[placed]*ComparedElement{}
	note := func(of placed, before, after []item) {
		e := placed{of.run, of.side, of.detail, of.element, ScopeRef{}}
		x := changed[e]
		if x == nil {
			x = &ComparedElement{Run: e.run, Side: e.side, Detail: e.detail, Element: e.element}
			changed[e] = x
		}
		x.Old, x.New = x.Old+len(before), x.New+len(after)
		if slices.Equal(before, after) {
			return
		}
		x.Moved += moved(before, after)
		if x.Scopes++; x.Scopes == 1 {
			x.First = first(of.scope.in(of.run, of.side), before, after)
		}
	}
	for i, sc := range was.Scopes {
		of := was.placed(sc)
		k, ok := new[of]
		if !ok {
			note(of, was.items(i), nil)
		} else {
			note(of, was.items(i), now.items(k))
		}
	}
	for i, sc := range now.Scopes {
		of := now.placed(sc)
		if _, ok := old[of]; !ok {
			note(of, nil, now.items(i))
		}
	}
	for _, e := range elements {
		if x := changed[e]; x != nil && x.Scopes > 0 {
			x.Lines = linesBehind(was.Book, now.Book, e.detail, e.element)
			c.Elements = append(c.Elements, *x)
		}
	}
	c.Gone = violationsLeft(was, now, was.Book, now.Book)
	c.Come = violationsLeft(now, was, was.Book, now.Book)
}

// placed names a scope.
func (r *Report) placed(sc Scope) placed {
	p := &r.Placements[sc.Placement]
	return placed{p.Run.ID, p.SideID(), p.Detail.Name, p.Element.Name, ScopeRef{sc.Kind, sc.N}}
}

// An item is a mark, piece, strip or bead: where it lies and how long it is.
type item struct{ from, length units.Length }

// items are the marks, pieces, strips or beads of a scope.
func (r *Report) items(i int) []item {
	sc := r.Scopes[i]
	list := []item{}
	for k := sc.First; k < sc.Last; k++ {
		switch r.Placements[sc.Placement].Element.Kind {
		case rules.Row:
			list = append(list, item{from: r.Marks[k].At})
		case rules.Pieces:
			p := &r.Pieces[k]
			list = append(list, item{p.From, ticks(p.To.Ticks() - p.From.Ticks())})
		case rules.Strip:
			list = append(list, item{r.Strips[k].From, r.Strips[k].Length})
		default:
			list = append(list, item{r.Beads[k].At, r.Beads[k].Length})
		}
	}
	return list
}

// moved counts those that stand elsewhere, beside those that are added or taken away.
func moved(before, after []item) int {
	left := slices.Clone(before)
	for _, x := range after {
		if i := slices.Index(left, x); i >= 0 {
			left = slices.Delete(left, i, i+1)
		}
	}
	kept := len(before) - len(left)
	return min(len(before), len(after)) - kept
}

// first says in a sentence what changes in a scope.
func first(where string, before, after []item) string {
	text := func(list []item, i int) string {
		if i >= len(list) {
			return "nothing"
		}
		if list[i].length.IsZero() {
			return list[i].from.String()
		}
		return list[i].length.String() + " long at " + list[i].from.String()
	}
	i := 0
	for i < min(len(before), len(after)) && before[i] == after[i] {
		i++
	}
	return fmt.Sprintf("%s: %s was %s", where, text(after, i), text(before, i))
}

// violationsLeft are the violations of a report that another hasn't.
func violationsLeft(r, other *Report, old, new *rules.Book) []ComparedViolation {
	key := func(v *Violation) string {
		return v.Severity + v.Rule + v.Message(units.In) + v.From.String() + v.To.String()
	}
	seen := map[string]int{}
	for i := range other.Violations {
		seen[key(&other.Violations[i])]++
	}
	list := []ComparedViolation{}
	for i := range r.Violations {
		v := &r.Violations[i]
		if k := key(v); seen[k] > 0 {
			seen[k]--
			continue
		}
		list = append(list, ComparedViolation{
			v.Severity, v.Rule, v.Span.String(), v.Message(units.In), linesBehind(old, new, v.Detail, v.Element),
		})
	}
	return list
}

// quantities compares two takeoffs.
func (c *Comparison) quantities(old, new []Quantity) {
	type line struct{ item, unit string }
	type sum struct{ net, packs [2]decimal.Decimal }
	sums := map[line]*sum{}
	var order []line
	for which, list := range [][]Quantity{old, new} {
		for _, q := range list {
			l := line{q.Item.Name, q.Unit}
			if sums[l] == nil {
				sums[l] = &sum{}
				order = append(order, l)
			}
			s := sums[l]
			s.net[which], s.packs[which] = s.net[which].Add(q.Net), s.packs[which].Add(q.Packs)
		}
	}
	for _, l := range order {
		if s := sums[l]; !s.net[0].Equal(s.net[1]) || !s.packs[0].Equal(s.packs[1]) {
			c.Takeoff = append(c.Takeoff, ComparedQuantity{
				l.item, l.unit, plainDecimal(s.net[0]), plainDecimal(s.net[1]), plainDecimal(s.packs[0]), plainDecimal(s.packs[1]),
			})
		}
	}
}
