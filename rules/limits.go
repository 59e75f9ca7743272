package rules

import "errors"

// ErrLimit is in the chain of every error that says a limit of Limits was met while files were read.
var ErrLimit = errors.New("limit reached")

// Limits bound what loading takes on, so that hostile input ends in an error and not in a full memory. A
// field that is zero or less means its default.
type Limits struct {
	FileBytes    int // bytes of one file; default 262,144
	TotalBytes   int // bytes of all files of a load; default 4,194,304
	IncludeDepth int // files that include one another, the root counted; default 16
	Words        int // words, signs and literals of one file; default 200,000
	Nesting      int // open brackets and braces at one point; default 100
	NumberBytes  int // characters of one number; default 32
	TextBytes    int // bytes of one quoted text; default 4,096
	Terms        int // operands of one expression; default 1,000
	Declarations int // declarations of one file; default 10,000
	Diagnostics  int // diagnostics kept of one load, the rest counted; default 100
}

func (l Limits) withDefaults() Limits {
	or := func(n, otherwise int) int {
		if n <= 0 {
			return otherwise
		}
		return n
	}
	return Limits{
		FileBytes:    or(l.FileBytes, 256<<10),
		TotalBytes:   or(l.TotalBytes, 4<<20),
		IncludeDepth: or(l.IncludeDepth, 16),
		Words:        or(l.Words, 200_000),
		Nesting:      or(l.Nesting, 100),
		NumberBytes:  or(l.NumberBytes, 32),
		TextBytes:    or(l.TextBytes, 4096),
		Terms:        or(l.Terms, 1000),
		Declarations: or(l.Declarations, 10_000),
		Diagnostics:  or(l.Diagnostics, 100),
	}
}
