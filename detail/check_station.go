package detail

import (
	"fmt"
	"math/big"

	"github.com/lapwright/lapwright/rules"
)

// fixed looks for a mark at a feature that a `clear` keeps from the same feature.
func (t *together) fixed(lines []line, given []part) {
	scope := t.element.Scope
	if scope.How != "at" || t.element.Kind != rules.Row {
		return
	}
	var by []part // what fixes the marks
	for _, ln := range lines {
		r := ln.rule
		if r == nil || r.Measure == rules.Clear {
			continue
		}
		if r.When != nil {
			return
		}
		by = append(by, ln.of())
	}
	for _, ln := range lines {
		r := ln.rule
		if r == nil || r.Measure != rules.Clear || !atFeature(scope, r.From) {
			continue
		}
		never := func(of []part) bool {
			in := t.detail.Ranges(conditions(of)...)
			least := loosest(r, in).lo
			off, ok := nearestOff(of, in)
			return ok && least != nil && off.Cmp(least) < 0
		}
		parts := append(append([]part{}, given...), by...)
		if !never(parts) {
			continue
		}
		if of := smallest(parts, never); r.Should {
			t.neverKept(ln.of(), of)
		} else {
			t.contradiction(append(of, ln.of()), fmt.Sprintf("`%s` stands at what this keeps it from", t.element.Name), "")
		}
	}
}

// atFeature tells whether a distance is from what the scope is at.
func atFeature(s *rules.ScopeDecl, f *rules.Feature) bool {
	if s.Of != f.Of {
		return false
	}
	return s.Name == nil || s.Name.Text == f.Name.Text
}

// nearestOff is how far the nearest mark is from the middle of its feature, at most; not ok if no bound is known. Of
// two lines for one measure the later counts.
func nearestOff(parts []part, in *rules.Ranges) (off *big.Int, ok bool) {
	value := map[rules.Measure]extent{rules.Offset: {new(big.Int), new(big.Int)}, rules.Count: {big.NewInt(1),
		big.NewInt(1)}, rules.Spacing: {new(big.Int), new(big.Int)}}
	for _, p := range parts {
		if p.rule != nil {
			value[p.rule.Measure] = loosest(p.rule, in)
		}
	}
	offset, count, gap := value[rules.Offset], value[rules.Count], value[rules.Spacing]
	if offset.lo == nil || offset.hi == nil {
		return nil, false
	}
	exactly := func(x extent, v int64) bool {
		return x.lo != nil && x.hi != nil && x.lo.Cmp(x.hi) == 0 && x.lo.Cmp(big.NewInt(v)) == 0
	}
	off = new(big.Int).Neg(offset.lo)
	if offset.hi.Cmp(off) > 0 {
		off = offset.hi
	}
	switch {
	case exactly(count, 1), exactly(gap, 0):
		return off, true
	case count.lo == nil || count.hi == nil || count.lo.Cmp(count.hi) != 0 || gap.hi == nil ||
		offset.lo.Sign() != 0 || offset.hi.Sign() != 0:
		return nil, false
	case count.lo.Bit(0) == 1: // of an odd number the middle one stands at the middle
		return off, true
	}
	// Of an even number two are half a gap off.
	return new(big.Int).Rsh(new(big.Int).Add(gap.hi, big.NewInt(1)), 1), true
}
