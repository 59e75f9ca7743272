package rules

// Span is a stretch of one source file. The zero Span is "no place".
type Span struct {
	File  string // the name it was read under; slash-separated
	Start Place
	End   Place // just after the last character
}

// Place is one point of a source file.
type Place struct {
	Offset int // in bytes, 0-based
	Line   int // 1-based; 0 if unknown
	Column int // in bytes, 1-based
	UTF16  int // in UTF-16 code units, 1-based, for editors
}

// Node is anything that stands somewhere in a source file.
type Node interface {
	// Pos is the stretch of source that the node covers.
	Pos() Span
}

// Pos returns the span itself, so that every node that embeds one is a Node.
func (s Span) Pos() Span { return s }

// A commentNode is one `#` line. Comments stand in File.comments in source order; a comment belongs to the
// node that it stands before, or after on the same line, which its place tells.
type commentNode struct {
	Span
	Text string // with its `#`, without the line break
}

// A Name is a word of the author's, where it stands.
type Name struct {
	Span
	Text string
}

// A File is one rule file as written.
type File struct {
	Name     string
	Source   []byte
	decls    []declNode
	comments []*commentNode
}

// A declNode is a declaration at the top of a file: *bookNode, *includeNode, *itemNode, *detailNode or *ExampleDecl.
type declNode interface {
	Node
	decl()
}

// bookNode is `book "…" { … }`.
type bookNode struct {
	Span
	Name    string
	Edition string
	Basis   string
	Mark    *Literal // nil: none
	Zones   []Name
}

// includeNode is `include "x.rules"`.
type includeNode struct {
	Span
	Path string
}

// itemNode is `item NAME "…" { … }`.
type itemNode struct {
	Span
	Name  Name
	Title string
	Props []*propertyNode
}

// A propertyNode is one clause of an item, by its keyword: pack, waste, stock (with its price), kerf, girth,
// roll, cartridge, bead (round, square, or by), movement.
type propertyNode struct {
	Span
	Key    string
	Values []*Literal // bead by: width, depth; movement: length, per length; stock: length[, price]
	Shape  string     // bead: "round", "square" or "by"
}

// detailNode is `detail NAME "…" [for …] [extends NAME] { … }`.
type detailNode struct {
	Span
	Name    Name
	Title   string
	For     []Name // edge kinds; one Name "field" for `for field`; empty if it says none
	Extends *Name
	Body    []clauseNode
}

// A clauseNode stands in a detail: *Input, *Let, *Require, *elementNode, *relaxNode, *dropNode, *Step or *remarkNode.
type clauseNode interface {
	Node
	clause()
}

// Input is `input NAME: TYPE [= DEFAULT] [where CONDITION] ["…"]`.
type Input struct {
	Span
	Name    Name
	Type    Name   // length number slope percent choice
	Choices []Name // of a choice
	Default Expr   // nil: the job must give it
	Where   Expr   // nil: any value
	Title   string
}

// Let is `let NAME = EXPRESSION`.
type Let struct {
	Span
	Name  Name
	Value Expr
}

// Require is `[should] require CONDITION …` or `require penetration clear >= EXPRESSION from FEATURE`.
type Require struct {
	Span
	Should bool
	Cond   Expr  // nil for a distance
	Clear  *Rule // the distance of a penetration; else nil
	Reason

	// ID is `detail.require`, with `#2` for the second. Set in a checked Book.
	ID string
}

// Reason is what a line says for itself.
type Reason struct {
	Because string
	Source  string
}

// elementNode is `KIND NAME ["…"] [of ITEM] SCOPE [when …] { … }`. In a detail that extends another, an
// element of the base may stand without a scope.
type elementNode struct {
	Span
	Kind  Kind
	Name  Name
	Title string
	Item  *Name
	Scope *ScopeDecl // nil: the base's
	When  Expr
	Lay   *Name // nil: none written; even stepped centered full
	Rules []*Rule
}

// Kind is what an element lays.
type Kind uint8

// The kinds of element.
const (
	Row Kind = iota
	Pieces
	Strip
	Bead
)

// ScopeDecl is `along run`, `in each gap of rivets`, `at each 2nd rib from rib 3` and so on.
type ScopeDecl struct {
	Span
	How   string // along, around, in, at
	Of    string // run side rib panel piece gap lap mark end penetration
	Name  *Name  // of piece, gap, lap, mark: the element
	Every int    // counted off: each 2nd is 2; otherwise 1
	From  int    // counted off: the first that counts; 0: none written, the Every-th
}

