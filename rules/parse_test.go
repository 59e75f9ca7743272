package rules

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// show writes an expression with all its parentheses.
func show(e Expr) string {
	switch e := e.(type) {
	case *Literal:
		return e.Text
	case *Ref:
		return e.Name
	case *Unary:
		return "(" + e.Op + " " + show(e.X) + ")"
	case *Binary:
		return "(" + show(e.X) + " " + e.Op + " " + show(e.Y) + ")"
	case *Is:
		return "(" + show(e.X) + " is " + e.Word.Text + ")"
	case *Call:
		var args []string
		for _, a := range e.Args {
			args = append(args, show(a))
		}
		return e.Func + "(" + strings.Join(args, ", ") + ")"
	}
	return "?"
}

// parseLet returns the value of a let, and the source from which its spans count.
func parseLet(t *testing.T, expr string) (Expr, string) {
	t.Helper()
	src := "detail d { let v = " + expr + "\n}"
	f, ds := parseFile("t.rules", []byte(src), Limits{})
	require.Empty(t, ds, "%v", ds)
	return f.decls[0].(*detailNode).Body[0].(*Let).Value, src
}

func TestExpressions(t *testing.T) {
	for src, want := range map[string]string{
		"1 + 2 * 3":                       "(1 + (2 * 3))",
		"1 * 2 + 3":                       "((1 * 2) + 3)",
		"1 - 2 - 3":                       "((1 - 2) - 3)",
		"6 / 2 / 3":                       "((6 / 2) / 3)",
		"(1 - (2 - 3))":                   "(1 - (2 - 3))",
		"-2 in * 3":                       "((- 2 in) * 3)",
		"- -a":                            "(- (- a))",
		"2 * -a + b":                      "((2 * (- a)) + b)",
		"not a < b and c":                 "((not (a < b)) and c)",
		"a or b and not c":                "(a or (b and (not c)))",
		"a + 1 in <= b or c is d":         "(((a + 1 in) <= b) or (c is d))",
		"zone is corner and slope > 3:12": "((zone is corner) and (slope > 3:12))",
		"end.kind is penetration":         "(end.kind is penetration)",
		"min(a, b + 1, max(c))":           "min(a, (b + 1), max(c))",
		"3/4 in + 1 3/4 in":               "(3/4 in + 1 3/4 in)",
		"3/4 + a":                         "((3 / 4) + a)",
		"panel.width/2":                   "(panel.width / 2)",
		"10 ft 6 1/2 in":                  "10 ft 6 1/2 in",
		"10 ft 6 in - 1/2 in":             "(10 ft 6 in - 1/2 in)",
		"12/2 in":                         "12/2 in",
		"5% * 10.1 floz":                  "(5% * 10.1 floz)",
		"1/2:12":                          "1/2:12",
		"2 1/2 in":                        "2 1/2 in",
		"side is upper":                   "(side is upper)",
	} {
		e, _ := parseLet(t, src)
		assert.Equal(t, want, show(e), src)
	}
}

// Exact values, in the units of Value: 1 in is 25.4 mm and a tick is 1e-9 mm; 1 US floz is 29.5735295625 ml.
func TestLiterals(t *testing.T) {
	for src, want := range map[string]string{
		"16 in": "406400000000", "3/4 in": "19050000000", "10 ft 6 1/2 in": "3213100000000", "0.024 in": "609600000",
		"400 mm": "400000000000", "2.5 cm": "25000000000", "1.2 m": "1200000000000", "3:12": "1/4", "1/2:12": "1/24", "2 1/2:12": "5/24",
		"5%": "1/20", "4": "4", "1.5": "3/2", "300 ml": "300" + strings.Repeat("0", 30), "1 floz": "295735295625" + strings.Repeat("0", 20),
	} {
		e, _ := parseLet(t, src)
		l, ok := e.(*Literal)
		if assert.True(t, ok, src) {
			assert.Equal(t, want, l.Value.Num.RatString(), src)
			assert.Equal(t, src, l.Text)
		}
	}
}

