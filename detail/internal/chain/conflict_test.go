package chain

import (
	"errors"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A random oracle is a list of least infeasible sets, as bits over the places of limits.
func oracle(cores []uint32) func(in uint32) bool {
	return func(in uint32) bool {
		for _, c := range cores {
			if c&^in == 0 {
				return false
			}
		}
		return true
	}
}

func bitsOf(in []bool) (m uint32) {
	for i, b := range in {
		if b {
			m |= 1 << i
		}
	}
	return m
}

// smallestByAllSubsets tries every subset of the free limits.
func smallestByAllSubsets(free, fixed uint32, feasible func(uint32) bool) []int {
	var best []int
	for m := uint32(0); m <= free; m++ {
		if m&^free != 0 || feasible(m|fixed) {
			continue
		}
		set := []int{}
		for i := range 32 {
			if m>>i&1 == 1 {
				set = append(set, i)
			}
		}
		if best == nil || len(set) < len(best) || len(set) == len(best) && slices.Compare(set, best) < 0 {
			best = set
		}
	}
	return best
}

func TestConflictIsTheSmallestSet(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 3000 {
		n := 1 + rng.IntN(10)
		limits := make([]Limit, n)
		var free, fixed uint32
		for i := range limits {
			switch rng.IntN(6) {
			case 0:
				limits[i].Fixed = true
				fixed |= 1 << i
			case 1:
				limits[i].Should = true
			default:
				free |= 1 << i
			}
		}
		cores := make([]uint32, rng.IntN(5))
		for i := range cores {
			for range 1 + rng.IntN(5) {
				cores[i] |= 1 << rng.IntN(n)
			}
		}
		holds, odd := oracle(cores), rng.Uint32()
		feasible := func(in uint32) bool { // now and then a set holds though a part of it doesn't
			return holds(in) || in != free|fixed && bits.OnesCount32(in^odd)%7 == 0
		}
		calls := 0
		got, smallest, err := conflict(limits, 1<<20, func(in []bool) (bool, error) {
			calls++
			require.Zero(t, bitsOf(in)&^(free|fixed), "a should takes part")
			require.Equal(t, fixed, bitsOf(in)&fixed, "a fact is left out")
			return feasible(bitsOf(in)), nil
		})
		require.NoError(t, err)
		require.True(t, smallest)
		require.Equal(t, smallestByAllSubsets(free, fixed, feasible), got, "limits %+v cores %b", limits, cores)
		require.LessOrEqual(t, calls, 2<<bits.OnesCount32(free)+n)
	}
}

func TestConflictBeyondTheBudgetIsIrreducible(t *testing.T) {
	limits := make([]Limit, 8)
	feasible := oracle([]uint32{0b00001111, 0b11000000})
	calls := 0
	ask := func(in []bool) (bool, error) { calls++; return feasible(bitsOf(in)), nil }
	got, smallest, err := conflict(limits, 1, ask)
	require.NoError(t, err)
	require.False(t, smallest)
	require.Equal(t, []int{0, 1, 2, 3}, got, "dropped from the last line on")
	require.Equal(t, 13, calls)
	got, smallest, err = conflict(limits, 100, ask)
	require.NoError(t, err)
	require.True(t, smallest)
	require.Equal(t, []int{6, 7}, got)
}

func TestConflictOfManyLimitsStaysWithinItsBudget(t *testing.T) {
	limits := make([]Limit, 60)
	calls := 0
	set, _, err := conflict(limits, 5000, func(in []bool) (bool, error) {
		calls++
		for i := range 30 { // one of each pair at least, all thirty together cannot be met
			if !in[2*i] && !in[2*i+1] {
				return true, nil
			}
		}
		return false, nil
	})
	require.NoError(t, err)
	require.LessOrEqual(t, calls, 5000+61)
	require.Len(t, set, 30)
}

func TestConflictPassesAnErrorOn(t *testing.T) {
	stop := errors.New("stop")
	for at := range 6 {
		calls := 0
		_, _, err := conflict(make([]Limit, 4), 100, func(in []bool) (bool, error) {
			if calls++; calls > at {
				return false, stop
			}
			return bitsOf(in)&3 != 3, nil
		})
		require.ErrorIs(t, err, stop)
	}
}
