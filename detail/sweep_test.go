package detail_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sweepBook = `
book "Sweeps" { mark 1/16 in  zones corner }
item cap_trim "cap" { stock 24 in }
item rivet "rivet" { pack 100 }

detail zoned "Closer in a corner" for edge eave {
  row screws of rivet in each panel {
    spacing <= 6 in
    spacing <= 4 in when zone is corner
    spacing >= 2 1/2 in
    count <= 5
    clear >= 1 1/2 in from rib
    should count <= 4
  }
}

detail kept_rib "Laps between ribs" for edge peak {
  input off: length = 2 in where off >= 1 in
  pieces cap of cap_trim along run {
    lap >= 3 in
    length >= 10 in
    clear >= off from rib
    should clear >= off + 1 in from rib
  }
}

detail flat "By the slope" for edge rake {
  input gap: length where gap >= 2 in
  require slope >= 1:12
  row nails of rivet along run { spacing <= gap  count <= 10 }
  row bent of rivet in each panel { spacing <= gap * gap / 4 in  count <= 3 }
}
`

const sweepFree = `
book "Without a step" { }
item rivet "rivet" { pack 100 }
detail free "Marks anywhere" for edge peak {
  row screws of rivet in each panel {
    spacing <= 5.1 in
    spacing >= 3.3 in
    count <= 6
    clear >= 1.7 in from rib
    end right <= 2.4 in
    should count <= 4
    should end left <= 2 in
  }
  row stepped of rivet in each panel { lay stepped  spacing <= 7.3 in  spacing >= 6.9 in  end left >= 1 in  count >= 2  count <= 4 }
}
`

func sweepBooks(t *testing.T) (printed, own, free *rules.Book) {
	t.Helper()
	printed, ds, err := rules.Load(os.DirFS("../rules/testdata"), "boathouse.rules")
	require.NoError(t, err)
	require.NoError(t, ds.Err())
	own, ds, err = rules.Load(fstest.MapFS{"sweep.rules": {Data: []byte(sweepBook)}}, "sweep.rules")
	require.NoError(t, err)
	require.NoError(t, ds.Err())
	free, ds, err = rules.Load(fstest.MapFS{"free.rules": {Data: []byte(sweepFree)}}, "free.rules")
	require.NoError(t, err)
	require.NoError(t, ds.Err())
	return printed, own, free
}

// laid says of one width what a sweep says of a range, from the report of a job.
func laid(t *testing.T, book *rules.Book, name string, spec geom.Spec, elements ...string) string {
	t.Helper()
	run, err := geom.NewRun(spec, 0)
	require.NoError(t, err)
	rep, err := detail.Lay(t.Context(), book, &detail.Job{Name: "brute", Runs: []*geom.Run{run}, Uses: []detail.Use{{Detail: name}}})
	require.NoError(t, err)
	require.Zero(t, rep.UnlistedMust+rep.UnlistedShould)
	cover := run.Sides[0].Profile.Cover
	var conflicts, given []string
	must := map[string]bool{}
	where := func(v detail.Violation) string { return fmt.Sprint(v.Element, v.Scope) }
	for _, v := range rep.Violations {
		must[where(v)] = must[where(v)] || v.Severity == "must"
	}
	for _, v := range rep.Violations {
		if v.Element != "" && elements != nil && !slices.Contains(elements, v.Element) {
			continue
		}
		if panels := run.Sides[0].Panels(run.Length); v.Scope.Kind == "panel" && panels[v.Scope.N-1].Width().Cmp(cover) < 0 {
			continue
		}
		if v.Severity == "must" {
			var set []string
			for _, c := range v.Conflict {
				set = append(set, c.Rule)
			}
			conflicts = append(conflicts, v.Element+": "+strings.Join(set, ", "))
		} else if !must[where(v)] {
			given = append(given, v.Rule)
		}
	}
	slices.Sort(conflicts)
	slices.Sort(given)
	return fmt.Sprint(slices.Compact(conflicts), slices.Compact(given))
}

func said(r detail.SweepRange) string {
	var conflicts, given []string
	for _, c := range r.Conflicts {
		var set []string
		for _, ref := range c.Rules {
			set = append(set, ref.Rule)
		}
		conflicts = append(conflicts, c.Element+": "+strings.Join(set, ", "))
	}
	for _, g := range r.GivenUp {
		given = append(given, g.Rule)
	}
	slices.Sort(conflicts)
	slices.Sort(given)
	return fmt.Sprint(conflicts, given)
}

