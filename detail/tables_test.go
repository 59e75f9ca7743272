package detail_test

import (
	"context"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tables of published values and of common practice, each row a rule file and a job, laid by the public way in.
// Each check names its published source, or says that it is common practice without one. Every report passes the
// verifier.
//
// Rows left to their issues:
//   - planes: valley metal at least 6 in under each side and at least 4 in open (UFGS 07600 3.1.23) is measured
//     square to the valley, across it.

// lay lays a job out, and fails where the rules or the job have errors or the verifier objects.
func lay(t *testing.T, source, job string) *detail.Report {
	t.Helper()
	book, diagnostics, err := rules.Load(fstest.MapFS{"t.rules": {Data: []byte(source)}}, "t.rules")
	require.NoError(t, err)
	require.NoError(t, diagnostics.Err())
	j, err := detail.ReadJob(strings.NewReader(job))
	require.NoError(t, err)
	r, err := detail.Lay(context.Background(), book, j)
	require.NoError(t, err)
	assert.Empty(t, verify.Report(r, j))
	return r
}

// jobOf is a job with these runs.
func jobOf(runs ...string) string {
	return `{"name": "table", "runs": [` + strings.Join(runs, ",") + `]}`
}

// run is a run without panels; more is further keys.
func run(id, edge, length, more string) string {
	return fmt.Sprintf(`{"id": %q, "edge": %q, "length": %q, "slope": "3:12"%s}`, id, edge, length, more)
}

// panelled is a run of whole panels of one cover, its ribs 3/4 in wide.
func panelled(id, length, cover string) string {
	return run(id, "peak", length, fmt.Sprintf(`, "profile": {"cover": %q, "rib_width": "3/4 in", "rib_height": "1 3/4 in"}, "panels": {"first": %[1]q}`, cover))
}

// stations are the marks of an element on a run, in the report's order.
func stations(r *detail.Report, run, element string) []string {
	list := []string{}
	for _, m := range r.Marks {
		if p := r.Placements[r.Scopes[m.Scope].Placement]; p.Run.ID == run && p.Element.Name == element {
			list = append(list, m.At.String())
		}
	}
	return list
}

func piecesOf(r *detail.Report, run, element string) []detail.Piece {
	var list []detail.Piece
	for _, x := range r.Pieces {
		if p := r.Placements[r.Scopes[x.Scope].Placement]; p.Run.ID == run && p.Element.Name == element {
			list = append(list, x)
		}
	}
	return list
}

// inches is a length in inches, as an exact number.
func inches(l units.Length) *big.Rat {
	return new(big.Rat).Quo(l.Rat(), new(big.Rat).SetInt64(units.TicksPerInch))
}

// count lays a row by these rules along a run of each length, without a violation, and holds how many marks it takes.
func count(t *testing.T, rowRules string, want map[string]int) {
	t.Helper()
	var runs []string
	for length := range want {
		runs = append(runs, run(length, "eave", length, ""))
	}
	slices.Sort(runs)
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
item fastener "fastener" { pack 100 }
detail d "" for edge eave { row marks of fastener along run { `+rowRules+` } }`, jobOf(runs...))
	assert.Empty(t, r.Violations)
	for length, n := range want {
		assert.Len(t, stations(r, length, "marks"), n, "%s: %s", length, rowRules)
	}
}

// Common practice, no source.
func TestPracticeCleatScrews(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
detail d "" for edge peak { row screws along run { spacing <= 8 in } }`,
		jobOf(run("a", "peak", "3 in", ""), run("b", "peak", "8 1/16 in", ""), run("c", "peak", "31 ft 4 in", ""), run("d", "peak", "100 ft", "")))
	assert.Empty(t, r.Violations)
	for id, want := range map[string]int{"a": 1, "b": 2, "c": 47, "d": 150} {
		at := stations(r, id, "screws")
		require.Len(t, at, want, id) // the fewest: no gap over 8 in and no end over 4 in
		for i := 1; i < len(at); i++ {
			gap := new(big.Rat).Sub(inches(units.MustParse(at[i])), inches(units.MustParse(at[i-1])))
			assert.LessOrEqual(t, gap.Cmp(big.NewRat(8, 1)), 0, "%s: %s to %s", id, at[i-1], at[i])
		}
	}
}

