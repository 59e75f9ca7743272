package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var at = units.MustParse

// report is one of everything that a sheet can show, all its names made by a function.
func report(t *testing.T, name func(string) string) *detail.Report {
	t.Helper()
	run, err := geom.NewRun(geom.Spec{
		ID: name("high side"), Edge: "peak", Length: at("61 in"), Ends: [2]string{"rake", "wall"},
		Sides: []geom.SideSpec{{Panels: &geom.Panels{First: at("7 in"), Profile: geom.Profile{
			Cover: at("18 in"), RibWidth: at("3/4 in"), RibHeight: at("1 3/4 in")}}}},
		Zones:     []geom.Zone{{Kind: name("corner"), To: at("4 ft")}},
		Obstacles: []geom.Obstacle{{ID: name("flue"), Kind: name("penetration"), From: at("10 in"), To: at("14 in")}},
	}, 0)
	require.NoError(t, err)
	screw := &rules.Item{Name: name("screw"), Title: name("flat-head screw"), Pack: 250}
	trim := &rules.Item{Name: name("trim"), Title: name("cap, 14 in girth"), Stock: []rules.Stock{{Length: at("10 ft")}}}
	tape := &rules.Item{Name: name("tape"), Roll: at("50 ft")}
	goo := &rules.Item{Name: name("goo")}
	along, in := &rules.ScopeDecl{How: "along", Of: "run", Every: 1}, &rules.ScopeDecl{How: "in", Of: "panel", Every: 1}
	ribs := &rules.ScopeDecl{How: "at", Of: "rib", Every: 1}
	d := &rules.Detail{Name: name("cap"), Title: name("Cap over the high side"), Elements: []*rules.Element{
		{Name: name("cap"), Kind: rules.Pieces, Item: trim, Scope: along},
		{Name: name("screws"), Kind: rules.Row, Item: screw, Scope: in},
		{Name: name("tape"), Kind: rules.Strip, Item: tape, Scope: in},
		{Name: name("seal"), Kind: rules.Bead, Item: goo, Scope: ribs},
	}}
	r := &detail.Report{
		Book: &rules.Book{Name: name("Boathouse"), Edition: name("2026.1"), Basis: name("House standard."), Digest: "sha256:0123456789abcdef"},
		Job:  name("Boathouse, lake side"), Runs: []*geom.Run{run},
		Takeoff: []detail.Quantity{
			{Item: screw, Unit: "each", Net: decimal.NewFromInt(10), Waste: decimal.RequireFromString("0.50"),
				Gross: decimal.RequireFromString("10.5"), Pack: decimal.NewFromInt(250), Packs: decimal.NewFromInt(1)},
			{Item: tape, Unit: "in", Net: decimal.NewFromInt(61), Gross: decimal.NewFromInt(61), Pack: decimal.NewFromInt(600), Packs: decimal.NewFromInt(1)},
		},
		Cuts:    []detail.Cut{{Item: trim, Stock: at("10 ft"), Times: 2, Lengths: []units.Length{at("40 in"), at("40 in")}, Kerf: at("1/4 in"), Offcut: at("39 3/4 in")}},
		Cutting: []detail.Cutting{{Item: trim, Stocks: 2, Bound: 1}},
		Violations: []detail.Violation{{
			Severity: "must", Rule: name("cap.cap.length"), Measure: "length", What: "length", Run: run.ID, Element: name("cap"),
			Span: rules.Span{File: name("house.rules"), Start: rules.Place{Line: 42}}, Scope: detail.ScopeRef{Kind: "run", N: 1},
			From: at("0 in"), To: at("20 in"), Required: detail.Amount{Op: ">=", Length: at("30 in")},
			Found: detail.Amount{Length: at("20 in")}, By: detail.Amount{Length: at("10 in")}, Because: name("short pieces rattle"),
			Conflict: []detail.RuleRef{{Rule: name("cap.cap.lap"), Span: rules.Span{File: name("house.rules"), Start: rules.Place{Line: 41}}}, {Rule: name("flue")}},
		}, {Severity: "should", Rule: name("cap.cap.clear"), Measure: "clear", What: "clear from rib", Required: detail.Amount{Text: "yes"}, Minimal: true}},
		Skipped:  []detail.Skip{{Placement: 1, Scope: detail.ScopeRef{Kind: "panel", N: 4}, When: name("panel.width > 6 in")}},
		Steps:    []detail.Step{{Detail: d.Name, N: 1, Text: name("Bed the closures"), Sets: []string{name("tape")}}, {Detail: d.Name, N: 2, Text: name("Squeezed out?"), Hold: true}},
		Cautions: []string{name("Sweep up drill shavings.")}, Notes: []string{name("Hem first.")},
		Sources: []detail.Source{{Rule: name("cap.cap.lap"), Source: name("a handbook")}},
		Relaxed: []rules.Relaxation{{Rule: name("cap.cap.lap"), Because: name("easier to hold")}},
		Bare:    []string{name("hip 2")},
	}
	for i, e := range d.Elements {
		p := detail.Placement{Run: run, Side: -1, Detail: d, Element: e}
		first := len(r.Scopes)
		switch e.Kind {
		case rules.Pieces:
			r.Scopes = append(r.Scopes, detail.Scope{Kind: "run", N: 1, To: run.Length, Last: 2})
			r.Pieces = []detail.Piece{{From: at("-1 in"), To: at("39 in"), N: 1}, {From: at("33 in"), To: at("62 in"), Lap: at("6 in"), N: 2, Joint: true}}
		case rules.Row:
			for n, x := range run.Sides[0].Panels(run.Length)[:3] {
				r.Scopes = append(r.Scopes, detail.Scope{Kind: "panel", N: n + 1, From: x.From, To: x.To, First: len(r.Marks), Last: len(r.Marks) + 2})
				half, rest, err := x.Width().QuoRem(at("1/8 in"))
				require.NoError(t, err)
				require.True(t, rest.IsZero())
				step, err := at("1/32 in").Mul(half) // a quarter of the width, off the sixteenth in a cut panel
				require.NoError(t, err)
				left, err := x.From.Add(step)
				require.NoError(t, err)
				right, err := x.To.Sub(step)
				require.NoError(t, err)
				r.Marks = append(r.Marks, detail.Mark{At: left}, detail.Mark{At: right})
			}
		case rules.Strip:
			for n, x := range run.Sides[0].Panels(run.Length) {
				r.Scopes = append(r.Scopes, detail.Scope{Kind: "panel", N: n + 1, From: x.From, To: x.To, First: n, Last: n + 1})
				r.Strips = append(r.Strips, detail.Strip{From: x.From, To: x.To, Length: x.Width()})
			}
		case rules.Bead:
			for n, x := range run.Sides[0].Ribs {
				r.Scopes = append(r.Scopes, detail.Scope{Kind: "rib", N: n + 1, From: x, To: x, First: n, Last: n + 1})
				r.Beads = append(r.Beads, detail.Bead{At: x, Length: at("4 1/4 in")})
			}
		}
		if e.Kind != rules.Pieces {
			p.Side = 0
		}
		r.Placements = append(r.Placements, p)
		for k := first; k < len(r.Scopes); k++ {
			r.Scopes[k].Placement = int32(i)
		}
	}
	return r
}

