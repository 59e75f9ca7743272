// Package chain places marks and lapping pieces on a line of whole numbers. It knows no roof and no unit.
package chain

// Span is a closed interval.
type Span struct{ From, To int64 }

// Kind is what a Limit bounds.
type Kind uint8

// The kinds of limit. Row: Keep, Gap…, End…, Count…, Step. Pieces: Keep, Lap…, Length…, Stock, Count…, Step.
const (
	Keep Kind = iota // nothing strictly between the ends of any of Spans: marks for a row, lap bands for pieces
	GapMin
	GapMax
	EndMin // from each end named by Ends to the nearest mark
	EndMax
	CountMin
	CountMax
	Step // marks stand on multiples of Value from 0
	LapMin
	LapMax
	LengthMin
	LengthMax
	Stock // pieces are cut from Lengths
)

// Ends names ends of the scope.
type Ends uint8

// The ends of a scope.
const (
	LeftEnd Ends = 1 << iota
	RightEnd
)

// A Limit is one constraint; its place in the list is its name, and the order of lines.
type Limit struct {
	Kind    Kind
	Value   int64   // of GapMin … LengthMax: the limit, inclusive
	Spans   []Span  // Keep: what is kept free (its ends are allowed); Gap, End, Lap: where the limit binds, nil for everywhere
	Ends    Ends    // EndMin, EndMax
	Lengths []int64 // Stock
	Should  bool    // kept only if it can be, together with those before it
	Joined  bool    // one line with the limit before it (`=` is a minimum and a maximum): kept, left out and named together
	Fixed   bool    // a fact, not a rule: it never takes part in a conflict
}

// Lay is a way of laying.
type Lay uint8

// The ways of laying. A row is Even, Stepped or Centered; pieces are Full or Even.
const (
	Even Lay = iota
	Stepped
	Centered
	Full
)
