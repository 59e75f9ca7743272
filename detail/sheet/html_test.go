package sheet

import (
	"bytes"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func html(t testing.TB, o Options, r *detail.Report) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, o.HTML(&b, r))
	return b.Bytes()
}

func TestThePageHoldsEveryMarkAtItsStation(t *testing.T) {
	for name, r := range map[string]*detail.Report{
		"one of everything": report(t, same),
		"two runs":          laid(t, peak("a", "31 ft 4 in", geom.Obstacle{ID: "flue", Kind: "penetration", From: at("96 in"), To: at("104 in")}), peak("b", "13 ft")),
	} {
		all := read(t, html(t, Options{}, r))
		marks, beads := stationsOf(r)
		assert.Equal(t, marks, drawn(t, all, "#lw-m"), name)
		assert.Equal(t, beads, drawn(t, all, "#lw-bead"), name)
	}
}

func TestThePageShowsEverything(t *testing.T) {
	got := string(html(t, Options{}, report(t, same)))
	for _, want := range []string{
		"<dd>Boathouse, edition 2026.1</dd>", "<dd>sha256:0123456789abcdef</dd>", "<dd>House standard.</dd>",
		"<h2>Not met</h2>", "<h2>Advice: these should hold</h2>", "<h2>Takeoff</h2>", "<td>1 pack of 250</td>", "<h2>Cut list</h2>",
		"2 x 10' 0\": 3' 4\" x2; kerf 1/4\"; left over 3' 3 3/4\"", `<input type="checkbox"> <span>1. Bed the closures (tape)</span>`,
		"STOP AND LOOK: Squeezed out?", "<li>Sweep up drill shavings.</li>", "<li>Hem first.</li>", "<li>hip 2</li>",
		"<li>cap.cap.lap: a handbook</li>", "<li>cap.cap.lap: easier to hold</li>",
		"<li>run high side, panel 4: screws (only when panel.width &gt; 6 in)</li>",
		"<td>panels 2-3</td><td>1' 6\"</td>", `content:"Details sha256:0123456789ab - page "`,
	} {
		assert.Contains(t, got, want)
	}
}

// outside finds what a browser would fetch or run.
var outside = regexp.MustCompile(`(?i)<script|<iframe|<object|<embed|<img|@import|javascript:|(?:src|action)=|href="[^#d]`)

func TestHostileNamesAreHarmlessOnThePage(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Log("seed", seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	known := map[string]bool{}
	for _, e := range read(t, html(t, Options{}, report(t, same))) {
		known[e.name] = true
	}
	for range 20 {
		got := html(t, Options{}, report(t, hostile(rng)))
		require.True(t, utf8.Valid(got))
		assert.NotRegexp(t, outside, string(got))
		for _, r := range string(got) {
			if r != '\n' && r != ' ' && !unicode.IsPrint(r) {
				require.Failf(t, "a control character", "%U is on the page", r)
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

func TestADigestIsNoStyle(t *testing.T) {
	assert.NotContains(t, footer(`sha256:"}*{color:red`), "red")
}

func TestAPagesWriterThatFailsIsAnError(t *testing.T) {
	assert.ErrorIs(t, Options{}.HTML(broken{}, report(t, same)), errBroken)
}
