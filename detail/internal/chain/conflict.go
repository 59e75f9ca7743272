package chain

import (
	"errors"
	"slices"
)

// conflict returns the smallest set of limits that cannot hold together: the fewest limits, then the earliest, as
// ascending places in limits. Limits that are Fixed always hold and Should limits never take part. The set is nil if
// all limits can hold, and empty if the Fixed ones alone cannot. Feasible reports whether the limits marked in can hold
// together; in is reused between calls. A set may be infeasible though a larger one is not: leaving out the maximum of
// an end brings back the default one. So every set is asked about by itself.
//
// After budget calls of feasible the set returned is only irreducible, the one that is left when lines are dropped from
// the last on, and smallest is false. That is also so, and the set irreducible as far as is known, where feasible says
// ErrWork; any other error ends the search.
func conflict(limits []Limit, budget int, feasible func(in []bool) (bool, error)) (set []int, smallest bool, err error) {
	c := conflictSearch{limits: limits, in: make([]bool, len(limits)), budget: budget, feasible: feasible}
	for i, l := range limits {
		c.in[i] = l.Fixed && !l.Should
		if !l.Fixed && !l.Should && !l.Joined {
			c.free = append(c.free, i)
		}
	}
	if ok, err := c.holds(c.free); ok && !c.unknown || err != nil {
		return nil, err == nil, err
	}
	set, err = c.irreducible(c.free)
	if err != nil {
		return nil, false, err
	}
	for n := 0; n <= len(set); n++ {
		found, err := c.first(make([]int, 0, n), 0, set)
		if err != nil {
			return nil, false, err
		}
		if found != nil {
			return found, !c.unknown, nil
		}
	}
	return set, c.budget > 0, nil
}

// conflictSearch asks about sets of limits.
type conflictSearch struct {
	limits   []Limit
	free     []int // a limit stands for those joined to it
	in       []bool
	budget   int // calls of feasible left
	feasible func(in []bool) (bool, error)
	unknown  bool // one set was too much work to tell
}

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

// irreducible drops limits, from the last on, until what is left can hold without any one of them.
func (c *conflictSearch) irreducible(set []int) ([]int, error) {
	for dropped := true; dropped; {
		dropped = false
		for k := len(set) - 1; k >= 0; k-- {
			without := slices.Delete(slices.Clone(set), k, k+1)
			ok, err := c.holds(without)
			if err != nil {
				return nil, err
			}
			if !ok {
				set, dropped = without, true
			}
		}
	}
	return set, nil
}

// first returns the earliest infeasible set that goes on from set, up to its capacity, with limits from place from on;
// nil if there is none before the set known, or the budget is used up.
func (c *conflictSearch) first(set []int, from int, known []int) ([]int, error) {
	if len(set) == cap(set) {
		if c.budget <= 0 {
			return nil, nil
		}
		if ok, err := c.holds(set); ok || err != nil {
			return nil, err
		}
		return set, nil
	}
	for k := from; k <= len(c.free)-(cap(set)-len(set)) && c.budget > 0; k++ {
		next := append(set, c.free[k])
		if cap(set) == len(known) && slices.Compare(next, known[:len(next)]) > 0 {
			return nil, nil
		}
		if found, err := c.first(next, k+1, known); found != nil || err != nil {
			return found, err
		}
	}
	return nil, nil
}
