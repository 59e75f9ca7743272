package units

import (
	"fmt"
	"math/big"
	"strings"
)

// Caps on what is read, so that no text costs more than its first bytes.
const (
	maxText   = 64
	maxNumber = 32
)

// scanner reads a literal from its left. Its first error stays.
type scanner struct {
	what string
	text string
	pos  int
	err  *ParseError
}

func scan(what, text string) *scanner {
	s := &scanner{what: what, text: text}
	if len(text) > maxText {
		s.fail(0, ErrSyntax, "is over %d bytes long", maxText)
	}
	return s
}

func (s *scanner) fail(at int, kind error, format string, args ...any) {
	if s.err == nil {
		s.err = &ParseError{s.what, s.text[:min(len(s.text), maxText)], at, fmt.Sprintf(format, args...), kind}
	}
}

// done returns the error, if any; a text not read to its end is one.
func (s *scanner) done() error {
	s.spaces()
	if s.err == nil && s.pos < len(s.text) {
		s.fail(s.pos, ErrSyntax, "nothing may follow here, found %q", s.text[s.pos:])
	}
	if s.err != nil {
		return s.err
	}
	return nil
}

func (s *scanner) spaces() {
	for s.pos < len(s.text) && (s.text[s.pos] == ' ' || s.text[s.pos] == '\t') {
		s.pos++
	}
}

// accept steps over one byte if it is next.
func (s *scanner) accept(b byte) bool {
	if s.peek() != b {
		return false
	}
	s.pos++
	return true
}

// peek returns the next byte, 0 at the end.
func (s *scanner) peek() byte {
	if s.err != nil || s.pos >= len(s.text) {
		return 0
	}
	return s.text[s.pos]
}

func (s *scanner) digits() string {
	start := s.pos
	for b := s.peek(); b >= '0' && b <= '9'; b = s.peek() {
		s.pos++
	}
	return s.text[start:s.pos]
}

// word reads ASCII letters.
func (s *scanner) word() string {
	start := s.pos
	for b := s.peek() | 0x20; b >= 'a' && b <= 'z'; b = s.peek() | 0x20 {
		s.pos++
	}
	return s.text[start:s.pos]
}

// number reads 16, 0.024, 3/4 or 1 3/4, never negative.
func (s *scanner) number() *big.Rat {
	start := s.pos
	whole := s.digits()
	switch {
	case s.err != nil:
		return new(big.Rat)
	case whole == "" && s.peek() == '.':
		s.fail(start, ErrSyntax, "a decimal starts with a digit: write 0%s", s.text[start:])
		return new(big.Rat)
	case whole == "":
		s.fail(start, ErrSyntax, "a number is missing%s", s.found())
		return new(big.Rat)
	}
	r := ratio(whole, "1")
	switch {
	case s.accept('.'):
		places := s.digits()
		if places == "" {
			s.fail(s.pos, ErrSyntax, "a digit is missing after the point%s", s.found())
		}
		r = ratio(whole+places, "1"+strings.Repeat("0", len(places)))
	case s.accept('/'):
		r = s.over(whole, start)
	default:
		back := s.pos
		s.spaces()
		top := s.pos
		num := s.digits()
		if top == back || num == "" || !s.accept('/') {
			s.pos = back
			break
		}
		part := s.over(num, top)
		r.Add(r, part)
		if part.Cmp(big.NewRat(1, 1)) >= 0 {
			s.fail(top, ErrSyntax, "the fraction after a whole number must be below 1: write %s", mixed(r))
		}
	}
	if s.pos-start > maxNumber {
		s.fail(start, ErrSyntax, "a number of over %d bytes", maxNumber)
	}
	return r
}

// over reads the denominator under num.
func (s *scanner) over(num string, start int) *big.Rat {
	at := s.pos
	den := s.digits()
	switch {
	case den == "":
		s.fail(at, ErrSyntax, "a fraction has digits on both sides of its slash, without spaces%s", s.found())
		return new(big.Rat)
	case strings.Trim(den, "0") == "":
		s.fail(start, ErrSyntax, "the fraction %s/%s has no value: nothing is divided by 0", num, den)
		return new(big.Rat)
	}
	return ratio(num, den)
}

// found names what stands at the place of an error.
func (s *scanner) found() string {
	if s.pos >= len(s.text) {
		return " at the end"
	}
	return fmt.Sprintf(", found %q", s.text[s.pos:])
}

// ratio is num/den, both nothing but digits, den not 0.
func ratio(num, den string) *big.Rat {
	n, _ := new(big.Int).SetString(num, 10)
	d, _ := new(big.Int).SetString(den, 10)
	return new(big.Rat).SetFrac(n, d)
}

// mixed writes a number of 0 or more as 3, 3/4 or 1 3/4.
func mixed(r *big.Rat) string {
	whole, rest := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	switch {
	case rest.Sign() == 0:
		return whole.String()
	case whole.Sign() == 0:
		return fmt.Sprintf("%d/%d", rest, r.Denom())
	}
	return fmt.Sprintf("%d %d/%d", whole, rest, r.Denom())
}
