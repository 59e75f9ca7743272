package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An element is one of a drawing, read by the XML reader of the standard library.
type element struct {
	name     string
	attr     map[string]string
	text     string
	parent   *element
	children []*element
}

func (e *element) title() string {
	for _, c := range e.children {
		if c.name == "title" {
			return c.text
		}
	}
	return ""
}

// up is the nearest ancestor that has an attribute.
func (e *element) up(attr string) *element {
	for e = e.parent; e != nil && e.attr[attr] == ""; e = e.parent {
	}
	return e
}

// read reads a drawing; one that is not well-formed fails the test.
func read(t testing.TB, src []byte) (all []*element) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(src))
	if bytes.HasPrefix(src, []byte("<!DOCTYPE html>")) {
		d.Strict, d.AutoClose = false, xml.HTMLAutoClose
	}
	var in *element
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			e := &element{name: token.Name.Local, attr: map[string]string{}, parent: in}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			if in != nil {
				in.children = append(in.children, e)
			}
			all, in = append(all, e), e
		case xml.EndElement:
			in = in.parent
		case xml.CharData:
			if in != nil {
				in.text += string(token)
			}
		}
	}
	return all
}

func svg(t testing.TB, o Options, r *detail.Report) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, o.SVG(&b, r))
	return b.Bytes()
}

// station is the place of an x of a row in ticks: 96 px are an inch of paper.
func station(t testing.TB, row *element, x string) *big.Rat {
	t.Helper()
	ratio, ok := new(big.Rat).SetString(row.attr["data-ratio"])
	require.True(t, ok)
	at, ok := new(big.Rat).SetString(x)
	require.True(t, ok, x)
	at.Mul(at, ratio).Mul(at, big.NewRat(units.TicksPerInch, 96))
	return at.Add(at, units.MustParse(row.attr["data-from"]).Rat())
}

// near tells whether a place of a row is a station to a hundredth of a pixel.
func near(t testing.TB, row *element, x string, want units.Length) bool {
	t.Helper()
	ratio, _ := new(big.Rat).SetString(row.attr["data-ratio"])
	hundredth := ratio.Mul(ratio, big.NewRat(units.TicksPerInch, 9600))
	d := station(t, row, x)
	return d.Sub(d, want.Rat()).Abs(d).Cmp(hundredth) <= 0
}

// drawn are the stations of the marks, or of the beads, of a drawing, from their titles; each stands there.
func drawn(t testing.TB, all []*element, symbol string) (list []units.Length) {
	t.Helper()
	for _, e := range all {
		if e.name != "use" || e.attr["tabindex"] == "" || !strings.HasPrefix(e.attr["href"], symbol) {
			continue
		}
		title, _, _ := strings.Cut(e.title(), ", ")
		at, err := units.Parse(title)
		require.NoError(t, err)
		if !near(t, e.up("data-ratio"), e.attr["x"], at) {
			require.Fail(t, "a mark is off its station", "%s is at x=%s", e.title(), e.attr["x"])
		}
		list = append(list, at)
	}
	slices.SortFunc(list, units.Length.Cmp)
	return list
}

// stationsOf are those of the report, of rows or of beads at features.
func stationsOf(r *detail.Report) (marks, beads []units.Length) {
	for _, m := range r.Marks {
		marks = append(marks, m.At)
	}
	for _, b := range r.Beads {
		if r.Placements[r.Scopes[b.Scope].Placement].Element.Scope.How == "at" {
			beads = append(beads, b.At)
		}
	}
	slices.SortFunc(marks, units.Length.Cmp)
	slices.SortFunc(beads, units.Length.Cmp)
	return marks, beads
}

