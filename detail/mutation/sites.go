package mutation

import (
	"regexp"
	"strings"

	"github.com/lapwright/lapwright/rules"
)

// A site is one change that can be made to a tree and taken back.
type site struct {
	Change
	item    string // where it is an item's: its name
	input   string // where it is an input's: its name
	element string // where it is an element's: its name
	key     string // of an item's property: its keyword
	number  *rules.Literal
	whole   rules.Expr // the expression that it stands in; nil where it is in none
	forced  bool       // it is a severity
	make    func()
	undo    func()
	cut     [2]int // of the source: what Was covers
}

// sitesOf lists each number, comparator and severity of the files with a small change of it, in the order of the files.
// The examples are left alone.
func sitesOf(files []*rules.File, book *rules.Book) []site {
	s := &sites{fixed: map[rules.Span]bool{}}
	for _, d := range book.Details {
		for _, e := range d.Elements {
			for _, r := range e.Rules {
				s.fixed[r.Span] = fixes(e, r)
			}
		}
	}
	for i, f := range files {
		s.file = f
		for _, c := range f.Clauses() {
			s.Clause, s.part = c, c.Detail
			switch {
			case c.Item != "":
				s.part = "items"
			case c.Detail == "":
				s.part = "book"
				if i > 0 {
					continue // only the root's mark counts
				}
				s.mark = c.Numbers[0]
			}
			s.clause()
		}
	}
	return s.list
}

// sites gathers the sites of files.
type sites struct {
	rules.Clause // that is being changed
	file         *rules.File
	part         string
	mark         *rules.Literal
	fixed        map[rules.Span]bool // lines that set a value
	list         []site
}

// add adds a change of a stretch of the file's source.
func (s *sites) add(start, end int, at rules.Span, now string, change, undo func()) *site {
	s.list = append(s.list, site{
		Change: Change{Span: at, Part: s.part, Was: string(s.file.Source[start:end]), Now: now, In: s.text()},
		item:   s.Item, input: s.Input, element: s.Element, key: s.Key, make: change, undo: undo, cut: [2]int{start, end},
	})
	return &s.list[len(s.list)-1]
}

// text is the source of the clause that is being changed, on one line.
func (s *sites) text() string {
	src := s.file.Source[s.Start.Offset:s.End.Offset]
	text := strings.Join(strings.Fields(string(src)), " ")
	for _, reason := range []string{` because "`, ` source "`} {
		text, _, _ = strings.Cut(text, reason)
	}
	if s.part == "book" {
		text = "mark " + text
	}
	return text
}

func (s *sites) clause() {
	for _, v := range s.Numbers {
		s.literal(v, nil)
	}
	for _, e := range s.Exprs {
		s.expr(e)
	}
	if q := s.Require; q != nil {
		s.severity(q.Span, &q.Should)
		s.expr(q.Cond)
		if q.Clear != nil {
			s.value(q.Clear)
		}
	}
	if s.Scope != nil {
		s.scope(s.Scope)
	}
	if r := s.Rule; r != nil {
		if !s.fixed[r.Span] {
			s.severity(r.Span, &r.Should)
		}
		s.value(r)
		s.expr(r.When)
	}
}

// fixes tells whether a line sets a value, which is then neither a must nor a should: nothing is left to choose.
func fixes(e *rules.Element, r *rules.Rule) bool {
	switch r.Measure {
	case rules.Offset, rules.Extend:
		return true
	case rules.Length:
		return r.Op == rules.Equal && (e.Kind == rules.Strip || e.Kind == rules.Bead)
	case rules.Count, rules.Spacing:
		return e.Scope.How == "at"
	}
	return false
}

// value changes the comparator and the value of a rule.
func (s *sites) value(r *rules.Rule) {
	start, end := r.Start.Offset, r.Value.Pos().Start.Offset
	found := comparator.FindAllStringIndex(string(s.file.Source[start:end]), -1)
	if len(found) > 0 {
		last := found[len(found)-1]
		was := r.Op
		for _, now := range near[was] {
			s.add(start+last[0], start+last[1], r.Span, now.String(), func() { r.Op = now }, func() { r.Op = was })
		}
	}
	s.expr(r.Value)
}

