package chain

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestConflictAsksNoMoreThanItsBudget(t *testing.T) {
	feasible := oracle([]uint32{0b00001111, 0b11000000})
	ask := func(budget int) (set []int, smallest bool, calls int) {
		set, smallest, err := conflict(make([]Limit, 8), budget, func(in []bool) (bool, error) {
			calls++
			return feasible(bitsOf(in)), nil
		})
		require.NoError(t, err)
		return set, smallest, calls
	}
	const dropping = 24 // calls to drop lines one by one, and to learn from the sets that can hold: those are not cut short
	_, _, enough := ask(1000)
	require.Greater(t, enough, dropping)
	for budget := dropping; budget <= enough; budget++ {
		set, smallest, calls := ask(budget)
		require.LessOrEqual(t, calls, budget)
		require.Equal(t, budget == enough, smallest, "budget %d", budget)
		if smallest {
			require.Equal(t, []int{6, 7}, set)
		} else {
			require.Equal(t, []int{0, 1, 2, 3}, set)
		}
	}
}

// Two of each three limits have to be there. What is learned about one three says little of how many limits all of them
// need, so that the search is long though few sets have to be tried.
func TestConflictStopsAfterLongSearch(t *testing.T) {
	const threes = 10
	calls := 0
	set, smallest, err := conflict(make([]Limit, 3*threes), 600, func(in []bool) (bool, error) {
		calls++
		for k := 0; k < len(in); k += 3 {
			n := 0
			for _, taken := range in[k : k+3] {
				if taken {
					n++
				}
			}
			if n < 2 {
				return true, nil
			}
		}
		return false, nil
	})
	require.NoError(t, err)
	require.Less(t, calls, 600, "the budget is not what ends it")
	require.False(t, smallest)
	require.Len(t, set, 2*threes)
}
