package rules

import (
	"errors"
	"math"
)

// ErrLimit is in the chain of every error that says that a limit was met: one of this package's Limits while files were
// read, or one of package detail's.
var ErrLimit = errors.New("a limit was reached")

// Limits bound what loading takes on, so that hostile input ends in an error and not in a full memory. A
// field that is zero or less means its default.
type Limits struct {
	FileBytes    int // bytes of one file; default 262,144
	TotalBytes   int // bytes of all files of a load; default 4,194,304
	IncludeDepth int // files that include one another, the root counted; default 16
	Words        int // words, signs, literals and comments of one file; default 200,000
	TotalWords   int // of all files of a load; default 500,000
	Nesting      int // open brackets and braces at one point; default 100
	NumberBytes  int // characters of one number; default 32
	TextBytes    int // bytes of one quoted text; default 4,096
	Terms        int // operands of one expression; default 1,000
	Declarations int // declarations of one file; default 10,000
	Diagnostics  int // diagnostics kept of one load, the rest counted; default 100
}

// limitReached is the text of an error that says that a limit was met.
type limitReached string

func (e limitReached) Error() string { return string(e) }
func (limitReached) Unwrap() error   { return ErrLimit }

// raise is how the text of an error says which limit was met.
func raise(limit string) string { return "; a host raises this limit by rules.Limits." + limit }

func (l Limits) withDefaults() Limits {
	or := func(n, otherwise int) int {
		if n <= 0 {
			return otherwise
		}
		return min(n, math.MaxInt32) // so that one more is a number too
	}
	return Limits{
		FileBytes:    or(l.FileBytes, 256<<10),
		TotalBytes:   or(l.TotalBytes, 4<<20),
		IncludeDepth: or(l.IncludeDepth, 16),
		Words:        or(l.Words, 200_000),
		TotalWords:   or(l.TotalWords, 500_000),
		Nesting:      or(l.Nesting, 100),
		NumberBytes:  or(l.NumberBytes, 32),
		TextBytes:    or(l.TextBytes, 4096),
		Terms:        or(l.Terms, 1000),
		Declarations: or(l.Declarations, 10_000),
		Diagnostics:  or(l.Diagnostics, 100),
	}
}
