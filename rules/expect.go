package rules

import (
	"regexp"
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// What would be right is found by asking the grammar itself: each word of the language is tried in place of
// the one that doesn't fit. So no list of expectations stands beside the grammar that could differ from it.

// maxTried bounds the sentence that is tried again, in words before the one that doesn't fit.
const maxTried = 100

// A trial is a word, or one of its type, to try.
type trial struct {
	token lexer.Token
	text  string // how it is named to the author; empty: only as one of a group
}

// typeTrials stand for the types of words.
var typeTrials = []trial{
	{lexer.Token{Type: tokWord, Value: aName}, "a name"},
	{lexer.Token{Type: tokText, Value: `"…"`}, `a text in "…"`},
	{lexer.Token{Type: tokNumber, Value: "1"}, "a number"},
	{lexer.Token{Type: tokLength, Value: "1 in"}, "a length"},
	{lexer.Token{Type: tokOrdinal, Value: "2nd"}, "`2nd`, `3rd` …"},
	{lexer.Token{Type: tokDegrees, Value: "100 F"}, "`100 F`"},
	{lexer.Token{Type: tokCompare, Value: "<="}, ""},
	{lexer.Token{Type: tokArithmetic, Value: "+"}, ""},
}

// aName is a name that is no keyword.
const aName = "a_name"

var quotedWord = regexp.MustCompile(`"([^"]+)"`)

// trialsOf are the types of words and every word that a production quotes, in the order of its grammar.
func trialsOf(grammar string) []trial {
	all := slices.Clone(typeTrials)
	for _, m := range quotedWord.FindAllStringSubmatch(grammar, -1) {
		t := trial{lexer.Token{Type: tokSign, Value: m[1]}, "`" + m[1] + "`"}
		switch {
		case slices.Contains(reserved[:], m[1]):
			t.token.Type = tokReserved
		case isLetter(m[1][0]):
			t.token.Type = tokWord
		case m[1] == "=":
			t.token.Type = tokCompare
		case m[1] == "-":
			t.token.Type = tokArithmetic
		}
		if !slices.Contains(all, t) {
			all = append(all, t)
		}
	}
	return all
}

// acceptable returns the trials that fit in place of a word that goes on with the last sentence, and whether the
// sentence could also end before it.
func (p *parser) acceptable(failed int) (fit []trial, complete bool) {
	start := p.last.start
	if p.last.reach == nil || failed < start || failed-start > maxTried {
		return nil, true
	}
	n := failed - start
	sentence := append(slices.Clone(p.tokens[start:failed]), lexer.Token{}, lexer.EOFToken(lexer.Position{}))
	for i := range sentence {
		sentence[i].Pos.Column = i
	}
	fits := func(t lexer.Token) bool {
		sentence[n] = t
		sentence[n].Pos.Column = n
		return p.last.reach(sentence) > n
	}
	for _, t := range p.last.trials {
		if fits(t.token) {
			fit = append(fit, t)
		}
	}
	return fit, fits(lexer.EOFToken(lexer.Position{}))
}

// unexpected reports a word that doesn't fit, and what would: what goes on with the last sentence, or one of the
// starts of a next.
func (p *parser) unexpected(failed int, starts []string) {
	t, at := p.tokens[failed], p.spans[failed]
	if p.excused[failed] {
		return
	}
	if len(p.diags) >= p.limits.Diagnostics { // counted, not shown
		p.diags.add(at, CodeUnexpectedWord, "unexpected %s", named(t))
		return
	}
	fit, complete := p.acceptable(failed)
	fits := func(value string) bool {
		return slices.ContainsFunc(fit, func(t trial) bool { return t.token.Value == value })
	}
	want := expectation(fit, starts)
	before := lexer.Token{}
	if failed > 0 {
		before = p.tokens[failed-1]
	}
	switch {
	case t.Type == tokReserved && fits(aName) && !p.firstAt(failed):
		p.diags.add(at, CodeReservedName, "`%s` is a word of the language and can't be a name", t.Value).
			suggest("give it a name of your own, such as `%s_1`", t.Value)
	case t.Type == tokNumber && (before.Type == tokLength || fits("1 in") && !fits("1")):
		right := clip(t.Value) + " in"
		if before.Type == tokLength {
			right = before.Value + " " + right
		}
		p.diags.add(at, CodeUnitMissing, "`%s` has no unit", clip(t.Value)).suggest("write `%s`", right)
	case !complete && failed > 0 && (t.Type == lexer.EOF || p.firstAt(failed)):
		p.diags.add(p.spans[failed-1], CodeUnexpectedEnd, "something is missing after %s", named(before)).wants(want)
	default:
		d := p.diags.add(at, CodeUnexpectedWord, "unexpected %s", named(t))
		if w := meantWord(t, fit, starts); w != "" {
			d.suggest("did you mean `%s`?", w)
		} else {
			d.wants(want)
		}
	}
}

// meantWord is the word that fits and is spelt nearly like one that doesn't.
func meantWord(t lexer.Token, fit []trial, starts []string) string {
	if t.Type != tokWord && t.Type != tokReserved {
		return ""
	}
	candidates := slices.DeleteFunc(slices.Clone(starts), func(w string) bool { return !isLetter(w[0]) })
	for _, f := range fit {
		if w := f.token; w.Type == tokReserved || w.Type == tokWord && w.Value != aName {
			candidates = append(candidates, w.Value)
		}
	}
	return nearest(t.Value, candidates)
}

// wants says what was expected.
func (d *Diagnostic) wants(want string) *Diagnostic {
	if want != "" {
		d.Detail = "expected " + want
	}
	return d
}

// named is how a word is called in a message.
func named(t lexer.Token) string {
	switch t.Type {
	case tokText:
		return "text " + clip(t.Value)
	case lexer.EOF:
		return "end of the file"
	}
	return "`" + clip(t.Value) + "`"
}

// A group of words that fit together is named as one, or not at all.
type group struct {
	sign, text string
	words      []string
}

var groups = []group{
	{"(", "a value", []string{
		aName, "1", "1 in", "(", "-", "not", "min", "max", "floor", "ceil", "abs", "slope", "side", "zone",
	}},
	{"1 in", "a number with its unit", []string{"1", "1 in"}},
	// Any sentence that ends in a value may go on with an operator: nobody needs to be told.
	{"+", "", []string{"+", "-", "<=", "=", "and", "or", "is"}},
	{"<=", "a comparator (`<` `<=` `=` `>=` `>`)", []string{"<=", "="}},
}

// expectation puts what fits in words: first what goes on with a sentence, then what starts a next.
func expectation(fit []trial, starts []string) string {
	var parts []string
	for _, g := range groups {
		if !slices.ContainsFunc(fit, func(t trial) bool { return t.token.Value == g.sign }) {
			continue
		}
		if g.text != "" {
			parts = append(parts, g.text)
		}
		fit = slices.DeleteFunc(slices.Clone(fit), func(t trial) bool { return slices.Contains(g.words, t.token.Value) })
	}
	for _, t := range fit {
		if t.text != "" {
			parts = append(parts, t.text)
		}
	}
	for _, w := range starts {
		parts = append(parts, "`"+w+"`")
	}
	switch n := len(parts); n {
	case 0:
		return ""
	case 1:
		return parts[0]
	default:
		return strings.Join(parts[:n-1], ", ") + " or " + parts[n-1]
	}
}
