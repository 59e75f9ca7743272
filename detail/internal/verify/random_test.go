package verify_test

import (
	"context"
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

// TestRandom lays random details on random runs and holds each report against its rules.
func TestRandom(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	n := 100
	if testing.Short() {
		n = 4
	}
	scopes, broken, limited := 0, 0, 0
	for i := range n {
		g := &generator{rand.New(rand.NewPCG(seed, uint64(i)))}
		source, job := g.book(), g.job()
		_, j, r, err := laid(t, source, job)
		if errors.Is(err, detail.ErrLimit) {
			limited++
			continue
		}
		require.NoError(t, err, "%s\n%s", source, job)
		require.Empty(t, verify.Report(r, j), "seed %d, case %d\n%s\n%s", seed, i, source, job)
		twice := []*detail.Report{r, r}
		sum, err := detail.AddUp(context.Background(), twice...)
		require.NoError(t, err)
		require.Empty(t, verify.Takeoff(sum, twice...), "seed %d, case %d\n%s\n%s", seed, i, source, job)
		type place struct {
			run, side, element string
			scope              detail.ScopeRef
		}
		places := map[place]bool{}
		for _, v := range r.Violations {
			places[place{v.Run, v.Side, v.Element, v.Scope}] = true
		}
		scopes, broken = scopes+len(r.Scopes), broken+len(places)
	}
	t.Logf("%d jobs with %d scopes, %d of which can't keep every rule; %d jobs reached a limit", n, scopes, broken, limited)
	require.LessOrEqual(t, limited, 3+n/8)
	if !testing.Short() {
		require.Greater(t, broken, scopes/50)
		require.Less(t, broken, scopes/2)
	}
}

type generator struct{ *rand.Rand }

// inches is a length from a to b inches, most often on sixteenths.
func (g *generator) inches(a, b int) string {
	if n := 16*a + g.IntN(16*(b-a)+1); g.IntN(8) > 0 {
		return fmt.Sprintf("%d %d/16 in", n/16, n%16)
	}
	return fmt.Sprintf("%d.%03d in", a+g.IntN(b-a), g.IntN(1000))
}

func (g *generator) any(of ...string) string { return of[g.IntN(len(of))] }

// maybe is a text, one time in n.
func (g *generator) maybe(n int, text string) string {
	if g.IntN(n) > 0 {
		return ""
	}
	return text + " "
}

func (g *generator) when() string {
	return g.maybe(3, "when "+g.any("zone is corner", "not zone is edge", "slope < 4:12", "run.length > 20 ft", "zone is edge or zone is corner"))
}

func (g *generator) row() string {
	s := g.any("", "", "", "lay stepped ", "lay centered ")
	s += "spacing <= " + g.inches(3, 30) + " "
	s += g.maybe(3, "spacing "+g.any("<=", "<")+" "+g.inches(3, 12)+" "+g.when())
	s += g.maybe(4, "spacing >= "+g.inches(1, 4)+" ")
	s += g.maybe(4, "should spacing <= "+g.inches(2, 12)+" ")
	s += g.maybe(4, g.any("end", "end left", "end right")+" "+g.any("<=", "<=", ">=")+" "+g.inches(1, 6)+" "+g.when())
	s += g.maybe(3, "count "+g.any(">=", ">", "<=", "=")+" "+fmt.Sprint(2+g.IntN(5))+" "+g.when())
	s += g.maybe(2, "clear >= "+g.inches(1, 3)+" from rib "+g.when())
	s += g.maybe(5, "clear > "+g.inches(1, 3)+" from "+g.any("end", "zone", "penetration")+" ")
	s += g.maybe(3, "should clear >= "+g.inches(1, 3)+" from "+g.any("lap of cap", "screws", "zone")+" "+g.when())
	return s
}

func (g *generator) pieces() string {
	s := g.any("", "", "lay even ")
	s += "lap >= " + g.inches(1, 8) + " "
	s += g.maybe(3, "length >= "+g.inches(6, 30)+" "+g.when())
	s += g.maybe(4, "length <= "+g.inches(40, 100)+" ")
	s += g.maybe(2, "clear >= "+g.inches(1, 4)+" from rib "+g.when())
	s += g.maybe(4, "should clear >= "+g.inches(1, 8)+" from "+g.any("rib", "end", "zone", "penetration")+" ")
	s += g.maybe(3, "should lap >= "+g.inches(4, 12)+" "+g.when())
	s += g.maybe(2, "extend = "+g.inches(1, 3)+" ")
	s += g.maybe(4, "extend "+g.any("left", "right")+" = -"+g.inches(0, 1)+" when end.kind is wall ")
	return s
}

func (g *generator) book() string {
	return fmt.Sprintf(`book "random" { edition "1" %s zones edge, corner }
item screw "screw" { pack %d waste %d%% }
item trim "trim" { %s %s %s}
item tape "tape" { roll %s }
item sealant "sealant" { cartridge 10.1 floz bead 3/8 in %s waste 10%% }
detail d "" for edge peak, ridge, transition {
  require slope >= 3:12
  should require panel.width <= 20 in and panel.flat > 6 in
  pieces cap of trim along run { %s }
  row screws of screw along run { %s }
  row clips in each panel %s{ %s }
  row sides along each side { %s }
  pieces parts of trim in each panel { %s }
  strip tape of tape along run { lap >= %s %s}
  bead seal of sealant at each %s { length = 2 * rib.height + rib.width %s}
  strip gasket of tape in each panel { length = scope.length + 1 in %s%s}
  bead caulk of sealant in each gap of screws { %s%s}
  row pins of screw at each end { %s%s}
  row tags at each mark of pins { }
  row ties of screw in each gap of pins { spacing <= 20 in }
  row rivets of screw at each lap of cap { count = 3 spacing = %s %s}
  row bits along each piece of cap { %s }
  row pegs at each gap of clips { should clear >= 1 in from rib }
}`, g.any("mark 1/16 in", "mark 1/8 in", ""), 1+g.IntN(100), g.IntN(20), g.stock(), g.maybe(2, "kerf 1/8 in"), g.maybe(3, "girth "+g.inches(6, 20)+g.maybe(2, " movement 0.08 in per 10 ft per 100 F")),
		g.inches(40, 200), g.any("round", "square"), g.pieces(), strings.ReplaceAll(g.row(), "screws", "zone"), g.maybe(3, "when panel.width > 10 in"), g.row(), g.row(),
		g.pieces(), g.inches(1, 4), g.maybe(2, "extend = 1 in"), g.any("rib", "2nd rib", "3rd rib from rib 2"), g.maybe(2, "offset = 1/2 in"),
		g.maybe(2, "length <= "+g.inches(6, 24)+" "+g.when()), g.maybe(3, "should length > "+g.inches(6, 20)),
		g.maybe(2, "length < "+g.inches(4, 24)), g.maybe(3, "length >= "+g.inches(1, 4)+" "+g.when()),
		g.maybe(2, "offset = "+g.any("", "-")+g.inches(0, 3)+" "), g.any("", "count = 2 ", "count = 3 spacing = "+g.inches(1, 3)+" "),
		g.inches(1, 3), g.maybe(2, "clear >= 1 in from rib"), g.row())
}

func (g *generator) stock() string {
	return g.any("stock 10 ft", "stock 96 in", "stock 2500 mm", "stock 8 ft  stock 12 ft",
		fmt.Sprintf("stock 10 ft price %d.50  stock 8 ft price %d  stock 3 m price 24.25", 15+g.IntN(15), 12+g.IntN(12)))
}

// leftovers are in one job of two.
func (g *generator) leftovers() string {
	return g.maybe(2, fmt.Sprintf(`, "stock": [{"item": "trim", "length": "%s"}, {"item": "trim", "length": "1 m", "count": %d}]`,
		g.inches(10, 130), 1+g.IntN(4))) + g.maybe(3, `, "heat": "`+g.any("140 F", "60 K", "33.3 F")+`"`)
}

func (g *generator) job() string {
	panels := func() string { return `"panels": {"first": "` + g.inches(1, 16) + `"}` }
	marks := func(length int) string {
		zone, flue := g.IntN(length/2), g.IntN(length/2)
		s := fmt.Sprintf(`"zones": [{"kind": "corner", "from": "0 in", "to": "%d in"}, {"kind": "edge", "from": "%d in", "to": "%d in"}]`, 1+zone, zone, length/2+zone)
		if g.IntN(2) == 0 {
			s += fmt.Sprintf(`, "obstacles": [{"id": "flue", "kind": "penetration", "from": "%d in", "to": "%d.5 in"}]`, flue, flue+g.IntN(length/3))
		}
		return s
	}
	// A transition has a profile of its own on each side, listed ribs above, and a hatch below only.
	c := 20 + g.IntN(150)
	hatch := g.IntN(c / 2)
	transition := fmt.Sprintf(`{"id": "break", "edge": "transition", "length": "%d in", "sides": [
    {"id": "above", "role": "upper", "slope": "%d:12", "panels": {"ribs": ["0 in", "%d in", "%d in"]}},
    {"id": "below", "role": "lower", "slope": "%d:12", %s, "profile": {"cover": "17 in", "rib_width": "1/2 in", "rib_height": "1 in"}}],
    "obstacles": [{"id": "hatch", "kind": "penetration", "side": "below", "from": "%d in", "to": "%d in"}, {"id": "mast", "kind": "penetration", "from": "%d in", "to": "%d in"}]}`,
		c, 1+g.IntN(6), 1+g.IntN(c/2), c/2+1+g.IntN(c/2), 1+g.IntN(6), panels(), hatch, hatch+4, hatch+3, hatch+9)
	a, b := 20+g.IntN(300), 20+g.IntN(200)
	return fmt.Sprintf(`{"name": "random", "profile": {"cover": "%s", "rib_width": "%s", "rib_height": "1 3/4 in"}, "runs": [
  {"id": "peak", "edge": "peak", "length": "%d 3/16 in", "slope": "%d:12", %s, "ends": ["rake", "wall"], %s},
  {"id": "ridge", "edge": "ridge", "length": "%d in", "sides": [{"id": "lake", "slope": "%d:12", %s}, {"id": "road", "slope": "%d:12", %s}], %s},
  %s]%s}`,
		g.inches(16, 24), g.any("3/4 in", "1 1/16 in"), a, 1+g.IntN(6), panels(), marks(a), b, 1+g.IntN(6), panels(), 1+g.IntN(6), panels(), marks(b), transition, g.leftovers())
}
