package detail_test

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aJob is a case of one job, read within the default limits.
func aJob(name, want string, source func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(*testing.T) error { return reads(source(), detail.Limits{}) }}
}

const inputs = `{"runs": [], "use": [{"detail": "d", "inputs": {"n": `

var hostileJobs = []hostileCase{
	aJob("a job of 10⁹ panels", "too many panels in the job: the limit is 100000, and a host raises it by detail.Limits.Panels",
		text(strings.Replace(aRun("500000 m", `, "panels": {"first": "1 mm"}`), "18 in", "1 mm", 1))),
	slow(aJob("a thousand runs of 1,000 panels each", "detail.Limits.Panels", func() string {
		run := `{"id": "r#", "edge": "eave", "length": "1000 ft", "slope": "3:12", "panels": {"first": "1 ft"}}`
		return `{"profile": {"cover": "12 in", "rib_width": "1 in", "rib_height": "1 in"}, "runs": [` + numbered(1_000, run, ",") + `]}`
	})),
	aJob("10,000 levels", "too many levels in the job: the limit is 64, and a host raises it by detail.Limits.Depth",
		func() string { return strings.Repeat(`{"a":`, 10_000) + strings.Repeat("}", 10_000) }),
	{name: "a million levels where a host takes as many", want: "detail.Limits.Depth", run: func(*testing.T) error {
		return reads(strings.Repeat("[", 1_000_000), detail.Limits{Depth: 10_000_000})
	}},
	aJob("repeated keys", "key", text(`{"name": "a", "name": "b", "runs": []}`)),
	slow(aJob("a hundred thousand repeated keys", "key", func() string { return `{"runs": [` + strings.Repeat(`{"id": "a", "id": "b"},`, 50_000) + `{}]}` })),
	aJob("bytes after the job", "1:", text(`{"runs": []} {"runs": []}`)),
	aJob("a number for a length", "a number where a length is wanted", text(strings.Replace(aRun("1 ft", ""), `"1 ft"`, "1e999999999", 1))),
	aJob("a number with an exponent", "this number is not plain", text(inputs+`1e999999999}}]}`)),
	aJob("a number of a million digits", "this number is not plain", func() string { return inputs + strings.Repeat("9", 1_000_000) + `}}]}` }),
	aJob("a length of 10,000 digits", "/runs/0/length", func() string { return aRun(strings.Repeat("9", 10_000)+" in", "") }),
	aJob("a length with an exponent", "/runs/0/length", text(aRun("1e999999999 in", ""))),
	aJob("a length past the longest", "/runs/0/length", text(aRun("1000000.0000000001 m", ""))),
	aJob("lengths at the edge of overflow", "", text(aRun("500000 m",
		`, "zones": [{"kind": "corner", "from": "0 m", "to": "500000 m"}], "obstacles": [{"id": "o", "kind": "penetration", "from": "0 m", "to": "500000 m"}]`))),
	aJob("lengths below nothing", "/runs/0/length", text(aRun("-500000 m", ""))),
	aJob("a cover of one tick", "detail.Limits.Panels", text(`{"profile": {"cover": "0.000000002 mm", "rib_width": "0.000000001 mm", "rib_height": "1 in"},
 "runs": [{"id": "r", "edge": "eave", "length": "1 m", "slope": "3:12", "panels": {"first": "0.000000001 mm"}}]}`)),
	aJob("a key of eight million bytes", "a key of 8000002 bytes: want at most 1000", func() string { return `{"` + strings.Repeat("k", 8_000_000) + `": 1, "runs": []}` }),
	aJob("faults below a key of a thousand bytes", "stands here and in line 1", func() string {
		return `{"` + strings.Repeat("k", 998) + `": {"a": 1` + strings.Repeat(`, "a": 1`, 10_000) + `}, "runs": []}`
	}),
	slow(aJob("an outline of a million points", "too many bytes in the job: the limit is 16777216, and a host raises it by detail.Limits.JobBytes",
		func() string { return anOutline(1_000_000) })),
	{name: "an outline of a million points where a host takes as many bytes", want: "1000000 points of an outline are over the limit of 1000",
		slow: true, run: func(*testing.T) error { return reads(anOutline(1_000_000), detail.Limits{JobBytes: 1 << 30}) }},
	aJob("an outline that crosses itself at each side", "/planes/0/outline", func() string {
		var points []string
		for i := range 999 {
			points = append(points, numbers(`{"x": "#00 in", "y": "`+[]string{"0", "100"}[i%2]+` in", "edge": "eave"}`, i*7%999))
		}
		return `{"planes": [{"id": "p", "slope": "6:12", "outline": [` + strings.Join(points, ",") + `]}]}`
	}),
	slow(aJob("50,000 penetrations", "50000 penetrations are over the limit of 1000", func() string {
		pipes := numbered(50_000, `{"id": "p#", "kind": "pipe", "x": "1 ft", "y": "1 ft", "diameter": "1 in"}`, ",")
		return strings.Replace(aSquare(), `"slope"`, `"penetrations": [`+pipes+`], "slope"`, 1)
	})),
	slow(aJob("50,000 pipes in one place", "50000 obstacles of a run are over the limit of 1000", func() string {
		return aRun("1000 ft", `, "obstacles": [`+numbered(50_000, `{"id": "#", "kind": "pipe", "from": "1 ft", "to": "2 ft"}`, ",")+"]")
	})),
	aJob("invalid UTF-8", "UTF-8", text("{\"name\": \"\xff\xfe\", \"runs\": []}")),
	aJob("a NUL in a name", "control character", text(`{"name": "a\u0000", "runs": []}`)),
	aJob("half a surrogate", "1:", text(`{"name": "\ud83d", "runs": []}`)),
	aJob("a byte-order mark and CRLF", "", text("\ufeff"+strings.ReplaceAll(aRun("10 ft", ""), "\n", "\r\n"))),
	aJob("nothing", "1:1", text("")),
	aJob("UTF-16", "1:2", func() string { return strings.Join(strings.Split(aRun("10 ft", ""), ""), "\x00") }),
	slow(aJob("an id of ten million bytes", "want at most 200", func() string {
		return strings.Replace(aRun("10 ft", ""), `"r"`, `"`+strings.Repeat("r", 10_000_000)+`"`, 1)
	})),
	slow(aJob("a hundred thousand runs without an id", "needs the key", func() string { return `{"runs": [` + strings.Repeat("{},", 100_000) + "{}]}" })),
	slow(aJob("runs of one id", "two runs have the id", func() string {
		return `{"runs": [` + strings.Repeat(`{"id": "r", "edge": "eave", "length": "9 ft", "slope": "3:12"},`, 20_000) +
			`{"id": "r", "edge": "eave", "length": "9 ft", "slope": "3:12"}]}`
	})),
	{name: "a job without end", want: "detail.Limits.JobBytes", run: func(*testing.T) error {
		_, err := detail.ReadJob(io.MultiReader(strings.NewReader("{"), spaces{}))
		return err
	}},
}

