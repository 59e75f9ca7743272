package detail_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// randomElement writes a detail of one element of random lines, many of which can't hold together.
func randomElement(r *rand.Rand) string {
	sixteenths := func(from, to int) string { return fmt.Sprintf("%d/16 in", 16*from+r.IntN(16*(to-from)+1)) }
	value := func(from, to int) string {
		switch r.IntN(8) {
		case 0:
			return "x"
		case 1:
			return fmt.Sprintf("%d * x", 1+r.IntN(3))
		case 2:
			return fmt.Sprintf("panel.width / %d", 1+r.IntN(5))
		}
		return sixteenths(from, to)
	}
	op := func() string { return []string{"<=", ">=", "<", ">", "="}[r.IntN(5)] }
	must := func() string { return []string{"", "", "", "should "}[r.IntN(4)] }
	var head string
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, must()+fmt.Sprintf(format, args...)) }
	if r.IntN(3) > 0 {
		head = "row e in each panel"
		lines = append(lines, "spacing <= "+value(2, 8))
		for range 1 + r.IntN(4) {
			switch r.IntN(5) {
			case 0:
				add("spacing %s %s", op(), value(2, 8))
			case 1:
				add("count %s %d", op(), 2+r.IntN(6))
			case 2:
				add("end %s %s %s", []string{"", "left", "right"}[r.IntN(3)], op(), value(1, 5))
			case 3:
				add("clear >= %s from rib", value(1, 9))
			case 4:
				add("count %s 3 when panel.width > %s", op(), sixteenths(8, 16))
			}
		}
		if r.IntN(4) == 0 {
			lines = append(lines, []string{"lay stepped", "lay centered"}[r.IntN(2)])
		}
	} else {
		head = "pieces e of trim along run"
		for range 2 + r.IntN(4) {
			switch r.IntN(3) {
			case 0:
				add("lap %s %s", op(), sixteenths(2, 8))
			case 1:
				add("length %s %s", op(), sixteenths(6, 40))
			case 2:
				add("count %s %d", op(), 2+r.IntN(4))
			}
		}
	}
	return fmt.Sprintf(`book "Random (invented)" { mark 1/16 in }
item trim "trim" { stock 30 in }
detail d for edge eave {
  input x: length = 2 in where x >= 1 in and x <= 4 in
  require panel.width >= 4 in and panel.width <= %s and run.length <= 80 in and x > 0 in
  %s {
    %s
  }
}
`, sixteenths(8, 24), head, strings.Join(lines, "\n    "))
}

// TestCheckIsCertain lays random elements on random roofs that meet their requirements. Where Check says that lines can
// never hold together, each scope in which they bind breaks a must; a should that can never be kept is given up
// wherever the musts hold; a should that is covered is kept there.
func TestCheckIsCertain(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 0))
	details, roofs := 400, 6
	if testing.Short() {
		details = 60
	}
	found := map[string]int{}
	missed := 0
	for range details {
		src := randomElement(r)
		book, ds, err := rules.Load(fstest.MapFS{"r.rules": {Data: []byte(src)}}, "r.rules")
		require.NoError(t, err, src)
		if book == nil {
			continue // a limit below the mark, a maximum of nothing
		}
		require.NoError(t, ds.Err(), src)
		ds, err = detail.Check(t.Context(), nil, book)
		require.NoError(t, err)
		for _, d := range ds {
			found[d.Code]++
		}
		limit, _ := book.Details[0].Ranges(book.Details[0].Requires[0].Cond).Of(&rules.Ref{Name: "panel.width"})
		require.NotNil(t, limit)
		never := 0
		for range roofs {
			rep := randomRoof(t, book, r)
			if rep == nil {
				continue // more work than a scope may take
			}
			held := holdsFindings(t, src, rep, ds)
			if !held {
				never++
			}
		}
		if never == roofs && len(ds) == 0 {
			missed++
		}
	}
	t.Logf("%v; of %d details %d broke a must in every scope of %d roofs and had no finding", found, details,
		missed, roofs)
	for _, code := range []string{rules.CodeContradiction, rules.CodeNeverKept, rules.CodeCoveredShould} {
		assert.True(t, testing.Short() || found[code] > 0, code)
	}
}

// randomRoof lays the detail on a run of whole panels that meets its requirements.
func randomRoof(t *testing.T, book *rules.Book, r *rand.Rand) *detail.Report {
	t.Helper()
	d := book.Details[0]
	_, widest := d.Ranges(d.Requires[0].Cond).Of(&rules.Ref{Name: "panel.width"})
	most, err := units.FromRat(widest, units.Down)
	require.NoError(t, err)
	sixteenth := int64(units.TicksPerInch / 16)
	cover, err := units.FromTicks(sixteenth * (4*16 + r.Int64N(most.Ticks()/sixteenth-4*16+1)))
	require.NoError(t, err)
	length, err := cover.Mul(3)
	require.NoError(t, err)
	run, err := geom.NewRun(geom.Spec{ID: "run", Edge: "eave", Length: length, Sides: []geom.SideSpec{{
		Slope: slope(t, "3:12"), Panels: &geom.Panels{First: cover, Profile: geom.Profile{
			Cover: cover, RibWidth: units.MustParse("1/2 in"), RibHeight: units.MustParse("1 in")}}}}}, 0)
	require.NoError(t, err)
	x := fmt.Sprintf("%d/16 in", 16+r.IntN(49))
	job := &detail.Job{Name: "random", Runs: []*geom.Run{run},
		Uses: []detail.Use{{Detail: "d", Inputs: []detail.Input{{Name: "x", Value: x}}}}}
	rep, err := detail.Lay(t.Context(), book, job)
	if errors.Is(err, detail.ErrLimit) {
		return nil
	}
	require.NoError(t, err)
	require.Empty(t, verify.Report(rep, job))
	require.Zero(t, rep.UnlistedMust+rep.UnlistedShould)
	return rep
}

// holdsFindings holds what was found against a layout, and tells whether some scope keeps every must.
func holdsFindings(t *testing.T, src string, rep *detail.Report, ds rules.Diagnostics) (held bool) {
	t.Helper()
	for _, sc := range rep.Scopes {
		if sc.Kind == "panel" && sc.N != 2 {
			continue // one with a rib at each side
		}
		must, should := false, map[int]bool{}
		for _, v := range rep.Violations {
			if v.Scope != (detail.ScopeRef{Kind: sc.Kind, N: sc.N}) {
				continue
			}
			if v.Severity == "must" {
				must = true
			} else {
				should[v.Span.Start.Line] = true
			}
		}
		held = held || !must
		for _, d := range ds {
			where := fmt.Sprintf("%s\n%s\n%s %d, %s long", src, d, sc.Kind, sc.N, rep.Runs[0].Length)
			two := sc.Last-sc.First > 1 || !strings.Contains(d.Summary, "no two")
			wide := !conditional(src, d)
			switch d.Code {
			case rules.CodeContradiction:
				require.True(t, must || !two || !wide, where)
			case rules.CodeNeverKept:
				require.True(t, must || should[d.Start.Line] || sc.Last-sc.First == 1 || !wide, where)
			case rules.CodeCoveredShould:
				require.False(t, !must && should[d.Start.Line], where)
			}
		}
	}
	return held
}

// conditional tells whether one of the lines has a `when`, so that they don't bind everywhere.
func conditional(src string, d rules.Diagnostic) bool {
	lines := strings.Split(src, "\n")
	some := strings.Contains(lines[d.Start.Line-1], " when ")
	for _, at := range d.Related {
		some = some || strings.Contains(lines[at.Start.Line-1], " when ")
	}
	return some
}
