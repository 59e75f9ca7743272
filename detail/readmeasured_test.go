package detail_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is wrong with the form of measurements, in files that the schema refuses too.
func TestRefusedMeasurements(t *testing.T) {
	want := map[string]string{
		"number-for-a-length.json":   `1:88: /measured/0/at/0: a number where a length is wanted: write it with its unit, such as "16 in", "10 ft 6 1/2 in" or "400 mm"`,
		"length-without-a-unit.json": `1:88: /measured/0/at/0: length "16": a unit is missing at the end`,
		"unknown-key.json":           `1:81: /measured/0/stations: a measurement has no key "stations"`,
		"no-detail.json":             `1:15: /measured/0: a measurement needs the key "detail"`,
		"half-a-part.json":           `1:15: /measured/0: the part that was measured has both, "from" and "to"`,
		"half-a-piece.json":          `1:89: /measured/0/pieces/0: a piece needs the key "to"`,
	}
	files, err := filepath.Glob("../testdata/measured/refused/*.json")
	require.NoError(t, err)
	require.Len(t, files, len(want))
	for _, name := range files {
		src, err := os.ReadFile(name)
		require.NoError(t, err)
		_, err = detail.ReadMeasured(strings.NewReader(string(src)))
		assert.ErrorContains(t, err, want[filepath.Base(name)], name)
		assert.ErrorAs(t, err, new(*detail.JobErrors))
	}
}

// wrong is what reading and inspecting measurements of the boathouse says of them.
func wrong(t *testing.T, read func() (*detail.Measured, error)) error {
	t.Helper()
	m, err := read()
	if err != nil {
		return err
	}
	_, err = detail.Inspect(context.Background(), loadPeak(t), boathouse(t), m)
	return err
}

