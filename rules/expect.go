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

// acceptable returns the words that fit in place of a word: those that go on with the last sentence, if the
// word stands right after it or in it, and those given besides.
func (p *parser) acceptable(failed int, besides []string) map[string]bool {
	ok := map[string]bool{}
	for _, w := range besides {
		ok[w] = true
	}
	if p.last.start < 0 || p.last.reach == nil || failed-p.last.start > maxTried || failed < p.last.start {
		return ok
	}
	n := failed - p.last.start
	sentence := make([]lexer.Token, n+2)
	copy(sentence, p.tokens[p.last.start:failed])
	for _, t := range trials {
		sentence[n], sentence[n+1] = t.token, lexer.EOFToken(lexer.Position{})
		for i := range sentence {
			sentence[i].Pos.Column = i
		}
		if p.last.reach(sentence) > n {
			ok[t.token.Value] = true
		}
	}
	return ok
}

// unexpected reports a word that doesn't fit, and what would.
func (p *parser) unexpected(failed int, besides []string) {
	t, at := p.tokens[failed], p.spans[failed]
	if len(p.diags) >= p.limits.Diagnostics {
		p.diags.add(at, CodeUnexpectedWord, "unexpected `%s`", clip(t.Value)) // counted, not shown
		return
	}
	ok := p.acceptable(failed, besides)
	before := lexer.Token{}
	if failed > 0 {
		before = p.tokens[failed-1]
	}
	want := expectation(ok)
	switch {
	case t.Type == lexer.EOF:
		p.diags.add(at, CodeUnexpectedEnd, "the file ends in the middle of a sentence").wants(want)
	case t.Type == tokReserved && ok["a_name"]:
		p.diags.add(at, CodeReservedName, "`%s` is a word of the language and can't be a name", t.Value).
			suggest("give it a name of your own, such as `%s_1`", t.Value)
	case t.Type == tokNumber && before.Type == tokLength:
		p.diags.add(at, CodeUnitMissing, "`%s` has no unit", clip(t.Value)).suggest("write `%s %s in`", before.Value, clip(t.Value))
	case t.Type == tokNumber && ok["1 in"] && !ok["1"]:
		p.diags.add(at, CodeUnitMissing, "`%s` has no unit", clip(t.Value)).suggest("write `%s in`", clip(t.Value))
	default:
		d := p.diags.add(at, CodeUnexpectedWord, "unexpected %s", named(t)).wants(want)
		if t.Type != tokWord && t.Type != tokReserved {
			break
		}
		var candidates []string
		for _, try := range trials {
			if w := try.token.Value; ok[w] && isLetter(w[0]) && w != "a_name" && try.token.Type != tokDotted {
				candidates = append(candidates, w)
			}
		}
		if w := nearest(t.Value, candidates); w != "" {
			d.suggest("did you mean `%s`?", w)
		}
	}
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

// expectation puts what fits in words, in the order of trials; groups are named as one.
func expectation(ok map[string]bool) string {
	var parts []string
	if ok["1"] && ok["1 in"] && ok["("] {
		parts = append(parts, "a value")
		for _, w := range []string{"a_name", "1", "1 in", "1:12", "1%", "1 ml", "a.b", "(", "-", "not", "min", "max", "floor", "ceil", "abs", "slope", "side", "zone"} {
			delete(ok, w)
		}
	} else if ok["1"] && ok["1 in"] {
		parts = append(parts, "a number with its unit")
		for _, w := range []string{"1", "1 in", "1:12", "1%", "1 ml"} {
			delete(ok, w)
		}
	}
	if ok["+"] { // the sentence may also go on with an operator: nobody needs to be told
		for _, w := range []string{"+", "-", "*", "/", "<", "<=", "=", ">=", ">", "and", "or", "is"} {
			delete(ok, w)
		}
	} else if ok["<="] && ok[">="] {
		parts = append(parts, "a comparator (`<` `<=` `=` `>=` `>`)")
		for _, w := range []string{"<", "<=", "=", ">=", ">"} {
			delete(ok, w)
		}
	}
	for _, t := range trials {
		if ok[t.token.Value] && t.text != "" && !slices.Contains(parts, t.text) {
			parts = append(parts, t.text)
		}
	}
	const most = 16
	switch n := len(parts); {
	case n == 0:
		return ""
	case n == 1:
		return parts[0]
	case n > most:
		return strings.Join(parts[:most], ", ") + " …"
	default:
		return strings.Join(parts[:n-1], ", ") + " or " + parts[n-1]
	}
}
