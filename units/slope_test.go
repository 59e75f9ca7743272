package units_test

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/units"
)

func slope(t *testing.T, s string) units.Slope {
	t.Helper()
	got, err := units.ParseSlope(s)
	require.NoError(t, err, s)
	return got
}

func TestSlopeForms(t *testing.T) {
	for text, want := range map[string]string{
		"3:12":      "3:12",
		"1/2:12":    "1/2:12",
		"2.5:12":    "2 1/2:12",
		"3 1/2:12":  "3 1/2:12",
		"1:4":       "3:12",
		"1:1":       "12:12",
		"1:7":       "1 5/7:12",
		"0:12":      "0:12",
		"0:1":       "0:12",
		" 3:12 ":    "3:12",
		"3:1/2":     "72:12",
		"21.75:12":  "21 3/4:12",
		"0.0001:12": "1/10000:12",
	} {
		s := slope(t, text)
		assert.Equal(t, want, s.String(), text)
		assert.Equal(t, s, slope(t, s.String()), text)
	}
	var zero units.Slope
	assert.Equal(t, "0:12", zero.String())
	assert.Equal(t, zero, slope(t, "0:12"))
	assert.Zero(t, zero.Rat().Sign())
}

func TestSlopeErrors(t *testing.T) {
	for _, c := range []struct {
		text string
		kind error
		says string
	}{
		{"3", units.ErrSyntax, "rise:run, such as 3:12"},
		{"3 :12", units.ErrSyntax, "without spaces"},
		{"3: 12", units.ErrSyntax, "a number is missing"},
		{"3:", units.ErrSyntax, "a number is missing"},
		{":12", units.ErrSyntax, "a number is missing"},
		{"-3:12", units.ErrSyntax, "never negative"},
		{"3:0", units.ErrSyntax, "above 0"},
		{"3:12:1", units.ErrSyntax, "nothing may follow"},
		{"25%", units.ErrSyntax, "rise:run"},
		{"10000000001:12", units.ErrOverflow, "1,000,000,000"},
		{"0.00000000001:12", units.ErrOverflow, "1,000,000,000"},
		{strings.Repeat("1", 40) + ":12", units.ErrSyntax, "over 32 bytes"},
	} {
		_, err := units.ParseSlope(c.text)
		assert.ErrorIs(t, err, c.kind, c.text)
		assert.ErrorContains(t, err, c.says, c.text)
	}
	_, err := units.NewSlope(-1, 12)
	assert.ErrorIs(t, err, units.ErrSyntax)
	_, err = units.NewSlope(1, 0)
	assert.ErrorIs(t, err, units.ErrSyntax)
	_, err = units.SlopeFromRat(big.NewRat(-1, 4))
	assert.ErrorIs(t, err, units.ErrSyntax)
}

func TestSlopeOrder(t *testing.T) {
	r := random(t)
	for range 8_000 {
		a, b := r.Int64N(1_000_000_000), r.Int64N(1_000_000_000)+1
		c, d := r.Int64N(1_000_000_000), r.Int64N(1_000_000_000)+1
		if r.IntN(3) == 0 {
			c, d = a%1000*7, b%1000*7+7
			a, b = c/7, d/7
		}
		s, err := units.NewSlope(a, b)
		require.NoError(t, err)
		u, err := units.NewSlope(c, d)
		require.NoError(t, err)
		want := big.NewRat(a, b).Cmp(big.NewRat(c, d))
		require.Equal(t, want, s.Cmp(u))
		require.Equal(t, want == 0, s == u)
		require.Zero(t, s.Rat().Cmp(big.NewRat(a, b)))
		require.Equal(t, s, slope(t, s.String()))
	}
}

func TestSlopeValues(t *testing.T) {
	// Pitch is rise over span, half the slope: US Army EN5156.
	for rise, pitch := range map[int64]*big.Rat{
		4: big.NewRat(1, 6), 6: big.NewRat(1, 4), 8: big.NewRat(1, 3), 10: big.NewRat(5, 12),
		12: big.NewRat(1, 2), 15: big.NewRat(5, 8), 18: big.NewRat(3, 4),
	} {
		s, err := units.NewSlope(rise, 12)
		require.NoError(t, err)
		assert.Zero(t, new(big.Rat).Quo(s.Rat(), big.NewRat(2, 1)).Cmp(pitch), rise)
	}
	// Arithmetic: 3:12 is 25 % exactly, 1/2:12 is 4.1667 % to four decimals.
	percent := func(s string) *big.Rat { return new(big.Rat).Mul(slope(t, s).Rat(), big.NewRat(100, 1)) }
	assert.Zero(t, percent("3:12").Cmp(big.NewRat(25, 1)))
	assert.Equal(t, "4.1667", percent("1/2:12").FloatString(4))
}
