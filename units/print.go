package units

import (
	"fmt"
	"strconv"
	"strings"
)

// String writes the length exactly: in plain decimal inches, "100.5 in", or in mm where inches have no finite decimal.
// [Parse] reads it back.
func (l Length) String() string { return l.Format(In) }

// Format writes the length exactly as a plain decimal of a unit, "8.375 ft", or in mm where it has no finite decimal
// in that unit. [Parse] reads it back.
func (l Length) Format(u Unit) string {
	s := u.scale()
	n, finite := s.decimal(l.ticks)
	if !finite {
		s = MM.scale()
		n, _ = s.decimal(l.ticks)
	}
	return plain(n, s.places) + " " + s.name
}

// plain writes n / 10^places without trailing zeros.
func plain(n int64, places int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if len(digits) <= places {
		digits = strings.Repeat("0", places+1-len(digits)) + digits
	}
	point := len(digits) - places
	if fraction := strings.TrimRight(digits[point:], "0"); fraction != "" {
		return sign + digits[:point] + "." + fraction
	}
	return sign + digits[:point]
}

// Tape writes the length as it is read off a tape, 10' 6 1/2", rounded to a step such as 1/16 in, and says whether
// what it wrote is the very length. [Parse] reads it back. A length that can't be rounded so (off the step under
// [Exact], a step not above 0, a result over 1,000 km) is written as [Length.String] does.
func (l Length) Tape(step Length, mode Rounding) (s string, exact bool) {
	on, err := l.Round(step, mode)
	if err != nil {
		return l.String(), true
	}
	size := on.Abs().ticks
	feet, rest := size/(12*TicksPerInch), size%(12*TicksPerInch)
	inches, part := rest/TicksPerInch, rest%TicksPerInch
	var b strings.Builder
	if on.ticks < 0 {
		b.WriteByte('-')
	}
	if feet > 0 {
		fmt.Fprintf(&b, "%d' ", feet)
	}
	// A crew reads 10' 0 1/2" without doubt; under a foot the 0 would only be in the way.
	if inches > 0 || feet > 0 || part == 0 {
		b.WriteString(strconv.FormatInt(inches, 10))
		if part > 0 {
			b.WriteByte(' ')
		}
	}
	if part > 0 {
		n := gcd(part, TicksPerInch)
		fmt.Fprintf(&b, "%d/%d", part/n, TicksPerInch/n)
	}
	b.WriteByte('"')
	return b.String(), on == l
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// MarshalText writes the length as [Length.String] does. In JSON a length is a string.
func (l Length) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads what [Parse] reads. In JSON a length is a string; a number is an error.
func (l *Length) UnmarshalText(text []byte) error {
	parsed, err := Parse(string(text))
	if err == nil {
		*l = parsed
	}
	return err
}
