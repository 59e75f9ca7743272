package chain

import (
	"errors"
	"math"
	"slices"
	"sort"
)

// CheckRow finds every limit that marks at at, ascending, break: by limit, then from left to right. The default end
// limit is a breach of the least must GapMax that binds there, and of each Should GapMax; with Lay Stepped it is the
// whole gap at the right end. Of no marks, both end gaps are the scope. It finds nothing in a row that Row refuses,
// but for ErrFiner.
func CheckRow(p *Row, at []int64) []Breach {
	if err := p.check(); err != nil && !errors.As(err, new(ErrFiner)) {
		return nil
	}
	var s rowScratch
	musts := make([]bool, len(p.Limits))
	for i, l := range p.Limits {
		musts[i] = !l.Should
	}
	s.build(p, musts, false)
	c := rowCheck{p: p, left: p.Length, right: p.Length}
	if len(at) > 0 {
		c.left, c.right = at[0], p.Length-at[len(at)-1]
	}
	for i, e := range [2]endLimits{s.grid.view[0].end, s.grid.view[1].end} {
		c.first[i], c.own[i] = e.first, e.own
		if e.first == far { // no mark may stand anywhere, so nothing excuses
			c.first[i] = -1
		}
	}
	c.leastGaps()
	for i, l := range p.Limits {
		c.limit(i, l, at)
	}
	return c.out
}

// FirstAllowed tells how far from the left and the right end of a row the first place lies where the musts let a mark
// stand, which excuses an end from the default limit; -1 where there is none, or where Row refuses the row.
func FirstAllowed(p *Row) (left, right int64) {
	if err := p.check(); err != nil && !errors.As(err, new(ErrFiner)) {
		return -1, -1
	}
	var s rowScratch
	musts := make([]bool, len(p.Limits))
	for i, l := range p.Limits {
		musts[i] = !l.Should
	}
	s.build(p, musts, false)
	left, right = s.grid.view[0].end.first, s.grid.view[1].end.first
	if left == far || right == far {
		return -1, -1
	}
	return left, right
}

type rowCheck struct {
	p           *Row
	left, right int64 // end gaps
	first, own  [2]int64
	least       [2]int // the must GapMax that the default limit of an end is breached under, -1 for none
	out         []Breach
}

// overHalf tells whether an end gap breaks the default limit of a largest gap.
func (c *rowCheck) overHalf(end int, l Limit) bool {
	d, name := c.left, LeftEnd
	if end == 1 {
		d, name = c.right, RightEnd
	}
	most := floorDiv(l.Value, 2)
	if end == 1 && c.p.Lay == Stepped {
		most = l.Value
	}
	return d > most && d > c.first[end] && d < c.own[end] && d >= binds(l.Spans, name, c.p.Length)
}

func (c *rowCheck) leastGaps() {
	for end := range c.least {
		c.least[end] = -1
		value := int64(math.MaxInt64)
		for i, l := range c.p.Limits {
			if l.Kind == GapMax && !l.Should && l.Value < value && c.overHalf(end, l) {
				c.least[end], value = i, l.Value
			}
		}
	}
}

func (c *rowCheck) limit(i int, l Limit, at []int64) {
	add := func(from, to, found int64) { c.out = append(c.out, Breach{i, from, to, found}) }
	ends := func(broken func(end int, d int64) bool) {
		if broken(0, c.left) {
			add(0, c.left, c.left)
		}
		if broken(1, c.right) {
			add(c.p.Length-c.right, c.p.Length, c.right)
		}
	}
	switch l.Kind {
	case Keep:
		free := make([]Span, 0, len(l.Spans))
		for _, k := range l.Spans {
			if k.From < k.To {
				free = append(free, k)
			}
		}
		free = tidy(free, math.MinInt64+1, math.MaxInt64, -1)
		for _, x := range at {
			if k := firstTo(free, x+1); k < len(free) && free[k].From < x {
				add(x, x, min(x-free[k].From, free[k].To-x))
			}
		}
	case Step:
		for _, x := range at {
			if x%l.Value != 0 {
				add(x, x, x%l.Value)
			}
		}
	case GapMin, GapMax:
		where := []Span{{math.MinInt64, math.MaxInt64}}
		if l.Spans != nil {
			where = slices.DeleteFunc(slices.Clone(l.Spans), func(k Span) bool { return k.From > k.To })
			where = tidy(where, math.MinInt64, math.MaxInt64, 0)
		}
		byDefault := func(end int) bool {
			return l.Kind == GapMax && (c.least[end] == i || l.Should && c.overHalf(end, l))
		}
		if byDefault(0) {
			add(0, c.left, c.left)
		}
		for k := 1; k < len(at); k++ {
			d := at[k] - at[k-1]
			if l.Kind == GapMin && d >= l.Value || l.Kind == GapMax && d <= l.Value {
				continue
			}
			if j := firstTo(where, at[k-1]); j < len(where) && where[j].From <= at[k] {
				add(at[k-1], at[k], d)
			}
		}
		if byDefault(1) {
			add(c.p.Length-c.right, c.p.Length, c.right)
		}
	case EndMin:
		ends(func(end int, d int64) bool {
			return len(at) > 0 && l.Ends>>end&1 == 1 && d < l.Value && d >= binds(l.Spans, LeftEnd<<end, c.p.Length)
		})
	case EndMax:
		ends(func(end int, d int64) bool {
			return l.Ends>>end&1 == 1 && d > l.Value && d >= binds(l.Spans, LeftEnd<<end, c.p.Length)
		})
	case CountMin, CountMax:
		if n := int64(len(at)); l.Kind == CountMin && n < l.Value || l.Kind == CountMax && n > l.Value {
			add(0, c.p.Length, n)
		}
	}
}

// firstTo finds the first of spans, ascending and apart, that ends at x or past it.
func firstTo(spans []Span, x int64) int {
	return sort.Search(len(spans), func(k int) bool { return spans[k].To >= x })
}