func TestSpans(t *testing.T) {
	cut := func(src string, s Span) string { return src[s.Start.Offset:s.End.Offset] }
	e, src := parseLet(t, "(a + 1 in)  *  min( b , 2 ) # comment")
	b := e.(*Binary)
	assert.Equal(t, "(a + 1 in)  *  min( b , 2 )", cut(src, b.Span))
	assert.Equal(t, "a + 1 in", cut(src, b.X.Pos()))
	assert.Equal(t, "min( b , 2 )", cut(src, b.Y.Pos()))

	text := "\ufeff# é first\r\nitem a \"né 𝒳\" { pack 3 } # after\r\n\tdetail d { row r of a along run { spacing <= 5 in # why\n } step \"x\" sets r }"
	f, ds := parseFile("t.rules", []byte(text), Limits{})
	require.Empty(t, ds)
	require.Len(t, f.comments, 3)
	assert.Equal(t, "# é first", f.comments[0].Text)
	assert.Equal(t, Place{3, 1, 1, 1}, f.comments[0].Start)
	assert.Equal(t, "# after", f.comments[1].Text)
	item := f.decls[0].(*itemNode)
	assert.Equal(t, `item a "né 𝒳" { pack 3 }`, cut(text, item.Span))
	assert.Equal(t, "né 𝒳", item.Title)
	// é is 2 bytes and 1 UTF-16 unit, 𝒳 is 4 bytes and 2 units.
	assert.Equal(t, Place{Offset: item.Props[0].Start.Offset, Line: 2, Column: 21, UTF16: 18}, item.Props[0].Start)
	d := f.decls[1].(*detailNode)
	assert.Equal(t, 3, d.Start.Line)
	assert.Equal(t, 2, d.Start.Column)
	row := d.Body[0].(*elementNode)
	assert.Equal(t, "row r of a along run { spacing <= 5 in # why\n }", cut(text, row.Span))
	assert.Equal(t, "spacing <= 5 in", cut(text, row.Rules[0].Span), "no comment and no blank belongs to a rule")
	assert.Equal(t, "along run", cut(text, row.Scope.Span))
}

func TestScopes(t *testing.T) {
	for src, want := range map[string]ScopeDecl{
		"along run":                  {How: "along", Of: "run", Every: 1},
		"along each side":            {How: "along", Of: "side", Every: 1},
		"along each rib":             {How: "along", Of: "rib", Every: 1},
		"along each 3rd rib":         {How: "along", Of: "rib", Every: 3},
		"along each piece of c":      {How: "along", Of: "piece", Name: &Name{Text: "c"}, Every: 1},
		"around each penetration":    {How: "around", Of: "penetration", Every: 1},
		"in each panel":              {How: "in", Of: "panel", Every: 1},
		"in each gap of c":           {How: "in", Of: "gap", Name: &Name{Text: "c"}, Every: 1},
		"at each 2nd rib from rib 4": {How: "at", Of: "rib", Every: 2, From: 4},
		"at each panel":              {How: "at", Of: "panel", Every: 1},
		"at each lap of c":           {How: "at", Of: "lap", Name: &Name{Text: "c"}, Every: 1},
		"at each mark of c":          {How: "at", Of: "mark", Name: &Name{Text: "c"}, Every: 1},
		"at each gap of c":           {How: "at", Of: "gap", Name: &Name{Text: "c"}, Every: 1},
		"at each end":                {How: "at", Of: "end", Every: 1},
		"at each penetration":        {How: "at", Of: "penetration", Every: 1},
	} {
		f, ds := parseFile("t.rules", []byte("detail d { row r "+src+" { } }"), Limits{})
		require.Empty(t, ds, src)
		got := *f.decls[0].(*detailNode).Body[0].(*elementNode).Scope
		got.Span = Span{}
		if got.Name != nil {
			got.Name = &Name{Text: got.Name.Text}
		}
		assert.Equal(t, want, got, src)
	}
}

// keywords are the words of the grammar that may also be names.
func keywords() []string {
	var all []string
	add := func(trials []trial) {
		for _, t := range trials {
			if w := t.token.Value; t.token.Type == tokWord && w != aName && !slices.Contains(all, w) {
				all = append(all, w)
			}
		}
	}
	for _, trials := range [][]trial{
		books.trials, bookClauses.trials, includes.trials, items.trials, itemClauses.trials, details.trials, inputs.trials, lets.trials,
		requirements.trials, reasonLists.trials, elements.trials, lays.trials, ruleLines.trials, relaxations.trials, drops.trials,
		steps.trials, remarks.trials, examples.trials, ons.trials, layings.trials, sources.trials, expects.trials,
	} {
		add(trials)
	}
	return all
}

func TestKeywords(t *testing.T) {
	all := keywords()
	assert.Greater(t, len(all), 70)
	for _, starts := range [][]string{fileStarts, bookStarts, itemStarts, detailStarts, elementStarts, exampleStarts} {
		for _, w := range starts {
			assert.True(t, slices.Contains(all, w) || slices.Contains(reserved[:], w), "no sentence starts with %s", w)
		}
	}
}