func same(s string) string { return s }

func text(t *testing.T, columns int, r *detail.Report) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Options{Columns: columns}.Text(&b, r))
	return b.String()
}

func TestASheetShowsEverything(t *testing.T) {
	got := text(t, 0, report(t, same))
	for _, want := range []string{
		"Job:     Boathouse, lake side\n",
		"Details: Boathouse, edition 2026.1\n",
		"RUN high side: peak, 5' 1\" long, left end rake, right end wall\n",
		"Slope 0:12; 3 ribs at 7\", then each 1' 6\" to 3' 7\"\n",
		"Obstacle flue (penetration): 10\" to 1' 2\"\n",
		"1. -1\" to 3' 3\", 3' 4\" long\n",
		"2. 2' 9\" to 5' 2\", 2' 5\" long, laps 1 by 6\"\n",
		"Panels 2-3, 1' 6\" wide\n",
		"4 1/2\"  1' 1 1/2\"\n",
		"2: 7\"  3: 2' 1\"\n",
		"left out\n",
		"4 1/4\" long at\n",
		"1 pack of 250\n",
		"1 roll of 50' 0\"\n",
		"2 x 10' 0\": 3' 4\" x2; kerf 1/4\"; left over 3' 3 3/4\"\n",
		"2 stock lengths; no list takes fewer than 1\n",
		"1. run high side, cap: 0\" to 1' 8\"\n",
		"length >= 2' 6\", but is 1' 8\": off by 10\"\n",
		"rule cap.cap.length, house.rules:42\n",
		"can't all be met: cap.cap.lap (house.rules:41); flue; a smaller set may do\n",
		"because short pieces rattle\n",
		"- run high side, panel 4: screws (only when panel.width > 6 in)\n",
		"[ ]  1. Bed the closures (tape)\n",
		"[ ]  2. STOP AND LOOK: Squeezed out?\n",
		"- Sweep up drill shavings.\n", "- Hem first.\n", "- hip 2\n",
		"- cap.cap.lap: a handbook\n", "- cap.cap.lap: easier to hold\n",
	} {
		assert.Contains(t, got, want)
	}
	if t.Failed() {
		t.Log(got)
	}
}