// Common practice, no source.
func TestPracticeClosureScrews(t *testing.T) {
	const book = `book "table" { edition "1" mark 1/16 in }
detail d "" for edge peak {
  row screws in each panel { spacing <= 4 in  count >= 5 %s }
}`
	r := lay(t, fmt.Sprintf(book, ""), jobOf(panelled("12", "5 ft", "12 in"), panelled("16", "16 in", "16 in"), panelled("18", "6 ft", "18 in"), panelled("24", "6 ft", "24 in")))
	assert.Empty(t, r.Violations)
	want := map[string]int{"12": 5, "16": 5, "18": 5, "24": 6}
	for _, p := range r.Patterns {
		assert.Len(t, p.Offsets, want[r.Placements[p.Placement].Run.ID], "a panel of %s", p.Width)
		if r.Placements[p.Placement].Run.ID == "24" {
			assert.Equal(t, "2 in", p.Offsets[0].String(), "half a gap at the end")
		}
	}
	assert.Len(t, stations(r, "18", "screws"), 4*5)

	// A rib's clear zone of 6 1/8 in at both sides leaves a 12 in panel no room.
	r = lay(t, fmt.Sprintf(book, "clear >= 5 3/4 in from rib"), jobOf(panelled("12", "36 in", "12 in")))
	require.NotEmpty(t, r.Violations)
	for _, v := range r.Violations {
		assert.Equal(t, "must", v.Severity)
		assert.Contains(t, conflictOf(v), "d.screws.clear")
	}
}

func conflictOf(v detail.Violation) []string {
	var list []string
	for _, c := range v.Conflict {
		list = append(list, c.Rule)
	}
	return list
}

// Common practice, no source.
func TestPracticeCapPieces(t *testing.T) {
	t.Parallel()
	const first, last = 119 * 16, 370 * 16 // in 1/16 in
	step := 1
	if testing.Short() {
		step = 5
	}
	var runs []string
	for n := first; n <= last; n += step {
		runs = append(runs, run(fmt.Sprint(n), "peak", fmt.Sprintf("%d %d/16 in", n/16, n%16), ""))
	}
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
item cap_trim "cap"     { stock 10 ft }
item sealant  "sealant" { cartridge 10.1 floz  bead 3/8 in round }
detail d "" for edge peak {
  pieces cap of cap_trim along run { lap >= 4 in  length >= 24 in }
  bead lap_seal of sealant at each lap of cap { length = 14 in }
}`, jobOf(runs...))
	assert.Empty(t, r.Violations)
	pieces := map[string]int{}
	for _, p := range r.Pieces {
		run := r.Placements[r.Scopes[p.Scope].Placement].Run
		pieces[run.ID]++
		length := new(big.Rat).Sub(inches(p.To), inches(p.From))
		assert.GreaterOrEqual(t, length.Cmp(big.NewRat(24, 1)), 0, "run %s: a piece under 24 in", run.Length)
		if p.N > 1 {
			assert.GreaterOrEqual(t, inches(p.Lap).Cmp(big.NewRat(4, 1)), 0, "run %s: a lap under 4 in", run.Length)
		}
	}
	laps := 0
	for n := first; n <= last; n += step {
		fewest := 1 // of 120 in; each further piece adds at most 116 in
		for 120*16+(fewest-1)*116*16 < n {
			fewest++
		}
		laps += fewest - 1
		assert.Equal(t, fewest, pieces[fmt.Sprint(n)], "a run of %d/16 in", n)
	}
	assert.Len(t, r.Beads, laps, "sealant in each lap")
}

// Common practice, no source.
func TestPracticeRivets(t *testing.T) {
	const book = `book "table" { edition "1" mark 1/32 in }
detail d "" for edge peak {
  row rivets in each panel { spacing <= 18 in  clear >= 2 in from rib }
}`
	one := lay(t, book, jobOf(panelled("12", "24 in", "12 in"), panelled("15 1/2", "31 in", "15 1/2 in"), panelled("18", "36 in", "18 in")))
	assert.Empty(t, one.Violations)
	assert.Equal(t, []string{"6 in", "18 in"}, stations(one, "12", "rivets"))
	assert.Equal(t, []string{"7.75 in", "23.25 in"}, stations(one, "15 1/2", "rivets"))
	assert.Equal(t, []string{"9 in", "27 in"}, stations(one, "18", "rivets"))

	two := lay(t, book, jobOf(panelled("18 1/16", "18 1/16 in", "18 1/16 in"), panelled("24", "24 in", "24 in")))
	assert.Empty(t, two.Violations)
	assert.Len(t, stations(two, "18 1/16", "rivets"), 2)
	assert.Equal(t, []string{"6 in", "18 in"}, stations(two, "24", "rivets"))
}

// Common practice, no source.
func TestPracticeRibSeal(t *testing.T) {
	r := lay(t, `book "table" { edition "1" }
item sealant "sealant" { cartridge 10.1 floz  bead 3/8 in round }
detail d "" for edge peak { bead rib_seal of sealant at each rib { length = 2 * rib.height + rib.width } }`,
		jobOf(run("peak-1", "peak", "31 ft 4 in", `, "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"}, "panels": {"first": "7 in"}`)))
	assert.Len(t, r.Beads, 21, "ribs at 7 in and every 18 in to 367 in")
	for _, b := range r.Beads {
		assert.Equal(t, "4.25 in", b.Length.String(), "up, over and down: 1 3/4 + 3/4 + 1 3/4 in")
	}
}

// Common practice, no source.
func TestPracticeOrderOfWork(t *testing.T) {
	r := lay(t, `book "table" { edition "1" }
