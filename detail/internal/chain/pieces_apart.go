package chain

import (
	"cmp"
	"container/heap"
	"slices"
)

// apart lays a given number of pieces such that no lap reaches across a third one. Costs from one place on know
// nothing of the lap before it, so that it lays without the rule and, where that breaks it, splits the places of the
// two joints concerned into ranges that leave this layout out and no good one.
type apart struct {
	pieceSweep
	upTo  int         // pieces that free is for
	known int         // lists of free that are found
	free  [][]segment // the least costs with so many pieces, of upTo, wherever their joints are
	bound [][]segment // the same within boxes
	lists [][]segment
	any   []box
	place [1]segment
}

// A rule of the order of joints: x, the start or the end of a piece, comes by at least so many places before y, that
// of a later one.
type order struct {
	x, y         int // the pieces, from 0
	startX, endY bool
	by           int64
}

// crossing returns a rule of order that the pieces break.
func (a *apart) crossing(ps []Piece) (o order, ok bool) {
	for i := 1; i+1 < len(ps); i++ {
		switch {
		case ps[i+1].From < ps[i-1].To:
			return order{x: i - 1, y: i + 1}, true
		case ps[i].To <= ps[i-1].To:
			return order{x: i - 1, y: i, endY: true, by: 1}, true
		case ps[i+1].From <= ps[i].From:
			return order{x: i, y: i + 1, startX: true, by: 1}, true
		}
	}
	return o, false
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

// relaxed returns the best layout where must limits only cost, if it breaks them no further than one before, which may
// be nil; nothing costs less than least.
func (a *apart) relaxed(least cost, before *laid) (*laid, error) {
	var best *laid
	// A cost that knows nothing of laps across a third piece may be less than it will be.
	noWorse := func(c cost) bool { return c.breaksNoMore(best.cost) }
	good := func(c cost) bool {
		return (before == nil || c.breaksNoMore(before.cost)) && (best == nil || c.less(best.cost))
	}
	for n := int64(1); n <= a.last+1; n++ {
		rest, err := a.rest(int(n), a.room(int(n)))
		if err != nil {
			return nil, err
		}
		if len(rest) == 0 || rest[0].from > 0 || !good(rest[0].at) {
			continue
		}
		short, ok := a.atLeast(n)
		if !ok || best != nil && best.cost.clear == least.clear && short >= best.cost.length ||
			before != nil && before.cost.clear == least.clear && short > before.cost.length {
			break
		}
		with, err := a.exactly(int(n), good)
		if err != nil {
			return nil, err
		}
		if with != nil {
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
		if len(rest) == 0 || rest[0].from > 0 || !noWorse(rest[0].at) {
			continue
		}
		if short, ok := a.atLeast(n); !ok || short > best.cost.length {
			continue
		}
		with, err := a.exactly(int(n), noWorse)
		if err != nil || with != nil {
			return with, err
		}
	}
	return best, nil
}

// exactly returns the best layout of n pieces, nil if there is none whose cost is good, which all that cost less are
// too.
func (a *apart) exactly(n int, good func(cost) bool) (*laid, error) {
	if _, ok := a.atLeast(int64(n)); !ok {
		return nil, nil
	}
	for len(a.any) < n {
		a.any = append(a.any, anyBox)
	}
	whole := a.any[:n] // of piece k at k-1
	best, err := a.within(whole)
	if best == nil || err != nil || !good(best.cost) {
		return nil, err
	}
	if _, crosses := a.crossing(best.pieces); !crosses {
		return best, nil
	}
	defer func(limit int64) { a.limit = limit }(a.limit)
	a.limit = min(a.limit, a.work+maxApartWork)
	return a.search(part{whole, best}, good)
}

// search splits the part whose best layout comes first, again and again, until that keeps the rule: it is the best of
// all then.
func (a *apart) search(next part, good func(cost) bool) (*laid, error) {
	var open parts
	for ; good(next.best.cost); next = heap.Pop(&open).(part) {
		o, crosses := a.crossing(next.best.pieces)
		if !crosses {
			return next.best, nil
		}
		for _, b := range a.split(next.boxes, next.best.pieces, o) {
			with, err := a.within(b)
			if err != nil {
				return nil, err
			}
			if with != nil {
				heap.Push(&open, part{b, with})
			}
		}
		if len(open) == 0 {
			break
		}
	}
	return nil, nil
}

// part is boxes of pieces and the best layout within, whether or not it keeps the rule.
type part struct {
	boxes []box
	best  *laid
}

// parts is a heap, the one whose layout comes first on top.
type parts []part

func (p parts) Len() int           { return len(p) }
func (p parts) Less(i, j int) bool { return better(p[i].best, p[j].best) }
func (p parts) Swap(i, j int)      { p[i], p[j] = p[j], p[i] }
func (p *parts) Push(x any)        { *p = append(*p, x.(part)) }
func (p *parts) Pop() any {
	last := (*p)[len(*p)-1]
	*p = (*p)[:len(*p)-1]
	return last
}

// within returns the best layout within boxes, whether or not a lap crosses a third piece; nil if there is none.
func (a *apart) within(boxes []box) (*laid, error) {
	n := len(boxes)
	a.lists, a.bound = grow(a.lists, n), grow(a.bound, n)
	lists := a.lists[:n+1]
	unbound := true
	for k := n; k >= 1; k-- { // piece k has n-k more to follow
		b := boxes[k-1]
		unbound = unbound && b == anyBox
		list, err := &a.bound[n-k+1], error(nil)
		switch {
		case unbound:
			lists[n-k+1], err = a.rest(n-k+1, n)
		case k == n:
			var alone []segment
			alone, err = a.rest(1, n)
			*list = within((*list)[:0], alone, b.start)
			lists[1] = *list
		default:
			*list, err = a.more((*list)[:0], lists[n-k], b, a.places(k-1))
			lists[n-k+1] = *list
		}
		if err != nil {
			return nil, err
		}
	}
	top := lists[n]
	if len(top) == 0 || top[0].from > 0 {
		return nil, nil
	}
	pieces, err := a.walk(n, func(left int) []segment { return lists[left] }, func(k int) Span { return boxes[k-1].end })
	if pieces == nil {
		return nil, err
	}
	return &laid{top[0].at, pieces}, err
}

// split returns two parts of boxes that hold, together, every layout of boxes which keeps a rule of order, and
// neither of them this one.
func (a *apart) split(boxes []box, ps []Piece, o order) [2][]box {
	p, q := slices.Clone(boxes), slices.Clone(boxes)
	x, y := ps[o.x].To, ps[o.y].From
	px, qx, qy := &p[o.x].end, &q[o.x].end, &q[o.y].start
	if o.startX {
		x, px, qx = ps[o.x].From, &p[o.x].start, &q[o.x].start
	}
	if o.endY {
		y, qy = ps[o.y].To, &q[o.y].end
	}
	x, y = (x-a.from)/a.step, (y-a.from)/a.step
	t := y + (x+o.by-1-y)/2
	px.To, qx.From, qy.From = min(px.To, t-o.by), max(qx.From, t-o.by+1), max(qy.From, t+1)
	return [2][]box{p, q}
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
