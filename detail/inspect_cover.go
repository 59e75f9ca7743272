package detail

import (
	"cmp"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/chain"
	"github.com/lapwright/lapwright/rules"
)

// A stretch is a part of a scope that is covered by itself, and what was found to cover it.
type stretch struct {
	band
	found []Strip
}

// sortPieces gives pieces and strips to the stretches of the scopes: each to the one that it covers most of.
func (in *inspector) sortPieces(of []*patch, found []Strip) {
	var all []*stretch
	for _, p := range of {
		for i := range p.stretches {
			all = append(all, &p.stretches[i])
		}
		if p.left {
			p.stretches = []stretch{{band: p.band()}}
			all = append(all, &p.stretches[0])
		}
	}
	if len(all) == 0 {
		return
	}
	slices.SortStableFunc(all, func(a, b *stretch) int { return byPlace(a.band, b.band) })
	reach := make([]int64, len(all)) // the farthest end so far
	for i, c := range all {
		if reach[i] = c.To; i > 0 {
			reach[i] = max(reach[i], reach[i-1])
		}
	}
	for _, x := range found {
		from, to := x.From.Ticks(), x.To.Ticks()
		first, _ := slices.BinarySearch(reach, from+1)
		first = min(first, len(all)-1)
		best, most := all[first], over(all[first].band, from, to)
		if first > 0 && over(all[first-1].band, from, to) > most {
			best, most = all[first-1], over(all[first-1].band, from, to)
		}
		for _, c := range all[first:] {
			if c.From >= to {
				break
			}
			if o := over(c.band, from, to); o > most || o == most && c.To-c.From < best.To-best.From {
				best, most = c, o
			}
		}
		best.found = append(best.found, x)
	}
}

// over is how much of a stretch is covered; negative, how far it is away.
func over(c band, from, to int64) int64 { return min(c.To, to) - max(c.From, from) }

// keep puts what was found to cover a scope into the placement's tables.
func (w *work) keep(p *patch) {
	n := int32(0)
	for _, c := range p.stretches {
		for i, x := range c.found {
			n++
			x.N, x.Joint = n, i > 0
			if w.element.Kind == rules.Strip {
				w.strips = append(w.strips, x)
				continue
			}
			piece := Piece{From: x.From, To: x.To, N: n, Joint: i > 0}
			if i > 0 {
				piece.Lap = ticks(c.found[i-1].To.Ticks() - x.From.Ticks())
			}
			w.pieces = append(w.pieces, piece)
		}
	}
}

// judgeCover holds the pieces or strips of a scope against its rules.
func (in *inspector) judgeCover(w *work, p *patch) error {
	var set *used
	if w.element.Kind == rules.Strip {
		var err error
		if set, err = w.used(&p.Scope); err != nil {
			return err
		}
	}
	for i := range p.stretches {
		c := &p.stretches[i]
		if set != nil {
			if err := in.judgeBand(w, p, c, set); err != nil {
				return err
			}
			continue
		}
		a, b := c.From, c.To
		s, err := in.coverLimits(w, &p.Scope, a, b)
		if err != nil {
			return err
		}
		pieces := make([]chain.Piece, len(c.found))
		for k, x := range c.found {
			pieces[k] = chain.Piece{From: x.From.Ticks() - a, To: x.To.Ticks() - a}
		}
		breaches := chain.CheckPieces(&chain.Pieces{To: b - a, Limits: s.list}, pieces)
		for k, br := range breaches {
			if br.Limit < 0 {
				v, err := in.misshaped(w, p, c, s, br)
				if err != nil {
					return err
				}
				in.find(w, p, v)
				continue
			}
			lim := s.list[br.Limit]
			if lim.Kind == chain.Step || lim.Kind == chain.CountMin && p.part != nil ||
				k > 0 && lim.Kind == chain.Keep && br.Limit == breaches[k-1].Limit && br.From == breaches[k-1].From {
				continue // the same lap, too near a second feature
			}
			in.find(w, p, w.violation(p.Scope, s, br, a, 0))
		}
	}
	return nil
}