// anOutline is a plane of so many points.
func anOutline(n int) string {
	return `{"planes": [{"id": "p", "slope": "6:12", "outline": [` + strings.Repeat(`{"x":"1 in","y":"1 in"},`, n-1) + `{"x":"1 in","y":"1 in"}]}]}`
}

func aSquare() string {
	return `{"planes": [{"id": "p", "slope": "6:12", "outline": [{"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "40 ft", "y": "0 in", "edge": "rake"},
 {"x": "40 ft", "y": "15 ft", "edge": "ridge"}, {"x": "0 in", "y": "15 ft", "edge": "rake"}]}]}`
}

// laying is a case of a book and a job that are sound, within the default limits.
func laying(name, want, source string, job func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(t *testing.T) error {
		_, err := lays(t, source, job(), detail.Limits{})
		return err
	}}
}

var hostileLayouts = []hostileCase{
	laying("500 million screws", "too many marks and pieces in a report: the limit is 1000000, and a host raises it by detail.Limits.Marks",
		aRow("spacing <= 1 mm"), text(aRun("500000 m", ""))),
	laying("ten thousand screws in each of 1,000 panels", "detail.Limits.Marks",
		anElement("row r of a in each panel { count >= 10000 }"), text(aRun("1000 ft", `, "panels": {"first": "12 in"}`))),
	laying("a count of 10¹⁸", "limit", aRow("count >= 999999999999999999"), text(aRun("10 ft", ""))),
	laying("500 million pieces", "limit", "item a \"a\" { stock 2 mm }\ndetail d \"d\" for edge eave { pieces p of a along run { lap >= 1 mm } }", text(aRun("500000 m", ""))),
	laying("a spacing of one tick", "detail.Limits.Marks", aRow("spacing <= 0.000000001 mm"), text(aRun("1 m", ""))),
	{name: "a screw that must keep clear of every rib and can't", slow: true, run: func(t *testing.T) error {
		r, err := lays(t, anElement("row r of a in each panel { spacing <= 4 in  clear >= 9 in from rib }"),
			strings.Replace(aRun("15000 ft", `, "panels": {"first": "12 in"}`), "18 in", "13 in", 1), detail.Limits{})
		require.NoError(t, err)
		assert.LessOrEqual(t, len(r.Violations), 10_000)
		assert.Positive(t, r.UnlistedMust, "the rest is counted")
		return nil
	}},
	{name: "a run of 500 km with one screw at each end", run: func(t *testing.T) error {
		r, err := lays(t, aRow("spacing <= 900000 m  end <= 0 in"), aRun("500000 m", ""), detail.Limits{})
		require.NoError(t, err)
		require.Len(t, r.Marks, 2)
		assert.Equal(t, units.MustParse("500000 m"), r.Marks[1].At)
		return nil
	}},
	{name: "a sweep that would take minutes, stopped", want: "context deadline exceeded", run: func(t *testing.T) error {
		book, ds, err := rules.Load(memory{"a.rules": aRow("spacing <= 10 in")}, "a.rules")
		require.NoError(t, errors.Join(err, ds.Err()))
		ctx, stop := context.WithTimeout(context.Background(), 100*time.Millisecond)
		defer stop()
		_, err = detail.Options{}.Sweep(ctx, book, detail.SweepSpec{Detail: "d", Along: detail.SweepAxis{Of: "length"}, From: "1 mm", To: "1000 m"})
		return err
	}},
}