func TestEveryMarkIsDrawnAtItsStation(t *testing.T) {
	for name, r := range map[string]*detail.Report{
		"one of everything": report(t, same),
		"one row":           laid(t, peak("a", "5 ft")),
		"three rows":        laid(t, peak("a", "31 ft 4 in", geom.Obstacle{ID: "flue", Kind: "penetration", From: at("96 in"), To: at("104 in")})),
		"to the row's end":  laid(t, peak("a", "24 ft")),
		"two runs":          laid(t, peak("a", "12 ft 1/16 in"), peak("b", "1300 mm")),
	} {
		for _, unit := range []units.Unit{units.In, units.MM} {
			all := read(t, svg(t, Options{Unit: unit}, r))
			marks, beads := stationsOf(r)
			assert.Equal(t, marks, drawn(t, all, "#lw-m"), name)
			assert.Equal(t, beads, drawn(t, all, "#lw-bead"), name)
		}
	}
}

// figure reads a dimension: 4 @ 6" = 2' 0", or one space alone.
var figure = regexp.MustCompile(`^(?:(\d+) @ )?(.+?)(?: = (.+))?$`)

func TestDimensionsAreWhatTheyMeasure(t *testing.T) {
	r := laid(t, peak("a", "31 ft 4 in"))
	all := read(t, svg(t, Options{}, r))
	seen, several := 0, 0
	for _, e := range all {
		row := e.up("data-ratio")
		if e.attr["class"] != "dim" || row == nil {
			continue
		}
		m := figure.FindStringSubmatch(e.title())
		one, err := units.Parse(m[2])
		require.NoError(t, err)
		total := one
		if m[1] != "" {
			several++
			n, err := strconv.ParseInt(m[1], 10, 64)
			require.NoError(t, err)
			total, err = one.Mul(n)
			require.NoError(t, err)
			assert.Equal(t, total, units.MustParse(m[3]))
		}
		ends := regexp.MustCompile(`^M([-\d.]+) [\d.]+H([-\d.]+)`).FindStringSubmatch(e.attr["d"])
		if strings.Count(e.attr["d"], "M") == 3 { // a tick at both ends: nothing was cut off
			seen++
			from := station(t, row, ends[1])
			long := from.Sub(station(t, row, ends[2]), from)
			off := long.Sub(long, total.Rat())
			assert.LessOrEqual(t, off.Abs(off).Cmp(big.NewRat(units.TicksPerInch*24, 4800)), 0, e.title())
		}
		if row.attr["data-row"] == "0" {
			assert.Contains(t, e.attr["d"], "M")
		}
	}
	assert.Greater(t, seen, 20)
	assert.Greater(t, several, 8)
}

func TestPiecesAndLapsAreDrawnWhereTheyLie(t *testing.T) {
	r := laid(t, peak("a", "31 ft 4 in"))
	all := read(t, svg(t, Options{}, r))
	starts := map[int]bool{}
	laps := 0
	for _, e := range all {
		row := e.up("data-ratio")
		if row == nil || e.attr["class"] != "piece" && e.attr["class"] != "piece even" && e.attr["class"] != "lap" {
			continue
		}
		from := regexp.MustCompile(`^M([-\d.]+) `).FindStringSubmatch(e.attr["d"])[1]
		if e.attr["class"] == "lap" {
			laps++
			continue
		}
		n, err := strconv.Atoi(strings.TrimSuffix(strings.Fields(e.title())[1], ":"))
		require.NoError(t, err)
		if near(t, row, from, r.Pieces[n-1].From) {
			starts[n] = true
		}
		assert.Contains(t, e.title(), (&figures{}).piece(r.Pieces[n-1], units.Length{}))
	}
	assert.Len(t, starts, len(r.Pieces))
	joints := 0
	for _, p := range r.Pieces {
		if p.Joint {
			joints++
		}
	}
	assert.GreaterOrEqual(t, laps, joints)
}

func TestAViolationIsDrawnWithTheRulesWords(t *testing.T) {
	all := read(t, svg(t, Options{}, report(t, same)))
	var words, bars, shown int
	for _, e := range all {
		if strings.Contains(e.text, "1. NOT MET: run high side, cap: 0\" to 1' 8\": length >= 2' 6\"") {
			words++
		}
		if e.attr["class"] == "s" && strings.Contains(e.title(), `length >= 2' 6", but is 1' 8": off by 10", because short pieces rattle`) {
			bars++
		}
		if e.attr["class"] == "w" && strings.Contains(e.text, `1. length >= 2' 6"`) {
			shown++
		}
	}
	assert.Equal(t, []int{1, 1, 1}, []int{words, bars, shown})
}

