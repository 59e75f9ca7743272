package detail

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func inch(s string) units.Length { return units.MustParse(s + " in") }

func mustSlope(t *testing.T, s string) units.Slope {
	t.Helper()
	v, err := units.ParseSlope(s)
	require.NoError(t, err)
	return v
}

// readFile reads a job of the shared testdata.
func readFile(t *testing.T, name string) *Job {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "jobs", name))
	require.NoError(t, err)
	defer f.Close()
	job, err := ReadJob(f)
	require.NoError(t, err)
	return job
}

// The same run through JSON and through the Go types is the same run. 21 ribs at 7, 25, … 367 in: worked by hand.
func TestReadJobIsWhatGoBuilds(t *testing.T) {
	job := readFile(t, "peak.json")
	run, err := geom.NewRun(geom.Spec{
		ID: "peak-1", Edge: "peak", Length: units.MustParse("31 ft 4 in"), Ends: [2]string{"rake", "wall"},
		Sides: []geom.SideSpec{{Slope: mustSlope(t, "3:12"), Panels: &geom.Panels{First: inch("7"), Profile: geom.Profile{
			Cover: inch("18"), RibWidth: inch("3/4"), RibHeight: inch("1 3/4")}}}},
		Zones:     []geom.Zone{{Kind: "corner", To: units.MustParse("4 ft")}},
		Obstacles: []geom.Obstacle{{ID: "flue", Kind: "penetration", From: inch("96"), To: inch("104")}},
	}, 0)
	require.NoError(t, err)
	assert.Equal(t, []*geom.Run{run}, job.Runs)
	assert.Equal(t, "Boathouse, lake side (invented)", job.Name)
	assert.Len(t, job.Runs[0].Sides[0].Ribs, 21)
	assert.Equal(t, inch("367"), job.Runs[0].Sides[0].Ribs[20])
	assert.Equal(t, []Use{{
		Place: Place{"/use/0", 10, 11}, Detail: "high_side_cap", Runs: []string{"peak-1"},
		Inputs: []Input{{Place{"/use/0/inputs/keep_off", 10, 82}, "keep_off", "3 in"}},
	}}, job.Uses)
	_, err = job.check(Limits{}.orDefault())
	assert.NoError(t, err)
}

// Slope, profile and panels come from the side, or else its run, or else the job; null says none.
func TestReadJobInherits(t *testing.T) {
	job := readFile(t, "sides.json")
	lake, road := job.Runs[0].Sides[0], job.Runs[0].Sides[1]
	assert.Equal(t, []units.Length{{}, units.MustParse("400 mm"), units.MustParse("800 mm")}, lake.Ribs)
	assert.Equal(t, units.MustParse("400 mm"), lake.Profile.Cover)
	assert.Equal(t, inch("18"), road.Profile.Cover)
	assert.Equal(t, inch("18"), road.Ribs[0])
	assert.Equal(t, mustSlope(t, "4 1/2:12"), road.Slope)

	above, below := job.Runs[1].Sides[0], job.Runs[1].Sides[1]
	assert.Equal(t, mustSlope(t, "1/2:12"), above.Slope)
	assert.Equal(t, mustSlope(t, "2.5:12"), below.Slope)
	assert.False(t, above.HasPanels)
	assert.Equal(t, inch("126 1/2"), job.Runs[1].Length)

	wall := job.Runs[2].Sides[0]
	assert.True(t, wall.HasPanels)
	assert.Empty(t, wall.Ribs)
	assert.Equal(t, [2]string{"open", "open"}, job.Runs[2].Ends)
	assert.Equal(t, "4", job.Uses[0].Inputs[0].Value, "a plain number stays the text that it is")
}

// A job of one run, into which a test writes what is wrong.
const (
	head = `{"name": "t", "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"}, "runs": [` + "\n"
	good = `{"id": "r", "edge": "peak", "length": "100 in", "slope": "3:12", "panels": {"first": "7 in"}}`
)

func runWith(part string) string {
	return head + `{"id": "r", "edge": "peak", "length": "100 in", "slope": "3:12", ` + part + `}]}`
}

