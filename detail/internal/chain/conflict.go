package chain

import (
	"errors"
	"slices"
)

// conflict returns the smallest set of limits that cannot hold together: the fewest limits, then the earliest, as
// ascending places in limits. Limits that are Fixed always hold and Should limits never take part. The set is nil if
// all limits can hold, and empty if the Fixed ones alone cannot. Feasible reports whether the limits marked in can hold
// together; in is reused between calls.
//
// After budget calls of feasible the set returned is only irreducible, the one that is left when lines are dropped from
// the last on, and smallest is false. That is also so, and the set irreducible as far as is known, where feasible says
// ErrWork; any other error ends the search.
func conflict(limits []Limit, budget int, feasible func(in []bool) (bool, error)) (set []int, smallest bool, err error) {
	c := conflictSearch{limits: limits, in: make([]bool, len(limits)), budget: budget, steps: 100 * budget, feasible: feasible}
	for i, l := range limits {
		c.in[i] = l.Fixed && !l.Should
		if !l.Fixed && !l.Should && !l.Joined {
			c.free = append(c.free, i)
		}
	}
	all := slices.Clone(c.free)
	if ok, err := c.holds(all); ok && !c.unknown || err != nil {
		return nil, err == nil, err
	}
	set, err = c.irreducible(all)
	if err != nil {
		return nil, false, err
	}
	for n := 0; n < len(set); n++ {
		found, err := c.first(n, nil)
		if found != nil || err != nil {
			return found, err == nil, err
		}
	}
	found, err := c.first(len(set), set)
	if found != nil {
		set = found
	}
	if err != nil {
		return nil, false, err
	}
	return set, c.more(), nil
}

// conflictSearch holds what is known about which sets can hold.
type conflictSearch struct {
	limits   []Limit
	free     []int // a limit stands for those joined to it
	in       []bool
	budget   int // calls of feasible left
	steps    int // steps of the search left
	feasible func(in []bool) (bool, error)
	unknown  bool    // one set was too much work to tell
	missing  [][]int // of each feasible set met, the free limits it lacks: an infeasible set has one of them at least
}

// more reports whether the search may go on.
func (c *conflictSearch) more() bool { return c.budget > 0 && c.steps > 0 }

// holds asks whether a set of free limits can hold, and counts it.
func (c *conflictSearch) holds(set []int) (bool, error) {
	for _, i := range c.free {
		c.mark(i, false)
	}
	for _, i := range set {
		c.mark(i, true)
	}
	c.budget--
	ok, err := c.feasible(c.in)
	if errors.Is(err, ErrWork) { // what is not known to conflict is not named
		c.budget, c.unknown = 0, true
		return true, nil
	}
	return ok, err
}

// mark takes a limit, and those joined to it, in or out.
func (c *conflictSearch) mark(i int, in bool) {
	c.in[i] = in
	for i++; i < len(c.limits) && c.limits[i].Joined; i++ {
		c.in[i] = in
	}
}

// learnFrom adds to a set that can hold what else can, and keeps what it lacks then.
func (c *conflictSearch) learnFrom(set []int) error {
	set = slices.Clone(set)
	var lacks []int
	for _, i := range c.free {
		at, in := slices.BinarySearch(set, i)
		if in {
			continue
		}
		wider := slices.Insert(slices.Clone(set), at, i)
		ok := false
		if c.budget > 0 {
			var err error
			if ok, err = c.holds(wider); err != nil {
				return err
			}
		}
		if ok {
			set = wider
		} else {
			lacks = append(lacks, i)
		}
	}
	c.missing = append(c.missing, lacks)
	return nil
}

// irreducible drops limits from the last on, as long as the rest cannot hold.
func (c *conflictSearch) irreducible(set []int) ([]int, error) {
	for k := len(set) - 1; k >= 0; k-- {
		without := slices.Delete(slices.Clone(set), k, k+1)
		ok, err := c.holds(without)
		if err != nil {
			return nil, err
		}
		if ok {
			if err := c.learnFrom(without); err != nil {
				return nil, err
			}
		} else {
			set = without
		}
	}
	return set, nil
}

// first returns the earliest infeasible set of n limits that comes before the set known, nil if there is none or the
// budget is used up.
func (c *conflictSearch) first(n int, known []int) ([]int, error) {
	set := make([]int, 0, n)
	var walk func(from int) ([]int, error)
	walk = func(from int) ([]int, error) {
		if len(set) == n {
			return c.infeasible(set)
		}
		for k := from; k <= len(c.free)-(n-len(set)) && c.more(); k++ {
			set = append(set, c.free[k])
			if known != nil && slices.Compare(set, known[:len(set)]) > 0 {
				set = set[:len(set)-1]
				break
			}
			if c.canHit(set, k+1, n-len(set)) {
				if found, err := walk(k + 1); found != nil || err != nil {
					return found, err
				}
			}
			set = set[:len(set)-1]
		}
		return nil, nil
	}
	return walk(0)
}

// infeasible returns a copy of the set if it cannot hold, and nil if it can or the budget is used up.
func (c *conflictSearch) infeasible(set []int) ([]int, error) {
	if !c.more() || !c.canHit(set, len(c.free), 0) {
		return nil, nil
	}
	ok, err := c.holds(set)
	if err != nil {
		return nil, err
	}
	if !ok {
		return append([]int{}, set...), nil
	}
	return nil, c.learnFrom(set)
}

// canHit reports whether a set may still be infeasible with left more free limits, from place from on: every feasible
// set known has to lack one of them.
func (c *conflictSearch) canHit(set []int, from, left int) bool {
	c.steps--
	needed, used := 0, map[int]bool{}
	for _, lacks := range c.missing {
		if slices.ContainsFunc(lacks, func(i int) bool { return slices.Contains(set, i) }) {
			continue
		}
		if left == 0 || from >= len(c.free) || lacks[len(lacks)-1] < c.free[from] {
			return false
		}
		if slices.ContainsFunc(lacks, func(i int) bool { return used[i] }) {
			continue
		}
		for _, i := range lacks { // sets that share nothing need one limit each
			used[i] = true
		}
		if needed++; needed > left {
			return false
		}
	}
	return true
}
