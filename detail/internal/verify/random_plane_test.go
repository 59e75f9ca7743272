package verify_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/stretchr/testify/require"
)

// TestRandomPlanes lays random details on the edges and fields of random planes and roofs, and holds each report
// against its rules and each run against its plane.
func TestRandomPlanes(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	n := 60
	if testing.Short() {
		n = 3
	}
	runs, scopes, limited, refused := 0, 0, 0, 0
	for i := range n {
		g := &generator{rand.New(rand.NewPCG(seed, uint64(i)))}
		source, job := g.planeBook(), g.planeJob()
		_, j, r, err := laid(t, source, job)
		if offPlane(err) {
			refused++
			continue
		}
		if errors.Is(err, detail.ErrLimit) {
			limited++
			continue
		}
		require.NoError(t, err, "%s\n%s", source, job)
		require.Empty(t, verify.Report(r, j), "seed %d, case %d\n%s\n%s", seed, i, source, job)
		runs, scopes = runs+len(r.Runs), scopes+len(r.Scopes)
	}
	t.Logf("%d jobs with %d runs and %d scopes; %d reached a limit, %d had a hole off the plane", n, runs, scopes, limited, refused)
	require.LessOrEqual(t, refused, 3+n/2)
	require.LessOrEqual(t, limited, 2+n/8)
	require.Greater(t, scopes, n*5)
}

// offPlane tells whether a random job was refused for a hole in a notch, or beside a hip.
func offPlane(err error) bool {
	return err != nil && strings.Contains(err.Error(), "outside the plane")
}

func (g *generator) planeBook() string {
	return fmt.Sprintf(`book "random" { edition "1" %s zones edge, corner }
item screw "screw" { pack 100 waste 5%% }
item trim "trim" { stock 10 ft kerf 1/8 in }
item tape "tape" { roll 50 ft }
item sealant "sealant" { cartridge 10.1 floz bead 3/8 in round }
detail edges "" for edge eave, rake, ridge, peak, hip, valley, headwall, sidewall, backpan {
  should require panel.width <= 20 in and panel.flat > 6 in
  pieces cap of trim along run { %s }
  row screws of screw along run { %s }
  row clips in each panel %s{ %s }
  strip tape of tape along each side { lap >= 1 in }
  bead seal of sealant at each %s { length = 2 * rib.height + rib.width }
  row rivets of screw at each lap of cap { }
}
detail field "" for field {
  require slope >= 3:12
  should require panel.width <= 20 in and rib.height > 1 in
  require penetration clear %s %s from %s
  should require penetration clear >= %s from %s
  row clips of screw along each %s { %s %s}
  row tacks of screw at each mark of clips { count = 2 spacing = 1 in %s}
  strip felt of tape along each rib { lap >= 1 in extend = 1 in }
  pieces batten of trim along each 2nd rib { lap >= 2 in }
  row boots of screw around each penetration %s{ %s %s %s %s }
  row nails at each mark of boots { %s}
  row middles at each gap of boots { }
  row fill of screw in each gap of boots { spacing <= %s }
  bead bed of sealant around each penetration { offset = %s }
  bead collar of sealant at each penetration %s{ length = 4 * penetration.width }
  row pegs at each penetration { %s}
}`, g.any("mark 1/16 in", "mark 1/8 in", ""), g.pieces(), strings.ReplaceAll(g.row(), "screws", "zone"), g.maybe(3, "when panel.width > 10 in"), g.row(),
		g.any("rib", "2nd rib"),
		g.any(">=", ">"), g.inches(0, 12), g.any("rib", "penetration", "end"), g.inches(2, 20), g.any("eave", "rake", "hip", "valley", "ridge", "end", "rib"),
		g.any("rib", "2nd rib", "3rd rib from rib 2"), fieldRow(g.row()), "",
		g.maybe(2, "offset = 1/2 in"), g.maybe(5, "when penetration.width > 4 in"),
		"spacing <= "+g.inches(1, 9), g.maybe(2, "spacing <= "+g.inches(1, 6)+" "+g.when()), g.maybe(3, "spacing >= "+g.inches(1, 2)+" count >= "+fmt.Sprint(1+g.IntN(8))),
		g.maybe(2, "offset = "+g.any("penetration.width / 3", g.inches(0, 9))), g.maybe(2, "count = 2 spacing = 1/2 in"), g.inches(1, 4), g.inches(0, 3),
		g.maybe(3, "when zone is edge"), g.maybe(2, "offset = "+g.any("", "-")+g.inches(0, 30)+" ")+g.maybe(3, "count = 2 spacing = 3 in"))
}