func useWith(part string) string { return head + good + "],\n" + `"use": [` + part + `]}` }

func TestReadJobRefuses(t *testing.T) {
	for _, c := range []struct{ name, job, want string }{
		{"nothing", ``, `1:1: there is nothing here`},
		{"white space", " \n ", `2:2: there is nothing here`},
		{"no object", `[]`, `1:1: a job is an object, but here is a list`},
		{"no runs", `{}`, `1:1: a job needs the key "runs", "planes" or "roofs"`},
		{"trailing bytes", head + good + "]}\n x", `3:2: "x" after the end`},
		{"two documents", `{"runs": []} {}`, `1:14: "{" after the end`},
		{"cut short", `{"runs": [`, `1:11: /runs: the text ends where a value is wanted`},
		{"not UTF-8", "{\"name\": \"a\xffb\", \"runs\": []}", `1:12: /name: byte 0xff is not UTF-8`},
		{"too deep", strings.Repeat("[", 65), `1:65: ` + strings.Repeat("/0", 63) + `: too many levels in the job: the limit is 64, and a host raises it by detail.Limits.Depth`},
		{"comment", "{\n// x\n}", `2:1: "/" where a key in double quotes is wanted`},
		{"comma at the end", `{"runs": [],}`, `1:13: a comma before the closing brace: take it out`},

		{"unknown key", head + `{"id": "r", "edge": "peak", "lenght": "100 in", "slope": "3:12"}]}`,
			`2:29: /runs/0/lenght: a run has no key "lenght"; did you mean "length"?`},
		{"unknown key in a job", `{"run": []}`, `1:2: /run: a job has no key "run"; did you mean "runs"?`},
		{"unknown key in panels", runWith(`"panels": {"frist": "7 in"}`), `/runs/0/panels/frist: panels has no key "frist"; did you mean "first"?`},
		{"unknown key far from all", `{"xyzzy": 1, "runs": []}`, `1:2: /xyzzy: a job has no key "xyzzy"`},
		{"long unknown key", `{"` + strings.Repeat("x", 101) + `": 1, "runs": []}`, `a job has no key "` + strings.Repeat("x", 60) + `"…`},
		{"case counts", `{"Runs": []}`, `1:2: /Runs: a job has no key "Runs"; did you mean "runs"?`},
		{"repeated key", runWith(`"slope": "4:12"`), `2:66: /runs/0/slope: the key "slope" stands here and in line 2: keep one`},
		{"repeated key by another spelling", `{"runs": [], "\u0072uns": []}`, `1:14: /runs: the key "runs" stands here and in line 1: keep one`},
		{"missing key", head + `{"edge": "peak", "length": "100 in", "slope": "3:12"}]}`, `2:1: /runs/0: a run needs the key "id"`},
		{"missing slope", head + `{"id": "r", "edge": "peak", "length": "100 in"}]}`, `2:1: /runs/0: a run needs the key "slope"`},
		{"missing slope of a side", head + `{"id": "r", "edge": "ridge", "length": "100 in", "sides": [{"id": "a"}, {"id": "b", "slope": "3:12"}]}]}`,
			`2:60: /runs/0/sides/0: a side needs the key "slope"`},

		{"number for a length", head + `{"id": "r", "edge": "peak", "length": 100, "slope": "3:12"}]}`,
			`2:39: /runs/0/length: a number where a length is wanted: write it with its unit`},
		{"length without a unit", head + `{"id": "r", "edge": "peak", "length": "100", "slope": "3:12"}]}`,
			`2:39: /runs/0/length: `},
		{"null for a length", head + `{"id": "r", "edge": "peak", "length": null, "slope": "3:12"}]}`,
			`2:39: /runs/0/length: a run's length is a string such as "16 in", but here is null`},
		{"empty length", head + `{"id": "r", "edge": "peak", "length": "", "slope": "3:12"}]}`,
			`2:39: /runs/0/length: a run's length is empty: want a string such as "16 in"`},
		{"negative length", head + `{"id": "r", "edge": "peak", "length": "-1 in", "slope": "3:12"}]}`,
			`2:39: /runs/0/length: must be above 0, but is -1 in`},
		{"number for a slope", head + `{"id": "r", "edge": "peak", "length": "1 in", "slope": 3}]}`,
			`2:56: /runs/0/slope: a slope is a string such as "3:12", but here is a number`},
		{"bad slope", head + `{"id": "r", "edge": "peak", "length": "1 in", "slope": "3 in"}]}`, `2:56: /runs/0/slope: `},
		{"number for an id", head + `{"id": 1, "edge": "peak", "length": "1 in", "slope": "3:12"}]}`,
			`2:8: /runs/0/id: a run's id is a string, but here is a number`},
		{"empty id", head + `{"id": "", "edge": "peak", "length": "1 in", "slope": "3:12"}]}`, `2:8: /runs/0/id: a run's id is empty`},
		{"long id", head + `{"id": "` + strings.Repeat("x", 201) + `", "edge": "peak", "length": "1 in", "slope": "3:12"}]}`,
			`2:8: /runs/0/id: a run's id is 201 bytes long: want at most 200`},
		{"control character", head + `{"id": "\u001b[2J", "edge": "peak", "length": "1 in", "slope": "3:12"}]}`,
			`2:8: /runs/0/id: a run's id has a control character: "\x1b[2J"`},
		{"unknown edge", head + `{"id": "r", "edge": "peek", "length": "1 in", "slope": "3:12"}]}`, `2:21: /runs/0/edge: "peek" is no kind of edge`},
		{"two runs with one id", head + good + ",\n" + good + "]}", `3:8: /runs/1/id: two runs have the id "r": this one and /runs/0`},
		{"runs no list", `{"runs": {}}`, `1:10: /runs: runs are a list, but here is an object`},
		{"run no object", `{"runs": ["r"]}`, `1:11: /runs/0: a run is an object, but here is a string`},

		{"first over the cover", runWith(`"panels": {"first": "19 in"}`), `2:86: /runs/0/panels/first: is 19 in`},
		{"first and ribs", runWith(`"panels": {"first": "0 in", "ribs": []}`), `2:76: /runs/0/panels: panels have either "first"`},
		{"neither first nor ribs", runWith(`"panels": {}`), `2:76: /runs/0/panels: panels have either "first"`},
		{"ribs out of order", runWith(`"panels": {"ribs": ["7 in", "25 in", "20 in"]}`), `2:103: /runs/0/panels/ribs/2: 20 in comes after 25 in`},
		{"panels without a profile", `{"runs": [{"id": "r", "edge": "peak", "length": "100 in", "slope": "3:12", "panels": {"first": "7 in"}}]}`,
			`1:11: /runs/0/profile/cover: must be above 0 where there are panels`},
		{"job's profile is wrong", strings.Replace(head, "18 in", "0 in", 1) + good + "]}", `1:36: /profile/cover: must be above 0 where there are panels`},
		{"job's profile is wrong for a side", strings.Replace(head, "18 in", "0 in", 1) +
			`{"id": "r", "edge": "hip", "length": "9 in", "slope": "3:12", "panels": {"first": "1 in"}, "sides": [{"id": "a"}, {"id": "b"}]}]}`,
			`1:36: /profile/cover: must be above 0 where there are panels`},
		{"profile without a rib", `{"profile": {"cover": "18 in"}, "runs": []}`, `1:13: /profile: a profile needs the key "rib_width"`},

		{"one end", runWith(`"ends": ["rake"]`), `2:74: /runs/0/ends: a run has two ends, left and right, but here are 1`},
		{"three ends", runWith(`"ends": ["rake", "rake", "rake"]`), `/runs/0/ends: a run has two ends, left and right, but here are 3`},
		{"unknown end", runWith(`"ends": ["rake", "wal"]`), `2:83: /runs/0/ends/1: "wal" is no kind of end`},
		{"zone off the run", runWith(`"zones": [{"kind": "corner", "from": "0 in", "to": "101 in"}]`), `/runs/0/zones/0/to: 101 in is off the run`},
		{"zone without an end", runWith(`"zones": [{"kind": "corner", "from": "0 in"}]`), `2:76: /runs/0/zones/0: a zone needs the key "to"`},
		{"obstacle without an id", runWith(`"obstacles": [{"kind": "flue", "from": "1 in", "to": "2 in"}]`), `2:80: /runs/0/obstacles/0: an obstacle needs the key "id"`},
		{"obstacle on no side", runWith(`"obstacles": [{"id": "o", "kind": "flue", "from": "1 in", "to": "2 in", "side": "lake"}]`), `/runs/0/obstacles/0/side: no side has the id "lake"`},
		{"no sides", head + `{"id": "r", "edge": "ridge", "length": "1 in", "sides": []}]}`, `2:57: /runs/0/sides: sides are one or two`},

		{"planes", `{"runs": [], "planes": [{}]}`, `1:25: /planes/0: a plane needs the key "id"`},
		{"roofs", `{"runs": [], "roofs": [{}]}`, `1:24: /roofs/0: a roof needs the key "id"`},

		{"use of no run", useWith(`{"detail": "d", "runs": []}`), `3:33: /use/0/runs: a use names at least one run`},
		{"use without a detail", useWith(`{"runs": ["r"]}`), `3:9: /use/0: a use needs the key "detail"`},
		{"use of an unknown run", strings.ReplaceAll(useWith(`{"detail": "d", "runs": ["peak-2"]}`), `"r"`, `"peak-1"`),
			`3:34: /use/0/runs/0: no run or plane has the id "peak-2"; did you mean "peak-1"?`},
		{"use twice on a run", useWith(`{"detail": "d", "runs": ["r"]}, {"detail": "d", "runs": ["r"]}`),
			`3:66: /use/1/runs/0: the detail d goes on the run "r" twice: here and by /use/0/runs/0`},
		{"input no value", useWith(`{"detail": "d", "runs": ["r"], "inputs": {"a/b": true}}`),
			`3:58: /use/0/inputs/a~1b: an input's value is a string such as "3 in", "3:12" or "5%", or a plain number, but here is true`},
		{"input with an exponent", useWith(`{"detail": "d", "runs": ["r"], "inputs": {"n": 1e9}}`), `3:56: /use/0/inputs/n: this number is not plain`},
		{"inputs no object", useWith(`{"detail": "d", "runs": ["r"], "inputs": []}`), `3:50: /use/0/inputs: inputs are an object`},
		{"input twice", useWith(`{"detail": "d", "runs": ["r"], "inputs": {"a": 1, "a": 2}}`), `3:59: /use/0/inputs/a: the key "a" stands here and in line 3`},
	} {
		t.Run(c.name, func(t *testing.T) {
			job, err := ReadJob(strings.NewReader(c.job))
			require.Error(t, err)
			assert.Nil(t, job)
			var list *JobErrors
			require.ErrorAs(t, err, &list)
			var first *JobError
			require.ErrorAs(t, err, &first)
			assert.Contains(t, err.Error(), c.want)
			for _, e := range list.List {
				assert.Positive(t, e.Line, "%v", e)
				assert.Positive(t, e.Column, "%v", e)
			}
		})
	}
}

