package units

import (
	"errors"
	"fmt"
)

var (
	// ErrOverflow says that a result is beyond what its type holds, such as a length over 1,000 km.
	ErrOverflow = errors.New("out of range")
	// ErrInexact says that a value can't be held or written exactly where no rounding was allowed.
	ErrInexact = errors.New("not exact")
	// ErrSyntax says that a text is not of a form that is read.
	ErrSyntax = errors.New("malformed")
	// ErrZero says that a divisor is zero, or a rounding step not above it.
	ErrZero = errors.New("zero divisor or step")
)

// ParseError says why a text could not be read. It wraps [ErrSyntax], [ErrOverflow] or [ErrInexact].
type ParseError struct {
	What   string // what was wanted: "length", "slope", "volume", "percent"
	Text   string // the text, cut after its first 64 bytes
	Offset int    // 0-based byte offset into the whole text where it went wrong
	Msg    string // what is wrong and what would be right
	Err    error  // the kind of error
}

func (e *ParseError) Error() string { return fmt.Sprintf("%s %q: %s", e.What, e.Text, e.Msg) }

// Unwrap returns the kind of error.
func (e *ParseError) Unwrap() error { return e.Err }
