package units_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/units"
)

func volume(t *testing.T, s string) units.Volume {
	t.Helper()
	v, err := units.ParseVolume(s)
	require.NoError(t, err, s)
	return v
}

func TestVolumeForms(t *testing.T) {
	for text, want := range map[string]string{
		"10.1 floz":         "10.1 floz",
		"300 ml":            "300 ml",
		"300ml":             "300 ml",
		"1/4 floz":          "0.25 floz",
		"29.5735295625 ml":  "1 floz",
		"0 ml":              "0 floz",
		"0.000000000001 ml": "0.000000000001 ml",
		"1000000 ml":        "1000000 ml",
	} {
		v := volume(t, text)
		assert.Equal(t, want, v.String(), text)
		assert.Equal(t, v, volume(t, v.String()), text)
	}
	assert.True(t, volume(t, "0 ml").IsZero())
	assert.Equal(t, -1, volume(t, "1 ml").Cmp(volume(t, "1 floz")))

	sum, err := volume(t, "10.1 floz").Add(volume(t, "0.9 floz"))
	require.NoError(t, err)
	assert.Equal(t, volume(t, "11 floz"), sum)
	_, err = volume(t, "1000000 ml").Add(volume(t, "1 ml"))
	assert.ErrorIs(t, err, units.ErrOverflow)
}

func TestVolumeErrors(t *testing.T) {
	for _, c := range []struct {
		text string
		kind error
		says string
	}{
		{"300", units.ErrSyntax, "write floz or ml"},
		{"300 in", units.ErrSyntax, `unknown unit "in": use floz or ml`},
		{"-1 ml", units.ErrSyntax, "never negative"},
		{"ml", units.ErrSyntax, "a number is missing"},
		{"1 ml 2", units.ErrSyntax, "nothing may follow"},
		{"1/3 ml", units.ErrInexact, "can't be held exactly"},
		{"0.001 floz", units.ErrInexact, "can't be held exactly"},
		{"1000001 ml", units.ErrOverflow, "over 1,000 l"},
		{"99999999999999999999 ml", units.ErrOverflow, "over 1,000 l"},
	} {
		_, err := units.ParseVolume(c.text)
		assert.ErrorIs(t, err, c.kind, c.text)
		assert.ErrorContains(t, err, c.says, c.text)
	}
	_, err := units.VolumeFromRat(big.NewRat(-1_000_000_000_000_000_000, 1), units.Exact)
	assert.ErrorIs(t, err, units.ErrOverflow)
	_, err = units.VolumeFromRat(big.NewRat(1, 1), units.Exact)
	assert.ErrorIs(t, err, units.ErrInexact)
}

// cubicInches is a volume over a cubed inch.
func cubicInches(v units.Volume) *big.Rat {
	r := v.Rat()
	in := units.MustParse("1 in").Rat()
	return r.Quo(r, in).Quo(r, in).Quo(r, in)
}

func TestVolumeValues(t *testing.T) {
	// 1 US gal = 231 in³, so 1 floz = 1.8046875 in³ (NIST HB 44; from memory, not looked up).
	assert.Zero(t, cubicInches(volume(t, "1 floz")).Cmp(big.NewRat(18046875, 10000000)))
	assert.Zero(t, cubicInches(volume(t, "128 floz")).Cmp(big.NewRat(231, 1)))

	// Arithmetic: 10.1 floz is 18.227 in³, a 1/4 in square bead of 24.30 ft.
	cartridge := volume(t, "10.1 floz")
	assert.Equal(t, "18.227", cubicInches(cartridge).FloatString(3))
	side := units.MustParse("1/4 in").Rat()
	bead := cartridge.Rat()
	bead.Quo(bead, side).Quo(bead, side).Quo(bead, units.MustParse("1 ft").Rat())
	assert.Equal(t, "24.30", bead.FloatString(2))
}

func TestVolumeRoundTrip(t *testing.T) {
	r := random(t)
	cubic := big.NewRat(1_000_000_000_000_000_000, 1)
	for range 8_000 {
		n := new(big.Rat).SetInt64(r.Int64N(1_000_000_000_000_000_001) >> r.IntN(60))
		v, err := units.VolumeFromRat(n.Mul(n, cubic), units.Exact)
		require.NoError(t, err)
		require.Zero(t, v.Rat().Cmp(n))
		require.Equal(t, v, volume(t, v.String()), v)
	}
	up, err := units.VolumeFromRat(big.NewRat(1, 1), units.Up)
	require.NoError(t, err)
	assert.Equal(t, volume(t, "0.000000000001 ml"), up)
}