// Mistakes in different places are all reported, in the order of the text, each once.
func TestReadJobReportsAllAtOnce(t *testing.T) {
	_, err := ReadJob(strings.NewReader(`{
 "nam": "t",
 "profile": {"cover": "0 in", "rib_width": "0 in", "rib_height": "0 in"},
 "runs": [
  {"id": "a", "edge": "peek", "length": "100 in", "slope": "3:12", "panels": {"first": "7 in"}},
  {"id": "b", "edge": "peak", "length": 100, "slope": "3"},
  {"id": "a", "edge": "peak", "length": "100 in", "slope": "3:12", "panels": {"first": "7 in"}}],
 "use": [{"detail": "d", "runs": ["b", "c"]}]}`))
	var places []string
	var list *JobErrors
	require.ErrorAs(t, err, &list)
	for _, e := range list.List {
		places = append(places, fmt.Sprintf("%d:%d %s", e.Line, e.Column, e.Pointer))
	}
	assert.Equal(t, []string{"2:2 /nam", "3:23 /profile/cover", "5:23 /runs/0/edge", "6:41 /runs/1/length", "6:55 /runs/1/slope",
		"7:10 /runs/2/id", "8:40 /use/0/runs/1"}, places)
}

func TestReadJobListsFiftyErrorsAndCountsTheRest(t *testing.T) {
	_, err := ReadJob(strings.NewReader(`{"runs": [` + strings.Repeat("1, ", 99) + `1]}`))
	var list *JobErrors
	require.ErrorAs(t, err, &list)
	assert.Len(t, list.List, 50)
	assert.Equal(t, 50, list.More)
	assert.True(t, strings.HasSuffix(err.Error(), "\nand 50 more"))
}

