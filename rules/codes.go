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
	CodeUnexpectedWord  = "unexpected-word"     // a word where the grammar has no place for it
	CodeUnexpectedEnd   = "unexpected-end"      // the file ends too early
	CodeReservedName    = "reserved-name"       // a reserved word used as a name
	CodeUnclosedBlock   = "unclosed-block"      // a { without its }
	CodeRepeatedClause  = "repeated-clause"     // a clause that may stand once stands twice
	CodeChainedCompare  = "chained-comparison"  // a < b < c
	CodeNotWhole        = "not-whole"           // a count or a number of order that is not a whole number in range
	CodePerHundredF     = "per-100-f"           // a movement for another temperature than 100 F
	CodeIncludeOutside  = "include-outside"     // an include that leaves the file system given
	CodeIncludeCircle   = "include-circle"      // a file that includes itself, perhaps through others
	CodeMoreDiagnostics = "more-diagnostics"    // how many diagnostics were not kept
)
