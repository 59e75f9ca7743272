package rules

import "math/big"

// Dim is the dimension of a value.
type Dim uint8

// The dimensions. Percent and Slope are numbers that keep their own name: a slope is compared with slopes only.
const (
	Number Dim = iota
	LengthDim
	AreaDim
	VolumeDim
	SlopeDim
	PercentDim
	Condition // true or false
	Word      // a choice, an edge kind, a zone
)

// String names the dimension with its article: "a length".
func (d Dim) String() string {
	switch d {
	case Number:
		return "a number"
	case LengthDim:
		return "a length"
	case AreaDim:
		return "an area"
	case VolumeDim:
		return "a volume"
	case SlopeDim:
		return "a slope"
	case PercentDim:
		return "a percent"
	case Condition:
		return "a condition"
	case Word:
		return "a word"
	}
	return "an unknown dimension"
}

// Value is what an expression comes to. Numbers are exact: a length is in ticks of units.Length, an area in
// square ticks, a volume in cubic ticks, a slope is rise over run, a percent a fraction.
type Value struct {
	Dim   Dim
	Num   *big.Rat // nil for Condition and Word
	Bool  bool
	Words []string // Word: those that apply; a place may lie in several zones
}

// Env gives the values that an expression refers to: `panel.width`, an input's name, a let's.
type Env interface {
	// Lookup returns the value of a name and whether this place gives it.
	Lookup(name string) (Value, bool)
}
