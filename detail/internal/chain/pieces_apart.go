package chain

import (
	"cmp"
	"slices"
)

// apart lays a given number of pieces such that no lap reaches across a third one. Costs from one place on know
// nothing of the lap before it, so that it lays without the rule and, where that breaks it, splits the lengths and laps
// of the pieces concerned into ranges that leave this layout out and no other good one.
type apart struct {
	pieceSweep
	upTo  int         // pieces that free is for
	known int         // lists of free that are found
	free  [][]segment // the least costs with so many pieces, of upTo, whatever their lengths and laps
	bound [][]segment // the same within boxes
	lists [][]segment
	any   []box
	place [1]segment
}

// crossing returns the first piece, from 0, that the laps on both sides of it leave no room for, -1 if there is none.
func (a *apart) crossing(ps []Piece) int {
	for i := 1; i+1 < len(ps); i++ {
		if ps[i+1].From < ps[i-1].To || ps[i].To <= ps[i-1].To || ps[i+1].From <= ps[i].From {
			return i
		}
	}
	return -1
}

// rest returns the least costs with so many pieces, of up to n in all.
func (a *apart) rest(pieces, n int) ([]segment, error) {
	if n > a.upTo {
		a.upTo, a.known = n, 0
	}
	for a.free = grow(a.free, pieces); a.known < pieces; {
		k, err := a.known+1, error(nil)
		if list := &a.free[k]; k == 1 {
			a.singles(a.places(a.upTo - 1))
			*list, err = a.drain((*list)[:0], false)
		} else {
			*list, err = a.more((*list)[:0], a.free[k-1], anyBox, a.places(a.upTo-k))
		}
		if err != nil {
			return nil, err
		}
		a.known = k
	}
	return a.free[pieces], nil
}

// grow makes room for lists up to the kth.
func grow(lists [][]segment, k int) [][]segment {
	for len(lists) <= k {
		lists = append(lists, nil)
	}
	return lists
}

// places returns where a piece may start after so many others: what these reach, where that was found.
func (a *apart) places(before int) []segment {
	if !a.soft {
		return a.reach.layer(before)
	}
	a.place[0] = segment{to: a.reachOf(before)}
	return a.place[:]
}

// room returns n, or twice as many pieces where the costs have to be found anew.
func (a *apart) room(n int) int {
	if a.upTo > 0 && n > a.upTo {
		return 2 * n
	}
	return n
}

// reachOf returns how far from the start so many pieces may reach.
func (a *apart) reachOf(pieces int) int64 {
	far := a.longest - a.leastLap // of one piece
	if far <= 0 || int64(pieces) > a.last/far {
		return a.last
	}
	return int64(pieces) * far
}

// relaxed returns the best layout where must limits only cost; nothing costs less than least.
func (a *apart) relaxed(least cost) (*laid, error) {
	var best *laid
	same := func(c cost) bool { return c.clear == best.cost.clear && c.length == best.cost.length }
	for n := int64(1); n <= a.last+1; n++ {
		rest, err := a.rest(int(n), a.room(int(n)))
		if err != nil {
			return nil, err
		}
		if len(rest) == 0 || rest[0].from > 0 || best != nil && !rest[0].at.less(best.cost) {
			continue
		}
		if short, ok := a.atLeast(n); !ok || best != nil && best.cost.clear == least.clear && short >= best.cost.length {
			break
		}
		with, err := a.exactly(int(n))
		if err != nil {
			return nil, err
		}
		if with != nil && (best == nil || with.cost.less(best.cost)) {
			best = with
		}
		if best != nil && best.cost.clear == least.clear && best.cost.length == least.length {
			break
		}
	}
	if best == nil {
		return nil, nil
	}
	for n := min(a.minCount, a.last+1); n > int64(len(best.pieces)); n-- {
		rest, err := a.rest(int(n), int(n))
		if err != nil {
			return nil, err
		}
		if len(rest) == 0 || rest[0].from > 0 || !same(rest[0].at) {
			continue
		}
		if short, ok := a.atLeast(n); !ok || short > best.cost.length {
			continue
		}
		with, err := a.exactly(int(n))
		if err != nil || with != nil && same(with.cost) {
			return with, err
		}
	}
	return best, nil
}