func TestReadJobLimits(t *testing.T) {
	long := head + good + "]}"
	for _, c := range []struct {
		name   string
		limits Limits
		want   string
	}{
		{"JobBytes", Limits{JobBytes: len(long) - 1}, fmt.Sprintf("too many bytes in the job: the limit is %d, and a host raises it by detail.Limits.JobBytes", len(long)-1)},
		{"Depth", Limits{Depth: 3}, "2:76: /runs/0/panels: too many levels in the job: the limit is 3, and a host raises it by detail.Limits.Depth"},
		{"Panels", Limits{Panels: 6}, "2:86: /runs/0/panels/first: too many panels in the job: the limit is 6, and a host raises it by detail.Limits.Panels"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Options{Limits: c.limits}.ReadJob(strings.NewReader(long))
			assert.ErrorIs(t, err, ErrLimit)
			assert.EqualError(t, err, c.want)
			var limit *LimitError
			require.ErrorAs(t, err, &limit)
			assert.Equal(t, c.name, limit.Limit)
		})
	}
	_, err := Options{Limits: Limits{JobBytes: len(long), Depth: 4, Panels: 7}}.ReadJob(strings.NewReader(long))
	assert.NoError(t, err, "each limit is one that may be reached: ribs at 7, 25, 43, 61, 79 and 97 in make 7 panels")

	two := head + good + ",\n" + strings.Replace(good, `"r"`, `"s"`, 1) + "]}"
	_, err = Options{Limits: Limits{Panels: 14}}.ReadJob(strings.NewReader(two))
	assert.NoError(t, err)
	_, err = Options{Limits: Limits{Panels: 13}}.ReadJob(strings.NewReader(two))
	assert.ErrorIs(t, err, ErrLimit)
	assert.EqualError(t, err, "3:1: /runs/1: too many panels in the job: the limit is 13, and a host raises it by detail.Limits.Panels", "runs count together")
}

