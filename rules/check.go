package rules

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

const (
	// maxExtends bounds a chain of details that extend one another.
	maxExtends = 16
	// maxResolved bounds the elements and rules of all details together, each detail with those of its base.
	maxResolved = 200_000
)

// A checker makes a book of parsed files and collects what is wrong with them.
type checker struct {
	files     []*File
	sources   map[string][]byte
	diags     Diagnostics
	reported  map[report]bool
	book      *Book
	items     map[string]*Item
	itemNames []string
	decls     map[string]*detailNode
	names     []string // of the details, as declared
	drafts    map[string]*draft
	resolved  int
	usedItems map[string]bool
}

// A report is what tells one diagnostic from another: an element that three details take from one base is
// checked in each and reported once.
type report struct {
	span          Span
	code, summary string
}

// Check makes a book of files that Parse read, the root first and each include after it, or of trees that a host changed
// since: what Load does after reading. The diagnostics are sorted by place; the book is nil if one of them is an Error. The
// book shares the trees.
func Check(files []*File) (*Book, Diagnostics) {
	book, found := check(files)
	return book, found.sorted(files)
}

// check resolves the names of parsed files, the root first, applies the overrides and checks every dimension. The
// diagnostics come in no order; the book is nil if one of them is an Error.
func check(files []*File) (*Book, Diagnostics) {
	c := &checker{
		files:     files,
		sources:   map[string][]byte{},
		reported:  map[report]bool{},
		book:      &Book{Files: files, Digest: digest(files)},
		items:     map[string]*Item{},
		decls:     map[string]*detailNode{},
		drafts:    map[string]*draft{},
		usedItems: map[string]bool{},
	}
	for _, f := range files {
		c.sources[f.Name] = f.Source
	}
	c.checkBook()
	c.checkItems()
	c.checkDetails()
	c.checkExamples()
	c.warnItems()
	c.dropDoubtful()
	if slices.ContainsFunc(c.diags, func(d Diagnostic) bool { return d.Severity == Error }) {
		return nil, c.diags
	}
	return c.book, c.diags
}

// dropDoubtful drops the warnings that something isn't used where a name is unknown: it may be the one meant.
func (c *checker) dropDoubtful() {
	if !slices.ContainsFunc(c.diags, func(d Diagnostic) bool { return d.Code == CodeUnknownName }) {
		return
	}
	c.diags = slices.DeleteFunc(c.diags, func(d Diagnostic) bool {
		return d.Code == CodeUnusedInput || d.Code == CodeUnusedItem || d.Code == CodeUnsetElement
	})
}

// digest is of the names and the bytes of the files, each led by its length so that none runs into the next.
func digest(files []*File) string {
	h := sha256.New()
	part := func(b []byte) {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(b)))
		h.Write(n[:])
		h.Write(b)
	}
	for _, f := range files {
		part([]byte(f.Name))
		part(f.Source)
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil))
}

// fail reports an error, unless it is reported already, and returns it to be added to.
func (c *checker) fail(at Node, code, format string, args ...any) *Diagnostic {
	key := report{at.Pos(), code, shortened(fmt.Sprintf(format, args...))}
	if c.reported[key] {
		return &Diagnostic{}
	}
	c.reported[key] = true
	c.diags = append(c.diags, Diagnostic{Span: at.Pos(), Code: code, Summary: key.summary})
	return &c.diags[len(c.diags)-1]
}

// warn reports a warning as fail reports an error.
func (c *checker) warn(at Node, code, format string, args ...any) *Diagnostic {
	d := c.fail(at, code, format, args...)
	d.Severity = Warning
	return d
}

// suggest says what would be right.
func (d *Diagnostic) suggest(format string, args ...any) *Diagnostic {
	d.Suggestion = fmt.Sprintf(format, args...)
	return d
}

// relate adds another place that takes part.
func (d *Diagnostic) relate(at Node, format string, args ...any) *Diagnostic {
	d.Related = append(d.Related, Related{Span: at.Pos(), Text: fmt.Sprintf(format, args...)})
	return d
}

// meant suggests the nearest of the names that could stand here, or else lists them if they are few.
func (d *Diagnostic) meant(word string, among []string) *Diagnostic {
	if near := nearest(word, among); near != "" {
		return d.suggest("did you mean `%s`?", near)
	}
	if len(among) > 0 && len(among) <= 12 {
		return d.suggest("what fits here: %s", strings.Join(among, ", "))
	}
	return d
}

// unknown reports a name that isn't declared.
func (c *checker) unknown(name Name, what string, among []string) {
	c.fail(name, CodeUnknownName, "there is no %s `%s`", what, name.Text).meant(name.Text, among)
}

// twice reports a name that is declared twice, with both places.
func (c *checker) twice(what, name string, second, first Node) {
	c.fail(second, CodeDeclaredTwice, "%s `%s` is declared twice", what, name).
		relate(first, "first declared here").
		suggest("give one of them another name, or leave one out")
}

// text quotes a node as its author wrote it, on one line and not too long.
func (c *checker) text(n Node) string {
	s := n.Pos()
	src := c.sources[s.File]
	if s.Start.Offset < 0 || s.End.Offset > len(src) || s.Start.Offset >= s.End.Offset {
		return ""
	}
	const most = 60
	written := src[s.Start.Offset:s.End.Offset]
	cut := len(written) > 4*most
	if cut {
		written = written[:4*most]
	}
	runes := []rune(strings.Join(strings.Fields(strings.ToValidUTF8(string(written), string(utf8.RuneError))), " "))
	if len(runes) > most {
		runes, cut = runes[:most], true
	}
	if cut {
		return string(runes) + "…"
	}
	return string(runes)
}

// checkBook fills in what the root's `book` says; the book of an included file serves only when it is the root.
func (c *checker) checkBook() {
	for i, f := range c.files {
		var first *bookNode
		for _, d := range f.decls {
			b, ok := d.(*bookNode)
			switch {
			case !ok:
			case first != nil:
				c.twice("book", b.Name, b, first)
			default:
				first = b
				c.bookDecl(b, i == 0)
			}
		}
	}
}

func (c *checker) bookDecl(b *bookNode, root bool) {
	zones := c.distinct("zone", b.Zones)
	mark := b.Mark
	if mark != nil && (mark.Value.Dim != LengthDim || mark.Value.Num.Sign() <= 0) {
		c.fail(mark, CodeBadMark, "`mark` is a length above zero").suggest("for example `mark 1/16 in`")
		mark = nil
	}
	if !root {
		return
	}
	c.book.Name, c.book.Edition, c.book.Basis, c.book.Zones = b.Name, b.Edition, b.Basis, zones
	if mark != nil {
		c.book.Mark, c.book.MarkSpan = c.length(mark), mark.Span
	}
}

// distinct returns the names, and reports those that are repeated.
func (c *checker) distinct(what string, names []Name) []string {
	first := map[string]Name{}
	var texts []string
	for _, n := range names {
		if f, ok := first[n.Text]; ok {
			c.twice(what, n.Text, n, f)
			continue
		}
		first[n.Text] = n
		texts = append(texts, n.Text)
	}
	return texts
}
