package units_test

import (
	"errors"
	"fmt"

	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

func ExampleParse() {
	for _, text := range []string{"10 ft 6 1/2 in", `10'-6 1/2"`, "400 mm", "16", "1/3 in"} {
		l, err := units.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(l)
	}
	// Output:
	// 126.5 in
	// 126.5 in
	// 400 mm
	// length "16": a unit is missing at the end: write in, ft, mm, cm or m after the number
	// length "1/3 in": can't be held exactly: use a fraction down to 1/512 in, or at most 8 decimals of an inch or 9 of a millimetre
}

func ExampleLength_Tape() {
	sixteenth := units.MustParse("1/16 in")
	fmt.Println(units.MustParse("126.5 in").Tape(sixteenth, units.Down))
	fmt.Println(units.MustParse("400 mm").Tape(sixteenth, units.Down))
	fmt.Println(units.MustParse("400 mm").Tape(sixteenth, units.Up))
	// Output:
	// 10' 6 1/2" true
	// 1' 3 11/16" false
	// 1' 3 3/4" false
}

func ExampleLength_Format() {
	l := units.MustParse("100 1/2 in")
	fmt.Println(l.Format(units.In), "=", l.Format(units.Ft), "=", l.Format(units.MM))
	fmt.Println(units.MustParse("1 in").Format(units.Ft)) // a twelfth has no finite decimal
	// Output:
	// 100.5 in = 8.375 ft = 2552.7 mm
	// 25.4 mm
}

func ExampleLength_Add() {
	a, b := units.MustParse("2 1/4 in"), units.MustParse("4 1/2 in")
	sum, err := a.Add(b)
	fmt.Println(sum, err)
	// Output: 6.75 in <nil>
}

func ExampleLength_QuoRem() {
	covers, rest, err := units.MustParse("31 ft 4 in").QuoRem(units.MustParse("18 in"))
	fmt.Println(covers, rest, err)
	// Output: 20 16 in <nil>
}

func ExampleLength_Round() {
	sixteenth := units.MustParse("1/16 in")
	l := units.MustParse("0.1 in")
	down, _ := l.Round(sixteenth, units.Down)
	up, _ := l.Round(sixteenth, units.Up)
	_, err := l.Round(sixteenth, units.Exact)
	fmt.Println(down, up, err)
	// Output: 0.0625 in 0.125 in lies between two steps: not exact
}

func ExampleLength_Decimal() {
	d, finite := units.MustParse("10 ft 6 in").Decimal(units.Ft)
	fmt.Println(d, finite)
	// Output: 10.5 true
}

func ExampleParseSlope() {
	a, _ := units.ParseSlope("1/2:12")
	b, _ := units.ParseSlope("1:4")
	fmt.Println(a, b, a.Cmp(b))
	// Output: 1/2:12 3:12 -1
}

func ExampleParseVolume() {
	v, _ := units.ParseVolume("10.1 floz")
	fmt.Println(v)
	// Output: 10.1 floz
}

func ExampleParsePercent() {
	d, _ := units.ParsePercent("5%")
	fmt.Println(d)
	// Output: 0.05
}

// What a host knows as a decimal number becomes a length exactly, or not at all.
func ExampleFromDecimal() {
	l, err := units.FromDecimal(decimal.RequireFromString("8.375"), units.Ft)
	fmt.Println(l, err)
	_, err = units.FromDecimal(decimal.RequireFromString("0.0000000001"), units.MM)
	fmt.Println(errors.Is(err, units.ErrInexact))
	// Output:
	// 100.5 in <nil>
	// true
}
