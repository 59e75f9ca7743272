package rules

// The codes of diagnostics: stable, one for each kind of mistake. CODES.md shows each with an example.
const (
	// Reading words.
	CodeBadCharacter  = "bad-character"   // a character that the language doesn't use
	CodeBadUTF8       = "bad-utf8"        // bytes that are not UTF-8
	CodeBadNumber     = "bad-number"      // a number that is not written as the language writes it
	CodeNumberTooLong = "number-too-long" // a number with more digits than the limit
	CodeUnitMissing   = "unit-missing"    // a length without its unit
	CodeUnitUnknown   = "unit-unknown"    // a unit that the language spells otherwise
	CodeInexact       = "inexact-literal" // a value that can't be held exactly, or is too large
	CodeTextUnended   = "unfinished-text" // a text without its closing quote
	CodeBadEscape     = "bad-escape"      // a backslash in a text before anything but \ or "
	CodeTextTooLong   = "text-too-long"   // a text longer than the limit
	CodeFileTooLarge  = "file-too-large"  // a file larger than the limit
	CodeTooDeep       = "too-deep"        // brackets nested deeper than the limit
	CodeTooManyWords  = "too-many-words"  // more words in a file than the limit
	CodeTooManyDecls  = "too-many-declarations"
	CodeTooManyTerms  = "too-many-terms" // an expression with more terms than the limit

	// Reading sentences.
	CodeUnexpectedWord  = "unexpected-word"    // a word where the grammar has no place for it
	CodeUnexpectedEnd   = "unexpected-end"     // the file ends too early
	CodeReservedName    = "reserved-name"      // a reserved word used as a name
	CodeUnclosedBlock   = "unclosed-block"     // a { without its }
	CodeRepeatedClause  = "repeated-clause"    // a clause that may stand once stands twice
	CodeChainedCompare  = "chained-comparison" // a < b < c
	CodeNotWhole        = "not-whole"          // a count or a number of order that is not a whole number in range
	CodePerHundredF     = "per-100-f"          // a movement for another temperature than 100 F
	CodeIncludeOutside  = "include-outside"    // an include that leaves the file system given
	CodeIncludeCircle   = "include-circle"     // a file that includes itself, perhaps through others
	CodeMoreDiagnostics = "more-diagnostics"   // how many diagnostics were not kept
)

// The codes of checking.
const (
	// Names.
	CodeUnknownName   = "unknown-name"   // a name that nothing has
	CodeUnknownWord   = "unknown-word"   // an edge kind, a zone or a choice that there is not
	CodeDeclaredTwice = "declared-twice" // one name for two things
	CodeNotGiven      = "not-given"      // a name where its scope doesn't give it a value
	CodeWrongKind     = "wrong-kind"     // an element of a kind that doesn't fit where it is named
	CodeCircle        = "circle"         // things that need one another

	// Values.
	CodeWrongDimension = "wrong-dimension" // a length where a number fits, and so on
	CodeDivideByZero   = "divide-by-zero"  // a divisor that is zero
	CodeTooLarge       = "too-large"       // a number or a book that grows past its limit
	CodeNoValue        = "no-value"        // of EvalError alone: a name without a value in this place of a roof
	CodeBadMark        = "bad-mark"        // a mark that is not a length above zero
	CodeBelowMark      = "below-mark"      // a limit finer than the step on which marks fall
	CodeBadLimit       = "bad-limit"       // a limit that nothing can keep
	CodeBadCount       = "bad-count"       // a count that is not whole

	// Items.
	CodeUnknownProperty  = "unknown-property"  // a clause that an item doesn't have
	CodeRepeatedProperty = "repeated-property" // a clause or a stock length that is said twice
	CodeBadProperty      = "bad-property"      // a size of nothing or less, a part of a pack, an end before its start
	CodeItemMixed        = "item-mixed"        // clauses of an item that don't go together
	CodeItemUnfit        = "item-unfit"        // an item that can't be laid in this way
	CodeUnusedPrice      = "unused-price"      // a warning: a price where not each stock length has one
	CodeUnusedItem       = "unused-item"       // a warning: an item that no element takes

	// Details.
	CodeBadFor       = "bad-for"       // a detail that doesn't say what it is for, or says too much
	CodeBadChoice    = "bad-choice"    // a choice of nothing, or words for what is no choice
	CodeBadDefault   = "bad-default"   // a default that the input doesn't take
	CodeUnusedInput  = "unused-input"  // a warning: an input that nothing uses
	CodeMixedScopes  = "mixed-scopes"  // one requirement on an end and on a panel, a rib or a side
	CodeSetTwice     = "set-twice"     // an element that two steps set
	CodeUnsetElement = "unset-element" // a warning: an element that no step sets
	CodeStepOrder    = "step-order"    // a warning: an element that is set before one that it is laid by

	// Elements and rules.
	CodeScopeMissing    = "scope-missing"    // an element without a scope
	CodeScopeUnfit      = "scope-unfit"      // a scope in which the kind can't be laid
	CodeLayUnfit        = "lay-unfit"        // a way of laying that the kind doesn't have
	CodeMeasureUnfit    = "measure-unfit"    // a measure without a meaning for the kind or in the scope
	CodeComparatorUnfit = "comparator-unfit" // a comparator that the measure doesn't take
	CodeFeatureUnfit    = "feature-unfit"    // a distance without its feature, or a feature without a distance
	CodeUnboundedRow    = "unbounded-row"    // a row that doesn't say how many marks it needs
	CodeBeadLength      = "bead-length"      // a bead that doesn't say how long it is

	// Overrides.
	CodeInputChanged   = "input-changed"   // an input of the base with another type, choice or `where`
	CodeElementChanged = "element-changed" // an element of the base with another kind, scope or `when`
	CodeLooser         = "looser"          // a line that asks for less than the base's, without relax
	CodeUndecided      = "undecided"       // a line that may ask for less than the base's, without relax
	CodeBecauseMissing = "because-missing" // a relax or a drop that doesn't say why
	CodeDroppedNeeded  = "dropped-needed"  // a drop of what something else names
	CodeRelaxesNothing = "relaxes-nothing" // a warning: a relax whose lines are no looser

	// Examples.
	CodeExampleIncomplete = "example-incomplete" // an example without its run, its detail or what it expects
	CodeBadInput          = "bad-input"          // a value that an input of the example doesn't take, or none
)

// The codes of what shows over all roofs, or where an example is laid out: found by detail.Check.
const (
	CodeContradiction = "contradiction"  // lines of an element, or requirements, that no roof lets hold together
	CodeNeverHolds    = "never-holds"    // a warning: a `when` that holds on no roof
	CodeNeverKept     = "never-kept"     // a warning: a should that the musts leave no room for
	CodeCoveredShould = "covered-should" // a warning: a should that a must covers
	CodeLaysNothing   = "lays-nothing"   // a warning: an example that lays nothing
)
