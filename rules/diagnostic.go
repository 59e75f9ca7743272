package rules

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Severity tells what a diagnostic stops.
type Severity uint8

// The severities.
const (
	Error   Severity = iota // the book can't be used
	Warning                 // the book can be used; its author will want to know
)

// String is "error" or "warning".
func (s Severity) String() string {
	if s == Warning {
		return "warning"
	}
	return "error"
}

// A Diagnostic is one thing wrong with a rule file: what, where, and what would be right.
type Diagnostic struct {
	Span
	Severity   Severity
	Code       string // stable, listed in CODES.md: "unknown-name"
	Summary    string // one sentence
	Detail     string // more, or empty
	Suggestion string // what would be right, or empty
	Related    []Related
}

// Related is another place that takes part.
type Related struct {
	Span
	Text string
}

// String is the diagnostic in one line: `house.rules:12:5: error[unknown-name]: there is no item …`.
func (d Diagnostic) String() string {
	line := fmt.Sprintf("%s[%s]: %s", d.Severity, d.Code, d.Summary)
	if place := d.Span.String(); place != "" {
		line = place + ": " + line
	}
	return visible(line)
}

// String is where the span starts, `house.rules:12:5`, with the column in bytes.
func (s Span) String() string {
	if s.Start.Line == 0 {
		return s.File
	}
	return fmt.Sprintf("%s:%d:%d", s.File, s.Start.Line, s.Start.Column)
}

// Diagnostics are the findings of one load, sorted by place.
type Diagnostics []Diagnostic

// HasErrors reports whether one of them is an Error.
func (ds Diagnostics) HasErrors() bool {
	return slices.ContainsFunc(ds, func(d Diagnostic) bool { return d.Severity == Error })
}

// Err returns nil if none is an Error, else an error that tells the first and how many more there are. It wraps ErrLimit
// where one of them says that a limit was met.
func (ds Diagnostics) Err() error {
	text, more := "", 0
	for _, d := range ds {
		switch {
		case d.Severity != Error:
		case text == "":
			text = d.String()
		default:
			more++
		}
	}
	switch {
	case text == "":
		return nil
	case more > 0:
		text += fmt.Sprintf(" (and %d more)", more)
	}
	if slices.ContainsFunc(ds, func(d Diagnostic) bool { return slices.Contains(limitCodes, d.Code) }) {
		return limitReached(text)
	}
	return errors.New(text)
}

// limitCodes are the codes of diagnostics that say that one of Limits was met.
var limitCodes = []string{
	CodeFileTooLarge, CodeTooManyWords, CodeTooDeep, CodeTextTooLong, CodeNumberTooLong, CodeTooManyTerms, CodeTooManyDecls,
}

// add appends an error and returns it to be added to. The pointer holds until the next add.
func (ds *Diagnostics) add(at Span, code, format string, args ...any) *Diagnostic {
	*ds = append(*ds, Diagnostic{Span: at, Code: code, Summary: shortened(fmt.Sprintf(format, args...))})
	return &(*ds)[len(*ds)-1]
}

// shortened cuts a message that an endless name of the author's has made too long to read.
func shortened(text string) string {
	const most = 1000
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + "…"
}

// sorted puts the diagnostics in the order of the files given, then of the places in them.
func (ds Diagnostics) sorted(files []*File) Diagnostics {
	order := make(map[string]int, len(files))
	for i, f := range files {
		order[f.Name] = i
	}
	slices.SortStableFunc(ds, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(order[a.File], order[b.File]), cmp.Compare(a.Start.Offset, b.Start.Offset))
	})
	return ds
}

// capped keeps the first diagnostics and counts the rest in one more, which is as severe as the worst of them.
func (ds Diagnostics) capped(most int) Diagnostics {
	if len(ds) <= most {
		return ds
	}
	more := Diagnostic{Severity: Warning, Code: CodeMoreDiagnostics, Summary: fmt.Sprintf("%d more not shown", len(ds)-most)}
	if ds[most:].HasErrors() {
		more.Severity = Error
	}
	return append(ds[:most:most], more)
}