item trim "trim" { stock 10 ft }
detail d "" for edge peak {
  pieces cleat of trim along run { }
  strip tape along run { }
  bead rib_seal along run { }
  pieces cap of trim along run { lap >= 4 in }
  row rivets along run { spacing <= 18 in }
  step "Fix the cleat" sets cleat
  step "Set the closure in tape" sets tape
  step "Seal the ribs" sets rib_seal
  step "Hook the cap on" sets cap
  hold "Look at it before it is riveted"
  step "Rivet the cap" sets rivets
  caution "Clean off drill shavings at once."
}`, jobOf(run("peak-1", "peak", "20 ft", "")))
	var steps []string
	for i, s := range r.Steps {
		assert.Equal(t, i+1, s.N)
		assert.Equal(t, i == 4, s.Hold)
		steps = append(steps, s.Text)
	}
	assert.Equal(t, []string{"Fix the cleat", "Set the closure in tape", "Seal the ribs", "Hook the cap on", "Look at it before it is riveted", "Rivet the cap"}, steps)
	require.NotEmpty(t, r.Cautions)
	assert.Equal(t, "Clean off drill shavings at once.", r.Cautions[0])
}

// IRC 2015, R905.2.8.5: drip edge laps at least 2 in, fasteners at most 12 in on centre.
func TestDripEdge(t *testing.T) {
	count(t, "spacing <= 12 in end = 0 in", map[string]int{"10 ft": 11, "119 15/16 in": 11, "120 1/16 in": 12})
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
item edge "drip edge" { stock 10 ft }
detail d "" for edge eave { pieces edge of edge along run { lap >= 2 in } }`, jobOf(run("a", "eave", "238 in", ""), run("b", "eave", "238 1/16 in", "")))
	assert.Len(t, piecesOf(r, "a", "edge"), 2)
	assert.Len(t, piecesOf(r, "b", "edge"), 3)
}

// UFGS 07 60 00 (earlier 07600), 3.1.16: the same at most 10 in.
func TestDripEdgeTenInches(t *testing.T) {
	count(t, "spacing <= 10 in end = 0 in", map[string]int{"10 ft": 13})
}

