package detail

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/lapwright/lapwright/units"
)

// measuredColumns are the columns that a table of measurements may have.
var measuredColumns = []string{"run", "side", "detail", "element", "scope", "at", "from", "to", "length"}

// ReadMeasuredCSV reads measurements from comma-separated values (RFC 4180), UTF-8, whose first line names the columns:
// run, detail and element, and of side, scope, at, from, to and length those that are used, in any order. Each line is
// one mark (at), one piece (from, to), one strip (from, to, length) or one bead (at, length); or it names a scope in
// which nothing was found. A table has no tolerance: it is 0 until the caller sets it. What is wrong is a *JobErrors,
// each with its line and column, all in one pass; any other error is the reader's.
func (o Options) ReadMeasuredCSV(r io.Reader) (*Measured, error) {
	src, err := readAll(r, "measurements", o.Limits.orDefault())
	if err != nil {
		return nil, err
	}
	t := &tableReader{columns: map[string]int{}, of: map[string]int{}}
	t.read(bytes.TrimPrefix(src, []byte("\ufeff")))
	if len(t.errs.List) == 0 {
		t.measured.check(&t.errs)
	}
	if err := t.errs.err(); err != nil {
		return nil, err
	}
	return &t.measured, nil
}

// A tableReader gathers the lines of a table that are of one element, and of one scope where they name it.
type tableReader struct {
	measured Measured
	errs     JobErrors
	csv      *csv.Reader
	columns  map[string]int
	of       map[string]int // which of measured.List
	fields   []string
}

func (t *tableReader) read(src []byte) {
	if !utf8.Valid(src) {
		t.errs.add(&JobError{Msg: "the table is not UTF-8"})
		return
	}
	t.csv = csv.NewReader(bytes.NewReader(src))
	t.csv.ReuseRecord = true
	for first := true; ; first = false {
		var err error
		t.fields, err = t.csv.Read()
		var bad *csv.ParseError
		switch {
		case err == io.EOF:
			if first {
				t.errs.add(&JobError{Msg: "the table is empty: its first line names the columns, such as run,side,detail,element,at"})
			}
			return
		case errors.As(err, &bad) && errors.Is(err, csv.ErrFieldCount):
			t.errs.add(&JobError{Place: Place{Line: bad.Line, Column: 1},
				Msg: fmt.Sprintf("the line has %d fields, and the first line names %d columns", len(t.fields), t.csv.FieldsPerRecord)})
		case err != nil:
			e := &JobError{Msg: err.Error()}
			if bad != nil {
				e.Place, e.Msg = Place{Line: bad.Line, Column: bad.Column}, bad.Err.Error()
			}
			t.errs.add(e)
			return
		case first:
			if !t.header() {
				return
			}
		default:
			t.line()
		}
	}
}

func (t *tableReader) header() bool {
	for i, name := range t.fields {
		name = strings.ToLower(strings.TrimSpace(name))
		switch _, twice := t.columns[name]; {
		case !slices.Contains(measuredColumns, name):
			t.fault(i, "there is no column %s: use %s", quoted(name), strings.Join(measuredColumns,
				", ")).Suggestion = nearest(name, measuredColumns)
		case twice:
			t.fault(i, "the column %s is there twice", name)
		}
		t.columns[name] = i
	}
	for _, name := range []string{"run", "detail", "element"} {
		if _, ok := t.columns[name]; !ok {
			t.fault(0, "the first line names no column %s", name)
		}
	}
	return len(t.errs.List) == 0
}

// fault notes what is wrong with a field of the line.
func (t *tableReader) fault(field int, format string, args ...any) *JobError {
	line, column := t.csv.FieldPos(field)
	e := &JobError{Place: Place{Line: line, Column: column}, Msg: fmt.Sprintf(format, args...)}
	t.errs.add(e)
	return e
}

func (t *tableReader) text(column string) string {
	if i, ok := t.columns[column]; ok {
		return strings.TrimSpace(t.fields[i])
	}
	return ""
}

// length reads a length, and whether there is one.
func (t *tableReader) length(column string) (units.Length, bool) {
	text := t.text(column)
	if text == "" {
		return units.Length{}, false
	}
	l, err := units.Parse(text)
	if err != nil {
		t.fault(t.columns[column], "%s: %v", column, err)
	}
	return l, true
}

func (t *tableReader) line() {
	line, _ := t.csv.FieldPos(0)
	m := Measure{Place: Place{Line: line, Column: 1}, Run: t.text("run"), Side: t.text("side"),
		Detail: t.text("detail"), Element: t.text("element")}
	for _, column := range []string{"run", "detail", "element"} {
		if t.text(column) == "" {
			t.fault(t.columns[column], "the line names no %s", column)
		}
	}
	scope := t.text("scope")
	if scope != "" {
		n, err := strconv.Atoi(scope)
		if err != nil || n < 1 {
			t.fault(t.columns["scope"], "a scope is numbered from 1, as 3, but here is %s", quoted(scope))
		}
		m.Scopes = []int{n}
	}
	key := strings.Join([]string{m.Run, m.Side, m.Detail, m.Element, scope}, "\x00")
	i, ok := t.of[key]
	if !ok {
		i = len(t.measured.List)
		t.of[key] = i
		t.measured.List = append(t.measured.List, m)
	}
	into := &t.measured.List[i]
	at, isAt := t.length("at")
	from, isFrom := t.length("from")
	to, isTo := t.length("to")
	length, isLength := t.length("length")
	before := into.last()
	if isFrom && isTo && from.Cmp(to) >= 0 {
		t.fault(t.columns["to"], "it ends at %s, before or where it starts, at %s", to, from)
	}
	switch {
	case isAt && isLength && !isFrom && !isTo:
		into.Beads = append(into.Beads, Bead{At: at, Length: length})
	case isAt && !isFrom && !isTo:
		into.At = append(into.At, at)
	case isFrom && isTo && isLength && !isAt:
		into.Strips = append(into.Strips, Strip{From: from, To: to, Length: length})
	case isFrom && isTo && !isAt:
		into.Pieces = append(into.Pieces, Piece{From: from, To: to})
	case scope == "" || isAt || isFrom || isTo || isLength:
		t.fault(0,
			"a line has at (a mark), from and to (a piece), from, to and length (a strip), or at and length (a bead)")
		return
	default:
		return
	}
	if here := into.last(); before != nil && here.Cmp(*before) < 0 {
		t.fault(cmp.Or(t.columns["at"], t.columns["from"]),
			"%s comes after %s: list the stations of an element from the run's station 0 on", *here, *before)
	}
}

// last is the station of what was added last, nil for none.
func (m *Measure) last() *units.Length {
	var l units.Length
	switch {
	case len(m.At) > 0:
		l = m.At[len(m.At)-1]
	case len(m.Pieces) > 0:
		l = m.Pieces[len(m.Pieces)-1].From
	case len(m.Strips) > 0:
		l = m.Strips[len(m.Strips)-1].From
	case len(m.Beads) > 0:
		l = m.Beads[len(m.Beads)-1].At
	default:
		return nil
	}
	return &l
}
