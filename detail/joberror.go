package detail

import (
	"fmt"
	"strings"
)

// maxJobErrors is how many errors of one job are listed.
const maxJobErrors = 50

// A Place is where something stands in a job.
type Place struct {
	Pointer string // JSON Pointer (RFC 6901): "/runs/0/length"
	Line    int    // 1-based; 0: the job was built in Go
	Column  int    // 1-based, in bytes; 0 as Line
}

// A JobError is one thing wrong with a job: where, what, and what would be right.
type JobError struct {
	Place
	Msg        string
	Suggestion string // what was probably meant; "" where nothing is near
	err        error  // the limit that was reached, or nil
}

// Error is the place, the message and the suggestion in one line.
func (e *JobError) Error() string {
	var b strings.Builder
	if e.Line > 0 {
		fmt.Fprintf(&b, "%d:%d: ", e.Line, e.Column)
	}
	if e.Pointer != "" {
		b.WriteString(middleLeftOut(e.Pointer))
		b.WriteString(": ")
	}
	b.WriteString(e.Msg)
	if e.Suggestion != "" {
		fmt.Fprintf(&b, "; did you mean %q?", e.Suggestion)
	}
	return b.String()
}

// middleLeftOut is a pointer that endless keys or levels have made too long to read, shortened.
func middleLeftOut(pointer string) string {
	const ends = 150
	if len(pointer) <= 2*ends {
		return pointer
	}
	return strings.ToValidUTF8(pointer[:ends], "") + "…" + strings.ToValidUTF8(pointer[len(pointer)-ends:], "")
}

// Unwrap is the limit that was reached, if one was.
func (e *JobError) Unwrap() error { return e.err }

// JobErrors are all that is wrong with a job, in the order of its text. errors.As finds each *JobError in them.
type JobErrors struct {
	List []*JobError // at most 50
	More int         // so many others are not listed
}

// Error is one error a line.
func (e *JobErrors) Error() string {
	var b strings.Builder
	for i, je := range e.List {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(je.Error())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\nand %d more", e.More)
	}
	return b.String()
}

// Unwrap gives the listed errors to errors.Is and errors.As.
func (e *JobErrors) Unwrap() []error {
	errs := make([]error, len(e.List))
	for i, je := range e.List {
		errs[i] = je
	}
	return errs
}

func (e *JobErrors) add(je *JobError) {
	if len(e.List) < maxJobErrors {
		e.List = append(e.List, je)
	} else {
		e.More++
	}
}

// err is e as an error: nil where nothing is wrong.
func (e *JobErrors) err() error {
	if len(e.List) == 0 {
		return nil
	}
	return e
}