// What the form allows and the book, the job or sense don't: each named with its place, all in one pass.
func TestMeasurementsThatDoNotFit(t *testing.T) {
	for measured, want := range map[string]string{
		`{"run": "peek-1", "detail": "high_side_cap", "element": "rivets"}`:                                                                             `1:15: /measured/0/run: no run has the id "peek-1"; did you mean "peak-1"?`,
		`{"run": "peak-1", "detail": "high_side_cup", "element": "rivets"}`:                                                                             `/measured/0/detail: the detail "high_side_cup" is not on the run "peak-1"; did you mean "high_side_cap"?`,
		`{"run": "peak-1", "detail": "high_side_cap_coast", "element": "rivets"}`:                                                                       `/measured/0/detail: the detail "high_side_cap_coast" is not on the run "peak-1"`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivet"}`:                                                                              `/measured/0/element: the detail high_side_cap has no element "rivet"; did you mean "rivets"?`,
		`{"run": "peak-1", "side": "lake", "detail": "high_side_cap", "element": "rivets"}`:                                                             `/measured/0/side: rivets spans the run's sides: leave the side out`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [2, 23]}`:                                                          `/measured/0/scopes: rivets has no panel 23 to be measured: there are 22`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [0]}`:                                                              `/measured/0: scopes are counted from 1, so there is no scope 0`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [2, 2]}`:                                                           `/measured/0: a scope is listed twice`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [2.5]}`:                                                            `1:92: /measured/0/scopes/0: a scope's number is a whole number such as 3, but here is "2.5"`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["34 in", "16 in"]}`:                                                   `/measured/0/at/1: 16 in comes after 34 in: list stations from the run's station 0 on`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["101 km"]}`:                                                           `/measured/0/at/0: `,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["400000 ft"]}`:                                                        `/measured/0/at/0: 4800000 in is farther than any run goes: want at most 100 km`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "pieces": [{"from": "0 in", "to": "1 in"}]}`:                                 `/measured/0/element: rivets is measured by "at"`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "cap", "at": ["1 in"]}`:                                                                `/measured/0/element: cap is measured by "pieces"`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "cap", "pieces": [{"from": "5 in", "to": "5 in"}]}`:                                    `/measured/0/pieces/0: a piece ends at 5 in, before or where it starts, at 5 in`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rib_seal", "beads": [{"at": "7 in", "length": "-1 in"}]}`:                             `/measured/0/beads/0: a bead's length is -1 in: want 0 in or more`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "from": "0 in", "to": "9 in"}`:                                               `/measured/0/from: rivets stands in each panel: say by their numbers which of them were measured`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "cleat_screws", "from": "9 in", "to": "9 in"}`:                                         `/measured/0: the part that was measured ends at 9 in, before or where it starts, at 9 in`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets"}, {"run": "peak-1", "detail": "high_side_cap", "element": "rivets"}`:          `1:82: /measured/1/element: rivets is measured twice; only measurements that name different scopes go together`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["1 in"], "beads": [{"at": "7 in", "length": "1 in"}]}`:                `/measured/0: an element has marks, pieces, strips or beads, and not several of them`,
		`{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [2]}, {"run": "peak-1", "detail": "x", "element": "y", "at": [1]}`: `a number where a length is wanted`,
	} {
		err := wrong(t, func() (*detail.Measured, error) {
			return detail.ReadMeasured(strings.NewReader(`{"measured": [` + measured + `]}`))
		})
		assert.ErrorContains(t, err, want, measured)
		assert.ErrorAs(t, err, new(*detail.JobErrors), measured)
	}
	_, err := detail.ReadMeasured(strings.NewReader(`{"measured": [], "tolerance": "-1 in"}`))
	assert.EqualError(t, err, `1:31: /tolerance: the tolerance is -1 in: want 0 in or more`)

	two, err := detail.ReadMeasured(strings.NewReader(`{"measured": [{"run": "a", "detail": "b", "element": "c"}, {"run": "peak-1", "detail": "b", "element": "c"}]}`))
	require.NoError(t, err)
	_, err = detail.Inspect(context.Background(), loadPeak(t), boathouse(t), two)
	var all *detail.JobErrors
	require.True(t, errors.As(err, &all))
	assert.Len(t, all.List, 2)

	// A host's own measurements are held to the same.
	_, err = detail.Inspect(context.Background(), loadPeak(t), boathouse(t), &detail.Measured{List: []detail.Measure{
		{Run: "peak-1", Detail: "high_side_cap", Element: "rivets", At: []units.Length{units.MustParse("2 in"), units.MustParse("1 in")}}}})
	assert.EqualError(t, err, "/measured/0/at/1: 1 in comes after 2 in: list stations from the run's station 0 on")
}

// A table says what JSON says.
func TestReadMeasuredCSV(t *testing.T) {
	const table = "run,detail,element,scope,at,from,to,length\r\n" +
		"peak-1,high_side_cap,rivets,2,16 in,,,\r\n" +
		"peak-1,high_side_cap,rivets,3,,,,\r\n" +
		"peak-1,high_side_cap,cap,,,-1 in,96 in,\r\n" +
		"peak-1,high_side_cap,cap,,,104 in,220 in,\r\n" +
		"peak-1,high_side_cap,rib_seal,,25 in,,,4 in\r\n" +
		"peak-1,high_side_cap,tape,3,,25 in,43 in,18 in\r\n"
	m, err := detail.Options{}.ReadMeasuredCSV(strings.NewReader(table))
	require.NoError(t, err)
	got, err := detail.Inspect(context.Background(), loadPeak(t), boathouse(t), m)
	require.NoError(t, err)
	want := inspect(t, loadPeak(t), boathouse(t), `{"measured": [
		{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "scopes": [2, 3], "at": ["16 in"]},
		{"run": "peak-1", "detail": "high_side_cap", "element": "cap", "pieces": [{"from": "-1 in", "to": "96 in"}, {"from": "104 in", "to": "220 in"}]},
		{"run": "peak-1", "detail": "high_side_cap", "element": "rib_seal", "beads": [{"at": "25 in", "length": "4 in"}]},
		{"run": "peak-1", "detail": "high_side_cap", "element": "tape", "scopes": [3], "strips": [{"from": "25 in", "to": "43 in"}]}]}`)
	assert.Equal(t, found(want), found(got))
	assert.NotEmpty(t, found(got))
	assert.Equal(t, want.Unmeasured, got.Unmeasured)
}

func TestTablesThatDoNotFit(t *testing.T) {
	const head = "run,detail,element,at,from,to\n"
	for table, want := range map[string]string{
		"":                                            "the table is empty: its first line names the columns, such as run,side,detail,element,at",
		"run,detail,elements,at\n":                    `1:12: there is no column "elements": use run, side, detail, element, scope, at, from, to, length; did you mean "element"?`,
		"run,detail,at\n":                             "1:1: the first line names no column element",
		"run,detail,element,run\n":                    "1:20: the column run is there twice",
		head + "peak-1,d,e,16,,\n":                    `2:12: at: length "16": a unit is missing at the end`,
		head + "peak-1,d,e,16 in\n":                   "2:1: the line has 4 fields, and the first line names 6 columns",
		head + "peak-1,d,e,,,\n":                      "2:1: a line has at (a mark), from and to (a piece), from, to and length (a strip), or at and length (a bead)",
		head + "peak-1,d,e,1 in,2 in,\n":              "2:1: a line has at (a mark), from and to (a piece), from, to and length (a strip), or at and length (a bead)",
		head + ",d,e,1 in,,\n":                        "2:1: the line names no run",
		head + "a,b,c,2 in,,\na,b,c,1 in,,\n":         "3:7: 1 in comes after 2 in: list the stations of an element from the run's station 0 on",
		head + "a,b,c,,2 in,1 in\n":                   "2:13: it ends at 1 in, before or where it starts, at 2 in",
		head + "a,b,\"c,2 in,,\n":                     "quote",
		"run,detail,element,scope\na,b,c,x\n":         `2:7: a scope is numbered from 1, as 3, but here is "x"`,
		head + "\xff,b,c,2 in,,\n":                    "the table is not UTF-8",
		head + "peek-1,high_side_cap,rivets,2 in,,\n": `2:1: no run has the id "peek-1"; did you mean "peak-1"?`,
	} {
		err := wrong(t, func() (*detail.Measured, error) { return detail.Options{}.ReadMeasuredCSV(strings.NewReader(table)) })
		assert.ErrorContains(t, err, want, table)
		assert.ErrorAs(t, err, new(*detail.JobErrors), table)
	}
}

// Whatever stands in measurements, they are refused or inspected: nothing panics.
func TestMeasurementsOfAnyKind(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	g := rand.New(rand.NewPCG(seed, 0))
	pick := func(of ...string) string { return of[g.IntN(len(of))] }
	n := 20000
	if testing.Short() {
		n = 300
	}
	length := func() string {
		return `"` + pick("-", "", "", "", "") + pick("0", "7", "16", "25", "34", "96", "100", "104", "376", "377", "1000000", "1/3", "25 3/8", "9999999999") + pick(" in", " in", " in", " ft", " mm", "") + `"`
	}
	several := func(one func() string) string {
		list := make([]string, g.IntN(6))
		for i := range list {
			list[i] = one()
		}
		return "[" + strings.Join(list, ", ") + "]"
	}
	book, job, inspected := loadPeak(t), boathouse(t), 0
	for range n {
		src := `{"measured": ` + several(func() string {
			s := `{"run": "peak-1", "detail": "high_side_cap", "element": "` + pick("rivets", "cap", "tape", "rib_seal", "lap_seal", "cleat_screws", "closure_screws", "y") + `"`
			for range g.IntN(3) {
				switch g.IntN(6) {
				case 0, 1:
					s += `, "at": ` + several(length)
				case 2:
					s += `, "pieces": ` + several(func() string { return `{"from": ` + length() + `, "to": ` + length() + `}` })
				case 3:
					s += `, "beads": ` + several(func() string { return `{"at": ` + length() + `, "length": ` + length() + `}` })
				case 4:
					s += `, "scopes": ` + several(func() string { return pick("1", "2", "3", "6", "22", "23", "-1", "99999999999999999999") })
				default:
					s += `, "from": ` + length() + `, "to": ` + length()
				}
			}
			return s + "}"
		}) + `, "tolerance": ` + length() + `}`
		m, err := detail.ReadMeasured(strings.NewReader(src))
		if err == nil {
			_, err = detail.Inspect(context.Background(), book, job, m)
		}
		if err == nil {
			inspected++
		} else {
			require.ErrorAs(t, err, new(*detail.JobErrors), src)
		}
	}
	t.Logf("%d of %d could be inspected", inspected, n)
	require.Greater(t, inspected, n/20)
}
