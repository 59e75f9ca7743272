package detail

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var updateForm = flag.Bool("update-form", false, "write the golden files of the report's form anew")

// formReport has an entry of every kind, and every optional key. It is made by hand and is no layout.
func formReport(t *testing.T) *Report {
	run := readFile(t, "peak.json").Runs[0]
	ridge := readFile(t, "sides.json").Runs[0]
	screw := &rules.Item{Name: "screw", Title: `No. 12 "flat" <screw>`}
	sealant := &rules.Item{Name: "sealant", Bead: rules.BeadSize{Round: true, Width: inch("3/8"), Depth: inch("3/8")}}
	flat := &rules.Item{Name: "tape", Bead: rules.BeadSize{Width: inch("1/4"), Depth: inch("1/8")}}
	d := &rules.Detail{Name: "cap"}
	at := rules.Span{File: "house.rules", Start: rules.Place{Offset: 900, Line: 42, Column: 5, UTF16: 5}}
	element := func(kind rules.Kind, name string, item *rules.Item) *rules.Element {
		return &rules.Element{Kind: kind, Name: name, Item: item}
	}
	return &Report{
		Book: &rules.Book{Name: "House", Edition: "2026.1", Digest: "sha256:00"},
		Job:  "form\n\u2028\x01",
		Runs: []*geom.Run{run, ridge},
		Placements: []Placement{
			{run, -1, d, element(rules.Row, "rivets", screw)},
			{ridge, 1, d, element(rules.Row, "bare", nil)},
			{run, -1, d, element(rules.Pieces, "cover", nil)},
			{run, 0, d, element(rules.Strip, "tape", flat)},
			{run, 0, d, element(rules.Bead, "seal", sealant)},
			{run, 0, d, element(rules.Bead, "bed", flat)},
			{run, 0, d, element(rules.Bead, "none", nil)},
		},
		Scopes: []Scope{
			{Placement: 0, Kind: "run", N: 1, To: run.Length, Last: 2},
			{Placement: 1, Kind: "panel", N: 3, From: inch("7"), To: inch("25"), First: 2, Last: 2},
			{Placement: 2, Kind: "run", N: 1, To: run.Length, Last: 2},
			{Placement: 3, Kind: "panel", N: 1, To: inch("7"), Last: 1},
			{Placement: 4, Kind: "rib", N: 2, From: inch("25"), To: inch("25"), Last: 1},
			{Placement: 5, Kind: "rib", N: 2, From: inch("25"), To: inch("25"), First: 1, Last: 2},
			{Placement: 6, Kind: "rib", N: 2, From: inch("25"), To: inch("25"), First: 2, Last: 3},
		},
		Marks: []Mark{{inch("34"), 0}, {units.MustParse("1 mm"), 0}},
		Pieces: []Piece{
			{From: inch("-1"), To: inch("119"), Scope: 2, N: 1},
			{From: inch("113"), To: inch("377"), Lap: inch("6"), Scope: 2, N: 2, Joint: true},
		},
		Strips:   []Strip{{To: inch("7"), Length: inch("8"), Scope: 3}},
		Beads:    []Bead{{inch("25"), inch("4 1/4"), 4}, {inch("25"), inch("4"), 5}, {inch("25"), inch("4"), 6}},
		Patterns: []Pattern{{0, inch("18"), []units.Length{inch("2 1/4"), inch("6 3/4")}, []int{2, 3}}},
		Cuts: []Cut{{Item: screw, Stock: inch("120"), Times: 3, Lengths: []units.Length{inch("120")}},
			{Item: screw, Stock: inch("40"), Leftover: true, Times: 1, Lengths: []units.Length{inch("30")}, Kerf: inch("1/8"), Offcut: inch("9 7/8")}},
		Cutting: []Cutting{{Item: screw, Stocks: 4, Bound: 4, Proved: true},
			{Item: screw, Stocks: 4, Bound: 3, Cost: decimal.RequireFromString("126.00"), Least: decimal.RequireFromString("94.5")}},
		Takeoff: []Quantity{
			{Item: screw, Unit: "each", Net: decimal.New(130, 0), Waste: decimal.RequireFromString("6.50"),
				Gross: decimal.RequireFromString("136.5"), Pack: decimal.New(25, 1), Packs: decimal.New(1, 0),
				From: []Part{{Job: "form", Detail: d, Element: &rules.Element{Span: at, Name: "rivets"}, Runs: []string{"peak-1", "ridge"}, Net: decimal.New(130, 0)}}},
			{Item: screw, Unit: "in", Net: decimal.New(100, 0), Gross: decimal.New(120, 0), Cost: decimal.RequireFromString("31.50"),
				Area: decimal.New(1680, 0)},
			{Item: sealant, Unit: "cartridge", Net: decimal.New(1, 0), Leftover: true, Yield: decimal.RequireFromString("13.752949")},
		},
		Stock: []Leftover{{Item: "screw", Length: inch("40"), Count: 2}},
		Shop: []Drilling{{Detail: d, Element: element(rules.Pieces, "cover", screw), Length: inch("15 1/4"), Count: 3,
			Holes: []Holes{{Element: element(rules.Row, "rivets", nil), At: []units.Length{inch("2 1/4"), inch("13")}}},
			Where: []DrillingPlace{{Job: "form", Run: "ridge", Side: "road", Pieces: []int{2, 3, 5}}}}},
		Heat: decimal.New(140, 0), Movement: []Movement{{Scope: 2, From: inch("-1"), To: inch("377"), Pieces: 2, EachEnd: inch("3/16")}},
		Leftovers: []Leftover{{Item: "screw", Length: inch("40"), Count: 1}},
		Violations: []Violation{
			{Severity: "must", Rule: "cap.cover.length", Measure: "length", Span: at, Run: "peak-1", Detail: "cap", Element: "cover",
				Scope: ScopeRef{"run", 1}, To: inch("20"), Required: Amount{Op: ">=", Length: inch("30")}, Found: Amount{Length: inch("20")},
				By: Amount{Length: inch("10")}, What: "length", Conflict: []RuleRef{{"cap.cover.lap", at}, {Rule: "penetration flue"}},
				Minimal: true, Because: "of wind", Source: "made up"},
			{Severity: "should", Rule: "cap.rivets.count", Measure: "count", Span: at, Run: "ridge", Side: "road", Detail: "cap", Element: "bare",
				Scope: ScopeRef{"panel", 3}, From: inch("7"), To: inch("25"), Required: Amount{Op: ">=", Text: "4"}, Found: Amount{Text: "3"},
				By: Amount{Text: "1"}, What: "count", Conflict: []RuleRef{{"cap.rivets.spacing", at}}},
		},
		UnlistedMust: 7, UnlistedShould: 2,
		Skipped:  []Skip{{1, ScopeRef{"panel", 1}, "panel.width > 6 in"}},
		Relaxed:  []rules.Relaxation{{Rule: "cap.cover.length", Because: "shorter is easier"}},
		Steps:    []Step{{"cap", 1, "Fix it", []string{"rivets", "bare"}, false}, {"cap", 2, "Look", nil, true}},
		Cautions: []string{"Sweep up", "Rope on"},
		Notes:    []string{"A note"},
		Sources:  []Source{{"cap.cover.lap", "made up"}},
		Bare:     []string{"eave-1"},
		Why:      []Why{{1, 4, "cap.rivets.spacing", Amount{Op: "<=", Length: inch("5")}}},
	}
}