// A drawing says why each mark stands where it does: once for the marks of one scope.
func TestEveryMarkSaysWhy(t *testing.T) {
	r := laid(t, peak("a", "31 ft 4 in"))
	for _, e := range read(t, svg(t, Options{}, r)) {
		if e.name != "use" || e.attr["tabindex"] == "" {
			continue
		}
		of := e.parent.children
		require.Equal(t, "w", of[len(of)-1].attr["class"])
	}
	x := newIndex(r, units.In)
	seen := map[string]bool{}
	for i, sc := range r.Scopes {
		text := x.where(int32(i))
		if x.why[i] > 0 {
			text += ": " + x.whys[x.why[i]-1]
		}
		seen[text] = true
		if r.Placements[sc.Placement].Element.Kind == rules.Row && sc.Kind == "panel" {
			assert.NotZero(t, x.why[i])
		}
	}
	assert.Contains(t, seen, "closure_screws, panel 2, 4 marks: high_side_cap.closure_screws.spacing <= 5 in asks for 4, because the tape seals only where it is squeezed")
	assert.Contains(t, seen, "rib_seal, at rib 2")
}

func TestOneRunAlone(t *testing.T) {
	r := laid(t, peak("a", "5 ft"), peak("b", "6 ft"))
	got := string(svg(t, Options{Only: "b"}, r))
	assert.Contains(t, got, "RUN b:")
	assert.NotContains(t, got, "RUN a:")
	assert.EqualError(t, Options{Only: "c"}.SVG(io.Discard, r), `the report has no run or plane "c"`)
}

func TestADrawingsWriterThatFailsIsAnError(t *testing.T) {
	assert.ErrorIs(t, Options{}.SVG(broken{}, report(t, same)), errBroken)
}

func TestALongerRunIsDrawnSmallerNotLongerWithoutEnd(t *testing.T) {
	s := scaleOf(at("900000 m"), units.In)
	assert.Less(t, s.row(at("900000 m")), maxRows)
	run, err := geom.NewRun(geom.Spec{ID: "far", Edge: "eave", Length: at("900000 m"), Sides: []geom.SideSpec{{}}}, 0)
	if err != nil {
		run, err = geom.NewRun(geom.Spec{ID: "far", Edge: "eave", Length: at("10000 m"), Sides: []geom.SideSpec{{}}}, 0)
	}
	require.NoError(t, err)
	got := svg(t, Options{}, &detail.Report{Book: &rules.Book{}, Runs: []*geom.Run{run}})
	assert.Less(t, len(got), 3_000_000)
	read(t, got)
}

// bySpeed is the best time of a few.
func bySpeed(draw func()) time.Duration {
	best := time.Hour
	for range 15 {
		start := time.Now()
		draw()
		best = min(best, time.Since(start))
	}
	return best
}

func TestAThousandPanels(t *testing.T) {
	long, least := "18000 in", 6_000
	if testing.Short() { // to hold a report against its rules takes the longest by far
		long, least = "1800 in", 600
	}
	r := laid(t, peak("long", long))
	require.Greater(t, len(r.Marks), least)
	for name, draw := range map[string]func(io.Writer, *detail.Report) error{"drawing": Options{}.SVG, "page": Options{}.HTML} {
		var b bytes.Buffer
		require.NoError(t, draw(&b, r))
		assert.Less(t, b.Len(), 3_000_000, name)
		took := bySpeed(func() { require.NoError(t, draw(io.Discard, r)) })
		t.Logf("%s: %d marks, %d bytes, %v", name, len(r.Marks), b.Len(), took)
		if !testing.Short() { // the race detector's runs are short
			assert.Less(t, took, 100*time.Millisecond, name)
		}
		marks, _ := stationsOf(r)
		assert.Equal(t, marks, drawn(t, read(t, b.Bytes()), "#lw-m"), name)
	}
}
