package units_test

import (
	"encoding/json"
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/units"
)

const inch = units.TicksPerInch

// random returns a seeded generator and prints its seed.
func random(t *testing.T) *rand.Rand {
	t.Helper()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// anyTicks draws counts of all sizes, near the limits and on round values too.
func anyTicks(r *rand.Rand) int64 {
	n := r.Int64N(units.MaxTicks + 1)
	switch r.IntN(5) {
	case 0:
		n = units.MaxTicks - r.Int64N(3)
	case 1:
		n %= 10
	case 2:
		n = n % 100_000 * inch / 512
	case 3:
		n >>= r.IntN(60)
	}
	if r.IntN(2) == 0 {
		return -n
	}
	return n
}

func length(t *testing.T, ticks int64) units.Length {
	t.Helper()
	l, err := units.FromTicks(ticks)
	require.NoError(t, err)
	return l
}

func TestParseForms(t *testing.T) {
	const mm = units.TicksPerMM
	for text, want := range map[string]int64{
		"16 in":               16 * inch,
		"3/4 in":              inch * 3 / 4,
		"1 3/4 in":            inch * 7 / 4,
		"10 ft":               120 * inch,
		"10 ft 6 1/2 in":      126*inch + inch/2,
		"10 ft 0 in":          120 * inch,
		"10 ft 1/2 in":        120*inch + inch/2,
		"10 ft 0.5 in":        120*inch + inch/2,
		"0.024 in":            inch * 24 / 1000,
		"400 mm":              400 * mm,
		"2.5 cm":              25 * mm,
		"1.2 m":               1200 * mm,
		"1/2 m":               500 * mm,
		`10' 6 1/2"`:          126*inch + inch/2,
		`10'-6 1/2"`:          126*inch + inch/2,
		`10'6"`:               126 * inch,
		`10' - 6"`:            126 * inch,
		`6 1/2"`:              inch * 13 / 2,
		`1/2"`:                inch / 2,
		`10'`:                 120 * inch,
		`2.5'`:                30 * inch,
		"16in":                16 * inch,
		"  16   in  ":         16 * inch,
		"10ft 6  1/2in":       126*inch + inch/2,
		"16\tin":              16 * inch,
		"-16 in":              -16 * inch,
		"-10 ft 6 in":         -126 * inch,
		`-10'-6"`:             -126 * inch,
		"0 in":                0,
		"-0 in":               0,
		"5/4 in":              inch * 5 / 4,
		"007 in":              7 * inch,
		"0.000000001 mm":      1,
		"1/512 in":            49_609_375,
		"0.00195312500000 in": 49_609_375,
		"1000000 m":           units.MaxTicks,
		"-1000000 m":          -units.MaxTicks,
	} {
		l, err := units.Parse(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, l.Ticks(), text)
		}
	}
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct {
		text   string
		kind   error
		offset int
		says   string
	}{
		{"", units.ErrSyntax, 0, "a number is missing at the end"},
		{"   ", units.ErrSyntax, 3, "a number is missing"},
		{"in", units.ErrSyntax, 0, `a number is missing, found "in"`},
		{"16", units.ErrSyntax, 2, "a unit is missing at the end: write in, ft, mm, cm or m"},
		{"16 yd", units.ErrSyntax, 3, `unknown unit "yd": use in, ft, mm, cm or m`},
		{"16 IN", units.ErrSyntax, 3, `unknown unit "IN"`},
		{"16 inches", units.ErrSyntax, 3, `unknown unit "inches"`},
		{"1 3 in", units.ErrSyntax, 2, `a unit is missing, found "3 in"`},
		{"6 14/12 in", units.ErrSyntax, 2, "must be below 1: write 7 1/6"},
		{"6 12/12 in", units.ErrSyntax, 2, "must be below 1: write 7"},
		{"1/0 in", units.ErrSyntax, 0, "1/0 has no value"},
		{"1 1/00 in", units.ErrSyntax, 2, "has no value"},
		{"3 /4 in", units.ErrSyntax, 2, "a unit is missing"},
		{"3/ 4 in", units.ErrSyntax, 2, "digits on both sides of its slash"},
		{"3/", units.ErrSyntax, 2, "digits on both sides"},
		{"1.5/2 in", units.ErrSyntax, 3, "a unit is missing"},
		{".5 in", units.ErrSyntax, 0, "write 0.5 in"},
		{"1. in", units.ErrSyntax, 2, "a digit is missing after the point"},
		{"+1 in", units.ErrSyntax, 0, "a number is missing"},
		{"--1 in", units.ErrSyntax, 1, "a number is missing"},
		{"- 1 in", units.ErrSyntax, 1, "a number is missing"},
		{"1e3 in", units.ErrSyntax, 1, `unknown unit "e"`},
		{"16 in 3", units.ErrSyntax, 6, "nothing may follow"},
		{"6 in 10 ft", units.ErrSyntax, 5, "nothing may follow"},
		{"10 ft -6 in", units.ErrSyntax, 6, "a number is missing"},
		{"10 ft 6 mm", units.ErrSyntax, 6, "only inches follow feet"},
		{`10' 6 in`, units.ErrSyntax, 4, "only inches follow feet"},
		{`10 ft 6"`, units.ErrSyntax, 6, "only inches follow feet"},
		{`10' 6'`, units.ErrSyntax, 4, "only inches follow feet"},
		{`10'-`, units.ErrSyntax, 4, "a number is missing"},
		{"1.5 ft 6 in", units.ErrSyntax, 0, "must be a whole number"},
		{"10 ft 12 in", units.ErrSyntax, 6, "must be below 12"},
		{"1/3 in", units.ErrInexact, 0, "can't be held exactly"},
		{"1/1024 in", units.ErrInexact, 0, "can't be held exactly"},
		{"0.0000000001 mm", units.ErrInexact, 0, "can't be held exactly"},
		{"1000001 m", units.ErrOverflow, 0, "over 1,000 km"},
		{"-99999999999999999999 ft", units.ErrOverflow, 0, "over 1,000 km"},
		{strings.Repeat("9", 33) + " in", units.ErrSyntax, 0, "a number of over 32 bytes"},
		{"1 in" + strings.Repeat(" ", 61), units.ErrSyntax, 0, "over 64 bytes"},
		{"10′ 6″", units.ErrSyntax, 2, "a unit is missing"},
		{"١٦ in", units.ErrSyntax, 0, "a number is missing"},
		{"16 in\x00", units.ErrSyntax, 5, "nothing may follow"},
		{"16 in\n", units.ErrSyntax, 5, "nothing may follow"},
	} {
		l, err := units.Parse(c.text)
		var parse *units.ParseError
		if assert.ErrorAs(t, err, &parse, c.text) {
			assert.ErrorIs(t, err, c.kind, c.text)
			assert.Equal(t, c.offset, parse.Offset, c.text)
			assert.Contains(t, err.Error(), c.says, c.text)
		}
		assert.Zero(t, l)
	}
}