func TestAMarkOffTheSixteenthIsRoundedTowardTheMiddleAndSaidOnce(t *testing.T) {
	r := report(t, same)
	got := text(t, 0, r) // a quarter of 7 in is 1 3/4 in: on the sixteenth
	assert.NotContains(t, got, "~")

	r.Marks[0].At, r.Marks[1].At = at("1 25/32 in"), at("5 7/32 in")
	got = text(t, 0, r)
	assert.Contains(t, got, "~1 13/16\"   ~5 3/16\"\n")
	assert.Equal(t, 1, strings.Count(got, "A figure with a ~"))
	assert.Equal(t, 3, strings.Count(got, "~"))
}

func TestAPieceOffTheSixteenthIsRoundedOutward(t *testing.T) {
	r := report(t, same)
	r.Pieces[0].From, r.Pieces[0].To = at("-31/32 in"), at("39 1/32 in")
	assert.Contains(t, text(t, 0, r), "1. ~-1\" to ~3' 3 1/16\", 3' 4\" long\n")
}

func TestEveryLineFits(t *testing.T) {
	long := func(s string) string { return s + strings.Repeat("-and_so_on", 30) }
	wordy := func(s string) string { return strings.Repeat(s+" ", 40) }
	wide := func(s string) string { return strings.Repeat("屋根", 60) + s }
	for _, columns := range []int{40, 80, 140} {
		for _, name := range []func(string) string{same, long, wordy, wide} {
			got := text(t, columns, report(t, name))
			for line := range strings.Lines(got) {
				line = strings.TrimSuffix(line, "\n")
				assert.LessOrEqual(t, width(line), columns, line)
				assert.Equal(t, strings.TrimRight(line, " "), line)
			}
		}
	}
}

func TestANarrowerPageThanTheLeastIsTheLeast(t *testing.T) {
	assert.Equal(t, text(t, 40, report(t, same)), text(t, -3, report(t, same)))
	assert.Equal(t, text(t, 80, report(t, same)), text(t, 0, report(t, same)))
}

func TestHostileNamesAreHarmless(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Log("seed", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	alphabet := []string{"a", "B", " ", "\x00", "\n", "\r", "\t", "\x1b[31m", "\u202e", "\u200f", "\u2028", "\ufeff", "\xff", "\u00a0",
		"\u0301", "é", "屋", "%s", "%!", "~", "\"", "'", "\x7f", "\u0085", "\U000e0041"}
	for range 200 {
		name := func(s string) string {
			for range rng.IntN(12) {
				s += alphabet[rng.IntN(len(alphabet))]
			}
			return s
		}
		got := text(t, 40+rng.IntN(100), report(t, name))
		require.True(t, utf8.ValidString(got))
		for _, r := range got {
			if r != '\n' && r != ' ' && !unicode.IsPrint(r) {
				require.Fail(t, fmt.Sprintf("%U is on the sheet", r))
			}
		}
	}
}

func TestCleanShowsWhatItTakesAway(t *testing.T) {
	assert.Equal(t, `a\u202eb\u001fc\xffd\ufffde f`, clean("a\u202eb\u001fc\xffd\ufffde\u00a0f"))
}

func TestAWriterThatFailsIsAnError(t *testing.T) {
	assert.ErrorIs(t, Text(broken{}, report(t, same)), errBroken)
}

var errBroken = errors.New("broken")

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errBroken }