// exactly returns the best layout of n pieces, nil if there is none.
func (a *apart) exactly(n int) (*laid, error) {
	if _, ok := a.atLeast(int64(n)); !ok {
		return nil, nil
	}
	for len(a.any) < n {
		a.any = append(a.any, anyBox)
	}
	whole := a.any[:n] // of piece k at k-1
	best, err := a.within(whole, nil)
	if best == nil || err != nil {
		return nil, err
	}
	at := a.crossing(best.pieces)
	if at < 0 {
		return best, nil
	}
	open := a.split(whole, best.pieces, at)
	best = nil
	defer func(limit int64) { a.limit = limit }(a.limit)
	a.limit = min(a.limit, a.work+maxApartWork)
	for len(open) > 0 {
		boxes := open[len(open)-1]
		open = open[:len(open)-1]
		with, err := a.within(boxes, best)
		if err != nil {
			return nil, err
		}
		if with == nil || best != nil && !better(with, best) {
			continue
		}
		if at := a.crossing(with.pieces); at >= 0 {
			open = append(open, a.split(boxes, with.pieces, at)...)
		} else {
			best = with
		}
	}
	return best, nil
}

// within returns the best layout within boxes, whether or not a lap crosses a third piece; nil if there is none or it
// costs more than best.
func (a *apart) within(boxes []box, best *laid) (*laid, error) {
	n := len(boxes)
	a.lists, a.bound = grow(a.lists, n), grow(a.bound, n)
	lists := a.lists[:n+1]
	var err error
	if lists[1], err = a.rest(1, n); err != nil {
		return nil, err
	}
	unbound := true
	for k := n - 1; k >= 1; k-- { // piece k has n-k more to follow
		if unbound = unbound && boxes[k-1] == anyBox; unbound {
			lists[n-k+1], err = a.rest(n-k+1, n)
		} else {
			list := &a.bound[n-k+1]
			*list, err = a.more((*list)[:0], lists[n-k], boxes[k-1], a.places(k-1))
			lists[n-k+1] = *list
		}
		if err != nil {
			return nil, err
		}
	}
	top := lists[n]
	if len(top) == 0 || top[0].from > 0 || best != nil && best.cost.less(top[0].at) {
		return nil, nil
	}
	pieces, err := a.walk(n, func(left int) []segment { return lists[left] }, func(k int) box { return boxes[k-1] })
	if pieces == nil {
		return nil, err
	}
	return &laid{top[0].at, pieces}, err
}

// split returns parts of boxes that hold, together, every layout of boxes which keeps the rule at piece i, and none of
// them this one. The rule: a piece is at least as long as the laps on both sides of it together, and longer than each.
func (a *apart) split(boxes []box, ps []Piece, i int) [][]box {
	before := (ps[i-1].To - ps[i].From) / a.step
	after := (ps[i].To - ps[i+1].From) / a.step
	length := (ps[i].To - ps[i].From) / a.step
	part := func(lapBefore, lapAfter, length Span) []box {
		b := slices.Clone(boxes)
		b[i-1].lap, b[i].lap, b[i].length = b[i-1].lap.and(lapBefore), b[i].lap.and(lapAfter), b[i].length.and(length)
		return b
	}
	all, from, to := anyBox.lap, func(x int64) Span { return Span{x, endless} }, func(x int64) Span { return Span{-endless, x} }
	switch {
	case after < 1:
		t := before - (before-length)/2
		return [][]box{part(from(t), all, from(t+1)), part(to(t-1), all, all)}
	case before < 1:
		t := after - (after-length)/2
		return [][]box{part(all, from(t), from(t+1)), part(all, to(t-1), all)}
	}
	spare := before + after - length - 1 // by so much the bounds may lie below what this layout has
	t := max(1, before-spare/2)
	u := max(1, after-(spare-spare/2))
	return [][]box{part(from(t), from(u), from(t+u)), part(to(t-1), all, all), part(from(t), to(u-1), all)}
}

// better reports whether a comes before b: by cost, then by the longest first piece, the longest second, and so on,
// then by the leftmost joints from the last back.
func better(a, b *laid) bool {
	if c := a.cost.compare(b.cost); c != 0 {
		return c < 0
	}
	for i := range a.pieces {
		if c := cmp.Compare(a.pieces[i].To-a.pieces[i].From, b.pieces[i].To-b.pieces[i].From); c != 0 {
			return c > 0
		}
	}
	for i := len(a.pieces) - 1; i >= 0; i-- {
		if a.pieces[i].From != b.pieces[i].From {
			return a.pieces[i].From < b.pieces[i].From
		}
	}
	return false
}
