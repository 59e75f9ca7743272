package rules

import (
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Book is a loaded and checked set of rule files: every name resolved, every override applied. It does not
// change after Load and is safe for concurrent use.
type Book struct {
	Name     string
	Edition  string
	Basis    string
	Digest   string       // "sha256:…" of the files read, in the order read
	Mark     units.Length // every mark falls on this step from its scope's start; 0: none
	MarkSpan Span         // where the book says so
	Zones    []string
	Items    []*Item
	Details  []*Detail
	Examples []*ExampleDecl
	Files    []*File // in the order read; the root first
}

// Detail finds a detail by its name; nil if there is none.
func (b *Book) Detail(name string) *Detail {
	for _, d := range b.Details {
		if d.Name == name {
			return d
		}
	}
	return nil
}

// An Item is what is bought: fasteners, stock, tape, sealant.
type Item struct {
	Span
	Name      string
	Title     string
	Pack      int64           // pieces in a pack; 0: not packed
	Waste     decimal.Decimal // a fraction: 5% is 0.05
	Stock     []Stock         // lengths to cut from
	Kerf      units.Length
	Girth     units.Length
	Roll      units.Length
	RollSpan  Span
	Cartridge units.Volume
	Bead      BeadSize
	MovesBy   units.Length // how far each MovesPer of it moves for 100 °F; 0: it doesn't say
	MovesPer  units.Length
}

// Stock is one length that an item comes in.
type Stock struct {
	Span
	Length units.Length
	Price  decimal.Decimal // 0: not given
}

// BeadSize is the section of a bead: round of diameter Width, or Width by Depth.
type BeadSize struct {
	Round        bool
	Width, Depth units.Length
}

// A Detail is one standard detail with its overrides applied.
type Detail struct {
	Span
	Name     string
	Title    string
	For      []string // the edge kinds that it is laid on without being named; "field" for a plane
	Kinds    []string // what it fits when a job names it: For, or else its base's
	Extends  string
	Inputs   []*Input
	Lets     []*Let
	Requires []*Require
	Elements []*Element // in the order written
	Order    []int      // indices of Elements in the order in which they are laid
	Steps    []*Step
	Cautions []string
	Notes    []string
	Relaxed  []Relaxation
}

// A Relaxation is a rule that an extending detail loosened or dropped, and why.
type Relaxation struct {
	Span
	Rule    string // its ID, or `detail.element` for a dropped element
	Because string
}

// An Element is one row, pieces, strip or bead of a detail.
type Element struct {
	Span
	Kind  Kind
	Name  string
	Title string
	Item  *Item // nil: none
	Scope *ScopeDecl
	When  Expr
	Lay   string // even stepped centered full; "" is the kind's default
	Rules []*Rule
}
