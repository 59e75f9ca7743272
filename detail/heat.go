package detail

import (
	"errors"
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Movement is how far heat moves pieces that lap or butt, and so move as one: a joint with a gap parts them.
type Movement struct {
	Scope    int32
	From, To units.Length
	Pieces   int          // how many they are
	EachEnd  units.Length // where they are fixed in the middle; half of the whole, rounded up to 1e-9 mm
}

// usualHeat is the difference of temperature that a coefficient is given for, and that a job without one has.
var usualHeat = decimal.New(100, 0)

// maxHeat is in degrees Fahrenheit.
const maxHeat = 1000

var errHeat = errors.New(`a difference of temperature is above 0 and at most 1000 F, for example "140 F" or "60 K"`)

// parseHeat reads a difference of temperature in degrees Fahrenheit; of kelvins each is 1.8 of them.
func parseHeat(s string) (decimal.Decimal, error) {
	number, unit, _ := strings.Cut(strings.TrimSpace(s), " ")
	whole, part, point := strings.Cut(number, ".")
	if whole == "" || point && part == "" || len(number) > maxNumber || strings.Trim(whole+part, "0123456789") != "" {
		return decimal.Zero, errHeat
	}
	digits, _ := new(big.Int).SetString(whole+part, 10)
	d := decimal.NewFromBigInt(digits, -int32(len(part)))
	switch strings.TrimSpace(unit) {
	case "F":
	case "K":
		d = d.Mul(decimal.New(18, -1))
	default:
		return decimal.Zero, errHeat
	}
	return d, checkHeat(d)
}

func checkHeat(d decimal.Decimal) error {
	if d.Sign() <= 0 || d.Cmp(decimal.New(maxHeat, 0)) > 0 {
		return errHeat
	}
	return nil
}

// movement adds how far heat moves the pieces of each scope, of items that say so.
func (l *layer) movement() error {
	r := l.rep
	for i := range r.Scopes {
		sc := &r.Scopes[i]
		e := r.Placements[sc.Placement].Element
		if e.Kind != rules.Pieces || e.Item == nil || e.Item.MovesPer.IsZero() {
			continue
		}
		first := sc.First
		for k := sc.First; k < sc.Last; k++ {
			if k+1 < sc.Last && r.Pieces[k+1].Joint && r.Pieces[k+1].Lap.Sign() >= 0 {
				continue
			}
			from, to := r.Pieces[first].From, r.Pieces[k].To
			each, err := eachEnd(e.Item, ticks(to.Ticks()-from.Ticks()), r.Heat)
			if err != nil {
				return err
			}
			r.Movement = append(r.Movement, Movement{Scope: int32(i), From: from, To: to, Pieces: k + 1 - first, EachEnd: each})
			first = k + 1
		}
	}
	return nil
}

// eachEnd is half of how far heat moves a length.
func eachEnd(it *rules.Item, length units.Length, heat decimal.Decimal) (units.Length, error) {
	x := new(big.Rat).Mul(length.Rat(), new(big.Rat).Quo(it.MovesBy.Rat(), it.MovesPer.Rat()))
	x.Mul(x, heat.Rat())
	return units.FromRat(x.Quo(x, big.NewRat(200, 1)), units.Up)
}