func written(t *testing.T, r *Report, unit units.Unit) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, r.WriteJSON(&b, unit))
	return b.String()
}

// The golden files are held against the schema by a module of its own.
func TestReportForm(t *testing.T) {
	for name, c := range map[string]struct {
		report *Report
		unit   units.Unit
	}{
		"form-in.json":    {formReport(t), units.In},
		"form-ft.json":    {formReport(t), units.Ft},
		"form-mm.json":    {formReport(t), units.MM},
		"form-empty.json": {&Report{}, units.In},
	} {
		t.Run(name, func(t *testing.T) {
			got := written(t, c.report, c.unit)
			assert.True(t, json.Valid([]byte(got)))
			golden := filepath.Join("..", "testdata", "reports", name)
			if *updateForm {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)
		})
	}
}

// What a reader of JSON gets is what the report holds, checked value by value where the form is easy to get wrong.
func TestReportValues(t *testing.T) {
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(written(t, formReport(t), units.Ft)), &got))
	entry := func(list string, i int) map[string]any { return got[list].([]any)[i].(map[string]any) }

	assert.Equal(t, "form\n\u2028\x01", got["job"])
	assert.Equal(t, float64(1), got["format"])
	assert.Equal(t, []any{}, got["planes"])

	marks := got["marks"].([]any)
	require.Len(t, marks, 2, "one entry for each scope of a row")
	assert.Equal(t, []any{"863.6 mm", "1 mm"}, entry("marks", 0)["at"], "34 in and 1 mm are no finite decimals of a foot")
	assert.Equal(t, []any{}, entry("marks", 1)["at"])
	assert.Equal(t, "road", entry("marks", 1)["side"])
	assert.Equal(t, "", entry("marks", 1)["item"])
	assert.Equal(t, map[string]any{"kind": "panel", "n": float64(3)}, entry("marks", 1)["scope"])

	assert.Equal(t, "10 ft", entry("pieces", 0)["length"])
	assert.Equal(t, "0.5 ft", entry("pieces", 1)["lap"])
	assert.Equal(t, "0.03125 ft", entry("beads", 0)["bead"])
	assert.NotContains(t, entry("beads", 0), "depth")
	assert.Equal(t, "3.175 mm", entry("beads", 1)["depth"])
	assert.NotContains(t, entry("beads", 2), "depth")

	assert.Equal(t, "250", entry("takeoff", 0)["pack"])
	assert.Equal(t, "6.5", entry("takeoff", 0)["waste"])

	assert.Equal(t, ">= 2.5 ft", entry("violations", 0)["required"])
	assert.Equal(t, []any{map[string]any{"rule": "cap.cover.lap", "file": "house.rules", "line": float64(42)},
		map[string]any{"rule": "penetration flue"}}, entry("violations", 0)["conflict"])
	assert.NotContains(t, entry("violations", 0), "minimal")
	assert.Equal(t, false, entry("violations", 1)["minimal"])
	assert.Equal(t, "1", entry("violations", 1)["by"])
	assert.Equal(t, []any{}, entry("steps", 1)["sets"])
}

