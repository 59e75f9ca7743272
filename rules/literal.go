package rules

import (
	"errors"
	"math/big"
	"strconv"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/lapwright/lapwright/units"
)

// unitKinds are the units as the language spells them.
var unitKinds = map[string]lexer.TokenType{
	"in": tokLength, "ft": tokLength, "mm": tokLength, "cm": tokLength, "m": tokLength,
	"floz": tokVolume, "ml": tokVolume, "F": tokDegrees,
}

// unitsMeant are units as other notations spell them.
var unitsMeant = map[string]string{
	"inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm",
	"millimeters": "mm", "centimetres": "cm", "centimeters": "cm", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
	"oz": "floz", "ounces": "floz", "percent": "%",
}

// number reads a number and what makes one word with it: a fraction, a unit, the run of a slope, a percent
// sign, the ending of an ordinal.
func (s *scanner) number(from Place) {
	if s.tape(from) {
		return
	}
	rest := s.rest()
	plain := numeral(rest)
	n, kind := plain, tokNumber
	if mixed := mixedNumeral(rest); mixed > 0 {
		n, kind = suffix(rest, mixed)
		if kind == tokNumber {
			s.skip(n)
			s.report(from, CodeUnitMissing, "%s has no unit", s.src[from.Offset:s.at.Offset]).
				suggest("write `%s in`", s.src[from.Offset:s.at.Offset])
			s.value(tokLength, from, "1 in")
			return
		}
	} else {
		if over := fraction(rest, plain); over > plain {
			n, kind = suffix(rest, over)
		}
		if kind == tokNumber { // 3/4 without a unit is a division
			n, kind = suffix(rest, plain)
		}
	}
	if kind == tokLength && strings.HasSuffix(rest[:n], "ft") {
		n += inches(rest[n:])
	}
	s.skip(n)
	text := s.src[from.Offset:s.at.Offset]
	switch {
	case kind == tokNumber && isLetter(s.peek(0)):
		s.ending(from, text)
		return
	case kind == tokNumber:
		if s.unitMeant(from, text) {
			return
		}
	}
	s.value(kind, from, text)
}

// ending reads the letters right after a number, which make an ordinal of it or are wrong.
func (s *scanner) ending(from Place, digits string) {
	for isLetter(s.peek(0)) || isDigit(s.peek(0)) {
		s.skip(1)
	}
	text := s.src[from.Offset:s.at.Offset]
	unit := unitsMeant[text[len(digits):]]
	switch text[len(digits):] {
	case "st", "nd", "rd", "th":
		if n, err := strconv.Atoi(digits); err == nil && ordinal(n) != text {
			s.report(from, CodeBadNumber, "`%s` is not how this number of order is written", text).suggest("write `%s`", ordinal(n))
		}
		s.value(tokOrdinal, from, digits)
		return
	}
	d := s.report(from, CodeBadNumber, "`%s` is not a number", clip(text))
	if kind := unitKinds[unit]; kind != 0 {
		d.suggest("write `%s %s`", digits, unit)
		s.value(kind, from, "1 "+unit)
		return
	}
	s.value(tokNumber, from, "1")
}

// unitMeant reads a unit that is spelt as elsewhere, reports it and goes on as if it were right.
func (s *scanner) unitMeant(from Place, digits string) bool {
	rest := s.rest()
	n := blanks(rest)
	w := wordLen(rest[n:])
	unit := unitsMeant[rest[n:n+w]]
	if unit == "" {
		return false
	}
	s.skip(n + w)
	right := strings.TrimSuffix(digits+" "+unit, " %")
	kind := unitKinds[unit]
	if unit == "%" {
		right, kind = digits+"%", tokPercent
	}
	s.report(from, CodeUnitUnknown, "`%s` is not a unit here", rest[n:n+w]).suggest("write `%s`", right)
	s.value(kind, from, right)
	return true
}

// maxTape bounds how far a length in tape form reaches.
const maxTape = 48

// tape reads a length as a tape or a drawing has it, 10' 6 1/2", and reports it: in a rule file it would run
// into the texts.
func (s *scanner) tape(from Place) bool {
	line := s.rest()
	line = line[:min(len(line), maxTape)]
	if i := strings.IndexFunc(line, func(r rune) bool { return !strings.ContainsRune("0123456789./ -'\"", r) }); i >= 0 {
		line = line[:i]
	}
	n := strings.IndexAny(line, `'"`) + 1
	if n == 0 || !isDigit(line[n-2]) {
		return false
	}
	if more := strings.IndexByte(line, '"') + 1; line[n-1] == '\'' && more > 0 {
		if _, err := units.Parse(line[:more]); err == nil {
			n = more
		}
	}
	length, err := units.Parse(line[:n])
	if err != nil {
		return false
	}
	s.skip(n)
	right := strings.NewReplacer("'", " ft", `"`, " in", "-", " ").Replace(line[:n])
	s.report(from, CodeUnitUnknown, "a rule file writes lengths with `ft` and `in`").
		suggest("write `%s`", strings.Join(strings.Fields(right), " "))
	s.values[len(s.tokens)] = Value{Dim: LengthDim, Num: length.Rat()}
	s.token(tokLength, from)
	return true
}

