package detail_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// moving is a job of one eave with a difference of temperature.
func moving(length, heat string) string {
	return strings.TrimSuffix(jobOf(run("a", "eave", length, "")), "}") + `, "heat": "` + heat + `"}`
}

// Inches in 10 ft for 100 F by Boessen: galvanized steel 0.080, copper 0.113, stainless steel 0.115, aluminium 0.155;
// half of it at each end.
func TestMovementOfMetals(t *testing.T) {
	for by, want := range map[string]string{"0.080": "0.04 in", "0.113": "0.0565 in", "0.115": "0.0575 in", "0.155": "0.0775 in"} {
		r := lay(t, `book "heat" { edition "1" }
item trim "trim" { stock 10 ft  movement `+by+` in per 10 ft per 100 F }
detail d "" for edge eave { pieces trim of trim along run { } }`, jobOf(run("a", "eave", "10 ft", "")))
		require.Len(t, r.Movement, 1)
		assert.Equal(t, want, r.Movement[0].EachEnd.String(), by)
		assert.Equal(t, "100", r.Heat.String(), "where the job doesn't say")
	}
}

// Coefficients of 6.7, 9.4, 9.6 and 12.9 in a million for a degree Fahrenheit (Boessen) make the same figures.
func TestMovementByCoefficient(t *testing.T) {
	for coefficient, printed := range map[string]string{"6.7": "0.080", "9.4": "0.113", "9.6": "0.115", "12.9": "0.155"} {
		inches := decimal.RequireFromString(coefficient).Mul(decimal.New(120*100, -6))
		assert.Equal(t, printed, inches.StringFixed(3))
	}
}

// The metal roofing code of practice of New Zealand: steel of 12 in a million for a kelvin, 60 K, 30 m: 21.6 mm, half
// of it at each end of a sheet that is fixed in the middle. 100 F are 500/9 K, in which 30 m move 20 mm.
func TestMovementOfALongSheet(t *testing.T) {
	const book = `book "heat" { edition "1" }
item sheet "sheet" { stock 30 m  movement 20 mm per 30 m per 100 F }
detail d "" for edge eave { pieces sheet of sheet along run { } }`
	for _, heat := range []string{"60 K", "108 F"} {
		r := lay(t, book, moving("30 m", heat))
		assert.Equal(t, units.MustParse("10.8 mm"), r.Movement[0].EachEnd, heat)
	}
	// A difference of 200 F is 111.11 K, and not 93.3 (NIST SP 811, from memory, not looked up).
	f, k := lay(t, book, moving("30 m", "200 F")), lay(t, book, moving("30 m", "111.11 K"))
	assert.InDelta(t, f.Movement[0].EachEnd.Ticks(), k.Movement[0].EachEnd.Ticks(), 1e6, "to a thousandth of a millimetre")
}

// Pieces that lap move as one; a gap parts them, and so do joints of one's own. Worked by hand: 40 ft of 0.155 in per
// 10 ft move 0.62 in, 0.31 in at each end; each half with a gap between 0.155 in but for the gap's share.
func TestWhatMovesAsOne(t *testing.T) {
	laid := func(lap, length string) *detail.Report {
		return lay(t, `book "heat" { edition "1" mark 1/16 in }
item gutter "gutter" { stock 20 ft  movement 0.155 in per 10 ft per 100 F }
detail d "" for edge eave {
  require run.length <= 32 ft because "a longer gutter needs a joint" source "UFGS 07600, 3.1.26: aluminium"
  pieces gutter of gutter along run { lap = `+lap+` }
}`, jobOf(run("a", "eave", length, "")))
	}
	one := laid("0 in", "40 ft")
	require.Len(t, one.Movement, 1)
	assert.Equal(t, 2, one.Movement[0].Pieces)
	assert.Equal(t, "0.31 in", one.Movement[0].EachEnd.String())
	require.Len(t, one.Violations, 1, "40 ft are over 32 ft")
	assert.Equal(t, "d.require", one.Violations[0].Rule)

	parted := laid("-1 in", "32 ft")
	assert.Empty(t, parted.Violations)
	require.Len(t, parted.Movement, 2)
	assert.Equal(t, "0.155 in", parted.Movement[0].EachEnd.String(), "20 ft")

	joints := lay(t, `book "heat" { edition "1" mark 1/16 in }
item gutter "gutter" { stock 10 ft  movement 0.113 in per 10 ft per 100 F }
detail d "" for edge eave {
  input metal: choice of copper, aluminium = copper
  row joints along run { spacing <= 40 ft when metal is copper  spacing <= 32 ft when metal is aluminium }
  pieces gutter of gutter in each gap of joints { lap >= 1 in }
}`, jobOf(run("a", "eave", "80 ft", "")))
	require.Len(t, joints.Movement, 3, "20, 40 and 20 ft")
	assert.Equal(t, []string{"0.113 in", "0.226 in", "0.113 in"},
		[]string{joints.Movement[0].EachEnd.String(), joints.Movement[1].EachEnd.String(), joints.Movement[2].EachEnd.String()})
}

func TestHeatThatCantBe(t *testing.T) {
	for _, heat := range []string{"", "140", "F", "140 C", "-5 F", "0 F", "1e3 F", "1001 F", "600 K", "1. F", ".5 F", "+5 F", "140F", "١ F"} {
		_, err := detail.ReadJob(strings.NewReader(moving("10 ft", heat)))
		assert.ErrorContains(t, err, "/heat", heat)
	}
	_, err := detail.ReadJob(strings.NewReader(strings.Replace(moving("10 ft", "x"), `"x"`, "140", 1)))
	assert.ErrorContains(t, err, `a string such as "140 F" or "60 K"`)
	book, _, err := rules.Load(fstest.MapFS{"t.rules": {Data: []byte(trims("stock 10 ft"))}}, "t.rules")
	require.NoError(t, err)
	_, err = detail.Lay(context.Background(), book, &detail.Job{Heat: decimal.New(-1, 0)})
	assert.ErrorContains(t, err, "/heat: a difference of temperature is above 0")
}
