package detail_test

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var updateInspections = flag.Bool("update-inspections", false, "write the golden inspections anew")

// boathouse is the job of the worked cases: 31 ft 4 in of high side, panels from 7 in on each 18 in, ribs 3/4 in wide, a
// corner up to 4 ft and a flue from 96 in to 104 in; rivets and laps keep 3 in from ribs.
func boathouse(t *testing.T) *detail.Job {
	t.Helper()
	src, err := os.ReadFile("../testdata/jobs/peak.json")
	require.NoError(t, err)
	job, err := detail.ReadJob(bytes.NewReader(src))
	require.NoError(t, err)
	return job
}

func inspect(t *testing.T, book *rules.Book, job *detail.Job, measured string) *detail.Inspection {
	t.Helper()
	m, err := detail.ReadMeasured(strings.NewReader(measured))
	require.NoError(t, err)
	in, err := detail.Inspect(context.Background(), book, job, m)
	require.NoError(t, err)
	return in
}

// found are the violations in short: severity, rule, what is required, found, and by how much it is off.
func found(in *detail.Inspection) []string {
	list := []string{}
	for _, v := range in.Report.Violations {
		s := v.Severity + " " + strings.TrimPrefix(v.Rule, "high_side_cap.") + " " + v.From.String() + " to " + v.To.String() +
			": " + v.Required.In(units.In) + ", " + v.Found.In(units.In) + ", by " + v.By.In(units.In)
		if v.Tolerated {
			s += ", tolerated"
		}
		list = append(list, s)
	}
	return list
}

// The worked cases of the boathouse, each worked by hand from the rules of boathouse.rules.
func TestBoathouseInspections(t *testing.T) {
	book, job := loadPeak(t), boathouse(t)
	for _, c := range []struct {
		name  string
		found []string
		add   []string // all marks to add
		stuck int      // musts that no added mark mends
	}{
		{"rivet-on-a-rib", []string{
			// From 25 in to the panel's end at 43 in: 18 in, and half of 20 in is 10 in.
			"must rivets.spacing 25 in to 43 in: <= 10 in, 18 in, by 8 in",
			// On the rib's middle: 3/8 in inside its face, and 3 in from it are asked for.
			"must rivets.clear 25 in to 25 in: >= 3 in, -0.375 in, by 3.375 in",
		}, []string{"37 in"}, 1},
		{"four-screws", []string{
			"must closure_screws.spacing 45.25 in to 50.5 in: <= 5 in, 5.25 in, by 0.25 in",
			"should closure_screws.spacing 71.25 in to 76.3125 in: <= 5 in, 5.0625 in, by 0.0625 in, tolerated",
			"must closure_screws.spacing 76.3125 in to 79 in: <= 2.5 in, 2.6875 in, by 0.1875 in",
		}, []string{"47.875 in", "77.125 in"}, 0},
		{"lap-of-3-in", []string{"must cap.lap 209 in to 212 in: >= 6 in, 3 in, by 3 in"}, nil, 1},
		{"piece-of-20-in", []string{
			"must cleat_screws.spacing#2 8 in to 15 in: <= 6 in, 7 in, by 1 in",
			"must cap.length 357 in to 377 in: >= 30 in, 20 in, by 10 in",
			"must tape 42 in to 43 in: = 43 in, 42 in, by 1 in",
			"must rib_seal.length 25 in to 25 in: = 4.25 in, 4 in, by 0.25 in",
		}, []string{"11.5 in"}, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			src, err := os.ReadFile(filepath.Join("../testdata/measured", c.name+".json"))
			require.NoError(t, err)
			in := inspect(t, book, job, string(src))
			assert.Equal(t, c.found, found(in))
			var add []string
			stuck := 0
			for _, m := range in.Mends {
				for _, l := range m.Add {
					add = append(add, l.String())
				}
				stuck += len(m.Stuck)
			}
			assert.Equal(t, c.add, add)
			assert.Equal(t, c.stuck, stuck)

			var json, sarif bytes.Buffer
			require.NoError(t, in.WriteJSON(&json, units.In))
			require.NoError(t, in.Diagnostics(units.In).SARIF(&sarif))
			for ext, got := range map[string]string{".json": json.String(), ".sarif": sarif.String()} {
				golden := filepath.Join("../testdata/inspections", c.name+ext)
				if *updateInspections {
					require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
				}
				want, err := os.ReadFile(golden)
				require.NoError(t, err)
				assert.Equal(t, string(want), got)
			}
		})
	}
}

