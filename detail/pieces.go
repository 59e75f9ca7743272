package detail

import (
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// pieces covers a scope with lapping pieces, each stretch between obstacles by itself.
func (l *layer) pieces(w *work, sc Scope) error {
	sc.First = len(w.pieces)
	err := l.cover(w, &sc, false, func(p chain.Piece, lap int64, joint bool) {
		w.pieces = append(w.pieces, Piece{From: ticks(p.From), To: ticks(p.To), Lap: ticks(lap), N: int32(len(w.pieces) - sc.First + 1), Joint: joint})
	})
	sc.Last = len(w.pieces)
	if err == nil && sc.First < sc.Last {
		w.scopes = append(w.scopes, sc)
	}
	return err
}

// strip covers a scope with a band: one strip for each stretch between obstacles, more where a roll ends.
func (l *layer) strip(w *work, sc Scope) error {
	used, err := w.used(&sc)
	if err != nil {
		return err
	}
	sc.First = len(w.strips)
	var own []chain.Piece
	err = l.cover(w, &sc, used != nil, func(p chain.Piece, _ int64, joint bool) {
		s := Strip{From: ticks(p.From), To: ticks(p.To), Length: ticks(p.To - p.From), N: int32(len(w.strips) - sc.First + 1), Joint: joint}
		if used != nil {
			s.Length = used.length
			own = append(own, p)
		}
		w.strips = append(w.strips, s)
	})
	sc.Last = len(w.strips)
	if err != nil || sc.First == sc.Last {
		return err
	}
	w.scopes = append(w.scopes, sc)
	return w.lengths(sc, used, own)
}

// used is the length that a line gives to a strip or a bead.
type used struct {
	length units.Length
	by     line
}

// used is the length that a strip or a bead takes where a `length =` says so, else nil.
func (w *work) used(sc *Scope) (*used, error) {
	var of *used
	for _, ln := range w.lines {
		r := ln.rule
		if r == nil || r.Measure != rules.Length || r.Op != rules.Equal {
			continue
		}
		if on, err := w.binds(r, sc, 0); err != nil || !on {
			if err != nil {
				return nil, err
			}
			continue
		}
		b, err := w.bound(r, sc, 0)
		if err != nil {
			return nil, err
		}
		if b.min < 0 {
			return nil, fmt.Errorf("%s: %s comes to %s in %s %d of run %s: a length can't be negative", place(r.Span), r.ID, ticks(b.min), sc.Kind, sc.N, w.run.ID)
		}
		of = &used{ticks(b.min), ln}
	}
	return of, nil
}

// binds tells whether a rule's condition holds in any part of a scope.
func (w *work) binds(r *rules.Rule, sc *Scope, end int) (bool, error) {
	all, bands, err := w.where(r.When, sc, end, sc.band())
	return all || touches(bands, sc.From.Ticks(), sc.To.Ticks()), err
}

// extends are how far pieces, strips and beads reach past a scope's left and right end. A rule for one end goes
// before one for both.
func (w *work) extends(sc *Scope) (ext [2]int64, err error) {
	for _, one := range []bool{false, true} {
		for _, r := range w.element.Rules {
			if r.Measure != rules.Extend || (r.Side != rules.BothEnds) != one {
				continue
			}
			for _, end := range endsOf(r) {
				on, err := w.binds(r, sc, int(end))
				if err != nil {
					return ext, err
				}
				if !on {
					continue
				}
				b, err := w.bound(r, sc, int(end))
				if err != nil {
					return ext, err
				}
				if _, err := units.FromTicks(b.min + sc.To.Ticks()); err != nil {
					return ext, fmt.Errorf("%s: %s: %w", place(r.Span), r.ID, err)
				}
				ext[end-chain.LeftEnd] = b.min
			}
		}
	}
	return ext, nil
}

// cover covers each stretch of a scope, its extends included, and hands over each piece with its lap on the one
// before. A band is one piece whatever its roll.
func (l *layer) cover(w *work, sc *Scope, asBand bool, put func(p chain.Piece, lap int64, joint bool)) error {
	covers, err := w.covers(sc)
	if err != nil {
		return err
	}
	for _, c := range covers {
		a, b := c.From, c.To
		if asBand {
			put(chain.Piece{From: a, To: b}, 0, false)
			continue
		}
		s, err := l.coverLimits(w, sc, a, b)
		if err != nil {
			return err
		}
		p := chain.Pieces{From: 0, To: b - a, Lay: pieceLays[w.element.Lay], Limits: s.list}
		sol, err := l.solvePieces(&p)
		if err != nil {
			return l.refine(err, w, *sc, s)
		}
		if err := l.spend(len(sol.pieces)); err != nil {
			return err
		}
		for i, x := range sol.pieces {
			lap := int64(0)
			if i > 0 {
				lap = sol.pieces[i-1].To - x.From
			}
			put(chain.Piece{From: a + x.From, To: a + x.To}, lap, i > 0)
		}
		l.report(w, *sc, sol, s, a, a, b)
	}
	if len(covers) == 0 {
		w.skip(*sc, "extend leaves nothing")
	}
	return nil
}

// covers are the stretches of a scope that are covered, each by itself, with its extends; those held back to nothing
// are left out.
func (w *work) covers(sc *Scope) ([]band, error) {
	ext, err := w.extends(sc)
	if err != nil {
		return nil, err
	}
	var list []band
	for _, c := range w.stretches(sc.From.Ticks(), sc.To.Ticks()) {
		if c.From == sc.From.Ticks() {
			c.From -= ext[0]
		}
		if c.To == sc.To.Ticks() {
			c.To += ext[1]
		}
		if c.From < c.To {
			list = append(list, c)
		}
	}
	return list, nil
}

var pieceLays = map[string]chain.Lay{"": chain.Full, "full": chain.Full, "even": chain.Even}

func (l *layer) solvePieces(p *chain.Pieces) (*solution, error) {
	l.key = appendProblem(l.key[:0], 'p', p.Lay, []int64{p.From, p.To}, p.Limits)
	if s := l.solved[string(l.key)]; s != nil {
		return s, nil
	}
	if err := l.afford(leastPieces(p)); err != nil {
		return nil, err
	}
	pieces, res, err := l.solver.Pieces(l.ctx, p, nil)
	if err != nil {
		return nil, err
	}
	s := &solution{pieces: pieces, Result: res}
	if res.Conflict != nil || slices.Contains(res.Kept, false) {
		s.breaches = chain.CheckPieces(p, pieces)
	}
	l.solved[string(l.key)] = s
	return s, nil
}

// coverLimits turns the rules of pieces or of a strip into limits, for one stretch [a, b].
func (l *layer) coverLimits(w *work, sc *Scope, a, b int64) (*limits, error) {
	s := &limits{}
	for _, ln := range w.lines {
		switch {
		case ln.mark:
			s.add(ln, chain.Limit{Kind: chain.Step, Value: l.book.Mark.Ticks()})
			continue
		case ln.item && w.element.Kind == rules.Strip:
			s.add(ln, chain.Limit{Kind: chain.LengthMax, Value: w.element.Item.Roll.Ticks()})
			continue
		case ln.item:
			lim := chain.Limit{Kind: chain.Stock}
			for _, st := range w.element.Item.Stock {
				lim.Lengths = append(lim.Lengths, st.Length.Ticks())
			}
			s.add(ln, lim)
			continue
		}
		r := ln.rule
		if r.Measure == rules.Clear {
			if err := w.clear(s, ln, sc, a, a, b); err != nil {
				return nil, err
			}
			continue
		}
		kinds, ok := coverKinds[r.Measure]
		if !ok {
			continue
		}
		all, bands, err := w.where(r.When, sc, 0, band{min(sc.From.Ticks(), a), max(sc.To.Ticks(), b)})
		if err != nil {
			return nil, err
		}
		if !all && !touches(bands, sc.From.Ticks(), sc.To.Ticks()) {
			continue
		}
		bd, err := w.bound(r, sc, 0)
		if err != nil {
			return nil, err
		}
		lim := chain.Limit{Should: r.Should}
		if !all && r.Measure == rules.Lap {
			lim.Spans = spans(bands, a, b)
		}
		s.addBound(ln, bd, kinds[0], kinds[1], lim)
	}
	return s, nil
}

var coverKinds = map[rules.Measure][2]chain.Kind{
	rules.Lap:    {chain.LapMin, chain.LapMax},
	rules.Length: {chain.LengthMin, chain.LengthMax},
	rules.Count:  {chain.CountMin, chain.CountMax},
}

// bead runs a bead along each stretch of a scope, or lays one at a feature.
func (l *layer) bead(w *work, sc Scope) error {
	used, err := w.used(&sc)
	if err != nil {
		return err
	}
	sc.First = len(w.beads)
	var own []chain.Piece
	put := func(p chain.Piece, _ int64, _ bool) {
		b := Bead{At: ticks(p.From), Length: ticks(p.To - p.From)}
		if used != nil {
			b.Length = used.length
		}
		w.beads = append(w.beads, b)
		own = append(own, p)
	}
	if w.element.Scope.How == "at" {
		f, err := w.fix(&sc)
		if err != nil {
			return err
		}
		at, _, _ := f.marks(all)
		put(chain.Piece{From: at, To: at}, 0, false)
		w.offRun(sc, f, []int64{at})
	} else if err := l.cover(w, &sc, true, put); err != nil {
		return err
	}
	sc.Last = len(w.beads)
	if sc.First == sc.Last {
		return nil
	}
	w.scopes = append(w.scopes, sc)
	return w.lengths(sc, used, own)
}

// lengths holds the beads of a scope, or strips of a used length, against the bounds on it: nothing is left to
// choose, so a bound that is broken conflicts with the line that gives the length. own is where each lies.
func (w *work) lengths(sc Scope, used *used, own []chain.Piece) error {
	for _, ln := range w.lines {
		r := ln.rule
		if len(own) == 0 || r == nil || r.Measure != rules.Length || r.Op == rules.Equal {
			continue
		}
		on, err := w.binds(r, &sc, 0)
		if err != nil {
			return err
		}
		if !on {
			continue
		}
		b, err := w.bound(r, &sc, 0)
		if err != nil {
			return err
		}
		keeps := func(length int64) bool { return (!b.hasMin || length >= b.min) && (!b.hasMax || length <= b.max) }
		s := &limits{}
		s.addBound(ln, b, chain.LengthMin, chain.LengthMax, chain.Limit{Should: r.Should})
		for _, p := range own {
			length, to := p.To-p.From, p.From
			if w.element.Kind == rules.Strip {
				to = p.To
			}
			found := length
			if used != nil {
				found = used.length.Ticks()
			}
			if keeps(found) {
				continue
			}
			v := w.violation(sc, s, chain.Breach{Limit: 0, From: p.From, To: to, Found: found}, 0, 0)
			if !r.Should {
				v.Conflict, v.Minimal = []RuleRef{{Rule: ln.name, Span: ln.span}}, true
				// Without the line that gives the length a strip would keep a maximum by more joints.
				if used != nil && (keeps(length) || w.element.Kind == rules.Strip && b.hasMax) {
					v.Conflict = append(v.Conflict, RuleRef{Rule: used.by.name, Span: used.by.span})
				}
			}
			w.broken = append(w.broken, v)
		}
	}
	return nil
}