// What is big and wrong ends soon.
func TestReadJobHostile(t *testing.T) {
	for name, job := range map[string]string{
		"nested":         strings.Repeat("[", 1_000_000),
		"noise":          strings.Repeat("\x00\xff\"{[", 2_000_000),
		"numbers":        "[" + strings.Repeat("0,", 1_000_000),
		"unknown keys":   `{` + strings.Repeat(`"a":[],"b":1,`, 100_000) + `"c":1}`,
		"long runs":      head + strings.Repeat(strings.Replace(good, "100 in", "40000 m", 1)+",", 5_000) + good + "]}",
		"one long digit": `{"runs": [], "use": [{"detail": "d", "runs": ["r"], "inputs": {"n": ` + strings.Repeat("9", 10_000_000) + `}}]}`,
		"unknown runs":   `{"runs": [` + strings.Repeat(good+",", 5_000) + good + `], "use": [{"detail": "d", "runs": ["x"` + strings.Repeat(`,"peak-1"`, 20_000) + `]}]}`,
	} {
		t.Run(name, func(t *testing.T) {
			start := time.Now()
			_, err := ReadJob(strings.NewReader(job))
			assert.Error(t, err)
			assert.Less(t, len(err.Error()), 100_000)
			assert.Less(t, time.Since(start), 20*time.Second)
			t.Log(time.Since(start))
		})
	}
}

