package chain

import (
	"cmp"
	"context"
	"errors"
	"fmt"
)

// Pieces asks for lapping pieces that cover a stretch.
type Pieces struct {
	From, To int64 // what is to be covered, extends included, fine units; at most MaxLength from 0
	Lay      Lay   // Full or Even
	Limits   []Limit
}

// A Piece is one cut length.
type Piece struct{ From, To int64 }

const (
	maxPieceWork    = 1 << 30 // segments looked at to lay once
	maxCountWork    = 1 << 29 // and of these, to try other numbers of pieces than the fewest
	maxApartWork    = 1 << 29 // and of these, to keep the laps of one number of pieces apart
	maxConflictWork = 1 << 25 // segments looked at to find what conflicts
	listWork        = 1 << 6  // what it takes to make a list of them, short as it may be
)

// ErrOverflow is returned where a sum of lengths is too large to be held.
var ErrOverflow = errors.New("chain: the lengths are too large to be added up")

// ErrLimit is returned for a limit that no layout can be held against.
type ErrLimit struct {
	Limit int    // its place; -1 for the stretch itself
	Want  string // what would be right
}

func (e ErrLimit) Error() string {
	if e.Limit < 0 {
		return "chain: the stretch: " + e.Want
	}
	return fmt.Sprintf("chain: limit %d: %s", e.Limit, e.Want)
}

// Pieces appends to dst the pieces that cover p, from the left. A start or an end inside the stretch stands on the
// grid of the Step limit, 1 without one, from p.From. Each piece starts and ends after the one before, and ends
// before the next but one starts. Where no LapMin binds, a lap is at least 0 or, if LapMin or LapMax limits speak of
// gaps, at least minus the widest; without any such limit pieces butt.
//
// A stretch of no length takes no piece and breaks no limit.
//
// Where the musts conflict, cover, stock, laps and steps stand, except that a LapMax gives way to a LapMin above it.
// The layout is the one that reaches least into what is kept clear, by the sum over laps and clear zones, those that
// overlap taken as one, of the shift that would clear them; of these, the one whose pieces are too short or too long
// by the least sum; of these, the one with the most pieces up to the least count, or the fewest above it. If laps and
// stock alone leave none, no piece is returned. Result.Conflict names the limits.
//
// ErrWork, ErrOverflow, ErrLimit and errors of ctx end it.
func (s *Solver) Pieces(ctx context.Context, p *Pieces, dst []Piece) ([]Piece, Result, error) {
	r := Result{Kept: make([]bool, len(p.Limits)), Binding: -1}
	if err := p.check(); err != nil {
		return dst, r, err
	}
	l := &s.pieces
	l.in = append(l.in[:0], make([]bool, len(p.Limits))...)
	in := l.in
	for i, limit := range p.Limits {
		in[i], r.Kept[i] = !limit.Should, true
	}
	if p.From == p.To || ctx.Err() != nil {
		return dst, r, ctx.Err()
	}
	l.ctx, l.p, l.work = ctx, p, 0
	defer func() { l.ctx, l.p, l.apart.ctx = nil, nil, nil }()
	soft, unit := false, int64(1)
	best, err := l.lay(terms{in: in}, nil)
	if err == nil && best == nil {
		soft = true
		if r.Conflict, r.Smallest, err = l.conflict(cmp.Or(s.ConflictChecks, maxChecks)); err == nil {
			l.p, unit = p.inUnits()
			best, err = l.lay(terms{in: in, soft: true}, nil)
		}
	}
	for i, limit := range p.Limits {
		if !limit.Should || err != nil {
			continue
		}
		in[i] = true
		var with *laid
		if with, err = l.lay(terms{in: in, soft: soft}, best); err == nil && l.asGood(in, soft, with, best) {
			best = with
		} else {
			in[i], r.Kept[i] = false, false
		}
	}
	if err == nil && best != nil && p.Lay == Even {
		best, err = l.even(terms{in: in, soft: soft}, best)
	}
	r.Work = l.work
	if err != nil || best == nil {
		return dst, r, err
	}
	for _, q := range best.pieces {
		dst = append(dst, Piece{q.From * unit, q.To * unit})
	}
	return dst, r, nil
}

// plainLap returns the least lap where no LapMin binds, 0 or the widest gap that a limit in force or a should speaks
// of, and whether any of them speaks of laps. With in nil all limits are in force.
func (p *Pieces) plainLap(in []bool) (least int64, lapped bool) {
	step := int64(1)
	for i, l := range p.Limits {
		if l.Kind == Step && (in == nil || in[i]) {
			step = l.Value
		}
	}
	for i, l := range p.Limits {
		if in != nil && !in[i] && !l.Should {
			continue
		}
		switch l.Kind {
		case LapMin:
			least, lapped = min(least, l.Value), true
		case LapMax:
			least, lapped = min(least, floorDiv(l.Value, step)*step), true
		}
	}
	return least, lapped
}

