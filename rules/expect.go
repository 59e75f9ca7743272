package rules

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// What would be right is found by asking the grammar itself: each word of the language is tried in place of
// the one that doesn't fit. So no list of expectations stands beside the grammar that could differ from it.

// maxTried bounds the sentence that is tried again, in words before the one that doesn't fit.
const maxTried = 200

// tried is a word, or one of its type, to try.
type tried struct {
	token lexer.Token
	text  string // how it is named to the author; empty: as one of a group
}

var trials = makeTrials()

func makeTrials() []tried {
	var all []tried
	kinds := []struct {
		kind        lexer.TokenType
		value, text string
	}{
		{tokWord, "a_name", "a name"}, {tokText, `"…"`, `a text in "…"`}, {tokNumber, "1", "a number"}, {tokLength, "1 in", "a length"},
		{tokOrdinal, "2nd", "`2nd`, `3rd` …"}, {tokDegrees, "100 F", "`100 F`"}, {tokSlope, "1:12", ""},
		{tokPercent, "1%", ""}, {tokVolume, "1 ml", ""}, {tokDotted, "a.b", ""},
	}
	for _, k := range kinds {
		all = append(all, tried{lexer.Token{Type: k.kind, Value: k.value}, k.text})
	}
	for _, w := range reserved {
		all = append(all, tried{lexer.Token{Type: tokReserved, Value: w}, "`" + w + "`"})
	}
	for _, w := range keywords {
		all = append(all, tried{lexer.Token{Type: tokWord, Value: w}, "`" + w + "`"})
	}
	for _, sign := range []string{"{", "}", "(", ")", ",", ":", "+", "-", "*", "/", "<", "<=", "=", ">=", ">"} {
		all = append(all, tried{lexer.Token{Type: tokSign, Value: sign}, "`" + sign + "`"})
	}
	return all
}

// keywords are the words of the language that may also be names.
var keywords = []string{
	"book", "edition", "basis", "mark", "zones", "include", "item", "pack", "waste", "stock", "price", "kerf", "girth", "roll",
	"cartridge", "bead", "round", "square", "by", "movement", "per", "detail", "for", "edge", "field", "extends", "input",
	"length", "number", "percent", "choice", "of", "let", "require", "should", "must", "row", "pieces", "strip", "along", "around",
	"in", "at", "each", "piece", "gap", "spacing", "clear", "offset", "extend", "left", "right", "lay", "even", "stepped",
	"centered", "full", "relax", "drop", "step", "sets", "hold", "caution", "note", "example", "on", "job", "panels", "first",
	"ends", "x", "to", "with", "expect", "takeoff",
}

// acceptable returns the words that fit in place of a word that goes on with the last sentence, and whether the
// sentence could also end before it.
func (p *parser) acceptable(failed int) (fits map[string]bool, complete bool) {
	fits = map[string]bool{}
	start := p.last.start
	if p.last.reach == nil || failed < start || failed-start > maxTried {
		return fits, true
	}
	n := failed - start
	sentence := make([]lexer.Token, n+2)
	copy(sentence, p.tokens[start:failed])
	try := func(t lexer.Token) int {
		sentence[n], sentence[n+1] = t, lexer.EOFToken(lexer.Position{})
		for i := range sentence {
			sentence[i].Pos.Column = i
		}
		return p.last.reach(sentence)
	}
	for _, t := range trials {
		if try(t.token) > n {
			fits[t.token.Value] = true
		}
	}
	return fits, try(lexer.EOFToken(lexer.Position{})) > n
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
	fits, complete := p.acceptable(failed)
	want := expectation(fits, starts)
	before := lexer.Token{}
	if failed > 0 {
		before = p.tokens[failed-1]
	}
	switch {
	case t.Type == tokReserved && fits["a_name"] && !p.firstAt(failed):
		p.diags.add(at, CodeReservedName, "`%s` is a word of the language and can't be a name", t.Value).
			suggest("give it a name of your own, such as `%s_1`", t.Value)
	case t.Type == tokNumber && before.Type == tokLength:
		p.diags.add(at, CodeUnitMissing, "`%s` has no unit", clip(t.Value)).suggest("write `%s %s in`", before.Value, clip(t.Value))
	case t.Type == tokNumber && fits["1 in"] && !fits["1"]:
		p.diags.add(at, CodeUnitMissing, "`%s` has no unit", clip(t.Value)).suggest("write `%s in`", clip(t.Value))
	case !complete && failed > 0 && (t.Type == lexer.EOF || p.firstAt(failed)):
		p.diags.add(p.spans[failed-1], CodeUnexpectedEnd, "something is missing after %s", named(before)).wants(want)
	default:
		d := p.diags.add(at, CodeUnexpectedWord, "unexpected %s", named(t))
		if w := meantWord(t, fits, starts); w != "" {
			d.suggest("did you mean `%s`?", w)
		} else {
			d.wants(want)
		}
	}
}

// meantWord is the word that fits and is spelt nearly like one that doesn't.
func meantWord(t lexer.Token, fits map[string]bool, starts []string) string {
	if t.Type != tokWord && t.Type != tokReserved {
		return ""
	}
	candidates := slices.Clone(starts)
	for _, try := range trials {
		if w := try.token; fits[w.Value] && (w.Type == tokReserved || w.Type == tokWord && w.Value != "a_name") {
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

// A group of words that fit together is named as one.
type group struct {
	needs []string
	text  string // empty: not named at all
	words []string
}

var groups = []group{
	{[]string{"1", "1 in", "("}, "a value", []string{
		"a_name", "1", "1 in", "1:12", "1%", "1 ml", "a.b", "(", "-", "not", "min", "max", "floor", "ceil", "abs", "slope", "side", "zone",
	}},
	{[]string{"1", "1 in"}, "a number with its unit", []string{"1", "1 in", "1:12", "1%", "1 ml"}},
	// Any sentence that ends in a value may go on with an operator: nobody needs to be told.
	{[]string{"+"}, "", []string{"+", "-", "*", "/", "<", "<=", "=", ">=", ">", "and", "or", "is"}},
	{[]string{"<=", ">="}, "a comparator (`<` `<=` `=` `>=` `>`)", []string{"<", "<=", "=", ">=", ">"}},
}

// expectation puts what fits in words: first what goes on with a sentence, then what starts a next.
func expectation(fits map[string]bool, starts []string) string {
	var parts []string
	for _, g := range groups {
		if slices.ContainsFunc(g.needs, func(w string) bool { return !fits[w] }) {
			continue
		}
		if g.text != "" {
			parts = append(parts, g.text)
		}
		for _, w := range g.words {
			delete(fits, w)
		}
	}
	for _, t := range trials {
		if fits[t.token.Value] && t.text != "" {
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
