package geom_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

func slope(rise int64) units.Slope {
	s, err := units.NewSlope(rise, 12)
	if err != nil {
		panic(err)
	}
	return s
}

// The tables of a framing square: the length of a common rafter per foot of run, and of a hip or valley per foot of
// the common's run, in inches to two decimals. From the printed tables; the factors are √(144+r²)/12 and √(288+r²)/12.
func TestFramingSquareTables(t *testing.T) {
	hundredth, foot := in("0.01 in"), in("1 ft")
	for _, row := range []struct {
		rise        int64
		common, hip string
	}{
		{2, "12.17", "17.09"}, {3, "12.37", "17.23"}, {4, "12.65", "17.44"}, {5, "13.00", "17.69"},
		{6, "13.42", "18.00"}, {7, "13.89", "18.36"}, {8, "14.42", "18.76"}, {9, "15.00", "19.21"},
		{10, "15.62", "19.70"}, {12, "16.97", "20.78"}, {16, "20.00", "23.32"}, {18, "21.63", "24.74"},
	} {
		common, err := geom.Slant(foot, slope(row.rise))
		require.NoError(t, err)
		hip, err := geom.HipSlant(foot, slope(row.rise))
		require.NoError(t, err)
		for want, got := range map[string]geom.Bounds{row.common: common, row.hip: hip} {
			for _, bound := range []units.Length{got.Low, got.High} {
				on, err := bound.Round(hundredth, units.Nearest)
				require.NoError(t, err)
				assert.Equal(t, in(want+" in"), on, "%d in 12", row.rise)
			}
		}
	}
}

// The slopes of which the factors are rational: 13/12, 5/4, 5/3 for common rafters, 17/12, 3/2, 11/6, 9/4 for hips.
func TestRationalSlantsAreExact(t *testing.T) {
	for rise, want := range map[int64]string{5: "13 in", 9: "15 in", 16: "20 in"} {
		got, err := geom.Slant(in("1 ft"), slope(rise))
		require.NoError(t, err)
		assert.Equal(t, geom.Bounds{Low: in(want), High: in(want)}, got)
		assert.True(t, got.Exact())
	}
	for rise, want := range map[int64]string{1: "17 in", 6: "18 in", 14: "22 in", 21: "27 in"} {
		got, err := geom.HipSlant(in("1 ft"), slope(rise))
		require.NoError(t, err)
		assert.Equal(t, geom.Bounds{Low: in(want), High: in(want)}, got)
	}
	got, err := geom.Slant(in("1 ft"), slope(7))
	require.NoError(t, err)
	assert.False(t, got.Exact())
	assert.Equal(t, got.Low.Ticks()+1, got.High.Ticks())
}

// NAVEDTRA 14044: 7 in 12 over a span of 16 ft takes a rafter of 9 ft 3 1/8 in, to the nearest 1/16 in.
func TestPrintedRafter(t *testing.T) {
	got, err := geom.Slant(in("8 ft"), slope(7))
	require.NoError(t, err)
	on, err := got.High.Round(in("1/16 in"), units.Nearest)
	require.NoError(t, err)
	assert.Equal(t, in("9 ft 3 1/8 in"), on)
}

func TestSlantOverflows(t *testing.T) {
	_, err := geom.Slant(in("999999 m"), slope(120))
	assert.ErrorIs(t, err, units.ErrOverflow)
}

// ASCE 7-02 and later, low-rise: the least dimension and the height to the width a.
func TestWindZoneWidth(t *testing.T) {
	for _, row := range [][3]string{
		{"40 ft", "55 ft", "4 ft"}, {"200 ft", "12 ft", "8 ft"}, {"24 ft", "9 ft", "3 ft"},
	} {
		a, err := geom.WindZoneWidth(in(row[0]), in(row[1]))
		require.NoError(t, err)
		assert.Equal(t, in(row[2]), a, "%v", row)
	}
	_, err := geom.WindZoneWidth(units.Length{}, in("9 ft"))
	assert.ErrorIs(t, err, units.ErrSyntax)
}

func ExampleSlant() {
	slope, _ := units.NewSlope(7, 12)
	rafter, _ := geom.Slant(units.MustParse("8 ft"), slope)
	tape, exact := rafter.High.Tape(units.MustParse("1/16 in"), units.Nearest)
	fmt.Println(tape, exact)
	// Output: 9' 3 1/8" false
}