func TestReadJobPassesOnTheReadersError(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := ReadJob(iotest.ErrReader(broken))
	assert.ErrorIs(t, err, broken)
	var list *JobErrors
	assert.False(t, errors.As(err, &list))
}

// A use that names no runs is told from one whose list is empty.
func TestReadJobUseOfEveryRun(t *testing.T) {
	job, err := ReadJob(strings.NewReader(useWith(`{"detail": "d"}`)))
	require.NoError(t, err)
	assert.Nil(t, job.Uses[0].Runs)
}

func TestReadJobTakesAByteOrderMark(t *testing.T) {
	_, err := ReadJob(strings.NewReader("\uFEFF" + `{"runs": []}`))
	assert.NoError(t, err)
}

// A job built in Go is checked as one that was read, and its errors point into it.
func TestJobCheck(t *testing.T) {
	run := readFile(t, "peak.json").Runs[0]
	broken := *run
	broken.ID, broken.Edge = "b", "peek"
	job := &Job{Runs: []*geom.Run{run, nil, run, &broken}, Uses: []Use{
		{Detail: "d", Runs: []string{"peak-2"}, Inputs: []Input{{Name: "a"}, {Name: "a"}}},
		{Runs: []string{""}},
	}}
	_, err := job.check(Limits{}.orDefault())
	for _, want := range []string{
		"/runs/1: there is no run here",
		`/runs/2/id: two runs have the id "peak-1": this one and /runs/0`,
		`/runs/3/edge: "peek" is no kind of edge`,
		`/use/0/runs/0: no run or plane has the id "peak-2"; did you mean "peak-1"?`,
		`/use/0/inputs/a: the input "a" is given twice`,
		`/use/1/detail: a use names a detail`,
		`/use/1/runs/0: no run or plane has the id ""`,
	} {
		assert.ErrorContains(t, err, want)
	}
	again := *run
	again.ID = "again"
	for limit, want := range map[int]string{5: "/runs/0/panels/ribs: too many panels", 43: "/runs/1: too many panels"} {
		_, err = (&Job{Runs: []*geom.Run{run, &again}}).check(Limits{Panels: limit}.orDefault())
		assert.ErrorIs(t, err, ErrLimit)
		assert.ErrorContains(t, err, want)
	}
	_, err = (&Job{Runs: []*geom.Run{run, &again}}).check(Limits{Panels: 44}.orDefault())
	assert.NoError(t, err, "22 panels each")
}

// Every file of the refused jobs is refused by the schema too, which a module of its own checks.
func TestReadJobRefusesWhatTheSchemaRefuses(t *testing.T) {
	files, err := filepath.Glob("../testdata/jobs/refused/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		src, err := os.ReadFile(name)
		require.NoError(t, err)
		_, err = ReadJob(strings.NewReader(string(src)))
		assert.Error(t, err, name)
	}
}

func FuzzReadJob(f *testing.F) {
	files, err := filepath.Glob("../testdata/jobs/*.json")
	require.NoError(f, err)
	for _, name := range files {
		src, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(src)
	}
	f.Add([]byte(runWith(`"ends": ["rake", "\ud83d\ude00"]`)))
	f.Fuzz(func(t *testing.T, src []byte) {
		job, err := ReadJob(strings.NewReader(string(src)))
		if err == nil {
			if _, err := job.check(Limits{}.orDefault()); err != nil {
				t.Fatalf("read, but not sound: %v", err)
			}
			return
		}
		var list *JobErrors
		if !errors.As(err, &list) || len(list.List) == 0 || len(list.List) > maxJobErrors {
			t.Fatalf("no list of errors: %v", err)
		}
		lines := strings.Count(string(src), "\n") + 1
		for _, e := range list.List {
			if e.Line < 1 || e.Line > lines || e.Column < 1 || e.Column > len(src)+1 {
				t.Fatalf("an error off the text: %v", e)
			}
		}
	})
}