// misshaped finds fault with pieces that break no rule but cover badly.
func (in *inspector) misshaped(w *work, p *patch, c *stretch, s *limits, b chain.Breach) (Violation, error) {
	ln := w.own()
	var err error
	switch {
	case b.Limit == chain.Start && c.From <= p.From.Ticks():
		ln, err = w.extendLine(&p.Scope, chain.LeftEnd)
	case b.Limit == chain.Finish && c.To >= p.To.Ticks():
		ln, err = w.extendLine(&p.Scope, chain.RightEnd)
	}
	v := w.blame(p.Scope, ln, "must", c.From+b.From, c.From+b.To)
	v.Measure = cmp.Or(v.Measure, "cover")
	by, one := abs(b.Found), "piece"
	if w.element.Kind == rules.Strip {
		one = "strip"
	}
	length := func(op string, x int64) Amount { return Amount{Op: op, Length: ticks(x)} }
	switch b.Limit {
	case chain.Start:
		v.What, v.Required, v.Found = "where the first "+one+" starts", length("=", c.From), length("", c.From+b.Found)
		if len(c.found) == 0 {
			v.Measure, v.What, v.Required, v.Found = "cover", "what covers it", Amount{Text: "all of it"}, Amount{Text: "nothing"}
		}
	case chain.Finish:
		v.What, v.Required, v.Found = "where the last "+one+" ends", length("=", c.To), length("", c.To+b.Found)
	case chain.Order:
		before := b.To // the one before ends at or past it
		for _, x := range c.found {
			if x.From.Ticks() <= c.From+b.From && x.To.Ticks()-c.From >= before {
				before = x.To.Ticks() - c.From
			}
		}
		by = before - b.To + 1
		v.What = "where the " + one + " ends, past the one before,"
		v.Required, v.Found = length(">", c.From+before), length("", c.From+b.To)
	case chain.Across:
		v.What, v.Required, v.Found = "the lap across a third "+one, length("<=", 0), length("", b.Found)
	case chain.Joint:
		floor, lapped := int64(0), false
		for _, lim := range s.list {
			if lim.Kind == chain.LapMin || lim.Kind == chain.LapMax {
				floor, lapped = min(floor, lim.Value), true
			}
		}
		v.What, v.Required, v.Found = "the lap", length("=", 0), length("", b.Found)
		if lapped {
			v.Required, by = length(">=", floor), floor-b.Found
		}
	}
	v.By = length("", by)
	return v, err
}

// extendLine is the line that says how far a scope is covered past an end; the element itself where none does.
func (w *work) extendLine(sc *Scope, end chain.Ends) (line, error) {
	best := w.own()
	for _, one := range []bool{false, true} {
		for _, ln := range w.lines {
			r := ln.rule
			if r == nil || r.Measure != rules.Extend || (r.Side != rules.BothEnds) != one ||
				!slices.Contains(endsOf(r), end) {
				continue
			}
			on, err := w.binds(r, sc, int(end))
			if err != nil {
				return best, err
			}
			if on {
				best = ln
			}
		}
	}
	return best, nil
}

// judgeBand holds a strip whose length a rule sets: one for each stretch, whatever its roll.
func (in *inspector) judgeBand(w *work, p *patch, c *stretch, set *used) error {
	if len(c.found) != 1 && p.part == nil {
		v := w.blame(p.Scope, set.by, "must", c.From, c.To)
		v.Measure, v.What = "count", "the number of strips"
		v.count(1, int64(len(c.found)))
		in.find(w, p, v)
	}
	for _, x := range c.found {
		at := band{x.From.Ticks(), x.To.Ticks()}
		for _, b := range []chain.Breach{
			{Limit: chain.Start, From: min(at.From, c.From) - c.From, To: max(at.From, c.From) - c.From,
				Found: at.From - c.From},
			{Limit: chain.Finish, From: min(at.To, c.To) - c.From, To: max(at.To, c.To) - c.From, Found: at.To - c.To},
		} {
			if b.Found == 0 || len(c.found) > 1 {
				continue
			}
			v, err := in.misshaped(w, p, c, nil, b)
			if err != nil {
				return err
			}
			in.find(w, p, v)
		}
		if err := in.judgeLength(w, p, set, at, x.Length.Ticks()); err != nil {
			return err
		}
	}
	return nil
}