// IBC 2012, 1507.4.2: lapped unsealed panels from 3:12, sealed from 1/2:12, standing seam from 1/4:12.
func TestMetalRoofSlope(t *testing.T) {
	const book = `book "table" { edition "1" }
detail lapped "" for edge eave { require slope >= 3:12   row m along run { spacing <= 1 ft } }
detail sealed "" for edge peak { require slope >= 1/2:12 row m along run { spacing <= 1 ft } }
detail seam   "" for edge rake { require slope >= 1/4:12 row m along run { spacing <= 1 ft } }`
	at := func(a, b, c string) string {
		edge := func(kind, slope string) string {
			return fmt.Sprintf(`{"id": %q, "edge": %[1]q, "length": "10 ft", "slope": %q}`, kind, slope)
		}
		return jobOf(edge("eave", a), edge("peak", b), edge("rake", c))
	}
	assert.Empty(t, lay(t, book, at("3:12", "1/2:12", "1/4:12")).Violations, "the boundary passes")
	r := lay(t, book, at("2:12", "1/4:12", "1/8:12"))
	var broken []string
	for _, v := range r.Violations {
		broken = append(broken, v.Rule+" "+v.Required.Op+" "+v.Required.Text+", found "+v.Found.Text)
	}
	assert.Equal(t, []string{"lapped.require >= 3:12, found 2:12", "sealed.require >= 1/2:12, found 1/4:12", "seam.require >= 1/4:12, found 1/8:12"}, broken)
}

// IRC 2018, the shingle and shake valley clauses: flashing laps at its ends by at least 4 in.
func TestFlashingEndLap(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
item sheet "flashing" { stock 8 ft }
detail d "" for edge headwall { pieces flashing of sheet along run { lap >= 4 in } }`,
		jobOf(run("a", "headwall", "188 in", ""), run("b", "headwall", "188 1/16 in", "")))
	assert.Empty(t, r.Violations)
	assert.Len(t, piecesOf(r, "a", "flashing"), 2, "96 + 96 - 4 in")
	assert.Len(t, piecesOf(r, "b", "flashing"), 3)
}

// UFGS 07600, 3.1.23: valley metal laps at least 6 in with the flow, cleats at most 12 in apart.
func TestValleyMetal(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
item sheet "valley sheet" { stock 10 ft }
detail d "" for edge valley {
  pieces metal of sheet along run { lap >= 6 in }
  row cleats along each side { spacing <= 12 in }
}`, jobOf(`{"id": "v", "edge": "valley", "length": "28 ft 6 in", "sides": [{"id": "lake", "slope": "6:12"}, {"id": "road", "slope": "6:12"}]}`))
	assert.Empty(t, r.Violations)
	metal := piecesOf(r, "v", "metal")
	require.Len(t, metal, 3, "120 + 2 x (120 - 6) = 348 in cover 342 in, 234 in don't")
	for i, p := range metal {
		assert.Equal(t, i+1, int(p.N), "numbered from the low end, so that each upper piece laps over the one before")
		if i > 0 {
			assert.Positive(t, p.From.Cmp(metal[i-1].From))
			assert.GreaterOrEqual(t, p.Lap.Cmp(units.MustParse("6 in")), 0)
		}
	}
	assert.Len(t, stations(r, "v", "cleats"), 2*29, "342 in at 12 in: 28 1/2, so 29 on each side")
}

// UFGS 07600, 3.1.15.1: an edge strip is nailed at most 6 in apart to wood, screwed at most 12 in apart to masonry.
func TestEdgeStrip(t *testing.T) {
	const book = `book "table" { edition "1" mark 1/16 in }
detail d "" for edge eave {
  input ground: choice of wood, masonry = wood
  row strip along run { spacing <= 6 in when ground is wood  spacing <= 12 in when ground is masonry  end = 0 in }
}`
	on := func(ground string) string {
		return `{"name": "table", "runs": [` + run("a", "eave", "10 ft", "") + `], "use": [{"detail": "d", "runs": ["a"], "inputs": {"ground": "` + ground + `"}}]}`
	}
	assert.Len(t, lay(t, book, on("wood")).Marks, 21)
	assert.Len(t, lay(t, book, on("masonry")).Marks, 11)
}

