package detail

import (
	"fmt"
	"math"

	"github.com/lapwright/lapwright/rules"
)

// Options say how a host wants jobs read and laid. The zero value means the documented defaults.
type Options struct {
	Limits Limits

	took map[rules.Node]bool // if not nil: where a layout notes which rules took part
}

// Limits bound what a job may cost, so that no input grows without end. A field
// that is zero or less means its default.
type Limits struct {
	JobBytes     int // of a job's JSON: 16 MiB; never more than 2 GiB
	Depth        int // of nested lists and objects in a job: 64; never more than 10,000
	Panels       int // of a job, all sides of all runs together: 100,000
	Marks        int // of a report: 1,000,000; pieces, strips and beads are counted with them
	Violations   int // kept in a report of each severity, the rest counted: 10,000
	ConflictWork int // tries to find the smallest set of rules that conflict, a scope: 10,000
}

// orDefault is the limits with each 0 replaced by its default.
func (l Limits) orDefault() Limits {
	for _, f := range []struct {
		field *int
		value int
	}{
		{&l.JobBytes, 16 << 20},
		{&l.Depth, 64},
		{&l.Panels, 100_000},
		{&l.Marks, 1_000_000},
		{&l.Violations, 10_000},
		{&l.ConflictWork, 10_000},
	} {
		if *f.field <= 0 {
			*f.field = f.value
		}
		*f.field = min(*f.field, math.MaxInt32) // so that one more is a number too
	}
	return l
}

// ErrLimit is what errors.Is finds in an error that says that a limit was reached. It is [rules.ErrLimit].
var ErrLimit = rules.ErrLimit

// A LimitError says which limit was reached. errors.Is(err, ErrLimit) holds for it.
type LimitError struct {
	What  string // what is too many: "marks"
	Limit string // the field of Limits: "Marks"
	Value int    // its value
}

// Error says what was too much, and how a host raises the limit.
func (e *LimitError) Error() string {
	return fmt.Sprintf("too many %s: the limit is %d, and a host raises it by detail.Limits.%s", e.What, e.Value, e.Limit)
}

// Is makes errors.Is(e, ErrLimit) hold.
func (e *LimitError) Is(target error) bool { return target == ErrLimit }

func limitError(what, limit string, value int) error {
	return &LimitError{What: what, Limit: limit, Value: value}
}