// aTable is a case of measurements as a table.
func aTable(name, want string, source func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(*testing.T) error {
		_, err := detail.Options{}.ReadMeasuredCSV(strings.NewReader(source()))
		return err
	}}
}

// measuredJSON is a case of measurements as JSON.
func measuredJSON(name, want string, source func() string) hostileCase {
	return hostileCase{name: name, want: want, run: func(*testing.T) error {
		_, err := detail.ReadMeasured(strings.NewReader(source()))
		return err
	}}
}

var hostileMeasurements = []hostileCase{
	slow(aTable("a table of 17 MB", "too many bytes in the measurements: the limit is 16777216, and a host raises it by detail.Limits.JobBytes",
		repeated("run,detail,element\n", 900_000))),
	aTable("a table with a column twice", "column", text("run,run,detail,element\n")),
	aTable("a cell without end", "quote", text("run,detail,element\n\""+strings.Repeat("\n", 100_000))),
	slow(aTable("300,000 commas", "1:", repeated(",", 300_000))),
	slow(aTable("half a million empty lines", "", func() string { return "run,detail,element\n" + strings.Repeat("\n", 500_000) })),
	aTable("a station with an exponent", "2:", text("run,detail,element,at\nr,d,e,1e999999999 in\n")),
	measuredJSON("measurements 10,000 levels deep", "levels in the measurements: the limit is 64, and a host raises it by detail.Limits.Depth", repeated("[", 10_000)),
	measuredJSON("a scope's number of a million digits", "whole number", func() string {
		return `{"measured": [{"run": "r", "detail": "d", "element": "e", "scopes": [` + strings.Repeat("9", 1_000_000) + `]}]}`
	}),
}
