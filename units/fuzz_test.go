package units_test

import (
	"math/big"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/units"
)

// The grammar of a length a second time, as a regular expression.
var lengthForm = regexp.MustCompile(`^[ \t]*(-?)` + number + `[ \t]*(?:(in|mm|cm|m|")|(ft|')(?:[ \t]*(-?)[ \t]*` + number + `[ \t]*(in|"))?)[ \t]*$`)

const number = `(?:(\d+)[ \t]+(\d+)/(\d+)|(\d+)/(\d+)|(\d+(?:\.\d+)?))`

// wanted computes what a text says in rational numbers of an inch, or nil where it is no length.
func wanted(text string) *big.Rat {
	m := lengthForm.FindStringSubmatch(text)
	if m == nil || len(text) > 64 {
		return nil
	}
	first, ok := value(m[2:8])
	if !ok {
		return nil
	}
	perInch := map[string]string{"in": "1", `"`: "1", "ft": "12", "'": "12", "mm": "5/127", "cm": "50/127", "m": "5000/127"}
	size, _ := new(big.Rat).SetString(perInch[m[8]+m[9]])
	sum := new(big.Rat).Mul(first, size)
	if m[17] != "" {
		second, ok := value(m[11:17])
		if !ok || !first.IsInt() || second.Cmp(big.NewRat(12, 1)) >= 0 || (m[9] == "'") != (m[17] == `"`) || m[10] == "-" && m[9] == "ft" {
			return nil
		}
		sum.Add(sum, second)
	}
	if m[1] == "-" {
		sum.Neg(sum)
	}
	return sum
}

func value(m []string) (*big.Rat, bool) {
	if m[5] != "" {
		return new(big.Rat).SetString(m[5])
	}
	if m[3] != "" {
		return quotient(m[3], m[4])
	}
	whole, _ := quotient(m[0], "1")
	part, ok := quotient(m[1], m[2])
	if !ok || part.Cmp(big.NewRat(1, 1)) >= 0 {
		return nil, false
	}
	return whole.Add(whole, part), true
}

// quotient reads both as decimal: big.Rat takes 010/1 for octal.
func quotient(num, den string) (*big.Rat, bool) {
	n, _ := new(big.Int).SetString(num, 10)
	d, _ := new(big.Int).SetString(den, 10)
	if d.Sign() == 0 {
		return nil, false
	}
	return new(big.Rat).SetFrac(n, d), true
}

func FuzzLength(f *testing.F) {
	for _, s := range []string{
		"16 in", "3/4 in", "1 3/4 in", "10 ft", "10 ft 6 1/2 in", "0.024 in", "400 mm", "2.5 cm", "1.2 m", "-1 in",
		`10' 6 1/2"`, `10'-6 1/2"`, `6 1/2"`, `10'`, "10 ft-6 in", "1/3 in", "1/0 in", "6 14/12 in", "1000001 m", " 1 in ",
		"", "16", "1e9 in", ".5 in", "1. in", "010/1 in", "١ in", strings.Repeat("9", 70) + " in",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := units.Parse(text)
		want := wanted(text)
		if err == nil {
			require.NotNil(t, want, "%q was read as %s", text, l)
			require.Zero(t, l.Rat().Cmp(want.Mul(want, big.NewRat(units.TicksPerInch, 1))), "%q", text)
			for _, u := range allUnits {
				back, err := units.Parse(l.Format(u))
				require.NoError(t, err)
				require.Equal(t, l, back)
			}
			return
		}
		require.Zero(t, l)
		if want == nil {
			require.ErrorIs(t, err, units.ErrSyntax, "%q", text)
			return
		}
		want.Mul(want, big.NewRat(units.TicksPerInch, 1))
		switch longNumber := regexp.MustCompile(`[\d./ \t]{33}`).MatchString(text); {
		case longNumber: // may be over the cap of one number
		case !want.IsInt():
			require.ErrorIs(t, err, units.ErrInexact, "%q", text)
		default:
			require.ErrorIs(t, err, units.ErrOverflow, "%q", text)
			require.Positive(t, want.Abs(want).Cmp(big.NewRat(units.MaxTicks, 1)), "%q", text)
		}
	})
}