func TestParseErrorStaysShort(t *testing.T) {
	_, err := units.Parse(strings.Repeat("9", 10<<20))
	require.ErrorIs(t, err, units.ErrSyntax)
	assert.Less(t, len(err.Error()), 200)
}

func TestMustParsePanicsOnBadTextOnly(t *testing.T) {
	assert.Equal(t, 16*inch, units.MustParse("16 in").Ticks())
	assert.Panics(t, func() { units.MustParse("16") })
}

func TestUnits(t *testing.T) {
	// 1 ft = 0.3048 m and 1 yd = 0.9144 m exactly: 24 FR 5348 (1959). The US survey foot, 1200/3937 m, is out of use
	// since 2022 (85 FR 62698), so ft is the international foot.
	assert.Equal(t, units.MustParse("0.3048 m"), units.MustParse("1 ft"))
	assert.Equal(t, units.MustParse("0.9144 m"), units.MustParse("3 ft"))
	assert.Equal(t, units.MustParse("25.4 mm"), units.MustParse("1 in"))

	// 1 square = 100 ft² = 9.290304 m², which follows from 24 FR 5348.
	foot, metre := units.MustParse("1 ft").Rat(), units.MustParse("1 m").Rat()
	square := new(big.Rat).Mul(foot, foot)
	square.Mul(square, big.NewRat(100, 1))
	square.Quo(square, metre).Quo(square, metre)
	assert.Equal(t, "9.290304", square.FloatString(6))
	assert.Zero(t, square.Cmp(big.NewRat(9290304, 1000000)))
}

