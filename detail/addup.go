package detail

import (
	"context"
	"errors"
	"fmt"
	"math/big"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Takeoff is what to buy for any number of jobs together, and how to cut it.
type Takeoff struct {
	Book      *rules.Book
	Jobs      []string // their names, in the order given
	Lines     []Quantity
	Cuts      []Cut
	Cutting   []Cutting
	Leftovers []Leftover // what stays: left-over stock that was given and isn't used, offcuts that can be
	Shop      []Drilling // pieces that are drilled before they go up
	Cautions  []string
}

// A Quantity is one line of the takeoff. An item that is cut from stock has a line for each stock length that is
// bought, and one for what is cut from left-over stock.
type Quantity struct {
	Item                           *rules.Item
	Unit                           string // each, in, mm, cartridge
	Net, Waste, Gross, Pack, Packs decimal.Decimal
	Leftover                       bool            // cut from left-over stock: nothing is bought
	Cost                           decimal.Decimal // of the packs; 0 where stock has no price
	Area                           decimal.Decimal // of sheet that the gross takes, in square Units; 0 without a girth
	Yield                          decimal.Decimal // ft of bead from a cartridge, down at six decimals; 0 for others
	From                           []Part          // where the net comes from, in the order of the jobs
}

// A Part is what one element of a detail adds to the net of a Quantity, and on which runs. Parts of cartridges are each
// rounded up at six decimals, as their sum is: together they may be a little more.
type Part struct {
	Job     string
	Detail  *rules.Detail
	Element *rules.Element
	Runs    []string // ids of those on which the element lays it, in the job's order
	Net     decimal.Decimal
}

// AddUp adds up the quantities of any number of jobs that are laid by one book, and cuts all their pieces together;
// packs are rounded up once, at the end. Left-over stock of all jobs is one pile. It is an error if there is no report,
// if reports are of different books, or if a piece can't be cut; else it is the context's.
func AddUp(ctx context.Context, reports ...*Report) (*Takeoff, error) {
	if len(reports) == 0 {
		return nil, errors.New("there is nothing to add up: no report is given")
	}
	a := &adder{ctx: ctx, items: map[string]*laidItem{}, alike: map[string]*Drilling{}}
	a.out = &Takeoff{Book: reports[0].Book}
	for _, r := range reports {
		if err := a.add(r); err != nil {
			return nil, err
		}
	}
	for _, it := range a.out.Book.Items {
		if err := a.item(it); err != nil {
			return nil, err
		}
	}
	a.out.Shop = a.shop()
	return a.out, nil
}

type adder struct {
	ctx       context.Context
	out       *Takeoff
	items     map[string]*laidItem
	leftovers []Leftover
	alike     map[string]*Drilling // by how pieces are drilled
	drilled   []*Drilling
}

// A laidItem is what is laid of an item: each list in the order of the reports.
type laidItem struct{ rows, cut, run []*share }

// A share is what one element lays of an item in one job.
type share struct {
	Part
	marks  int64
	ticks  big.Int        // of strips and beads
	pieces []units.Length // cut to length
}

// add gathers what a report lays.
func (a *adder) add(r *Report) error {
	if first := a.out.Book; r.Book != first && (r.Book == nil || first == nil || r.Book.Digest != first.Digest) {
		return fmt.Errorf("the jobs %q and %q are laid by different books: add up those of one book", a.out.Jobs[0], r.Job)
	}
	a.out.Jobs = append(a.out.Jobs, r.Job)
	a.leftovers = append(a.leftovers, r.Stock...)
	for _, c := range r.Cautions {
		a.out.Cautions = appendNew(a.out.Cautions, c)
	}
	shares := map[*rules.Element]*share{}
	for i := range r.Scopes {
		if i%1024 == 0 && a.ctx.Err() != nil {
			return a.ctx.Err()
		}
		sc := &r.Scopes[i]
		p := &r.Placements[sc.Placement]
		if p.Element.Item == nil || sc.First == sc.Last {
			continue
		}
		s := shares[p.Element]
		if s == nil {
			s = &share{Part: Part{Job: r.Job, Detail: p.Detail, Element: p.Element}}
			shares[p.Element] = s
			a.laid(p.Element.Item.Name).put(s)
		}
		if n := len(s.Runs); n == 0 || s.Runs[n-1] != p.Run.ID {
			s.Runs = append(s.Runs, p.Run.ID)
		}
		if err := s.lay(r, sc, p); err != nil {
			return err
		}
	}
	a.drillings(r)
	return nil
}

func (a *adder) laid(item string) *laidItem {
	if a.items[item] == nil {
		a.items[item] = &laidItem{}
	}
	return a.items[item]
}

func (l *laidItem) put(s *share) {
	switch s.Element.Kind {
	case rules.Row:
		l.rows = append(l.rows, s)
	case rules.Pieces:
		l.cut = append(l.cut, s)
	default:
		l.run = append(l.run, s)
	}
}

// lay adds what is laid in a scope.
func (s *share) lay(r *Report, sc *Scope, p *Placement) error {
	if s.Element.Kind == rules.Row {
		s.marks += int64(sc.Last - sc.First)
		return nil
	}
	for i := sc.First; i < sc.Last; i++ {
		switch s.Element.Kind {
		case rules.Pieces:
			x := &r.Pieces[i]
			length, err := x.To.Sub(x.From)
			if err == nil {
				err = canCut(s.Element.Item, length)
			}
			if err != nil {
				return fmt.Errorf("%s: %s.%s: piece %d in %s: %w", place(s.Element.Span), p.Detail.Name, s.Element.Name,
					x.N, ScopeRef{sc.Kind, sc.N}.in(p.Run.ID, p.SideID()), err)
			}
			s.pieces = append(s.pieces, length)
		case rules.Strip:
			s.ticks.Add(&s.ticks, big.NewInt(r.Strips[i].Length.Ticks()))
		case rules.Bead:
			s.ticks.Add(&s.ticks, big.NewInt(r.Beads[i].Length.Ticks()))
		}
	}
	return nil
}

// canCut tells whether a piece can be cut from an item's stock.
func canCut(it *rules.Item, length units.Length) error {
	if length.Sign() <= 0 {
		return fmt.Errorf("it is %s long, and a piece is longer than 0", length)
	}
	if len(it.Stock) == 0 {
		return nil
	}
	longest := longestStock(it)
	if length.Cmp(longest.Length) > 0 {
		return fmt.Errorf("it is %s long, and the longest stock of %s is %s (%s)",
			length, it.Name, longest.Length, place(longest.Span))
	}
	return nil
}

// item adds the lines of one item.
func (a *adder) item(it *rules.Item) error {
	l := a.items[it.Name]
	if l == nil {
		l = &laidItem{}
	}
	if len(l.rows) > 0 {
		a.out.Lines = append(a.out.Lines, inPieces(it, l.rows))
	}
	if len(it.Stock) > 0 {
		if err := a.cutToLength(it, l.cut); err != nil {
			return fmt.Errorf("cutting %s: %w", it.Name, err)
		}
	} else if len(l.cut) > 0 {
		for _, s := range l.cut {
			for _, p := range s.pieces {
				s.ticks.Add(&s.ticks, big.NewInt(p.Ticks()))
			}
		}
		a.out.Lines = append(a.out.Lines, byLength(it, l.cut))
	}
	if len(l.run) > 0 {
		if q := byLength(it, l.run); !q.Net.IsZero() {
			a.out.Lines = append(a.out.Lines, q)
		}
	}
	return nil
}