// A Rule is one line of an element: `[must|should] MEASURE COMPARATOR EXPRESSION …`.
type Rule struct {
	Span
	Should  bool
	Measure Measure
	Side    Side // end, extend: which end
	Op      Op
	Value   Expr
	From    *Feature // clear only
	When    Expr
	Reason

	// ID is the rule's name, `detail.element.measure`, with `#2` for the second of a kind. Set in a checked Book.
	ID string
}

// Measure is what a rule bounds.
type Measure uint8

// The measures.
const (
	Spacing Measure = iota
	Count
	End
	Clear
	Offset
	Lap
	Length
	Extend
)

// Side tells which end of a scope a rule speaks of.
type Side uint8

// The ends of a scope.
const (
	BothEnds Side = iota
	Left
	Right
)

// Op is a comparator.
type Op uint8

// The comparators.
const (
	Less Op = iota
	AtMost
	Equal
	AtLeast
	Greater
)

// Feature is what a distance is measured from.
type Feature struct {
	Span
	Of   string // rib end penetration zone lap mark; on planes also an edge kind
	Name *Name  // of lap, mark: the element
}

// relaxNode is `relax ELEMENT { … } because "…"`.
type relaxNode struct {
	Span
	Name  Name
	Rules []*Rule
	Lay   *Name
	Reason
}

// dropNode is `drop NAME because "…"`.
type dropNode struct {
	Span
	Name Name
	Reason
}

// Step is `step "…" sets NAME, …` or `hold "…"`.
type Step struct {
	Span
	Text string
	Sets []Name
	Hold bool
}

// remarkNode is `caution "…"` or `note "…"`.
type remarkNode struct {
	Span
	Text    string
	Caution bool
}

// ExampleDecl is `example "…" { on … lay … expect … source … }`.
type ExampleDecl struct {
	Span
	Name    string
	On      *On
	Lay     []*LayDecl
	Expects []*Expect
	Source  string
}

// On describes where an example is laid: a run by its parts, or a job's file.
type On struct {
	Span
	Job   string // `on job "x.json"`; else empty, and
	Edge  Name   // the kind of edge
	Parts []*OnPart
}

// OnPart is one part of a run: length, slope, panels, first, rib (width, height), ends (two words), zone
// or penetration (from, to).
type OnPart struct {
	Span
	Key    string
	Word   *Name // zone's kind
	Words  []Name
	Values []*Literal
}

// LayDecl is `lay NAME [with NAME = EXPRESSION, …]`.
type LayDecl struct {
	Span
	Detail Name
	With   []*Let
}

// Expect is one expectation of an example.
type Expect struct {
	Span
	What     string // at, count, gap, length, lap, takeoff, stock, area, cost, violation, none (`no violation`), along
	Of       *Name  // the element or item; along: panel, length, slope or an input
	Severity string // violation: must or should; "": either
	Measure  string // violation: the measure
	N        int    // `length of cap 2`; 0: any
	In       *Name  // the scope's kind, `in panel 2`; nil: everywhere
	InN      int
	Op       Op
	Value    Expr       // nil where none fits
	At       []Expr     // positions
	Against  []Name     // violation: all rules that conflict; nil: any
	Range    []*Literal // along: the first and the last value
	Verdict  *Name      // along: built, yields, conflicts or refused
}

func (*bookNode) decl()    {}
func (*includeNode) decl() {}
func (*itemNode) decl()    {}
func (*detailNode) decl()  {}
func (*ExampleDecl) decl() {}

func (*Input) clause()       {}
func (*Let) clause()         {}
func (*Require) clause()     {}
func (*elementNode) clause() {}
func (*relaxNode) clause()   {}
func (*dropNode) clause()    {}
func (*Step) clause()        {}
func (*remarkNode) clause()  {}

// An Expr is an expression or a condition: *Literal, *Ref, *Unary, *Binary, *Call or *Is.
type Expr interface {
	Node
	expr()
}

// Literal is a number with its unit, as written, and its exact value.
type Literal struct {
	Span
	Text  string
	Value Value
}

// Ref is a name: an input, a let, or a given such as `panel.width`.
type Ref struct {
	Span
	Name string
}

// Unary is `-x` or `not x`.
type Unary struct {
	Span
	Op string
	X  Expr
}

// Binary is an operation of two: + - * / < <= = >= > and or.
type Binary struct {
	Span
	Op   string
	X, Y Expr
}

// Call is min, max, floor, ceil or abs of its arguments.
type Call struct {
	Span
	Func string
	Args []Expr
}

// Is is `zone is corner`, `end.kind is wall`, `finish is painted`.
type Is struct {
	Span
	X    Expr
	Word Name
}

func (*Literal) expr() {}
func (*Ref) expr()     {}
func (*Unary) expr()   {}
func (*Binary) expr()  {}
func (*Call) expr()    {}
func (*Is) expr()      {}