// value adds a literal whose text, or what was meant by it, is given.
func (s *scanner) value(kind lexer.TokenType, from Place, text string) {
	v := Value{Dim: literalDim(kind), Num: big.NewRat(1, 1)}
	if kind == tokLength {
		v.Num.SetInt64(units.TicksPerInch) // of a length that can't be read: long enough for any rule
	}
	longest := 0
	for _, digits := range strings.FieldsFunc(text, func(r rune) bool { return !isDigit(byte(r)) && r != '.' }) {
		longest = max(longest, len(digits))
	}
	if longest > s.limits.NumberBytes {
		s.report(from, CodeNumberTooLong, "a number has at most %d digits"+raise("NumberBytes"), s.limits.NumberBytes)
	} else if num, err := literalNum(kind, strings.Join(strings.Fields(text), " ")); err != nil {
		s.literalError(from, text, err)
	} else {
		v.Num = num
	}
	s.values[len(s.tokens)] = v
	s.token(kind, from)
}

func (s *scanner) literalError(from Place, text string, err error) {
	code, why := CodeBadNumber, err.Error()
	if p := (*units.ParseError)(nil); errors.As(err, &p) {
		why = p.Msg
	}
	if errors.Is(err, units.ErrInexact) || errors.Is(err, units.ErrOverflow) {
		code = CodeInexact
	}
	s.report(from, code, "`%s`: %s", clip(text), why)
}

func literalDim(kind lexer.TokenType) Dim {
	switch kind {
	case tokLength:
		return LengthDim
	case tokSlope:
		return SlopeDim
	case tokPercent:
		return PercentDim
	case tokVolume:
		return VolumeDim
	}
	return Number
}

// literalNum is the exact value of a literal, in the units of Value; of degrees, and of an ordinal given
// without its ending, the number.
func literalNum(kind lexer.TokenType, text string) (*big.Rat, error) {
	switch kind {
	case tokLength:
		l, err := units.Parse(text)
		return l.Rat(), err
	case tokSlope:
		p, err := units.ParseSlope(text)
		return p.Rat(), err
	case tokPercent:
		p, err := units.ParsePercent(text)
		return p.Rat(), err
	case tokVolume:
		v, err := units.ParseVolume(text)
		return v.Rat(), err
	}
	digits, _, _ := strings.Cut(text, " ")
	digits = strings.TrimSuffix(digits, "F")
	r, ok := new(big.Rat).SetString(digits)
	if !ok || strings.HasSuffix(digits, ".") {
		return nil, errors.New("a digit is missing after the point")
	}
	return r, nil
}

// suffix returns what kind of literal a number of n bytes starts and how long it is; tokNumber if nothing
// belongs to it.
func suffix(s string, n int) (int, lexer.TokenType) {
	rest := s[n:]
	switch {
	case strings.HasPrefix(rest, "%"):
		return n + 1, tokPercent
	case strings.HasPrefix(rest, ":") && numeral(rest[1:]) > 0:
		return n + 1 + numeral(rest[1:]), tokSlope
	}
	b := blanks(rest)
	w := wordLen(rest[b:])
	if kind, ok := unitKinds[rest[b:b+w]]; ok {
		return n + b + w, kind
	}
	return n, tokNumber
}

// inches returns the length of the inches that follow feet, 0 if none do.
func inches(s string) int {
	b := blanks(s)
	rest := s[b:]
	n := mixedNumeral(rest)
	if n == 0 {
		n = fraction(rest, numeral(rest))
	}
	if n == 0 {
		return 0
	}
	end, kind := suffix(rest, n)
	if kind != tokLength || !strings.HasSuffix(rest[:end], "in") {
		return 0
	}
	return b + end
}

// numeral returns the length of 12 or 1.5 at the start of s, 0 if there is none; of 3. too, which is then no
// number.
func numeral(s string) int {
	n := digitsLen(s)
	if n > 0 && n < len(s) && s[n] == '.' {
		n += 1 + digitsLen(s[n+1:])
	}
	return n
}

// fraction returns the length with a slash and digits after the first n bytes, or n if none follow.
func fraction(s string, n int) int {
	if n > 0 && n < len(s) && s[n] == '/' {
		if d := digitsLen(s[n+1:]); d > 0 {
			return n + 1 + d
		}
	}
	return n
}

// mixedNumeral returns the length of 1 3/4 at the start of s, 0 if there is none.
func mixedNumeral(s string) int {
	n := digitsLen(s)
	b := blanks(s[n:])
	top := digitsLen(s[n+b:])
	if n == 0 || b == 0 || top == 0 {
		return 0
	}
	if over := fraction(s, n+b+top); over > n+b+top {
		return over
	}
	return 0
}

func digitsLen(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

func blanks(s string) int {
	n := 0
	for n < len(s) && (s[n] == ' ' || s[n] == '\t') {
		n++
	}
	return n
}

// wordLen returns the length of the word at the start of s; it starts with a letter.
func wordLen(s string) int {
	n := 0
	for n < len(s) && (isLetter(s[n]) || n > 0 && isDigit(s[n])) {
		n++
	}
	return n
}

// clip cuts a long word of the author's for a message.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:39]) + "…"
	}
	return s
}