// fieldRow is a row for the field, where there is no rib to cross and no other element.
func fieldRow(s string) string {
	return strings.NewReplacer("from rib", "from end", "lap of cap", "penetration", "screws", "zone").Replace(s)
}

// planeJob is a job of roofs and planes with holes in them.
func (g *generator) planeJob() string {
	zones := fmt.Sprintf(`"zones": [{"kind": "edge", "within": "%s", "of": ["eave", "ridge", "valley"]},
      {"kind": "corner", "within": "%s", "of": ["eave", "rake", "hip", "ridge", "peak"], "corners": true}]`, g.inches(12, 60), g.inches(12, 60))
	panels := func() string { return fmt.Sprintf(`"panels": {"first": "%s"}`, g.inches(1, 16)) }
	holes := func(width, height int, plane string) string {
		width, height = max(width, 40), max(height, 40)
		x, y := 10+g.IntN(width-20), 10+g.IntN(height-20)
		list := []string{fmt.Sprintf(`{%s"id": "pipe-1", "kind": "pipe", "x": "%d in", "y": "%d.%d in", "diameter": "%s"}`, plane, x, y, g.IntN(10), g.inches(2, 8))}
		if g.IntN(2) == 0 {
			list = append(list, fmt.Sprintf(`{%s"id": "hatch", "kind": "%s", "x": "%d in", "y": "%d in", "width": "%s", "length": "%s"}`, plane,
				g.any("curb", "vent"), 5+g.IntN(width-10), 5+g.IntN(height-10), g.inches(6, 30), g.inches(6, 30)))
		}
		return `"penetrations": [` + strings.Join(list, ", ") + `]`
	}
	long, wide := 150+g.IntN(150), 80+g.IntN(60)
	roof := ""
	switch shape := g.any("single", "gable", "hip", "gable-valley"); shape {
	case "single":
		roof = holes(long, wide, "")
	case "gable-valley":
		roof = fmt.Sprintf(`"wing": {"from": "%d in", "width": "%d in", "length": "%d in"}, `, 30+g.IntN(30), 30+g.IntN(30), 20+g.IntN(60)) + holes(long, wide/2, `"plane": "back", `)
		roof = `"shape": "gable-valley", ` + roof
	default:
		roof = holes(long-wide, wide/2, `"plane": "front", `)
		roof = fmt.Sprintf(`"shape": "%s", `, shape) + roof
	}
	if !strings.Contains(roof, "shape") {
		roof = `"shape": "single", ` + roof
	}
	// A plane with a notch, its upper edge a hip and a valley; its ridge is shared with another.
	a, b := 100+g.IntN(100), 60+g.IntN(100)
	notched := fmt.Sprintf(`{"id": "lake", "slope": "%d:12", %s, %s, %s, "outline": [
     {"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "%d in", "y": "0 in", "edge": "valley"}, {"x": "%d in", "y": "%d in", "edge": "valley"},
     {"x": "%d in", "y": "0 in", "edge": "eave"}, {"x": "%d in", "y": "0 in", "edge": "hip"}, {"x": "%d in", "y": "%d in", "edge": "ridge", "id": "top"},
     {"x": "20 in", "y": "%d in", "edge": "rake"}, {"x": "20 in", "y": "%d in", "edge": "headwall"}, {"x": "0 in", "y": "%d in", "edge": "rake"}]}`,
		1+g.IntN(8), panels(), zones, holes(a, b, ""), a/4, a/2, b/2, 3*a/4, a+20, a, b, b, b/2, b/2)
	other := fmt.Sprintf(`{"id": "road", "slope": "4:12", %s, "outline": [{"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "%d in", "y": "0 in", "edge": "rake"},
     {"x": "%d in", "y": "%s", "edge": "ridge", "id": "top"}, {"x": "0 in", "y": "%[4]s", "edge": "rake"}]}`, panels(), a-20, a-20, g.inches(40, 120))
	return fmt.Sprintf(`{"name": "random", "profile": {"cover": "%s", "rib_width": "%s", "rib_height": "1 3/4 in"},
  "planes": [%s, %s],
  "roofs": [{"id": "shed", %s, "length": "%d in", "width": "%d in", "slope": "%d:12", "overhang": "%s", %s, %s}]}`,
		g.inches(16, 24), g.any("3/4 in", "1 1/16 in", "1 in"), notched, other, roof, long, wide, 2+g.IntN(10), g.inches(0, 12), panels(), zones)
}
