package detail

import (
	"fmt"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Report is a layout: what to do, what to buy, and what can't be met. It does not change after Lay and is safe
// to share; nothing in it points back to what a caller may change.
//
// Marks, pieces, strips and beads are small and point into Scopes, a scope into Placements. All lists are in the
// order run, side, detail, element, scope, station.
type Report struct {
	Book       *rules.Book
	Job        string
	Runs       []*geom.Run // edges: the job's own, then those of its planes; then, of each plane, what details for the field go on
	Planes     []*geom.Plane
	Placements []Placement
	Scopes     []Scope
	Marks      []Mark
	Pieces     []Piece
	Strips     []Strip
	Beads      []Bead
	KeepOuts   []KeepOut // of each placement, by its rules, from left to right
	Patterns   []Pattern
	Cuts       []Cut
	Cutting    []Cutting
	Takeoff    []Quantity
	Stock      []Leftover // left over before, as the job says
	Leftovers  []Leftover // left over after
	Shop       []Drilling
	Heat       decimal.Decimal // the difference of temperature that pieces move by, in degrees Fahrenheit
	Movement   []Movement      // of items that say how far heat moves them
	Violations []Violation

	// How many violations there are beyond Limits.Violations, which is for each severity by itself: they are not kept.
	UnlistedMust, UnlistedShould int

	Skipped  []Skip
	Relaxed  []rules.Relaxation
	Steps    []Step
	Cautions []string
	Notes    []string
	Sources  []Source
	Bare     []string // ids of runs that no detail fits
	Why      []Why
}

// A Placement is one element of a detail on one run, or on one side of it.
type Placement struct {
	Run     *geom.Run
	Side    int // index into Run.Sides; -1 where the element spans the sides
	Detail  *rules.Detail
	Element *rules.Element
}

// SideID is the id of the placement's side, "" where it spans the sides or the run has one.
func (p *Placement) SideID() string {
	return sideID(p.Run, p.Side)
}

func sideID(r *geom.Run, side int) string {
	if side < 0 {
		return ""
	}
	return r.Sides[side].ID
}

// A Scope is one occurrence of an element's scope: the third panel, the second rib.
type Scope struct {
	Placement int32
	Kind      string // run side rib panel piece gap lap mark end penetration
	N         int    // 1-based, counted over the run or side
	From, To  units.Length
	Round     units.Rounding // of a row's marks to the 1/16 in from the scope's start: the way that keeps its rules; Exact: they stand on it, or neither way keeps them all
	Ring      *geom.Ring     // round a penetration: the outline along which stations go; else nil
	First     int            // its marks (row), pieces, strips or beads are [First, Last) of the report's list
	Last      int
}

// A Mark is where a fastener, clip, rivet or bracket goes.
type Mark struct {
	At    units.Length // from station 0 of the run
	Scope int32        // index into Report.Scopes
}

// A Piece is one cut length and where it lies.
type Piece struct {
	From, To units.Length
	Lap      units.Length // with the piece before; negative: the gap between them
	Scope    int32
	N        int32 // 1-based in its scope
	Joint    bool  // it joins the piece before it; false for the first, and beyond an obstacle
}

// A Strip is one continuous band of a roll.
type Strip struct {
	From, To units.Length
	Length   units.Length // what is cut for it, laps included
	Scope    int32
	N        int32 // 1-based in its scope
	Joint    bool  // it joins the strip before it; false for the first, and beyond an obstacle
}

// A Bead is one bead of sealant.
type Bead struct {
	At     units.Length // the feature, or the start of the scope
	Length units.Length
	Scope  int32
}

// A KeepOut is a stretch within which `clear` allows no mark, and no lap of pieces to reach. Its ends are allowed.
type KeepOut struct {
	From, To  units.Length
	Placement int32
	Rule      int32 // index into the element's Rules
}

// A Pattern is a set of scopes whose marks stand alike.
type Pattern struct {
	Placement int32
	Width     units.Length
	Offsets   []units.Length // from each scope's start
	Scopes    []int          // their numbers
}

// A Violation is one rule that the layout doesn't keep.
type Violation struct {
	Severity string // must or should
	Rule     string // its ID
	Measure  string
	Span     rules.Span
	Run      string
	Side     string
	Detail   string
	Element  string
	Scope    ScopeRef
	From, To units.Length
	Required Amount // with its comparator
	Found    Amount
	By       Amount // how far Found is off; always positive
	What     string // what was measured: "clear from rib"
	Conflict []RuleRef
	Minimal  bool // Conflict is the smallest there is; else only irreducible
	// Tolerated says of advice in an inspection that a must fails by no more than the tolerance.
	Tolerated bool
	Because   string
	Source    string
}

// Message says it in one sentence, lengths in the unit asked for.
func (v *Violation) Message(unit units.Unit) string {
	where := v.Scope.in(v.Run, v.Side)
	if v.Element != "" {
		where = v.Element + " in " + where
	}
	return fmt.Sprintf("%s: %s is %s, required %s", where, v.What, v.Found.In(unit), v.Required.In(unit))
}

// in names a scope of a run in words: "panel 3 of run peak-1, side lake".
func (s ScopeRef) in(run, side string) string {
	where := "run " + run
	if side != "" {
		where += ", side " + side
	}
	if s.Kind == "run" {
		return where
	}
	return fmt.Sprintf("%s %d of %s", s.Kind, s.N, where)
}

// An Amount is a length, or in words what is no length: a count, a slope, a condition.
type Amount struct {
	Op     string       // "<=", ">=", "=" …; "" where it is found and not required
	Length units.Length // where Text is ""
	Text   string
}

// In writes the amount, lengths exactly in the unit asked for: "<= 5 in", "4", ">= 1:12".
func (a Amount) In(unit units.Unit) string {
	s := a.Text
	if s == "" {
		s = a.Length.Format(unit)
	}
	if a.Op != "" {
		s = a.Op + " " + s
	}
	return s
}

// ScopeRef names a scope.
type ScopeRef struct {
	Kind string
	N    int
}

// RuleRef names a rule and its place; an obstacle has no place.
type RuleRef struct {
	Rule string
	Span rules.Span
}

// A Skip is a scope that was left out, and why.
type Skip struct {
	Placement int32
	Scope     ScopeRef
	When      string // the condition that failed, as written
}

// A Source is the source that a rule in force names.
type Source struct {
	Rule, Source string
}

// A Step is one line of the order of work.
type Step struct {
	Detail string
	N      int
	Text   string
	Sets   []string
	Hold   bool
}

// Why says which rule decided how many marks a scope takes.
type Why struct {
	Scope   int32
	Count   int
	Binding string // a rule's ID; "" where one mark is the fewest there can be
	Limit   Amount // what the rule asks for
}

// Text says it in one sentence, lengths in the unit asked for.
func (y *Why) Text(unit units.Unit) string {
	if y.Binding == "" {
		return "no rule asks for more"
	}
	return fmt.Sprintf("%s %s asks for %d", y.Binding, y.Limit.In(unit), y.Count)
}
