package sheet

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostile makes names of what steers a browser, a terminal, a spreadsheet or the direction of writing.
func hostile(rng *rand.Rand) func(string) string {
	alphabet := []string{"<script>alert(1)</script>", "</text>", "</title>", "</style>", "]]>", "<!--", "-->", "&lt;", "&", "\"", "'",
		"\" onload=\"alert(1)", "=1+1", "a", " ", "\x00", "\n", "\r", "\t", "\x1b[31m", "\u202e", "\u200f", "\u2066", "\u2028", "\ufeff",
		"\ufffe", "\xff", "\u00a0", "\u0301", "屋", "%s", "%!", "\x7f", "\u0085", "\U000e0041", strings.Repeat("long", 40)}
	return func(s string) string {
		for range rng.IntN(8) {
			s += alphabet[rng.IntN(len(alphabet))]
		}
		return s
	}
}

func TestHostileNamesAreHarmlessInADrawing(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Log("seed", seed)
	rng := rand.New(rand.NewPCG(seed, 2))
	clean := read(t, svg(t, Options{}, report(t, same)))
	known := map[string]bool{}
	for _, e := range clean {
		known[e.name] = true
	}
	rounds := 100
	if testing.Short() {
		rounds = 20
	}
	for range rounds {
		got := svg(t, Options{}, report(t, hostile(rng)))
		require.True(t, utf8.Valid(got))
		for _, r := range string(got) {
			if r != '\n' && r != ' ' && !unicode.IsPrint(r) {
				require.Failf(t, "a control character", "%U is in the drawing", r)
			}
		}
		for _, e := range read(t, got) {
			require.True(t, known[e.name], "an element %q", e.name)
			for name := range e.attr {
				require.False(t, strings.HasPrefix(name, "on"), name)
			}
		}
	}
}

func TestTheDrawingInMillimetres(t *testing.T) {
	all := read(t, svg(t, Options{Unit: units.MM}, report(t, same)))
	text := ""
	for _, e := range all {
		text += e.text + "\n"
	}
	assert.Contains(t, text, "RUN high side: peak, ~1549 mm long")
}