// What the rules ask and a drawing doesn't: other layouts that keep them pass, off the book's step and unevenly spaced.
func TestOtherLayoutsPass(t *testing.T) {
	for name, measured := range map[string]string{
		"screws spaced unevenly, off the step": `"element": "closure_screws", "at": ["27.01 in", "31.01 in", "36 in", "41 in"]`,
		"a rivet off the middle":               `"element": "rivets", "at": ["33 in"]`,
		"three rivets where one would do":      `"element": "rivets", "at": ["29 in", "34 in", "39 in"]`,
		"a bead just so":                       `"element": "rib_seal", "beads": [{"at": "25 in", "length": "4 1/4 in"}]`,
	} {
		in := inspect(t, loadPeak(t), boathouse(t), `{"measured": [{"run": "peak-1", "detail": "high_side_cap", `+measured+`}]}`)
		assert.Empty(t, in.Report.Violations, name)
		assert.Empty(t, in.Mends, name)
		assert.Equal(t, 1, in.Judged, name)
	}
}

// Where marks go that don't stand where one is asked for.
func TestStrayMarks(t *testing.T) {
	for name, c := range map[string]struct {
		measured string
		found    []string
	}{
		"past the run's end": {`"element": "cleat_screws", "from": "350 in", "to": "400 in", "at": ["366 in", "375 in", "377 in"]`,
			[]string{"must cleat_screws 377 in to 377 in: <= 376 in, 377 in, by 1 in"}},
		"past it by no more than the tolerance": {`"element": "cleat_screws", "from": "350 in", "to": "400 in", "at": ["366 in", "376 1/8 in"]`,
			[]string{"should cleat_screws 376.125 in to 376.125 in: <= 376 in, 376.125 in, by 0.125 in, tolerated"}},
		"two in one place": {`"element": "rivets", "at": ["34 in", "34 in"]`,
			[]string{"should rivets 34 in to 34 in: > 0 in, 0 in, by -"}},
		"inside the flue": {`"element": "cleat_screws", "from": "85 in", "to": "110 in", "at": ["86 in", "92 in", "100 in", "106 in"]`,
			[]string{"must obstacle flue 100 in to 100 in: >= 0 in, -4 in, by 4 in"}},
		"outside the panel that it was measured in": {`"element": "rivets", "scopes": [3], "at": ["34 in", "45 in"]`,
			[]string{"must rivets 45 in to 45 in: <= 43 in, 45 in, by 2 in"}},
		"none where one belongs": {`"element": "rivets", "scopes": [3], "at": []`,
			[]string{"must rivets.spacing 25 in to 43 in: >= 1, 0, by 1"}},
		"a bead off its rib, and one too many": {`"element": "rib_seal", "beads": [{"at": "26 in", "length": "4 1/4 in"}, {"at": "43 in", "length": "4 1/4 in"}, {"at": "44 in", "length": "4 1/4 in"}]`,
			[]string{"must rib_seal 26 in to 26 in: = 0 in, 1 in, by 1 in", "must rib_seal 43 in to 43 in: = 1, 2, by 1"}},
	} {
		t.Run(name, func(t *testing.T) {
			in := inspect(t, loadPeak(t), boathouse(t), `{"measured": [{"run": "peak-1", "detail": "high_side_cap", `+c.measured+`}], "tolerance": "1/8 in"}`)
			assert.Equal(t, c.found, found(in))
		})
	}
}

// A mark in a panel that the rules leave out breaks none of them: that it is asked for nowhere is advice.
func TestSurplusMarks(t *testing.T) {
	src, err := os.ReadFile("../testdata/jobs/peak.json")
	require.NoError(t, err)
	job, err := detail.ReadJob(strings.NewReader(strings.Replace(string(src), "31 ft 4 in", "31 ft", 1))) // the last panel is 5 in wide
	require.NoError(t, err)
	in := inspect(t, loadPeak(t), job, `{"measured": [{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["16 in", "370 in"]}]}`)
	assert.Equal(t, []string{"should rivets 370 in to 370 in: nothing (left out: panel.width > 6 in), one, by 1"}, found(in))
}

// A share of the panels is judged, and what remains is said; a rule that asks for what wasn't measured isn't passed.
func TestPartlyMeasured(t *testing.T) {
	in := inspect(t, loadPeak(t), boathouse(t), `{"measured": [{"run": "peak-1", "detail": "high_side_cap", "element": "rivets", "at": ["16 in", "34 in"]},
		{"run": "peak-1", "detail": "high_side_cap", "element": "lap_seal", "beads": [{"at": "100 in", "length": "14 in"}]}]}`)
	assert.Empty(t, in.Report.Violations)
	assert.Equal(t, 2, in.Judged)
	rest := map[string]detail.Unmeasured{}
	for _, u := range in.Unmeasured {
		rest[u.Element+u.Rule] = u
	}
	assert.Equal(t, []int{1, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22}, rest["rivets"].Scopes)
	assert.Equal(t, "cap is not measured there", rest["rivetshigh_side_cap.rivets.clear#2"].Why)
	assert.Equal(t, []int{2, 3}, rest["rivetshigh_side_cap.rivets.clear#2"].Scopes)
	assert.Equal(t, "cap is not measured, so that there is no telling where this belongs", rest["lap_seal"].Why)
	assert.Equal(t, "not measured", rest["cap"].Why)
	assert.Len(t, rest["closure_screws"].Scopes, 22)
}