// Each word that isn't reserved can name every kind of thing.
func TestKeywordsCanBeNames(t *testing.T) {
	for _, w := range keywords() {
		src := strings.ReplaceAll(`
			item NAME "t" { pack 1 }
			detail NAME "t" for edge eave extends NAME {
				input NAME: choice of NAME, NAME = NAME where NAME is NAME "t"
				let NAME = NAME + NAME * min(NAME, NAME)
				require NAME because "x"
				row NAME of NAME in each gap of NAME when NAME { spacing <= NAME clear >= NAME from NAME lap = NAME }
				relax NAME { lay even } because "x"
				drop NAME because "x"
				step "x" sets NAME, NAME
			}
			example "x" {
				on edge NAME length 1 in zone NAME 0 in to 1 in
				lay NAME with NAME = NAME
				expect NAME in panel 1 at NAME
				expect count of NAME = NAME
				expect takeoff NAME = NAME
				expect gap of NAME = NAME
				expect violation of NAME lap
			}`, "NAME", w)
		_, ds := parseFile(w, []byte(src), Limits{})
		assert.Empty(t, ds, "as a name: %s", w)
	}
}

// At every word of a good file, a cut, a word too many and a word too few are reported and nothing panics.
func TestBrokenEverywhere(t *testing.T) {
	src, err := os.ReadFile("testdata/boathouse.rules")
	require.NoError(t, err)
	s := scan("x", src, Limits{}.withDefaults())
	for i := 0; i < len(s.spans)-1; i += 5 {
		at := s.spans[i].Start.Offset
		for _, broken := range []string{
			string(src[:at]),
			string(src[:at]) + " ) " + string(src[at:]),
			string(src[:at]) + string(src[s.spans[i].End.Offset:]),
		} {
			f, ds := parseFile("x", []byte(broken), Limits{})
			checkSpans(t, f, ds)
			assert.LessOrEqual(t, len(ds), 12, "one mistake, many reports")
		}
		_, ds := parseFile("x", []byte(string(src[:at])+" ) "+string(src[at:])), Limits{})
		assert.NotEmpty(t, ds)
	}
}

// checkSpans holds that everything parsed and reported stands inside its source, children inside their parents.
func checkSpans(t testing.TB, f *File, ds Diagnostics) {
	t.Helper()
	inside := func(what any, s, outer Span) {
		if s == (Span{}) {
			return
		}
		if s.Start.Offset > s.End.Offset || s.Start.Offset < outer.Start.Offset || s.End.Offset > outer.End.Offset || s.Start.Line < 1 {
			t.Fatalf("%T %v..%v outside %v..%v", what, s.Start, s.End, outer.Start, outer.End)
		}
	}
	all := Span{File: f.Name, End: Place{Offset: len(f.Source)}}
	var walk func(v reflect.Value, outer Span)
	walk = func(v reflect.Value, outer Span) {
		switch v.Kind() {
		case reflect.Pointer, reflect.Interface:
			if !v.IsNil() {
				walk(v.Elem(), outer)
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i), outer)
			}
		case reflect.Struct:
			if _, ok := v.Type().FieldByName("Num"); ok {
				return
			}
			if _, ok := v.Interface().(Related); ok {
				outer = all // it may stand anywhere
			}
			if s := v.FieldByName("Span"); s.IsValid() {
				span := s.Interface().(Span)
				inside(v.Interface(), span, outer)
				if span != (Span{}) {
					outer = span
				}
			}
			for i := range v.NumField() {
				if v.Type().Field(i).Name != "Span" {
					walk(v.Field(i), outer)
				}
			}
		}
	}
	walk(reflect.ValueOf(f.decls), all)
	walk(reflect.ValueOf(f.comments), all)
	walk(reflect.ValueOf(ds), all)
}

