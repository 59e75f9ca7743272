package geom

import (
	"fmt"
	"math/big"

	"github.com/lapwright/lapwright/units"
)

// Bounds holds a length that may fall between two ticks of 1e-9 mm: rounded down and up to one.
type Bounds struct{ Low, High units.Length }

// Exact reports whether the length is a whole number of ticks.
func (b Bounds) Exact() bool { return b.Low == b.High }

// Slant returns the length along a slope over a plan length that runs straight up it, as a common rafter does. The
// error is [units.ErrOverflow] beyond what a length holds.
func Slant(plan units.Length, slope units.Slope) (Bounds, error) { return slant(plan, slope, 1) }

// HipSlant returns the length of a hip or valley between two equal slopes whose eaves meet square: over a plan length
// that is counted square to the eaves, like the common rafter's. The error is [units.ErrOverflow] beyond what a length
// holds.
func HipSlant(plan units.Length, slope units.Slope) (Bounds, error) { return slant(plan, slope, 2) }

// slant is plan · √(squares + slope²): squares is how many plan lengths, square to each other, the line goes over.
func slant(plan units.Length, slope units.Slope, squares int64) (Bounds, error) {
	rise, run, p := slope.Rat().Num(), slope.Rat().Denom(), big.NewInt(plan.Ticks())
	sum := product(big.NewInt(squares), run, run)
	sum.Add(sum, product(rise, rise))
	down, up := root(p.Sign(), product(sum, p, p), product(run, run))
	return bounds(down, up)
}

func bounds(down, up *big.Int) (Bounds, error) {
	low, err := units.FromRat(new(big.Rat).SetInt(down), units.Exact)
	if err != nil {
		return Bounds{}, fmt.Errorf("length along the slope: %w", err)
	}
	high, err := units.FromRat(new(big.Rat).SetInt(up), units.Exact)
	if err != nil {
		return Bounds{}, fmt.Errorf("length along the slope: %w", err)
	}
	return Bounds{low, high}, nil
}

// WindZoneWidth returns the width a of the edge zones of a low-rise building for wind: a tenth of the least horizontal
// dimension or 0.4 of the mean roof height, whichever is smaller, but not under 4 % of that dimension or 3 ft; rounded
// up to a tick. It is ASCE 7's from 7-02 on for low-rise buildings. A drawing may use it: which zones there are, and
// the uplift in them, is the work of an engineer, whose word comes first. Lengths not above 0 are an error.
func WindZoneWidth(leastDimension, meanRoofHeight units.Length) (units.Length, error) {
	if leastDimension.Sign() <= 0 || meanRoofHeight.Sign() <= 0 {
		return units.Length{}, fmt.Errorf("the width of a wind zone needs a least dimension and a height above 0: %w", units.ErrSyntax)
	}
	part := func(of units.Length, percent int64) *big.Rat {
		return new(big.Rat).Mul(of.Rat(), big.NewRat(percent, 100))
	}
	a := part(leastDimension, 10)
	if h := part(meanRoofHeight, 40); h.Cmp(a) < 0 {
		a = h
	}
	for _, least := range []*big.Rat{part(leastDimension, 4), units.MustParse("3 ft").Rat()} {
		if a.Cmp(least) < 0 {
			a = least
		}
	}
	return units.FromRat(a, units.Up)
}