func TestArithmeticAgainstBig(t *testing.T) {
	r := random(t)
	limit := big.NewInt(units.MaxTicks)
	check := func(what string, got units.Length, err error, want *big.Int) {
		t.Helper()
		if want.CmpAbs(limit) > 0 {
			require.ErrorIs(t, err, units.ErrOverflow, what)
			require.Zero(t, got)
			return
		}
		require.NoError(t, err, what)
		require.Equal(t, want.Int64(), got.Ticks(), what)
	}
	for range 15_000 {
		a, b, n := anyTicks(r), anyTicks(r), anyTicks(r)
		la, lb := length(t, a), length(t, b)
		ba, bb := big.NewInt(a), big.NewInt(b)

		got, err := la.Add(lb)
		check("add", got, err, new(big.Int).Add(ba, bb))
		got, err = la.Sub(lb)
		check("sub", got, err, new(big.Int).Sub(ba, bb))
		got, err = la.Mul(n)
		check("mul", got, err, new(big.Int).Mul(ba, big.NewInt(n)))

		require.Equal(t, ba.Cmp(bb), la.Cmp(lb))
		require.Equal(t, ba.Sign(), la.Sign())
		require.Equal(t, a == 0, la.IsZero())
		require.Equal(t, -a, la.Neg().Ticks())
		require.Equal(t, new(big.Int).Abs(ba).Int64(), la.Abs().Ticks())
		require.Zero(t, la.Rat().Cmp(new(big.Rat).SetInt(ba)))

		q, rest, err := la.QuoRem(lb)
		if b == 0 {
			require.ErrorIs(t, err, units.ErrZero)
			continue
		}
		require.NoError(t, err)
		wantQ, wantRest := new(big.Int).QuoRem(ba, bb, new(big.Int))
		require.Equal(t, wantQ.Int64(), q)
		require.Equal(t, wantRest.Int64(), rest.Ticks())
	}
}

func TestOverflow(t *testing.T) {
	for _, n := range []int64{units.MaxTicks + 1, -units.MaxTicks - 1, math.MaxInt64, math.MinInt64} {
		_, err := units.FromTicks(n)
		assert.ErrorIs(t, err, units.ErrOverflow, n)
		_, err = units.FromRat(new(big.Rat).SetInt64(n), units.Exact)
		assert.ErrorIs(t, err, units.ErrOverflow, n)
	}
	huge := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), 200))
	_, err := units.FromRat(huge, units.Down)
	assert.ErrorIs(t, err, units.ErrOverflow)

	one := length(t, 1)
	_, err = one.Mul(math.MinInt64)
	assert.ErrorIs(t, err, units.ErrOverflow)
	zero, err := units.Length{}.Mul(math.MinInt64)
	assert.NoError(t, err)
	assert.True(t, zero.IsZero())
}

func TestRoundAgainstBig(t *testing.T) {
	r := random(t)
	limit := big.NewInt(units.MaxTicks)
	for range 15_000 {
		l, step := anyTicks(r), anyTicks(r)
		if r.IntN(2) == 0 {
			step %= 1000
		}
		mode := units.Rounding(r.IntN(4))
		got, err := length(t, l).Round(length(t, step), mode)
		if step <= 0 {
			require.ErrorIs(t, err, units.ErrZero)
			continue
		}
		// Down is the floor of l/step, Up the ceiling, Nearest the floor of l/step + 1/2.
		bl, bs := big.NewInt(l), big.NewInt(step)
		floor, rest := new(big.Int).DivMod(bl, bs, new(big.Int))
		want := new(big.Int)
		switch mode {
		case units.Exact:
			if rest.Sign() != 0 {
				require.ErrorIs(t, err, units.ErrInexact)
				continue
			}
			want = floor
		case units.Down:
			want = floor
		case units.Up:
			want.Add(bl, bs).Sub(want, big.NewInt(1)).Div(want, bs)
		case units.Nearest:
			want.Add(bl, bl).Add(want, bs).Div(want, new(big.Int).Add(bs, bs))
		}
		want.Mul(want, bs)
		if want.CmpAbs(limit) > 0 {
			require.ErrorIs(t, err, units.ErrOverflow)
			continue
		}
		require.NoError(t, err)
		require.Equal(t, want.Int64(), got.Ticks(), "%d to %d, mode %d", l, step, mode)

		rat, err := units.FromRat(big.NewRat(l, step), mode)
		require.NoError(t, err)
		require.Equal(t, new(big.Int).Quo(want, bs).Int64(), rat.Ticks())
	}
}

func TestFromRatExact(t *testing.T) {
	_, err := units.FromRat(big.NewRat(1, 2), units.Exact)
	assert.ErrorIs(t, err, units.ErrInexact)
	l, err := units.FromRat(big.NewRat(-1, 2), units.Nearest)
	assert.NoError(t, err)
	assert.True(t, l.IsZero(), "a tie goes up")
}

var allUnits = []units.Unit{units.In, units.Ft, units.MM, units.CM, units.M}