// UFGS 07600: a gravel stop is nailed at most 3 in apart in two staggered rows.
func TestGravelStop(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
detail d "" for edge eave {
  row front along run { spacing <= 3 in }
  row back  along run { spacing <= 3 in  clear >= 1 in from front }
}`, jobOf(run("a", "eave", "10 ft", "")))
	assert.Empty(t, r.Violations)
	front, back := stations(r, "a", "front"), stations(r, "a", "back")
	assert.Len(t, front, 40)
	assert.GreaterOrEqual(t, len(back), 40)
	for _, b := range back {
		for _, f := range front {
			apart := new(big.Rat).Sub(inches(units.MustParse(b)), inches(units.MustParse(f)))
			assert.GreaterOrEqual(t, apart.Abs(apart).Cmp(big.NewRat(1, 1)), 0, "%s and %s", b, f)
		}
	}
}

// UFGS 07612: in high wind, attachments are 4 to 6 in apart and at most 1 in from each end.
func TestHighWind(t *testing.T) {
	count(t, "spacing >= 4 in spacing <= 6 in end <= 1 in", map[string]int{"10 ft": 21})
}

// UFGS 07600: receivers are fastened at most 24 in apart, reglet wedges at most 18 in.
func TestReceiversAndWedges(t *testing.T) {
	count(t, "spacing <= 24 in", map[string]int{"10 ft": 5, "24 in": 1, "24 1/16 in": 2})
	count(t, "spacing <= 18 in", map[string]int{"10 ft": 7, "18 in": 1, "18 1/16 in": 2})
}

// UFC 3-110-03 (2006), 4-8: clips at most 5 ft apart in the field, 30 in in edge and corner zones.
func TestClips(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in zones edge, corner }
detail d "" for edge rake {
  row clips along run {
    spacing <= 5 ft
    spacing <= 30 in when zone is edge or zone is corner
  }
}`, jobOf(run("a", "rake", "30 ft", `, "zones": [{"kind": "edge", "from": "0 in", "to": "4 ft"}, {"kind": "corner", "from": "26 ft", "to": "30 ft"}]`)))
	assert.Empty(t, r.Violations)
	at := stations(r, "a", "clips")
	// By hand: an end gap of 15 in, then 30 in twice, brings the third clip to 75 in at most, and from the far end to
	// 285 in at least; the 210 in between take three more.
	require.Len(t, at, 9)
	for i := 1; i < len(at); i++ {
		from, to := inches(units.MustParse(at[i-1])), inches(units.MustParse(at[i]))
		most := big.NewRat(60, 1)
		if from.Cmp(big.NewRat(48, 1)) <= 0 || to.Cmp(big.NewRat(312, 1)) >= 0 {
			most = big.NewRat(30, 1)
		}
		assert.LessOrEqual(t, new(big.Rat).Sub(to, from).Cmp(most), 0, "%s to %s", at[i-1], at[i])
	}
}

