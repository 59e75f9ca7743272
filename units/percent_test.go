package units_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/lapwright/lapwright/units"
)

func TestParsePercent(t *testing.T) {
	for text, want := range map[string]string{
		"5%": "0.05", "10%": "0.1", "100%": "1", "0%": "0", "2.5%": "0.025", "2 1/2%": "0.025", "5 %": "0.05", "1000%": "10",
	} {
		d, err := units.ParsePercent(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, d.String(), text)
		}
	}
	for _, c := range []struct {
		text string
		kind error
		says string
	}{
		{"5", units.ErrSyntax, "a percent sign is missing at the end: write 5%"},
		{"-5%", units.ErrSyntax, "never negative"},
		{"5%%", units.ErrSyntax, "nothing may follow"},
		{"%", units.ErrSyntax, "a number is missing"},
		{"1/3%", units.ErrInexact, "no finite decimal: use a decimal such as 33.3%"},
	} {
		_, err := units.ParsePercent(c.text)
		assert.ErrorIs(t, err, c.kind, c.text)
		assert.ErrorContains(t, err, c.says, c.text)
	}
}
