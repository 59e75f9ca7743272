package chain

import (
	"context"
	"errors"
	"fmt"
)

// Row asks for marks on a line from 0 to Length.
type Row struct {
	Length int64 // up to MaxLength
	Lay    Lay   // Even, Stepped or Centered
	Limits []Limit
}

// MaxLength is the longest scope that can be laid.
const MaxLength = 1e18

// Result says what a layout keeps.
type Result struct {
	Kept     []bool // per limit: false only for a Should that no layout keeps together with what comes before it
	Conflict []int  // the must limits that conflict, ascending; nil when every must holds, empty when Fixed limits alone leave no layout
	Smallest bool   // Conflict is the smallest such set, of these the earliest; false: irreducible only
	Binding  int    // the limit that decides how many there are, -1 for none
	Work     int64  // intervals looked at
}

// A Breach is one place where a layout breaks a limit.
type Breach struct {
	Limit    int
	From, To int64 // the gap, the end gap, the scope for a count, the mark twice for Keep and Step
	Found    int64 // the gap, the end gap, the count, how far the mark stands inside what is kept free or off the step
}

// ErrWork is returned where an answer would take more work or more marks than the stated limit.
var ErrWork = errors.New("chain: more work than the limit allows")

// ErrFiner is returned for a largest gap below one step.
type ErrFiner struct{ Limit int }

func (e ErrFiner) Error() string {
	return fmt.Sprintf("chain: limit %d is finer than the step", e.Limit)
}

// Solver lays rows and pieces. Its zero value is ready; it keeps scratch space from one call to the next and is not for concurrent use.
type Solver struct{ row rowScratch }