var comparator = regexp.MustCompile(`<=|>=|<|>|=`)

// near are the comparators next to one.
var near = map[rules.Op][]rules.Op{
	rules.Less: {rules.AtMost}, rules.AtMost: {rules.Less}, rules.AtLeast: {rules.Greater}, rules.Greater: {rules.AtLeast},
	rules.Equal: {rules.AtMost, rules.AtLeast},
}

// severity turns a must into a should, or a should into a must.
func (s *sites) severity(at rules.Span, should *bool) {
	start := at.Start.Offset
	was := *should
	change, undo := func() { *should = !was }, func() { *should = was }
	word, _, _ := strings.Cut(string(s.file.Source[start:at.End.Offset]), " ")
	defer func() { s.list[len(s.list)-1].forced = true }()
	switch {
	case word == "must":
		s.add(start, start+len(word), at, "should", change, undo)
	case was:
		s.add(start, start+len(word), at, "must", change, undo)
		if strings.HasPrefix(strings.TrimSpace(string(s.file.Source[start+len(word):])), "require") {
			last := &s.list[len(s.list)-1] // a requirement has no word for must
			last.Now = ""
		}
	default:
		s.add(start, start, at, "should ", change, undo)
	}
}

// scope changes how ribs are counted off.
func (s *sites) scope(sc *rules.ScopeDecl) {
	start := sc.Start.Offset
	text := string(s.file.Source[start:sc.End.Offset])
	for _, m := range ordinal.FindAllStringIndex(text, -1) {
		field := &sc.From
		if strings.ContainsAny(text[m[0]:m[1]], "sthnrd") {
			field = &sc.Every
		}
		was := *field
		for _, now := range []int{was - 1, was + 1} {
			if now < 1 {
				continue
			}
			word := nth(now)
			if field == &sc.From {
				word = number(int64(now))
			}
			s.add(start+m[0], start+m[1], sc.Span, word, func() { *field = now }, func() { *field = was })
		}
	}
}

var ordinal = regexp.MustCompile(`\b[0-9]+(st|nd|rd|th)?\b`)

// expr changes each number and comparison in an expression.
func (s *sites) expr(e rules.Expr) {
	if e == nil {
		return
	}
	s.in(e, e)
}

func (s *sites) in(e, whole rules.Expr) {
	switch e := e.(type) {
	case *rules.Literal:
		s.literal(e, whole)
	case *rules.Unary:
		s.in(e.X, whole)
	case *rules.Binary:
		s.in(e.X, whole)
		s.comparison(e, whole)
		s.in(e.Y, whole)
	case *rules.Call:
		for _, a := range e.Args {
			s.in(a, whole)
		}
	}
}

func (s *sites) comparison(e *rules.Binary, whole rules.Expr) {
	ops := map[string][]string{"<": {"<="}, "<=": {"<"}, ">=": {">"}, ">": {">="}, "=": {"<=", ">="}}
	start, end := e.X.Pos().End.Offset, e.Y.Pos().Start.Offset
	at := comparator.FindStringIndex(string(s.file.Source[start:max(start, end)]))
	if at == nil {
		return
	}
	was := e.Op
	for _, now := range ops[was] {
		made := s.add(start+at[0], start+at[1], e.Span, now, func() { e.Op = now }, func() { e.Op = was })
		made.whole = whole
	}
}

// literal makes a number a little less and a little more.
func (s *sites) literal(l *rules.Literal, whole rules.Expr) {
	was := *l
	for _, now := range s.beside(l) {
		made := s.add(l.Start.Offset, l.End.Offset, l.Span, now.Text, func() { *l = now }, func() { *l = was })
		made.number, made.whole = l, whole
	}
}