// check returns an error for input that has no meaning.
func (p *Pieces) check() error {
	if p.From < -MaxLength || p.To > MaxLength || p.From > p.To {
		return ErrLimit{-1, "its start comes first, and both ends are within the greatest length"}
	}
	for i, l := range p.Limits {
		ok := l.Value >= -MaxLength && l.Value <= MaxLength
		for _, s := range l.Spans {
			ok = ok && s.From >= -MaxLength && s.From <= s.To && s.To <= MaxLength
		}
		for _, x := range l.Lengths {
			ok = ok && x > 0 && x <= MaxLength
		}
		switch l.Kind {
		case Step:
			ok = ok && l.Value > 0
		case Keep, LapMin, LapMax, LengthMin, LengthMax, CountMin, CountMax:
		case Stock:
			ok = ok && len(l.Lengths) > 0
		default:
			return ErrLimit{i, "pieces take Keep, Lap, Length, Stock, Count and Step limits"}
		}
		if !ok {
			return ErrLimit{i, "values are within the greatest length, spans start first, steps and stock lengths are above 0"}
		}
	}
	return nil
}

// laid is a layout and what it costs.
type laid struct {
	cost   cost
	pieces []Piece
}

// pieceLayer lays one problem on changing terms.
type pieceLayer struct {
	ctx   context.Context
	p     *Pieces
	in    []bool // the limits in force
	apart apart
	work  int64
}

// conflict names the musts that conflict.
func (l *pieceLayer) conflict(budget int) ([]int, bool, error) {
	left := int64(maxConflictWork)
	return conflict(l.p.Limits, budget, func(in []bool) (bool, error) {
		a := l.start(terms{in: in}, min(left, maxPieceWork))
		n, err := a.fewest()
		left -= a.work
		l.work += a.work
		return n > 0, err
	})
}

// asGood reports whether a layout that also keeps one more should breaks the musts no further than before.
func (l *pieceLayer) asGood(in []bool, soft bool, with, before *laid) bool {
	if with == nil || before == nil || !soft {
		return with != nil
	}
	if !with.cost.breaksNoMore(before.cost) {
		return false
	}
	n, was := int64(len(with.pieces)), int64(len(before.pieces))
	for i, limit := range l.p.Limits {
		if !in[i] {
			continue
		}
		over := func(n int64) int64 {
			switch limit.Kind {
			case CountMin:
				return max(0, limit.Value-n)
			case CountMax:
				return max(0, n-limit.Value)
			}
			return 0
		}
		if limit.Should && over(n) > 0 || !limit.Should && over(n) > over(was) {
			return false
		}
	}
	return true
}

// even returns, of the layouts as good as best but for the cuts, the one whose longest piece is the shortest.
func (l *pieceLayer) even(t terms, best *laid) (*laid, error) {
	n := len(best.pieces)
	good := func(c cost) bool { // as relaxed says, it may be less
		c.lap = best.cost.lap
		return c.compare(best.cost) <= 0
	}
	for lo, hi := int64(1), best.longest(); lo < hi; { // best has pieces up to hi; less than lo cannot be
		t.longest = lo + (hi-lo)/2
		with, err := l.exactly(t, n, good)
		if err != nil {
			return nil, err
		}
		if with == nil {
			lo = t.longest + 1
		} else {
			best, hi = with, with.longest()
		}
	}
	return best, nil
}

func (b *laid) longest() (length int64) {
	for _, q := range b.pieces {
		length = max(length, q.To-q.From)
	}
	return length
}

// exactly returns the best layout of n pieces on given terms, which fewer don't meet.
func (l *pieceLayer) exactly(t terms, n int, good func(cost) bool) (*laid, error) {
	a := l.start(t, maxPieceWork)
	defer func() { l.work += a.work }()
	if !t.soft {
		if k, err := a.fewest(); k != int64(n) {
			return nil, err
		}
	}
	return a.exactly(n, good)
}

// lay returns the best layout on given terms, nil if there is none. On soft ones it need not look for a layout that
// breaks the musts further than one before.
func (l *pieceLayer) lay(t terms, before *laid) (*laid, error) {
	a := l.start(t, maxPieceWork)
	defer func() { l.work += a.work }()
	if !t.soft {
		n, err := a.fewest()
		if n == 0 {
			return nil, err
		}
		return a.exactly(int(n), func(cost) bool { return true })
	}
	rest, err := a.all(nil)
	if err != nil || len(rest) == 0 || rest[0].from > 0 || before != nil && !rest[0].at.breaksNoMore(before.cost) {
		return nil, err
	}
	if fewest := int64(rest[0].at.count / onePiece); fewest >= a.minCount {
		same := func(int) []segment { return rest }
		pieces, err := a.walk(int(fewest), same, func(int) Span { return anywhere })
		if err != nil {
			return nil, err
		}
		if pieces != nil {
			if _, crosses := a.crossing(pieces); !crosses {
				return &laid{rest[0].at, pieces}, nil
			}
		}
	}
	a.limit = a.work + maxCountWork
	return a.relaxed(rest[0].at, before)
}

// start sets the scratch space up for terms.
func (l *pieceLayer) start(t terms, limit int64) *apart {
	a := &l.apart
	a.ctx, a.work, a.limit = l.ctx, 0, limit
	a.tooLong, a.pending, a.waysOf, a.upTo, a.known = false, a.pending[:0], -1, 0, 0
	a.set(l.p, t)
	return a
}
