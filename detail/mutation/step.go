package mutation

import (
	"math/big"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// beside are a number a little less and a little more: a length by a step of the book's mark (1/16 in where it has
// none; the mark itself by half and twice), a slope by 1/4 in 12, a percent by one, a volume by a hundredth, a whole
// number by one and any other by one in its last digit. What would be zero or less is left out.
func (s *sites) beside(l *rules.Literal) []rules.Literal {
	step := s.step(l)
	if step == nil {
		return nil
	}
	var list []rules.Literal
	for _, sign := range []int64{-1, 1} {
		v := new(big.Rat).Add(l.Value.Num, new(big.Rat).Mul(step, big.NewRat(sign, 1)))
		if l == s.mark && sign < 0 {
			v = new(big.Rat).Mul(l.Value.Num, big.NewRat(1, 2))
		}
		if v.Sign() <= 0 {
			continue
		}
		text, ok := written(l, v)
		if !ok {
			continue
		}
		now := *l
		now.Text, now.Value.Num = text, v
		list = append(list, now)
	}
	return list
}

// step is by how much a number is changed.
func (s *sites) step(l *rules.Literal) *big.Rat {
	if l.Value.Num == nil {
		return nil
	}
	switch l.Value.Dim {
	case rules.LengthDim:
		if s.mark != nil {
			return s.mark.Value.Num
		}
		return new(big.Rat).SetInt64(units.TicksPerInch / 16)
	case rules.SlopeDim:
		return big.NewRat(1, 48)
	case rules.PercentDim:
		return big.NewRat(1, 100)
	case rules.VolumeDim:
		return new(big.Rat).Mul(l.Value.Num, big.NewRat(1, 100))
	case rules.Number:
		if l.Value.Num.IsInt() {
			return big.NewRat(1, 1)
		}
		places, _ := l.Value.Num.FloatPrec()
		return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
	}
	return nil
}

// written writes a value as the language does, in the unit of the literal that it stands for.
func written(l *rules.Literal, v *big.Rat) (string, bool) {
	switch l.Value.Dim {
	case rules.LengthDim:
		length, err := units.FromRat(v, units.Exact)
		if err != nil {
			return "", false
		}
		if strings.HasSuffix(l.Text, "m") { // mm, cm, m
			return length.Format(units.MM), true
		}
		return inches(length), true
	case rules.SlopeDim:
		slope, err := units.SlopeFromRat(v)
		return slope.String(), err == nil
	case rules.PercentDim:
		return decimal(new(big.Rat).Mul(v, big.NewRat(100, 1))) + "%", true
	case rules.VolumeDim:
		volume, err := units.VolumeFromRat(v, units.Exact)
		if err != nil {
			return "", false
		}
		text := volume.String()
		read, err := units.ParseVolume(text)
		return text, err == nil && read == volume
	}
	return decimal(v), true
}

// inches writes a length in inches, with a fraction where it has one.
func inches(l units.Length) string {
	const fine = units.TicksPerInch / 512
	t := l.Ticks()
	if t%fine != 0 {
		return l.String()
	}
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	whole, rest := t/units.TicksPerInch, t%units.TicksPerInch/fine
	if rest == 0 {
		return sign + number(whole) + " in"
	}
	of := int64(512)
	for rest%2 == 0 {
		rest, of = rest/2, of/2
	}
	fraction := number(rest) + "/" + number(of) + " in"
	if whole > 0 {
		fraction = number(whole) + " " + fraction
	}
	return sign + fraction
}

func number(n int64) string { return strconv.FormatInt(n, 10) }

// decimal writes a number plainly.
func decimal(v *big.Rat) string {
	places, exact := v.FloatPrec()
	if !exact {
		places = 9
	}
	return v.FloatString(places)
}

// nth is a number of order: 2nd, 3rd.
func nth(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return number(int64(n)) + end
}