// judgeLength holds a strip or bead that lies in a band against the rules on its length.
func (in *inspector) judgeLength(w *work, p *patch, set *used, at band, found int64) error {
	for _, ln := range w.lines {
		r := ln.rule
		if r == nil || r.Measure != rules.Length || r.Op == rules.Equal && (set == nil || set.by.rule != r) {
			continue
		}
		if on, err := w.binds(r, &p.Scope, 0); err != nil || !on {
			if err != nil {
				return err
			}
			continue
		}
		b, err := w.bound(r, &p.Scope, 0)
		if err != nil {
			return err
		}
		if (!b.hasMin || found >= b.min) && (!b.hasMax || found <= b.max) {
			continue
		}
		s := &limits{}
		s.addBound(ln, b, chain.LengthMin, chain.LengthMax, chain.Limit{Should: r.Should})
		v := w.violation(p.Scope, s, chain.Breach{From: at.From, To: at.To, Found: found}, 0, 0)
		if r.Op == rules.Equal {
			v.Required = Amount{Op: "=", Length: ticks(b.min)}
		}
		in.find(w, p, v)
	}
	return nil
}

// sortBeads gives beads to their scopes: each to the nearest place where one is asked for.
func (in *inspector) sortBeads(w *work, of []*patch, m *Measure) error {
	var targets []target
	for _, p := range of {
		if w.element.Scope.How == "at" {
			_, first, _, _, err := in.targets(w, &p.Scope)
			if err != nil {
				return err
			}
			targets = append(targets, target{first, p})
			continue
		}
		for _, c := range p.stretches {
			targets = append(targets, target{c.From, p})
		}
		if p.left {
			targets = append(targets, target{p.From.Ticks(), p})
		}
	}
	at := make([]int64, len(m.Beads))
	for i, b := range m.Beads {
		at[i] = b.At.Ticks()
	}
	for k, p := range assign(targets, at) {
		p.beads = append(p.beads, m.Beads[k])
	}
	return nil
}

// judgeBeads holds the beads of a scope against where and how long they are asked for.
func (in *inspector) judgeBeads(w *work, p *patch) error {
	set, err := w.used(&p.Scope)
	if err != nil {
		return err
	}
	asked := []band{}
	if w.element.Scope.How == "at" {
		f, first, _, _, err := in.targets(w, &p.Scope)
		if err != nil {
			return err
		}
		in.offRun(w, p, f, first, first)
		asked = append(asked, band{first, first})
		if len(p.beads) == 1 {
			if at := p.beads[0].At.Ticks(); at != first {
				in.offset(w, p, f, at, at, at-first)
			}
		}
	}
	for _, c := range p.stretches {
		asked = append(asked, c.band)
	}
	if len(p.beads) != len(asked) && p.part == nil {
		v := w.blame(p.Scope, w.own(), "must", p.From.Ticks(), p.To.Ticks())
		v.Measure, v.What = "count", "the number of beads"
		v.count(int64(len(asked)), int64(len(p.beads)))
		in.find(w, p, v)
	}
	for k, x := range p.beads {
		at := x.At.Ticks()
		if err := in.judgeLength(w, p, set, band{at, at}, x.Length.Ticks()); err != nil {
			return err
		}
		if w.element.Scope.How == "at" || len(p.beads) != len(asked) {
			continue
		}
		ask := asked[k]
		if at != ask.From {
			if err := in.ofBead(w, p, chain.LeftEnd, "the start of the bead", at, ask.From); err != nil {
				return err
			}
		}
		if length := ask.To - ask.From; set == nil && x.Length.Ticks() != length {
			if err := in.ofBead(w, p, chain.RightEnd, "the length of the bead", x.Length.Ticks(), length); err != nil {
				return err
			}
		}
	}
	return nil
}

// ofBead finds fault with where a bead along a scope starts, or how long it is.
func (in *inspector) ofBead(w *work, p *patch, end chain.Ends, what string, found, want int64) error {
	ln, err := w.extendLine(&p.Scope, end)
	v := w.blame(p.Scope, ln, "must", p.From.Ticks(), p.To.Ticks())
	v.Measure = cmp.Or(v.Measure, "cover")
	v.What = what
	v.length(want, found)
	in.find(w, p, v)
	return err
}