func TestPrintedTextIsExactAndReadsBack(t *testing.T) {
	r := random(t)
	step := units.MustParse("1/16 in")
	fellBack := 0
	for range 4_000 {
		l := length(t, anyTicks(r))
		for _, u := range allUnits {
			text := l.Format(u)
			back, err := units.Parse(text)
			require.NoError(t, err, text)
			require.Equal(t, l, back, text)

			d, finite := l.Decimal(u)
			number, unit, _ := strings.Cut(text, " ")
			if !finite {
				fellBack++
				require.Equal(t, "mm", unit)
				continue
			}
			require.Equal(t, u.String(), unit)
			require.Equal(t, d.String(), number)
			back, err = units.FromDecimal(d, u)
			require.NoError(t, err)
			require.Equal(t, l, back)
		}
		require.Equal(t, l.Format(units.In), l.String())

		for _, mode := range []units.Rounding{units.Exact, units.Down, units.Up, units.Nearest} {
			text, exact := l.Tape(step, mode)
			back, err := units.Parse(text)
			require.NoError(t, err, text)
			require.Equal(t, exact, back == l, text)
			if want, err := l.Round(step, mode); err == nil {
				require.Equal(t, want, back, text)
			} else {
				require.Equal(t, l.String(), text)
			}
		}
	}
	assert.Positive(t, fellBack)
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		text string
		unit units.Unit
		want string
	}{
		{"100 1/2 in", units.In, "100.5 in"},
		{"100 1/2 in", units.Ft, "8.375 ft"},
		{"100 1/2 in", units.MM, "2552.7 mm"},
		{"100 1/2 in", units.CM, "255.27 cm"},
		{"100 1/2 in", units.M, "2.5527 m"},
		{"1/512 in", units.In, "0.001953125 in"},
		{"1 in", units.Ft, "25.4 mm"},
		{"400 mm", units.In, "400 mm"},
		{"400 mm", units.Ft, "400 mm"},
		{"-6 in", units.In, "-6 in"},
		{"-1/2 in", units.In, "-0.5 in"},
		{"0 in", units.In, "0 in"},
		{"0 in", units.Ft, "0 ft"},
		{"10 in", units.In, "10 in"},
		{"0.000000001 mm", units.MM, "0.000000001 mm"},
		{"1 mm", units.Unit(200), "1 mm"},
	} {
		assert.Equal(t, c.want, units.MustParse(c.text).Format(c.unit), c.text)
	}
	var zero units.Length
	assert.Equal(t, "0 in", zero.String())
}

func TestTape(t *testing.T) {
	sixteenth := units.MustParse("1/16 in")
	for _, c := range []struct {
		text  string
		step  units.Length
		mode  units.Rounding
		want  string
		exact bool
	}{
		{"126 1/2 in", sixteenth, units.Exact, `10' 6 1/2"`, true},
		{"120 in", sixteenth, units.Exact, `10' 0"`, true},
		{"120 1/2 in", sixteenth, units.Exact, `10' 0 1/2"`, true},
		{"6 3/8 in", sixteenth, units.Exact, `6 3/8"`, true},
		{"6 in", sixteenth, units.Exact, `6"`, true},
		{"3/4 in", sixteenth, units.Exact, `3/4"`, true},
		{"0 in", sixteenth, units.Exact, `0"`, true},
		{"-14 1/2 in", sixteenth, units.Exact, `-1' 2 1/2"`, true},
		{"0.1 in", sixteenth, units.Down, `1/16"`, false},
		{"0.1 in", sixteenth, units.Up, `1/8"`, false},
		{"0.1 in", sixteenth, units.Nearest, `1/8"`, false},
		{"-0.1 in", sixteenth, units.Down, `-1/8"`, false},
		{"-0.1 in", sixteenth, units.Up, `-1/16"`, false},
		{"0.01 in", sixteenth, units.Nearest, `0"`, false},
		{"-0.01 in", sixteenth, units.Nearest, `0"`, false},
		{"3/32 in", sixteenth, units.Nearest, `1/8"`, false},
		{"-3/32 in", sixteenth, units.Nearest, `-1/16"`, false},
		{"11 31/32 in", sixteenth, units.Up, `1' 0"`, false},
		{"0.1 in", sixteenth, units.Exact, "0.1 in", true},
		{"400 mm", sixteenth, units.Exact, "400 mm", true},
		{"1 in", units.Length{}, units.Up, "1 in", true},
		{"10 mm", units.MustParse("1 mm"), units.Exact, `50/127"`, true},
		{"13 in", units.MustParse("1 ft"), units.Nearest, `1' 0"`, false},
	} {
		got, exact := units.MustParse(c.text).Tape(c.step, c.mode)
		assert.Equal(t, c.want, got, c.text)
		assert.Equal(t, c.exact, exact, c.text)
	}
	// Rounding up past the longest length leaves it as it is.
	longest := length(t, units.MaxTicks)
	text, exact := longest.Tape(units.MustParse("3 ft"), units.Up)
	assert.Equal(t, longest.String(), text)
	assert.True(t, exact)
}