// json.Marshal gives the same report in inches.
func TestReportMarshalJSON(t *testing.T) {
	r := formReport(t)
	marshalled, err := json.Marshal(r)
	require.NoError(t, err)
	assert.JSONEq(t, written(t, r, units.In), string(marshalled))
}

// The keys of a report stand in the order in which its form is published.
func TestReportKeyOrder(t *testing.T) {
	dec := json.NewDecoder(strings.NewReader(written(t, formReport(t), units.In)))
	var keys []string
	_, err := dec.Token()
	require.NoError(t, err)
	for dec.More() {
		key, err := dec.Token()
		require.NoError(t, err)
		keys = append(keys, key.(string))
		var skip json.RawMessage
		require.NoError(t, dec.Decode(&skip))
	}
	assert.Equal(t, strings.Fields(`format book job runs planes marks pieces strips beads patterns cuts cutting takeoff
		leftovers shop violations skipped relaxed steps cautions bare why notes sources unlisted stock heat movement`), keys)
}

// A host that changes the settings of package decimal gets the same bytes.
func TestReportIgnoresDecimalsSettings(t *testing.T) {
	r := formReport(t)
	want := written(t, r, units.In)
	defer func(trim, quotes, scientific bool, precision int) {
		decimal.TrimTrailingZeros, decimal.MarshalJSONWithoutQuotes = trim, quotes
		decimal.UseScientificNotation, decimal.DivisionPrecision = scientific, precision
	}(decimal.TrimTrailingZeros, decimal.MarshalJSONWithoutQuotes, decimal.UseScientificNotation, decimal.DivisionPrecision)
	decimal.TrimTrailingZeros = !decimal.TrimTrailingZeros
	decimal.MarshalJSONWithoutQuotes = !decimal.MarshalJSONWithoutQuotes
	decimal.UseScientificNotation = !decimal.UseScientificNotation
	decimal.DivisionPrecision = 1
	assert.Equal(t, want, written(t, r, units.In))
}

type brokenWriter struct{ err error }

func (w brokenWriter) Write([]byte) (int, error) { return 0, w.err }

func TestReportWriteError(t *testing.T) {
	full := errors.New("no space left")
	assert.ErrorIs(t, formReport(t).WriteJSON(brokenWriter{full}, units.In), full)
}

func TestPlainDecimal(t *testing.T) {
	for in, want := range map[string]string{"0": "0", "0.00": "0", "10": "10", "1e3": "1000", "12.340": "12.34", "-0.50": "-0.5", "100.0": "100"} {
		assert.Equal(t, want, plainDecimal(decimal.RequireFromString(in)))
	}
}

func FuzzReportString(f *testing.F) {
	f.Add("a \"b\" \\ \n\t\r\x00\x7f é \u2028 \U0001F600 \xff")
	f.Fuzz(func(t *testing.T, s string) {
		var b bytes.Buffer
		require.NoError(t, (&Report{Job: s}).WriteJSON(&b, units.In))
		var got struct{ Job string }
		require.NoError(t, json.Unmarshal(b.Bytes(), &got))
		if utf8.ValidString(s) {
			require.Equal(t, s, got.Job)
		} else {
			require.True(t, utf8.ValidString(b.String()))
		}
	})
}
