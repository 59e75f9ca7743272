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
	const dropping = 13 // calls to drop lines one by one, which are not cut short
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

func TestConflictOfWhatTakesTooMuchWork(t *testing.T) {
	feasible := oracle([]uint32{0b00001111, 0b11000000})
	for at := range 20 {
		calls := 0
		set, smallest, err := conflict(make([]Limit, 8), 1000, func(in []bool) (bool, error) {
			if calls++; calls > at {
				return false, ErrWork
			}
			return feasible(bitsOf(in)), nil
		})
		require.NoError(t, err)
		require.False(t, smallest)
		in := uint32(0)
		for _, i := range set {
			in |= 1 << i
		}
		require.False(t, feasible(in), "what is named conflicts, call %d: %v", at, set)
	}
}