// in tells whether a range has a length.
func in(r detail.SweepRange, at units.Length) bool {
	from, to := at.Cmp(r.From.Length), at.Cmp(r.To.Length)
	return (from > 0 || from == 0 && !r.FromOpen) && (to < 0 || to == 0 && !r.ToOpen)
}

// TestSweepAgainstEverySixteenth holds sweeps of the panel's width against layouts at every sixteenth of an inch, and a
// tick to each side of every bound.
func TestSweepAgainstEverySixteenth(t *testing.T) {
	printed, own, free := sweepBooks(t)
	in1, in4 := units.MustParse("3/4 in"), units.MustParse("1 3/4 in")
	three := func(edge string, zones ...geom.Zone) func(w units.Length) geom.Spec {
		return func(w units.Length) geom.Spec {
			length, _ := w.Mul(3)
			return geom.Spec{ID: "run", Edge: edge, Length: length, Zones: slices.Clone(zones), Sides: []geom.SideSpec{{
				Slope: slope(t, "3:12"), Panels: &geom.Panels{First: w, Profile: geom.Profile{Cover: w, RibWidth: in1, RibHeight: in4}}}}}
		}
	}
	from, to := "6 in", "36 in"
	if testing.Short() {
		from, to = "22 in", "25 in"
	}
	corner := geom.Zone{Kind: "corner", To: units.MustParse("7 1/2 in")}
	for _, c := range []struct {
		book     *rules.Book
		spec     detail.SweepSpec
		run      func(w units.Length) geom.Spec
		elements []string
	}{
		{printed, detail.SweepSpec{Detail: "high_side_cap"}, three("peak"), []string{"closure_screws", "tape", "rib_seal", "rivets"}},
		{own, detail.SweepSpec{Detail: "zoned", Zones: []geom.Zone{corner}}, three("eave", corner), nil},
		{free, detail.SweepSpec{Detail: "free"}, three("peak"), nil},
		{own, detail.SweepSpec{Detail: "kept_rib", At: []detail.SweepAt{{SweepAxis: detail.SweepAxis{Of: "length"}, Values: []string{"3 ft"}}}}, func(w units.Length) geom.Spec {
			spec := three("peak")(w)
			spec.Length = units.MustParse("3 ft")
			return spec
		}, nil},
	} {
		t.Run(c.spec.Detail, func(t *testing.T) {
			c.spec.Along, c.spec.From, c.spec.To = detail.SweepAxis{Of: "panel"}, from, to
			rep, err := detail.Options{}.Sweep(t.Context(), c.book, c.spec)
			require.NoError(t, err)
			require.Len(t, rep.Lines, 1)
			ranges := rep.Lines[0].Ranges
			sixteenth := units.MustParse("1/16 in")
			k := 0
			for w := units.MustParse(from); w.Cmp(units.MustParse(to)) <= 0; w, _ = w.Add(sixteenth) {
				for !in(ranges[k], w) {
					k++
					require.Less(t, k, len(ranges), w)
				}
				require.Equal(t, laid(t, c.book, c.spec.Detail, c.run(w), c.elements...), said(ranges[k]), "%s", w)
			}
			assert.Equal(t, len(ranges)-1, k)
			tick, _ := units.FromTicks(1)
			for _, r := range ranges {
				assert.True(t, r.Exact)
				for _, end := range []detail.Amount{r.From, r.To} {
					for _, d := range []units.Length{tick.Neg(), {}, tick} {
						w, _ := end.Length.Add(d)
						if i := slices.IndexFunc(ranges, func(r detail.SweepRange) bool { return in(r, w) }); i >= 0 {
							require.Equal(t, laid(t, c.book, c.spec.Detail, c.run(w), c.elements...), said(ranges[i]), "%s", w)
						}
					}
				}
			}
		})
	}
}

func slope(t *testing.T, text string) units.Slope {
	t.Helper()
	s, err := units.ParseSlope(text)
	require.NoError(t, err)
	return s
}

// bounds writes the ranges of a sweep's first line, ~ before one that isn't exact.
func bounds(rep *detail.SweepReport) (list []string) {
	for _, r := range rep.Lines[0].Ranges {
		open, shut, seen := "[", "]", ""
		if r.FromOpen {
			open = "("
		}
		if r.ToOpen {
			shut = ")"
		}
		if !r.Exact {
			seen = "~"
		}
		list = append(list, fmt.Sprintf("%s%s%s, %s%s %s", seen, open, r.From.In(units.In), r.To.In(units.In), shut, r.Verdict))
	}
	return list
}

