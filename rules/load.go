package rules

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
)

// Options are how rule files are loaded. The zero value is the defaults.
type Options struct {
	Limits Limits
}

// Load reads a rule file and all that it includes, checks them and returns the book. It reads nothing outside
// the file system given. Diagnostics say what is wrong with the source, sorted by place; if one is an Error
// the book is nil. The error is about reading: a file that is not there or can't be read, or one beyond the
// Limits, which wraps ErrLimit; it names the place of the include. The book is then nil too.
func Load(fsys fs.FS, name string) (*Book, Diagnostics, error) {
	return Options{}.Load(fsys, name)
}

// Load is the function Load with options.
func (o Options) Load(fsys fs.FS, name string) (*Book, Diagnostics, error) {
	return o.load(fsys, name, parse)
}

// load loads with a way to parse a file.
func (o Options) load(fsys fs.FS, name string, parse func(string, []byte, Limits) (*File, *parser)) (*Book, Diagnostics, error) {
	l := &loader{fsys: fsys, parse: parse, limits: o.Limits.withDefaults(), done: map[string]bool{}, lost: map[string]bool{}}
	if !fs.ValidPath(name) || name == "." {
		return nil, nil, fmt.Errorf("%q: %w: a rule file is named from the root of its file system, with slashes", name, fs.ErrInvalid)
	}
	err := l.load(name, Span{})
	if err != nil {
		return nil, l.diags.sorted(l.files).capped(l.limits.Diagnostics), err
	}
	broken := l.diags.HasErrors()
	book, found := check(l.files)
	for _, d := range found {
		if !broken || l.stands(d) {
			l.diags = append(l.diags, d)
		}
	}
	ds := l.diags.sorted(l.files).capped(l.limits.Diagnostics)
	if ds.HasErrors() {
		return nil, ds, nil
	}
	return book, ds, nil
}

// A loader reads files, each once.
type loader struct {
	fsys   fs.FS
	parse  func(name string, src []byte, limits Limits) (*File, *parser)
	limits Limits
	bytes  int
	words  int
	open   []opened // the files being read, each included by the one before
	done   map[string]bool
	files  []*File
	diags  Diagnostics
	lost   map[string]bool // words of what could not be read
}

// An opened file and the include that it was reached by.
type opened struct {
	name string
	by   Span
}

// ownFault are the codes of mistakes that stand in the place they are reported at, whatever else is missing.
var ownFault = []string{
	CodeUnknownName, CodeUnknownWord, CodeDeclaredTwice, CodeNotGiven, CodeWrongDimension, CodeDivideByZero, CodeTooLarge, CodeBadMark, CodeBelowMark,
	CodeBadLimit, CodeBadCount, CodeRepeatedProperty, CodeBadProperty, CodeSetTwice, CodeScopeUnfit, CodeLayUnfit, CodeMeasureUnfit,
	CodeComparatorUnfit, CodeFeatureUnfit, CodeBecauseMissing,
}

// stands tells whether a diagnostic of checking also stands where parts of the source could not be read, and is
// not a mere consequence of that.
func (l *loader) stands(d Diagnostic) bool {
	if !slices.Contains(ownFault, d.Code) {
		return false
	}
	for _, f := range l.files {
		if f.Name == d.File && (d.Code == CodeUnknownName || d.Code == CodeUnknownWord) {
			return !l.lost[string(f.Source[d.Start.Offset:d.End.Offset])]
		}
	}
	return true
}

// load reads a file and then what it includes, so that files come in the order read, the root first.
func (l *loader) load(name string, by Span) error {
	for i, o := range l.open {
		if o.name == name {
			l.circle(i, by)
			return nil
		}
	}
	if l.done[name] {
		return nil
	}
	l.done[name] = true
	if len(l.open) >= l.limits.IncludeDepth {
		return at(by, limitReached(fmt.Sprintf("%s: files include one another more than %d deep", name, l.limits.IncludeDepth)+raise("IncludeDepth")))
	}
	src, err := l.read(name)
	if err != nil {
		return at(by, err)
	}
	f, p := l.parse(name, src, l.limits)
	l.files, l.diags = append(l.files, f), append(l.diags, p.diags...)
	maps.Copy(l.lost, p.lost)
	if l.words += p.words(); l.words > l.limits.TotalWords {
		return at(by, limitReached(fmt.Sprintf("%s:1:1: the files together have more than %d words", name, l.limits.TotalWords)+raise("TotalWords")))
	}
	l.open = append(l.open, opened{name, by})
	defer func() { l.open = l.open[:len(l.open)-1] }()
	for _, d := range f.decls {
		inc, ok := d.(*includeNode)
		if !ok {
			continue
		}
		next, ok := l.resolve(name, inc)
		if !ok {
			continue
		}
		if err := l.load(next, inc.Span); err != nil {
			return err
		}
	}
	return nil
}

// resolve turns the path of an include, relative to its file, into a name in the file system.
func (l *loader) resolve(from string, inc *includeNode) (string, bool) {
	if p := inc.Path; p == "" || strings.HasPrefix(p, "/") || strings.Contains(p, `\`) {
		l.diags.add(inc.Span, CodeIncludeOutside, "`%s` is not a path relative to this file", clip(p)).
			suggest(`name the file from here, with slashes: include "parts/items.rules"`)
		return "", false
	}
	name := path.Join(path.Dir(from), inc.Path)
	if !fs.ValidPath(name) || name == "." {
		l.diags.add(inc.Span, CodeIncludeOutside, "`%s` leaves the file system that the rules were loaded from", clip(inc.Path))
		return "", false
	}
	return name, true
}

// circle reports files that include one another, from the i-th of those open on.
func (l *loader) circle(i int, by Span) {
	var names []string
	for _, o := range l.open[i:] {
		names = append(names, o.name)
	}
	d := l.diags.add(by, CodeIncludeCircle, "files include one another in a circle: %s", strings.Join(append(names, names[0]), ", "))
	for _, o := range l.open[i+1:] {
		d.relate(o.by, "%s is included here", o.name)
	}
}

// read returns the bytes of a file, and never more than the limits allow.
func (l *loader) read(name string) ([]byte, error) {
	f, err := l.fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var b bytes.Buffer
	n, err := io.Copy(&b, io.LimitReader(f, int64(l.limits.FileBytes)+1))
	switch {
	case err != nil:
		if errors.As(err, new(*fs.PathError)) {
			return nil, err
		}
		return nil, &fs.PathError{Op: "read", Path: name, Err: err}
	case int(n) > l.limits.FileBytes:
		return nil, limitReached(fmt.Sprintf("%s:1:1: the file is larger than %d bytes", name, l.limits.FileBytes) + raise("FileBytes"))
	}
	if l.bytes += int(n); l.bytes > l.limits.TotalBytes {
		return nil, limitReached(fmt.Sprintf("%s:1:1: the files together are larger than %d bytes", name, l.limits.TotalBytes) + raise("TotalBytes"))
	}
	return b.Bytes(), nil
}

// at says where an error comes from.
func at(by Span, err error) error {
	if place := by.String(); place != "" {
		return fmt.Errorf("%s: %w", place, err)
	}
	return err
}