func TestFromDecimal(t *testing.T) {
	half, err := units.FromDecimal(decimal.RequireFromString("0.5"), units.Ft)
	require.NoError(t, err)
	assert.Equal(t, units.MustParse("6 in"), half)

	thousand, err := units.FromDecimal(decimal.New(1, 3), units.MM)
	require.NoError(t, err)
	assert.Equal(t, units.MustParse("1 m"), thousand)

	zero, err := units.FromDecimal(decimal.New(0, math.MaxInt32), units.M)
	require.NoError(t, err)
	assert.True(t, zero.IsZero())

	padded, err := units.FromDecimal(decimal.RequireFromString("1."+strings.Repeat("0", 100)), units.In)
	require.NoError(t, err)
	assert.Equal(t, units.MustParse("1 in"), padded)

	for _, c := range []struct {
		d    decimal.Decimal
		kind error
	}{
		{decimal.New(1, -13), units.ErrInexact},
		{decimal.New(1, math.MinInt32), units.ErrInexact},
		{decimal.New(1, math.MaxInt32), units.ErrOverflow},
		{decimal.New(-1, 7), units.ErrOverflow},
		{decimal.RequireFromString(strings.Repeat("9", 1000)), units.ErrOverflow},
		{decimal.RequireFromString(strings.Repeat("9", 150)), units.ErrOverflow},
	} {
		_, err := units.FromDecimal(c.d, units.M)
		assert.ErrorIs(t, err, c.kind)
	}
}

func TestNoGlobalOfDecimalMatters(t *testing.T) {
	l := units.MustParse("100.5 in")
	before := outputs(t, l)

	defer func(division, pow int, json, trim bool) {
		decimal.DivisionPrecision = division
		decimal.PowPrecisionNegativeExponent = pow
		decimal.MarshalJSONWithoutQuotes = json
		decimal.TrimTrailingZeros = trim
	}(decimal.DivisionPrecision, decimal.PowPrecisionNegativeExponent, decimal.MarshalJSONWithoutQuotes, decimal.TrimTrailingZeros)
	decimal.DivisionPrecision = 1
	decimal.PowPrecisionNegativeExponent = 1
	decimal.MarshalJSONWithoutQuotes = !decimal.MarshalJSONWithoutQuotes
	decimal.TrimTrailingZeros = !decimal.TrimTrailingZeros
	assert.Equal(t, before, outputs(t, l))
}

func outputs(t *testing.T, l units.Length) []string {
	d, finite := l.Decimal(units.Ft)
	require.True(t, finite)
	back, err := units.FromDecimal(d, units.Ft)
	require.NoError(t, err)
	p, err := units.ParsePercent("2 1/2%")
	require.NoError(t, err)
	b, err := json.Marshal(l)
	require.NoError(t, err)
	return []string{d.String(), back.String(), p.String(), string(b)}
}

func TestJSON(t *testing.T) {
	type all struct {
		L units.Length
		S units.Slope
		V units.Volume
	}
	in := all{units.MustParse(`-10' 6 1/2"`), slope(t, "3 1/2:12"), volume(t, "10.1 floz")}
	b, err := json.Marshal(in)
	require.NoError(t, err)
	assert.JSONEq(t, `{"L":"-126.5 in","S":"3 1/2:12","V":"10.1 floz"}`, string(b))
	var out all
	require.NoError(t, json.Unmarshal(b, &out))
	assert.Equal(t, in, out)

	for _, bad := range []string{
		`{"L":16}`, `{"L":true}`, `{"L":["16 in"]}`, `{"L":"16"}`, `{"L":""}`,
		`{"S":0.25}`, `{"S":"0.25"}`, `{"V":300}`, `{"V":"300"}`,
	} {
		out := in
		assert.Error(t, json.Unmarshal([]byte(bad), &out), bad)
		assert.Equal(t, in, out, "an error leaves the value alone: %s", bad)
	}
}

func TestParseUnit(t *testing.T) {
	for _, u := range allUnits {
		got, err := units.ParseUnit(u.String())
		require.NoError(t, err)
		assert.Equal(t, u, got)
	}
	_, err := units.ParseUnit("yd")
	assert.ErrorIs(t, err, units.ErrSyntax)
	assert.ErrorContains(t, err, "in, ft, mm, cm or m")
}
