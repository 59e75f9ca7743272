package detail_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The table of published quantities, each by a rule book and a job.

// used gives the one use of a job its inputs.
func used(job, inputs string) string {
	return strings.TrimSuffix(job, "}") + `, "use": [{"detail": "d", "inputs": {` + inputs + `}}]}`
}

// Cyclopedia of Architecture, Carpentry and Building: tin sheets of 14 by 20 in with edges of 1/2 in cover 13 by 19 in,
// 247 square inches.
func TestTinSheets(t *testing.T) {
	for squareFeet, sheets := range map[string]string{"100": "59", "200": "117", "500": "292", "680": "397", "1000": "583"} {
		r := lay(t, `book "quantities" { edition "1" }
item sheet "14 x 20 in sheet" { }
detail d "" for edge eave {
  input area: number = 100
  let cover = (14 in - 2 * 1/2 in) / 1 in * ((20 in - 2 * 1/2 in) / 1 in)
  row sheets of sheet along run { count = ceil(area * 144 / cover) }
}`, used(jobOf(run("a", "eave", "100 ft", "")), `"area": `+squareFeet))
		assert.Empty(t, r.Violations)
		require.Len(t, r.Takeoff, 1)
		assert.Equal(t, sheets, r.Takeoff[0].Packs.String(), "%s sq ft", squareFeet)
	}
}

// Arithmetic: 10.1 floz are 18.227 cubic inches, and a bead is as long as they last.
func TestBeadYield(t *testing.T) {
	for bead, want := range map[string]string{"1/4 in round": "30.94", "3/8 in round": "13.75", "1/4 in square": "24.30", "1/4 in by 1/8 in": "48.60"} {
		r := lay(t, `book "quantities" { edition "1" }
item sealant "sealant" { cartridge 10.1 floz  bead `+bead+` }
detail d "" for edge eave { bead seal of sealant along run { } }`, jobOf(run("a", "eave", "30 ft", "")))
		q := r.Takeoff[0]
		assert.Equal(t, want, q.Yield.RoundDown(2).StringFixed(2), bead)
		// As many cartridges as 30 ft take, and no more.
		feet := q.Packs.Mul(q.Yield)
		assert.GreaterOrEqual(t, feet.InexactFloat64(), 30.0, bead)
		assert.Less(t, feet.Sub(q.Yield).InexactFloat64(), 30.0, bead)
	}
}

// Building Trades Pocketbook: openings under 50 square feet are not deducted, of those from 50 to 100 half is, of
// larger ones all. Where sources disagree the rule book decides: this one follows the pocketbook.
func TestDeductedOpenings(t *testing.T) {
	for opening, squares := range map[string]string{"49": "1000", "50": "975", "80": "960", "100": "950", "101": "899", "200": "800"} {
		r := lay(t, `book "quantities" { edition "1" }
item sheet "sheet of a square foot" { }
detail d "" for edge eave {
  input area: number = 1000
  input opening: number = 0
  row sheets of sheet along run {
    count = ceil(area)               when opening < 50
    count = ceil(area - opening / 2) when opening >= 50 and opening <= 100
    count = ceil(area - opening)     when opening > 100
  }
}`, used(jobOf(run("a", "eave", "100 ft", "")), `"opening": `+opening))
		assert.Empty(t, r.Violations)
		assert.Equal(t, squares, r.Takeoff[0].Net.String(), "an opening of %s sq ft", opening)
	}
}

// A strip of tape laps where one roll ends and the next starts. Worked by hand: 120 ft from rolls of 50 ft with laps of
// 1 in take three strips, 120 ft 2 in of tape; 5 % more are 126 ft 2 1/10 in: three rolls.
func TestRollsWithLaps(t *testing.T) {
	r := lay(t, `book "quantities" { edition "1" }
item tape "tape" { roll 50 ft  waste 5% }
detail d "" for edge eave { strip tape of tape along run { lap >= 1 in } }`, jobOf(run("a", "eave", "120 ft", "")))
	assert.Len(t, r.Strips, 3)
	q := r.Takeoff[0]
	assert.Equal(t, []string{"1442", "72.1", "1514.1", "600", "3"}, []string{q.Net.String(), q.Waste.String(), q.Gross.String(), q.Pack.String(), q.Packs.String()})
}

// Worked by hand: 10 ft of 14 in girth are 1,680 square inches of sheet; in millimetres 2.5 m of 350 mm are 875,000.
func TestSheetArea(t *testing.T) {
	area := func(item, length string) string {
		r := lay(t, `book "quantities" { edition "1" }
item trim "trim" { `+item+` }
detail d "" for edge eave { pieces trim of trim along run { } }`, jobOf(run("a", "eave", length, "")))
		return r.Takeoff[0].Area.String() + " sq " + r.Takeoff[0].Unit
	}
	assert.Equal(t, "1680 sq in", area("stock 10 ft  girth 14 in", "8 ft"), "of the stock that is cut")
	assert.Equal(t, "1344 sq in", area("girth 14 in", "8 ft"))
	assert.Equal(t, "1478.4 sq in", area("girth 14 in  waste 10%", "8 ft"))
	assert.Equal(t, "875000 sq mm", area("stock 2.5 m  girth 350 mm", "2 m"))
	assert.Equal(t, "889000 sq mm", area("stock 100 in  girth 350 mm", "2 m"), "all in mm where one length has no finite inches")
}

// TestSumsHold lays random trims: what is cut, the kerfs and the offcuts are the stock used, no left-over is cut that
// there isn't, every piece is cut once, and what stays is listed: by the verifier, for each job and all together.
func TestSumsHold(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	g := rand.New(rand.NewPCG(seed, 0))
	jobs := 200
	if testing.Short() {
		jobs = 15
	}
	for range jobs {
		var lengths []string
		for range 1 + g.IntN(20) {
			lengths = append(lengths, fmt.Sprintf("%d/16 in", 16+g.IntN(119*16)))
		}
		stock := []string{"stock 10 ft", "stock 10 ft kerf 1/8 in", "stock 10 ft price 20 stock 12 ft price 23.5 kerf 1/16 in", "stock 12 ft stock 3 m stock 8 ft kerf 3 mm"}[g.IntN(4)]
		leftover := ""
		if g.IntN(2) > 0 {
			leftover = fmt.Sprintf(`{"item": "trim", "length": "%d/16 in", "count": %d}`, 16+g.IntN(1900), 1+g.IntN(3))
		}
		var reports []string
		for i := range 1 + g.IntN(3) {
			reports = append(reports, jobNamed(fmt.Sprint("job ", i), leftover, eaves(lengths...)...))
		}
		addUp(t, trims(stock), reports...)
		if t.Failed() {
			t.Fatalf("%s\n%v\n%s", stock, lengths, leftover)
		}
	}
}
