package verify_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// TestEveryChangeIsJudged changes one thing in each scope of random layouts: a mark or the end of a piece is moved, one
// is taken out, one put in. What inspection then finds is what breaks the rules by the independent reading of them, no
// more and no less; and what it would add mends all but what it says no mark mends, with no fewer marks.
func TestEveryChangeIsJudged(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	n := 60
	if testing.Short() {
		n = 3
	}
	c := &changes{broken: map[string]int{}}
	most := n
	if !testing.Short() {
		most = 10 * n // more of those elements whose measures have not been broken often enough
	}
	for i := range most {
		if i >= n && c.enough() {
			break
		}
		g := &generator{rand.New(rand.NewPCG(seed, uint64(i)))}
		source, job := g.book(), g.job()
		book, j, r, err := laid(t, source, job)
		if errors.Is(err, detail.ErrLimit) {
			continue
		}
		require.NoError(t, err)
		c.t, c.g, c.book, c.job, c.where = t, g, book, j, func() string { return source + "\n" + job }
		for _, e := range book.Details[0].Elements {
			if e.Kind == rules.Row || e.Kind == rules.Pieces {
				rounds := 1
				ended := slices.ContainsFunc(e.Rules, func(x *rules.Rule) bool { return x.Measure == rules.End })
				switch {
				case e.Kind == rules.Pieces && e.Scope.Of == "run":
					rounds = 20
				case ended || e.Kind == rules.Pieces:
					rounds = 4
				}
				if i >= n && rounds == 1 {
					continue
				}
				for range rounds {
					c.ended = ended
					c.element(r, e)
				}
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d, case %d\n%s", seed, i, c.where())
		}
	}
	t.Logf("%d changed scopes, %d of them break no rule; broken, by measure: %v", c.scopes, c.fine, c.broken)
	t.Logf("%d mends, %d marks in them; %d tried against all smaller sets", c.mends, c.marks, c.tried)
	require.Greater(t, c.fine, c.scopes/50)
	if !testing.Short() {
		require.Greater(t, c.scopes, 10_000)
		require.Greater(t, c.tried, 10)
		require.True(t, c.enough())
	}
}

type changes struct {
	t                                 *testing.T
	g                                 *generator
	book                              *rules.Book
	job                               *detail.Job
	where                             func() string
	scopes, fine, mends, marks, tried int
	broken                            map[string]int // by measure
	ended                             bool           // the element has a rule on its ends: they are changed more often
}

// enough tells whether each measure was broken a thousand times.
func (c *changes) enough() bool {
	return !slices.ContainsFunc([]string{"spacing", "count", "end", "clear", "lap", "length", "extend", "offset"}, func(measure string) bool {
		return c.broken[measure] < 1000
	})
}

// element changes each scope of an element.
func (c *changes) element(r *detail.Report, e *rules.Element) {
	d := c.book.Details[0]
	changed := rebuilt(r, func(s detail.Scope, marks []units.Length, pieces []detail.Piece) ([]units.Length, []detail.Piece) {
		if r.Placements[s.Placement].Element == e {
			return c.change(s, marks), c.cut(pieces)
		}
		return marks, pieces
	})
	in := c.inspect(changed, verify.Needs(d, e.Name))
	if in == nil {
		return
	}
	found := byScope(in.Report.Violations, e.Name)
	want := verify.Scopes(changed, c.job, e.Name)
	for _, x := range want {
		sc := changed.Scopes[x.Scope]
		got := found[c.key(changed, sc)]
		c.scopes++
		if len(got) == 0 && len(x.Broken)+len(x.Shape) == 0 {
			c.fine++
		}
		var named, other []string
		for _, v := range got {
			if v.Severity == "must" || v.Rule != d.Name+"."+e.Name {
				c.broken[v.Measure]++
			}
			own := v.Rule == d.Name+"."+e.Name || strings.HasPrefix(v.Rule, "obstacle ") || v.Measure == "extend" || v.Measure == "cover"
			switch {
			case e.Kind == rules.Row && e.Scope.How == "at" && v.Measure != "clear":
				own = true
			case sc.First == sc.Last && v.Measure == "count":
				continue
			}
			if !own {
				named = append(named, verify.Violation(v))
			} else if v.Severity == "must" {
				other = append(other, v.Message(units.In))
			}
		}
		if sc.First == sc.Last {
			if len(onlyMusts(got)) == 0 {
				c.t.Errorf("%s in %s %d: nothing stands there, and that is not found", e.Name, sc.Kind, sc.N)
			}
			continue
		}
		if e.Kind == rules.Row && e.Scope.How == "at" && len(x.Shape) > 0 && len(other) > 0 {
			continue // what stands elsewhere than asked for is a fault: the rest depends on how many there are
		}
		slices.Sort(named)
		slices.Sort(x.Broken)
		if e.Kind == rules.Row && e.Scope.How == "at" {
			x.Broken = slices.DeleteFunc(x.Broken, func(s string) bool { return !strings.Contains(s, "(clear)") })
		}
		x.Shape = slices.DeleteFunc(x.Shape, func(s string) bool { // a hole where laps are asked for is too small a lap
			return strings.Contains(s, "a hole from") && strings.Contains(strings.Join(x.Broken, ""), "(lap)")
		})
		if diff := differences(x.Broken, named); (len(x.Shape) == 0 || e.Kind == rules.Row) && len(diff) > 0 {
			c.t.Errorf("%s in %s %d of %s: %s", e.Name, sc.Kind, sc.N, changed.Placements[sc.Placement].Run.ID, strings.Join(diff, "\n"))
		}
		if len(x.Shape) > 0 && len(other) == 0 || len(x.Shape) == 0 && len(other) > 0 && e.Scope.How != "at" {
			c.t.Errorf("%s in %s %d of %s: %v, found %v", e.Name, sc.Kind, sc.N, changed.Placements[sc.Placement].Run.ID, x.Shape, other)
		}
	}
	if e.Kind == rules.Row && e.Scope.How != "at" {
		c.mend(changed, e, in)
	}
}

// inspect inspects a report's marks and pieces; nil where there is no telling which mark belongs to which scope.
func (c *changes) inspect(r *detail.Report, needs map[string]bool) *detail.Inspection {
	m := verify.Measured(r, true)
	m.List = slices.DeleteFunc(m.List, func(x detail.Measure) bool { return !needs[x.Element] })
	in, err := detail.Inspect(context.Background(), c.book, c.job, m)
	if err != nil {
		c.t.Errorf("%v", err)
		return nil
	}
	return in
}

// mend adds what the mends of an inspection say and looks at what is left; the first few are tried against all that
// adds fewer marks.
func (c *changes) mend(r *detail.Report, e *rules.Element, in *detail.Inspection) {
	adds, stuck := map[string][]units.Length{}, map[string][]string{}
	for _, m := range in.Mends {
		if m.Element == e.Name {
			k := m.Run + "/" + m.Side + "/" + fmt.Sprint(m.Scope.N, m.Scope.Kind)
			adds[k] = m.Add
			for _, v := range m.Stuck {
				stuck[k] = append(stuck[k], verify.Violation(v))
			}
			if len(m.Add) > 0 {
				c.mends, c.marks = c.mends+1, c.marks+len(m.Add)
			}
		}
	}
	with := func(at map[string][]units.Length) map[string]verify.Scoped {
		mended := rebuilt(r, func(s detail.Scope, marks []units.Length, pieces []detail.Piece) ([]units.Length, []detail.Piece) {
			if add := at[c.key(r, s)]; r.Placements[s.Placement].Element == e {
				marks = slices.SortedFunc(slices.Values(slices.Concat(marks, add)), units.Length.Cmp)
			}
			return marks, pieces
		})
		all := map[string]verify.Scoped{}
		for _, x := range verify.Scopes(mended, c.job, e.Name) {
			all[c.key(mended, mended.Scopes[x.Scope])] = x
		}
		return all
	}
	left := with(adds)
	for k, add := range adds {
		if len(add) == 0 {
			continue
		}
		for _, s := range left[k].Broken {
			if strings.HasPrefix(s, "must ") && !slices.Contains(stuck[k], s) {
				c.t.Errorf("%s in %s with %v added: %s; stuck are %v", e.Name, k, add, s, stuck[k])
			}
		}
	}
	// One mark fewer than two: each place on an eighth is tried in all scopes at once.
	two := maps.Clone(adds)
	maps.DeleteFunc(two, func(k string, add []units.Length) bool { return len(add) != 2 || len(stuck[k]) > 0 })
	if len(two) == 0 || c.tried > 20 {
		return
	}
	c.tried += len(two)
	for step := int64(0); step <= 8*40; step++ {
		one := map[string][]units.Length{}
		for _, s := range r.Scopes {
			if k := c.key(r, s); r.Placements[s.Placement].Element == e && two[k] != nil {
				at, err := units.FromTicks(s.From.Ticks() + step*units.TicksPerInch/8)
				require.NoError(c.t, err)
				if at.Cmp(s.To) <= 0 {
					one[k] = []units.Length{at}
				}
			}
		}
		if len(one) == 0 {
			break
		}
		all := with(one)
		for k := range one {
			if !slices.ContainsFunc(all[k].Broken, func(s string) bool { return strings.HasPrefix(s, "must ") }) && len(all[k].Shape) == 0 {
				c.t.Errorf("%s in %s: %v does what %v do", e.Name, k, one[k], two[k])
			}
		}
	}
}

func (c *changes) key(r *detail.Report, s detail.Scope) string {
	p := r.Placements[s.Placement]
	return p.Run.ID + "/" + p.SideID() + "/" + fmt.Sprint(s.N, s.Kind)
}

func byScope(list []detail.Violation, element string) map[string][]detail.Violation {
	of := map[string][]detail.Violation{}
	for _, v := range list {
		if v.Element == element {
			k := v.Run + "/" + v.Side + "/" + fmt.Sprint(v.Scope.N, v.Scope.Kind)
			of[k] = append(of[k], v)
		}
	}
	return of
}

func onlyMusts(list []detail.Violation) []detail.Violation {
	return slices.DeleteFunc(slices.Clone(list), func(v detail.Violation) bool { return v.Severity != "must" })
}

// change moves a mark of a scope, takes one out or puts one in.
func (c *changes) change(s detail.Scope, at []units.Length) []units.Length {
	at = slices.Clone(at)
	span := s.To.Ticks() - s.From.Ticks()
	put := func() units.Length {
		l, err := units.FromTicks(s.From.Ticks() + c.g.Int64N(16)*(span/16) + c.g.Int64N(span/16+1))
		require.NoError(c.t, err)
		return l
	}
	k := c.g.IntN(8)
	if c.ended && len(at) > 1 && c.g.IntN(2) == 0 {
		k = 1 + c.g.IntN(3)
	}
	switch {
	case len(at) == 0 || k == 0:
		at = append(at, put())
	case k == 1:
		at = slices.Delete(at, 0, 1)
	case k == 2:
		at = at[:len(at)-1]
	case k == 3 && len(at) > 3: // more than one: the smallest mend is then of several
		at = slices.Delete(at, 1, len(at)-1)
	case k == 4:
		at = slices.Delete(at, len(at)/2, len(at)/2+1)
	default:
		i := c.g.IntN(len(at))
		to := at[i].Ticks() + (c.g.Int64N(65)-32)*units.TicksPerInch/16
		if span > 0 {
			to = min(max(to, s.From.Ticks()), s.To.Ticks())
		}
		l, err := units.FromTicks(to)
		require.NoError(c.t, err)
		at[i] = l
	}
	slices.SortFunc(at, units.Length.Cmp)
	return at
}

// cut moves an end of a piece.
func (c *changes) cut(pieces []detail.Piece) []detail.Piece {
	pieces = slices.Clone(pieces)
	if len(pieces) == 0 {
		return pieces
	}
	i, by := c.g.IntN(len(pieces)), units.TicksPerInch/16*(c.g.Int64N(161)-80)
	p := &pieces[i]
	from, to := p.From.Ticks(), p.To.Ticks()
	if p.Joint && c.g.IntN(2) == 0 {
		from += max(by, -by)
	} else if c.g.IntN(2) == 0 {
		from += by
	} else {
		to += by
	}
	before, after := int64(-1<<60), int64(1<<60)
	if i > 0 {
		before = pieces[i-1].From.Ticks()
	}
	if i+1 < len(pieces) {
		after = pieces[i+1].To.Ticks()
	}
	if from >= to || from <= before || to >= after || i > 0 && to <= pieces[i-1].To.Ticks() || i+1 < len(pieces) && from >= pieces[i+1].From.Ticks() {
		return pieces // another order is no small change
	}
	var err error
	p.From, err = units.FromTicks(from)
	require.NoError(c.t, err)
	p.To, err = units.FromTicks(to)
	require.NoError(c.t, err)
	for k := range pieces {
		if pieces[k].Joint {
			pieces[k].Lap, err = pieces[k-1].To.Sub(pieces[k].From)
			require.NoError(c.t, err)
		}
	}
	return pieces
}

// rebuilt is a report with other marks and pieces in its scopes, its tables whole.
func rebuilt(r *detail.Report, change func(detail.Scope, []units.Length, []detail.Piece) ([]units.Length, []detail.Piece)) *detail.Report {
	own := *r
	own.Scopes, own.Marks, own.Pieces = slices.Clone(r.Scopes), nil, nil
	for i := range own.Scopes {
		s := &own.Scopes[i]
		switch r.Placements[s.Placement].Element.Kind {
		case rules.Row:
			var at []units.Length
			for _, m := range r.Marks[s.First:s.Last] {
				at = append(at, m.At)
			}
			at, _ = change(*s, at, nil)
			s.First = len(own.Marks)
			for _, l := range at {
				own.Marks = append(own.Marks, detail.Mark{At: l, Scope: int32(i)})
			}
			s.Last = len(own.Marks)
		case rules.Pieces:
			_, pieces := change(*s, nil, r.Pieces[s.First:s.Last])
			s.First = len(own.Pieces)
			own.Pieces = append(own.Pieces, pieces...)
			s.Last = len(own.Pieces)
		}
	}
	return &own
}