// A copper flashing handbook, 2nd ed. 1925: cleats at most 12 in apart, two nails in each.
func TestCleatNails(t *testing.T) {
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
detail d "" for edge eave {
  row cleats along run { spacing <= 12 in }
  row nails at each mark of cleats { count = 2  spacing = 1 in }
}`, jobOf(run("a", "eave", "23 ft", "")))
	cleats, nails := stations(r, "a", "cleats"), stations(r, "a", "nails")
	assert.Len(t, cleats, 23)
	assert.Len(t, nails, 46)
	for i, c := range cleats {
		at := inches(units.MustParse(c))
		assert.Equal(t, at, new(big.Rat).Add(inches(units.MustParse(nails[2*i])), big.NewRat(1, 2)))
		assert.Equal(t, at, new(big.Rat).Sub(inches(units.MustParse(nails[2*i+1])), big.NewRat(1, 2)))
	}
}

// The same handbook: eave strips of at most 96 in lap 2 in, cap flashing of 8 ft laps 3 in, gutter of 10 ft laps 1 in.
func TestFlashingPieces(t *testing.T) {
	for _, c := range []struct {
		stock, lap, length string
		pieces             int
	}{
		{"96 in", "2 in", "480 in", 6},   // 96 + 5 x 94 = 566 in; with one fewer 472 in
		{"8 ft", "3 in", "1200 in", 13},  // 96 + 12 x 93 = 1212 in; with one fewer 1119 in
		{"10 ft", "1 in", "358 in", 3},   // 120 + 2 x 119 in, exactly
		{"10 ft", "1 in", "358.5 in", 4}, // and half an inch more
	} {
		r := lay(t, `book "table" { edition "1" mark 1/16 in }
item sheet "sheet" { stock `+c.stock+` }
detail d "" for edge eave { pieces p of sheet along run { lap >= `+c.lap+` } }`, jobOf(run("a", "eave", c.length, "")))
		assert.Empty(t, r.Violations)
		assert.Len(t, r.Pieces, c.pieces, "%s of %s", c.length, c.stock)
	}
}

// The same handbook: a 24 in sheet with upstands of 1 1/4 and 1 1/2 in covers 21 1/4 in.
func TestSheetCover(t *testing.T) {
	r := lay(t, `book "table" { edition "1" }
item sealant "sealant" { cartridge 10.1 floz  bead 1/4 in square }
detail d "" for edge eave {
  input sheet: length = 24 in
  let cover = sheet - 1 1/4 in - 1 1/2 in
  row seams along run { spacing = cover  end = cover }
  bead across of sealant at each mark of seams { length = cover }
}`, jobOf(run("a", "eave", "85 in", "")))
	assert.Empty(t, r.Violations)
	assert.Equal(t, []string{"21.25 in", "42.5 in", "63.75 in"}, stations(r, "a", "seams"))
	for _, b := range r.Beads {
		assert.Equal(t, "21.25 in", b.Length.String())
	}
}

// UFGS 07600, 3.1.26: expansion joints at most 40 ft apart in copper and stainless steel, 32 ft in aluminium, and one
// more where the tail exceeds half the interval.
func TestExpansionJoints(t *testing.T) {
	const stepped = "lay stepped spacing <= %[1]s end left <= %[1]s end right <= %[1]s / 2"
	count(t, fmt.Sprintf(stepped, "40 ft"), map[string]int{"99 ft": 2, "100 ft": 2, "1200 1/16 in": 3})
	count(t, fmt.Sprintf(stepped, "32 ft"), map[string]int{"80 ft": 2, "960 1/16 in": 3})
	r := lay(t, `book "table" { edition "1" mark 1/16 in }
detail d "" for edge eave { row joints along run { `+fmt.Sprintf(stepped, "40 ft")+` } }`, jobOf(run("a", "eave", "100 ft", "")))
	assert.Equal(t, []string{"480 in", "960 in"}, stations(r, "a", "joints"))
}

// AISI specification: screws at least three diameters apart and one and a half from an edge; a No. 10 is 0.190 in.
func TestScrewDistances(t *testing.T) {
	const book = `book "table" { edition "1" }
detail d "" for edge eave {
  input d: length = 0.190 in
  row screws along run { spacing >= 3 * d  end >= 1.5 * d  count = 2 }
}`
	r := lay(t, book, jobOf(run("a", "eave", "1.14 in", "")))
	assert.Empty(t, r.Violations)
	assert.Equal(t, []string{"0.285 in", "0.855 in"}, stations(r, "a", "screws"), "0.285 + 0.570 + 0.285 in")
	r = lay(t, book, jobOf(run("a", "eave", "1.139 in", "")))
	require.NotEmpty(t, r.Violations, "a thousandth less has no room for two")
	assert.Equal(t, "d.screws.count", r.Violations[0].Rule)
	assert.ElementsMatch(t, []string{"d.screws.spacing", "d.screws.end", "d.screws.count"}, conflictOf(r.Violations[0]))
}

// A copper association handbook: gutter brackets at most 36 in apart, 30 in in snow.
func TestGutterBrackets(t *testing.T) {
	count(t, "spacing <= 36 in end = 0 in", map[string]int{"40 ft": 15})
	count(t, "spacing <= 30 in end = 0 in", map[string]int{"40 ft": 17})
}

// A textbook's fence posts, 100 ft at 10 ft: the three ways to count ends.
func TestFencePosts(t *testing.T) {
	count(t, "spacing <= 10 ft end = 0 in", map[string]int{"100 ft": 11})
	count(t, "spacing <= 10 ft end = 10 ft", map[string]int{"100 ft": 9})
	count(t, "spacing <= 10 ft", map[string]int{"100 ft": 10})
}