// TestSweepBounds holds ranges worked by hand: 40 ft in 9 gaps and two halves is 10 times 48 in.
func TestSweepBounds(t *testing.T) {
	t.Parallel()
	_, own, _ := sweepBooks(t)
	sweep := func(along detail.SweepAxis, from, to, gap string) *detail.SweepReport {
		spec := detail.SweepSpec{Detail: "flat", Along: along, From: from, To: to}
		if gap != "" {
			spec.At = []detail.SweepAt{{SweepAxis: detail.SweepAxis{Of: "input", Input: "gap"}, Values: []string{gap}}}
		}
		rep, err := detail.Options{}.Sweep(t.Context(), own, spec)
		require.NoError(t, err)
		return rep
	}
	if !testing.Short() {
		assert.Equal(t, []string{"[1/2:12, 999/1000:12] rules conflict", "[1:12, 2:12] can be built"}, bounds(sweep(detail.SweepAxis{Of: "slope"}, "1/2:12", "2:12", "50 in")))
	}
	assert.Equal(t, []string{"[30 ft, 40 ft] can be built", "(40 ft, 41 ft] rules conflict"}, feet(bounds(sweep(detail.SweepAxis{Of: "length"}, "30 ft", "41 ft", "48 in"))))
	if testing.Short() {
		t.Log("short: the slopes and the range that is bisected are left out")
		return
	}
	assert.Equal(t, []string{"~[1 in, 2 in) can't be laid", "~[2 in, 124.434078933 mm] rules conflict", "~[124.434078934 mm, 48 in) rules conflict", "~[48 in, 50 in] can be built"}, bounds(sweep(detail.SweepAxis{Of: "input", Input: "gap"}, "1 in", "50 in", "")), "gap * gap is no straight line; three in an 18 in panel reach to a spacing of 6 in, gap = sqrt(24) in = 124.43407893… mm")
}

func feet(list []string) []string {
	for i := range list {
		list[i] = strings.NewReplacer("360 in", "30 ft", "480 in", "40 ft", "492 in", "41 ft").Replace(list[i])
	}
	return list
}

func TestSweepRefusesWhatMakesNoSense(t *testing.T) {
	_, own, _ := sweepBooks(t)
	panel := detail.SweepAxis{Of: "panel"}
	for _, c := range []struct {
		spec detail.SweepSpec
		want string
	}{
		{detail.SweepSpec{Detail: "zone", Along: panel}, `did you mean "zoned"?`},
		{detail.SweepSpec{Detail: "zoned", Edge: "hip", Along: panel}, "is for eave"},
		{detail.SweepSpec{Detail: "zoned", Along: detail.SweepAxis{Of: "width"}}, "not \"width\""},
		{detail.SweepSpec{Detail: "flat", Along: detail.SweepAxis{Of: "input", Input: "gep"}}, `did you mean "gap"?`},
		{detail.SweepSpec{Detail: "zoned", Along: panel, From: "12", To: "24 in"}, "a unit is missing"},
		{detail.SweepSpec{Detail: "zoned", Along: panel, From: "24 in", To: "12 in"}, "write the smaller first"},
		{detail.SweepSpec{Detail: "zoned", Along: panel, From: "0 in", To: "12 in"}, "starts above 0"},
		{detail.SweepSpec{Detail: "zoned", Along: panel, From: "6 in", To: "12 in", At: []detail.SweepAt{{SweepAxis: panel, Values: []string{"8 in"}}}}, "given twice"},
	} {
		_, err := detail.Options{}.Sweep(t.Context(), own, c.spec)
		assert.ErrorContains(t, err, c.want)
	}
}

// A sweep over so much that it would never end is a limit reached, and not a memory filled.
func TestASweepIsBounded(t *testing.T) {
	book := loadRules(t, `book "b" { mark 1/16 in }
detail d for edge eave { row screws in each panel { spacing <= 3 in  clear >= 1 in from rib } }`)
	o := detail.Options{Limits: detail.Limits{Marks: 20_000}}
	_, err := o.Sweep(t.Context(), book, detail.SweepSpec{Detail: "d", Along: detail.SweepAxis{Of: "length"}, From: "1 mm", To: "300 m"})
	require.ErrorIs(t, err, detail.ErrLimit)
	assert.ErrorContains(t, err, "detail.Limits.Marks")
}