func TestHostile(t *testing.T) {
	t.Parallel()
	big := Limits{FileBytes: 64 << 20}
	for _, c := range []struct {
		name, src string
		limits    Limits
		code      string
	}{
		{"parentheses", "detail d { let x = " + strings.Repeat("(", 1_000_000), big, CodeTooDeep},
		{"braces", strings.Repeat("{", 1_000_000), big, CodeTooDeep},
		{"closed parentheses", strings.Repeat(")", 300_000), big, CodeTooManyWords},
		{"noise", strings.Repeat("\x00\xff\x80 ((\"", 2_000_000), big, CodeBadCharacter},
		{"noise beyond the limit", strings.Repeat("\xff", 10<<20), Limits{}, CodeFileTooLarge},
		{"noise of one kind", strings.Repeat("\xff", 10<<20), big, CodeBadUTF8},
		{"words", strings.Repeat("a ", 300_000), big, CodeTooManyWords},
		{"a long word", strings.Repeat("a", 10<<20), big, CodeUnexpectedWord},
		{"a long number", "item a { pack " + strings.Repeat("1", 1_000_000), big, CodeNumberTooLong},
		{"a long line of numbers", strings.Repeat("1 ", 120_000), Limits{}, CodeUnexpectedWord},
		{"a long text", `book "` + strings.Repeat("a", 10<<20), big, CodeTextUnended},
		{"quotes", strings.Repeat("\"\n", 30_000), Limits{}, CodeTextUnended},
		{"minus signs", "detail d { let x = " + strings.Repeat("-", 60_000) + "1 }", Limits{}, CodeTooManyTerms},
		{"terms", "detail d { let x = 1" + strings.Repeat("+1", 30_000) + " }", Limits{}, CodeTooManyTerms},
		{"declarations", strings.Repeat(`item a `, 20_000), Limits{}, CodeTooManyDecls},
		{"operators", "detail d { let x = 1" + strings.Repeat("+", 190_000) + " }", Limits{}, CodeUnexpectedWord},
		{"bad clauses", "detail d {" + strings.Repeat("spacng <= 5 in\n", 15_000) + "}", Limits{}, CodeUnexpectedWord},
		{"open blocks", strings.Repeat("detail d {\n", 20_000), Limits{}, CodeTooDeep},
		{"long lists", "detail d { step \"x\" sets a" + strings.Repeat(", a", 30_000) + " }", Limits{}, ""},
		{"mistakes after a long sentence", strings.Repeat("detail d { step \"x\" sets a"+strings.Repeat(", a", 180)+" 5 }\n", 300), Limits{}, CodeUnexpectedWord},
	} {
		t.Run(c.name, func(t *testing.T) {
			begin := time.Now()
			f, ds := parseFile("x.rules", []byte(c.src), c.limits)
			took := time.Since(begin)
			assert.Less(t, took, 20*time.Second)
			checkSpans(t, f, ds)
			if c.code == "" {
				assert.Empty(t, ds)
				return
			}
			assert.True(t, slices.ContainsFunc(ds, func(d Diagnostic) bool { return d.Code == c.code && d.Start.Line > 0 }), "%v", ds)
			assert.LessOrEqual(t, len(ds), 101)
			for _, d := range ds {
				assert.Less(t, len(d.String()), 1000)
			}
		})
	}
}

// participle can also be given a source as it is.
func TestDefinition(t *testing.T) {
	h, err := books.parser.ParseString("x.rules", `book "A" {`)
	require.NoError(t, err)
	assert.Equal(t, `"A"`, h.Name.Token.Value)
	_, err = books.parser.ParseString("x.rules", `book "A {`)
	assert.ErrorContains(t, err, "x.rules:1:6: error[unfinished-text]")
}

func TestParseConcurrently(t *testing.T) {
	src, err := os.ReadFile("testdata/boathouse.rules")
	require.NoError(t, err)
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for range 5 {
				if _, ds := parseFile("x", src, Limits{}); len(ds) > 0 {
					t.Error(ds)
				}
			}
		})
	}
	group.Wait()
}

func FuzzParse(f *testing.F) {
	for _, name := range []string{"testdata/boathouse.rules", "testdata/check/words.rules", "testdata/check/sentences.rules", "testdata/check/blocks.rules"} {
		src, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for part := range strings.SplitSeq(string(src), "\n\n") {
			f.Add([]byte(part))
		}
	}
	limits := Limits{Diagnostics: 10}
	f.Fuzz(func(t *testing.T, src []byte) {
		file, ds := parseFile("x.rules", src, limits)
		checkSpans(t, file, ds)
		var b strings.Builder
		if err := ds.Draw(&b, func(string) []byte { return src }); err != nil {
			t.Fatal(err)
		}
		again, ds2 := parseFile("x.rules", src, limits)
		if fmt.Sprint(ds) != fmt.Sprint(ds2) || len(file.decls) != len(again.decls) {
			t.Fatal("the same source is read in two ways")
		}
	})
}

func BenchmarkParse(b *testing.B) {
	src, err := os.ReadFile("testdata/boathouse.rules")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		parseFile("x", src, Limits{})
	}
}

// Of a file of another kind one thing is said: that it is none of rules.
func TestAFileOfAnotherKind(t *testing.T) {
	job, err := os.ReadFile("../examples/lapwright/demo/boathouse.json")
	require.NoError(t, err)
	for name, src := range map[string]string{
		"a job":     string(job),
		"a drawing": "<svg>\n" + strings.Repeat(".lw{font-size:9px;}\n", 50) + "</svg>",
		"noise":     "\x89PNG\r\n\x1a\n" + strings.Repeat("\x00\xff;", 100),
		"a letter":  "Dear roofer,\n" + strings.Repeat("the ridge isn't done; it was late.\n", 20),
	} {
		_, ds := parseFile("x.rules", []byte(src), Limits{})
		require.Len(t, ds, 1, name)
		assert.Equal(t, 1, ds[0].Start.Line, name)
		assert.Contains(t, ds[0].String()+ds[0].Detail, "no rule file", name)
	}
	_, ds := parseFile("x.rules", []byte("detial d for edge eave {\n"+strings.Repeat("row a along run { spacing <= 5 ; }\n", 20)+"}"), Limits{})
	assert.Greater(t, len(ds), 10, "a slip in the first word hides nothing")
}
