package geom

import (
	"errors"
	"fmt"
	"strings"
)

// ErrTooManyPanels says that a side has more panels than the caller allows.
var ErrTooManyPanels = errors.New("too many panels")

// FieldError is one thing wrong with a run, plane or roof.
type FieldError struct {
	Path string // the field as a JSON Pointer from the run, plane or roof, such as /panels/first or /sides/1/panels/ribs/3
	Msg  string // what is wrong and what would be right
	Err  error  // ErrTooManyPanels, or nil
}

func (e *FieldError) Error() string { return e.Path + ": " + e.Msg }

// Unwrap returns the kind of error, if it has one.
func (e *FieldError) Unwrap() error { return e.Err }

// maxErrors caps the list for one run: after the first twenty the others are mostly their echo.
const maxErrors = 20

// FieldErrors is all that is wrong with a run, plane or roof.
type FieldErrors struct {
	Run  string        // the run's id
	List []*FieldError // in the order of the fields; at most 20
	More int           // how many others there are

	Plane, Roof string // the id of the plane or roof, where it is one that is wrong, else ""
}

// Error writes one line for each error.
func (e *FieldErrors) Error() string {
	var b strings.Builder
	switch {
	case e.Roof != "":
		fmt.Fprintf(&b, "roof %.64q:", e.Roof)
	case e.Plane != "":
		fmt.Fprintf(&b, "plane %.64q:", e.Plane)
	default:
		fmt.Fprintf(&b, "run %.64q:", e.Run)
	}
	for _, f := range e.List {
		b.WriteString("\n  " + f.Error())
	}
	if e.More > 0 {
		fmt.Fprintf(&b, "\n  and %d more", e.More)
	}
	return b.String()
}

// Unwrap returns the errors one by one.
func (e *FieldErrors) Unwrap() []error {
	list := make([]error, len(e.List))
	for i, f := range e.List {
		list[i] = f
	}
	return list
}

func (e *FieldErrors) err() error {
	if len(e.List) == 0 {
		return nil
	}
	return e
}

func (e *FieldErrors) add(path string, kind error, format string, args ...any) {
	if len(e.List) == maxErrors {
		e.More++
		return
	}
	e.List = append(e.List, &FieldError{path, fmt.Sprintf(format, args...), kind})
}

func (e *FieldErrors) tooMany(path string, panels int64, limit int) {
	e.add(path, ErrTooManyPanels, "%d panels are over the limit of %d: a shorter run or a wider cover is meant, or a higher limit is needed", panels, limit)
}
