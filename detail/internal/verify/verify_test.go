package verify_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// house uses each kind of element, scope and rule that an edge run offers, and breaks some.
const house = `book "House" { edition "1" mark 1/16 in zones corner }
item screw   "screw"   { pack 50  waste 5% }
item trim    "trim"    { stock 10 ft  kerf 1/8 in  girth 14 in  movement 0.08 in per 10 ft per 100 F }
item tape    "tape"    { roll 50 in  waste 5% }
item gasket  "gasket"  { roll 50 ft }
item sealant "sealant" { cartridge 10.1 floz  bead 3/8 in round  waste 10% }
item putty   "putty"   { cartridge 300 ml  bead 1/4 in by 1/2 in }

detail cap "Cap" for edge peak {
  input keep: length = 1 in where keep >= 1/2 in
  input finish: choice of bare, painted = bare
  input share: percent = 50%
  let wide = 8 in * share * 2
  require slope >= 3:12 because "it leaks" source "sheet 1"
  should require panel.width <= 17 in
  should require not panel.cut

  row cleats of screw along run {
    spacing <= 10 in
    spacing <= 6 in when zone is corner
    should count <= 5
    end >= 1 in
  }
  row screws of screw in each panel when panel.width > wide {
    spacing <= 5 in because "it squeezes" source "sheet 2"
    count >= 4
    clear >= keep from rib
    should clear >= 2 in from lap of cap
  }
  pieces cap of trim along run { lap >= 6 in  length >= 30 in  clear >= keep from rib  extend = 1 in  extend right = 2 in when end.kind is wall }
  pieces cleat of trim along run { }
  strip seal of tape along run { lap >= 1 in }
  strip gasket of gasket in each panel { length = scope.length + 1 in }
  bead rib_seal of sealant at each 2nd rib { length = 2 * rib.height + rib.width }
  bead lap_seal of sealant at each lap of cap { length = 14 in }
  bead back of putty in each panel { extend = -1 in }
  row pair of screw at each end { offset = 3 in  count = 2  spacing = 1 in }
  row brackets at each 3rd rib from rib 2 { clear >= 1 in from rib when finish is painted  should clear >= 1 in from end }
  row pins at each mark of cleats { }
  row plugs in each gap of brackets { count = 1 }
  row middles at each gap of brackets { offset = 1 in }
  row centres at each panel { }
  row ends along each piece of cap { end <= 3 in  spacing <= 4 ft }

  step "Cleats" sets cleats, pair, brackets, pins, plugs, middles, centres, ends
  step "The rest" sets screws, cap, cleat, seal, gasket, rib_seal, lap_seal, back
  hold "Look"
  caution "Mind the edge."
  note "As drawn."
}

detail ridge "Ridge" for edge ridge {
  should require slope >= 4:12
  row screws of screw in each panel { spacing <= 9 in  spacing <= 7 in when slope < 4:12 }
  row centre along each side { spacing <= 20 in  clear >= 1 in from screws  lay stepped }
  row top along run { spacing <= 24 in  spacing <= 12 in when slope < 4:12  clear >= 1 in from rib }
}

detail tight "Tight" for edge eave {
  row screws of screw along run { count = 4  spacing >= 6 in  end >= 2 in }
  row none along run { spacing <= 5 in  clear >= 1 ft from end }
}`

const houseJob = `{"name": "House",
  "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"},
  "runs": [
    {"id": "peak", "edge": "peak", "length": "31 ft 4 in", "slope": "2:12", "panels": {"first": "7 in"}, "ends": ["rake", "wall"],
     "zones": [{"kind": "corner", "from": "0 in", "to": "4 ft"}],
     "obstacles": [{"id": "flue", "kind": "penetration", "from": "96 in", "to": "134 in"}]},
    {"id": "ridge", "edge": "ridge", "length": "12 ft 5 in",
     "sides": [{"id": "lake", "slope": "6:12", "panels": {"first": "9 in"}}, {"id": "road", "slope": "3:12", "panels": {"first": "18 in"}}]},
    {"id": "eave", "edge": "eave", "length": "20 in", "slope": "3:12"},
    {"id": "rake", "edge": "rake", "length": "20 in", "slope": "3:12"}
  ]}`

func layHouse(t *testing.T) (*detail.Report, *detail.Job) {
	t.Helper()
	book, diagnostics, err := rules.Load(fstest.MapFS{"house.rules": {Data: []byte(house)}}, "house.rules")
	require.NoError(t, err)
	require.NoError(t, diagnostics.Err())
	job, err := detail.ReadJob(strings.NewReader(houseJob))
	require.NoError(t, err)
	r, err := detail.Lay(context.Background(), book, job)
	require.NoError(t, err)
	return r, job
}

func TestHouse(t *testing.T) {
	r, job := layHouse(t)
	assert.Empty(t, verify.Report(r, job))
	assert.Empty(t, verify.Report(r, nil), "no job is a job without uses")

	var ribs []int
	for _, s := range r.Scopes {
		if r.Placements[s.Placement].Element.Name == "rib_seal" {
			ribs = append(ribs, s.N)
		}
	}
	assert.Equal(t, []int{2, 4, 10, 12, 14, 16, 18, 20}, ribs, "each 2nd rib: the 2nd, and each 2nd after it; 6 and 8 are in the flue")
}

// A tampered report is the house's with one thing changed, and what the verifier must say of it.
type tampered struct {
	want   string
	change func(h *laidHouse)
}

type laidHouse struct {
	*detail.Report
	job *detail.Job
}

// scope is where an element of a run has its n-th scope laid, on whatever side comes first.
func (h *laidHouse) scope(run, element string, n int) *detail.Scope {
	for i := range h.Scopes {
		if p := h.Placements[h.Scopes[i].Placement]; p.Run.ID == run && p.Element.Name == element && h.Scopes[i].N == n {
			return &h.Scopes[i]
		}
	}
	panic("no scope " + element)
}

func (h *laidHouse) marks(run, element string, n int) []detail.Mark {
	s := h.scope(run, element, n)
	return h.Marks[s.First:s.Last]
}

func (h *laidHouse) pieces(element string) []detail.Piece {
	s := h.scope("peak", element, 1)
	return h.Pieces[s.First:s.Last]
}

func (h *laidHouse) violation(rule string) *detail.Violation {
	for i := range h.Violations {
		if h.Violations[i].Rule == rule {
			return &h.Violations[i]
		}
	}
	panic("no violation " + rule)
}

func (h *laidHouse) quantity(item string) *detail.Quantity {
	for i := range h.Takeoff {
		if h.Takeoff[i].Item.Name == item {
			return &h.Takeoff[i]
		}
	}
	panic("no quantity " + item)
}

func (h *laidHouse) pattern(element string) *detail.Pattern {
	for i := range h.Patterns {
		if h.Placements[h.Patterns[i].Placement].Element.Name == element {
			return &h.Patterns[i]
		}
	}
	panic("no pattern " + element)
}

// drop removes a scope of a row with its marks, so that the tables still fit together.
func (h *laidHouse) drop(run, element string, n int) {
	s := h.scope(run, element, n)
	i := slices.IndexFunc(h.Scopes, func(o detail.Scope) bool { return o == *s })
	first, last := s.First, s.Last
	h.Scopes = slices.Delete(h.Scopes, i, i+1)
	h.takeMarks(first, last)
	up := func(scope *int32) {
		if *scope > int32(i) {
			*scope--
		}
	}
	for k := range h.Marks {
		up(&h.Marks[k].Scope)
	}
	for k := range h.Pieces {
		up(&h.Pieces[k].Scope)
	}
	for k := range h.Strips {
		up(&h.Strips[k].Scope)
	}
	for k := range h.Beads {
		up(&h.Beads[k].Scope)
	}
	h.Why = nil
}

// takeMarks removes marks from the table; the scope that loses them ends earlier.
func (h *laidHouse) takeMarks(first, last int) {
	h.Marks = slices.Delete(h.Marks, first, last)
	for k := range h.Scopes {
		if s := &h.Scopes[k]; h.Placements[s.Placement].Element.Kind == rules.Row {
			if s.First >= last {
				s.First -= last - first
			}
			if s.Last >= last {
				s.Last -= last - first
			}
		}
	}
}

func inch(s string) units.Length { return units.MustParse(s) }

func shift(l *units.Length, by string) {
	moved, err := l.Add(inch(by))
	if err != nil {
		panic(err)
	}
	*l = moved
}

func one() decimal.Decimal { return decimal.NewFromInt(1) }

var tamperings = map[string]tampered{
	"a use of an unknown detail": {"uses the detail other", func(h *laidHouse) { h.job.Uses = append(h.job.Uses, detail.Use{Detail: "other"}) }},
	"a use that was not laid":    {"placements", func(h *laidHouse) { h.job.Uses = []detail.Use{{Detail: "ridge"}} }},
	"two details for a kind":     {"2 details are for its kind", func(h *laidHouse) { h.Book.Details = append(h.Book.Details, h.Book.Details[0]) }},
	"another input":              {"listed", func(h *laidHouse) { h.job.Uses = uses("keep", "2 in") }},
	"another choice":             {"broken", func(h *laidHouse) { h.job.Uses = uses("finish", "painted"); shiftRibs(h) }},
	"another percent":            {"is laid, though it is to be left out", func(h *laidHouse) { h.job.Uses = uses("share", "150%") }},
	"an input that is no number": {"is no number", func(h *laidHouse) { h.job.Uses = uses("share", "half") }},
	"an input that is no length": {"input keep", func(h *laidHouse) { h.job.Uses = uses("keep", "half") }},

	"a placement too few":       {"placements, not", func(h *laidHouse) { h.Placements = h.Placements[:len(h.Placements)-1] }},
	"placements out of order":   {"it should be cap.cleats", func(h *laidHouse) { h.Placements[0], h.Placements[1] = h.Placements[1], h.Placements[0] }},
	"scopes out of order":       {"out of order", func(h *laidHouse) { h.scope("peak", "seal", 1).Placement = 0 }},
	"a table row of no scope":   {"belong to no scope", func(h *laidHouse) { h.Marks = append(h.Marks, detail.Mark{}) }},
	"a hole in a table":         {"they should start at", func(h *laidHouse) { h.scope("peak", "screws", 3).First++ }},
	"a mark of another scope":   {"belongs to scope", func(h *laidHouse) { h.Marks[3].Scope++ }},
	"a piece of another scope":  {"belongs to scope", func(h *laidHouse) { h.Pieces[0].Scope++ }},
	"a strip of another scope":  {"belongs to scope", func(h *laidHouse) { h.Strips[0].Scope++ }},
	"a bead of another scope":   {"belongs to scope", func(h *laidHouse) { h.Beads[0].Scope++ }},
	"left out of no placement":  {"left out of no placement", func(h *laidHouse) { h.Skipped[0].Placement = 999 }},
	"a scope that is not there": {"no such scope", func(h *laidHouse) { h.scope("peak", "rib_seal", 20).N = 22 }},
	"a scope that is missing":   {"laid: false, left out: false", func(h *laidHouse) { h.drop("peak", "screws", 3) }},
	"a scope that is elsewhere": {"runs from", func(h *laidHouse) { shift(&h.scope("peak", "screws", 3).To, "1 in") }},
	"left out for no reason":    {"is left out because of", func(h *laidHouse) { h.Skipped[0].When = "panel.width > 7 in" }},
	"left out, but not there":   {"is left out, but there is no such scope", func(h *laidHouse) { h.Skipped[0].Scope.N = 99 }},
	"laid and left out": {"laid: true, left out: true", func(h *laidHouse) {
		h.Skipped = slices.Insert(h.Skipped, 1, detail.Skip{Placement: h.Skipped[0].Placement, Scope: detail.ScopeRef{Kind: "panel", N: 2}, When: h.Skipped[0].When})
	}},

	"a mark off the step":    {"off the step", func(h *laidHouse) { shift(&h.marks("peak", "cleats", 1)[2].At, "1/32 in") }},
	"a mark out of order":    {"doesn't come after", func(h *laidHouse) { m := h.marks("peak", "cleats", 1); m[2].At, m[3].At = m[3].At, m[2].At }},
	"a mark out of scope":    {"outside its scope", func(h *laidHouse) { shift(&h.marks("peak", "screws", 3)[3].At, "18 in") }},
	"a mark in an obstacle":  {"inside obstacle flue", func(h *laidHouse) { h.marks("peak", "pair", 1)[0].At = inch("100 in") }},
	"a row without marks":    {"no mark, though one may stand", func(h *laidHouse) { s := h.scope("peak", "plugs", 1); h.takeMarks(s.First, s.Last) }},
	"a gap too wide":         {"broken, but not listed: must ridge.top.spacing#2 (spacing)", func(h *laidHouse) { shift(&h.marks("ridge", "top", 1)[2].At, "3 in") }},
	"an end too wide":        {"broken, but not listed: must ridge.top.spacing#2 (spacing)", func(h *laidHouse) { shift(&h.marks("ridge", "top", 1)[0].At, "3 in") }},
	"too near a rib":         {"broken, but not listed: must ridge.top.clear (clear)", func(h *laidHouse) { h.marks("ridge", "top", 1)[2].At = inch("27 in") }},
	"too near another row":   {"broken, but not listed: must ridge.centre.clear (clear)", func(h *laidHouse) { h.marks("ridge", "centre", 1)[2].At = h.marks("ridge", "screws", 3)[0].At }},
	"an advice not listed":   {"broken, but not listed: should cap.cleats.count", func(h *laidHouse) { *h.violation("cap.cleats.count") = h.Violations[len(h.Violations)-1] }},
	"a station off":          {"should be at", func(h *laidHouse) { shift(&h.marks("peak", "middles", 1)[0].At, "1/16 in") }},
	"a pair that is alone":   {"1 marks where 2 are asked for", func(h *laidHouse) { s := h.scope("peak", "pair", 1); h.takeMarks(s.First, s.First+1) }},
	"the far pair outside":   {"should be at 372.5 in", func(h *laidHouse) { shift(&h.marks("peak", "pair", 2)[0].At, "6 in") }},
	"too few in a gap":       {"must cap.plugs.count", func(h *laidHouse) { s := h.scope("peak", "plugs", 1); h.takeMarks(s.First, s.Last) }},
	"an end rule not listed": {"broken, but not listed: must cap.ends.end (end)", func(h *laidHouse) { shift(&h.marks("peak", "ends", 1)[0].At, "4 in") }},

	"a hole":                  {"a hole from", func(h *laidHouse) { shift(&h.pieces("cleat")[1].To, "-1 in") }},
	"a lap not asked for":     {"that no rule asks for", func(h *laidHouse) { shift(&h.pieces("cleat")[2].From, "-1 in") }},
	"a lap told wrong":        {"the report says", func(h *laidHouse) { shift(&h.pieces("cap")[2].Lap, "1 in") }},
	"a lap too short":         {"broken, but not listed: must cap.cap.lap", func(h *laidHouse) { p := h.pieces("cap"); shift(&p[2].From, "1 in"); shift(&p[2].Lap, "-1 in") }},
	"a first piece that laps": {"the first piece laps", func(h *laidHouse) { shift(&h.pieces("cap")[0].Lap, "1 in") }},
	"covered too little":      {"covered from", func(h *laidHouse) { shift(&h.pieces("cap")[0].From, "1 in") }},
	"numbered wrong":          {"is numbered", func(h *laidHouse) { h.pieces("cap")[0].N = 2 }},
	"a joint that is none":    {"pieces too many", func(h *laidHouse) { p := h.pieces("cap"); p[len(p)-1].Joint = false }},
	"a joint off the step":    {"the joint at", func(h *laidHouse) { shift(&h.pieces("cap")[1].To, "1/32 in") }},
	"a lap on a rib":          {"broken, but not listed: must cap.cap.clear", func(h *laidHouse) { p := h.pieces("cap"); p[1].To, p[2].From = inch("244 in"), inch("238 in") }},
	"a piece over the stock":  {"trim.stock", func(h *laidHouse) { shift(&h.pieces("cap")[2].From, "-80 in") }},
	"a piece too short":       {"broken, but not listed: must cap.cap.length", func(h *laidHouse) { p := h.pieces("cap"); p[1].To = inch("160 in") }},
	"a piece of no length":    {"has no length", func(h *laidHouse) { p := h.pieces("cleat"); p[1].To = p[1].From }},
	"a piece backwards":       {"starts before the one before it", func(h *laidHouse) { p := h.pieces("cleat"); p[2].From = inch("100 in") }},
	"a third piece":           {"across a third piece", func(h *laidHouse) { p := h.pieces("cleat"); p[1].To = inch("375 in") }},
	"a strip cut wrong":       {"but lies over", func(h *laidHouse) { shift(&h.Strips[0].Length, "1 in") }},
	"a strip's joint":         {"joins the one before it", func(h *laidHouse) { s := h.scope("peak", "seal", 1); h.Strips[s.First+1].Joint = false }},
	"a strip's number":        {"is numbered", func(h *laidHouse) { h.Strips[h.scope("peak", "seal", 1).First+1].N++ }},
	"a gasket cut wrong":      {"strips of", func(h *laidHouse) { shift(&h.Strips[h.scope("peak", "gasket", 1).First].Length, "1 in") }},
	"a strip that is missing": {"nothing covers", func(h *laidHouse) {
		s := h.scope("peak", "gasket", 22)
		h.Strips = h.Strips[:s.First]
		s.Last = s.First
	}},
	"a bead elsewhere":         {"a bead of", func(h *laidHouse) { shift(&h.Beads[0].At, "1 in") }},
	"a bead of another length": {"a bead of", func(h *laidHouse) { shift(&h.Beads[0].Length, "1 in") }},
	"a bead that is missing": {"beads, not", func(h *laidHouse) {
		s := &h.Scopes[h.Beads[len(h.Beads)-1].Scope]
		h.Beads = h.Beads[:s.First]
		s.Last = s.First
	}},

	"a violation that is none": {"listed, but not so", func(h *laidHouse) { h.Violations = append(h.Violations, h.Violations[0]) }},
	"found told wrong":         {"listed, but not so", func(h *laidHouse) { shift(&h.violation("cap.cleats.spacing").Found.Length, "1 in") }},
	"required told wrong":      {"listed, but not so", func(h *laidHouse) { shift(&h.violation("cap.cleats.spacing").Required.Length, "1 in") }},
	"by told wrong":            {"listed, but not so", func(h *laidHouse) { shift(&h.violation("cap.cleats.spacing").By.Length, "1 in") }},
	"a must called should":     {"listed, but not so", func(h *laidHouse) { h.violation("tight.screws.count").Severity = "should" }},
	"another place":            {"listed, but not so", func(h *laidHouse) { shift(&h.violation("tight.screws.count").To, "1 in") }},
	"another scope":            {"listed, but not so", func(h *laidHouse) { h.violation("tight.screws.count").Scope.N = 2 }},
	"a slope told wrong":       {"not met, but not listed: must cap.require", func(h *laidHouse) { h.violation("cap.require").Found.Text = "1:12" }},
	"an unmet not listed":      {"not met, but not listed: should ridge.require", func(h *laidHouse) { *h.violation("ridge.require") = h.Violations[0] }},
	"nothing said":             {"says not what was measured", func(h *laidHouse) { h.Violations[0].What = "" }},
	"no conflict":              {"names no conflict", func(h *laidHouse) { h.violation("tight.screws.count").Conflict = nil }},
	"a conflict with no line": {"which is no line that takes part", func(h *laidHouse) {
		h.violation("tight.screws.count").Conflict = []detail.RuleRef{{Rule: "cap.cap.lap"}}
	}},
	"another because":          {"the rule's own place", func(h *laidHouse) { h.violation("tight.screws.count").Because = "so" }},
	"a violation of no detail": {"which the book has not", func(h *laidHouse) { h.Violations[0].Detail = "other" }},
	"nothing stands, unsaid":   {"nothing stands there, but it is not listed", func(h *laidHouse) { *h.violation("tight.none.clear") = h.Violations[0] }},
	"nothing may stand, it says": {"listed, but not so", func(h *laidHouse) {
		v := h.Violations[len(h.Violations)-1]
		v.Element = "screws"
		h.Violations = append(h.Violations, v)
	}},

	"marks counted wrong":     {"takeoff screw: net", func(h *laidHouse) { q := h.quantity("screw"); q.Net = q.Net.Add(one()) }},
	"another pack":            {"takeoff screw: pack", func(h *laidHouse) { h.quantity("screw").Pack = one() }},
	"packs counted wrong":     {"takeoff screw: packs", func(h *laidHouse) { q := h.quantity("screw"); q.Packs = q.Packs.Add(one()) }},
	"waste reckoned wrong":    {"takeoff screw: waste", func(h *laidHouse) { h.quantity("screw").Waste = one() }},
	"gross reckoned wrong":    {"takeoff tape: gross", func(h *laidHouse) { h.quantity("tape").Gross = one() }},
	"an unknown unit":         {"the unit is", func(h *laidHouse) { h.quantity("tape").Unit = "yd" }},
	"another roll":            {"takeoff tape: pack", func(h *laidHouse) { h.quantity("tape").Pack = one() }},
	"a volume reckoned wrong": {"takeoff sealant: net", func(h *laidHouse) { q := h.quantity("sealant"); q.Net = q.Net.Add(decimal.New(2, -6)) }},
	"a volume rounded down":   {"takeoff putty: net", func(h *laidHouse) { q := h.quantity("putty"); q.Net = q.Net.Sub(decimal.New(1, -6)) }},
	"pieces added up wrong":   {"takeoff trim: net", func(h *laidHouse) { q := h.quantity("trim"); q.Net = q.Net.Add(one()) }},
	"stock added up wrong":    {"takeoff trim: gross", func(h *laidHouse) { q := h.quantity("trim"); q.Gross = q.Gross.Add(one()) }},
	"a pack of no stock":      {"is no stock length", func(h *laidHouse) { h.quantity("trim").Pack = one() }},
	"a line too few":          {"a line of trim is missing", func(h *laidHouse) { h.Takeoff = slices.Delete(h.Takeoff, 1, 2) }},
	"a line too many":         {"too many, or out of the book's order", func(h *laidHouse) { h.Takeoff = append(h.Takeoff, h.Takeoff[0]) }},
	"a piece not cut":         {"laid more than cut", func(h *laidHouse) { h.Cuts = h.Cuts[1:] }},
	"cut from no stock":       {"is no stock length", func(h *laidHouse) { h.Cuts[0].Stock = inch("11 ft") }},
	"more than the stock":     {"don't fit", func(h *laidHouse) { h.Cuts[0].Lengths = append(h.Cuts[0].Lengths, inch("10 ft")) }},
	"a kerf lost":             {"leave kerf", func(h *laidHouse) { shift(&h.Cuts[len(h.Cuts)-1].Kerf, "1/8 in") }},
	"an offcut lost":          {"leave kerf", func(h *laidHouse) { shift(&h.Cuts[len(h.Cuts)-1].Offcut, "1/8 in") }},
	"stocks counted wrong":    {"cutting of trim", func(h *laidHouse) { h.Cutting[0].Stocks++ }},
	"a bound over the count":  {"cutting of trim", func(h *laidHouse) { h.Cutting[0].Bound = 99 }},
	"cutting told twice":      {"cutting of trim: 2 lines", func(h *laidHouse) { h.Cutting = append(h.Cutting, h.Cutting[0]) }},
	"cuts of another item":    {"of which nothing is laid", func(h *laidHouse) { h.Cuts[0].Item = &rules.Item{Name: "other"} }},
	"a part lost":             {"takeoff screw: its parts come to", func(h *laidHouse) { q := h.quantity("screw"); q.From = q.From[1:] }},
	"a part miscounted":       {"its parts don't say so", func(h *laidHouse) { q := h.quantity("tape"); q.From[0].Net = one() }},
	"a part of another run":   {"lays it on", func(h *laidHouse) { h.quantity("trim").From[0].Runs = []string{"rake"} }},
	"a part of no element":    {"lays none of it", func(h *laidHouse) { h.quantity("trim").From[0].Job = "other" }},
	"sheet reckoned wrong":    {"takeoff trim: area", func(h *laidHouse) { h.quantity("trim").Area = one() }},
	"a cost of no price":      {"takeoff trim: cost", func(h *laidHouse) { h.quantity("trim").Cost = one() }},
	"a yield too large":       {"doesn't yield", func(h *laidHouse) { q := h.quantity("sealant"); q.Yield = q.Yield.Add(decimal.New(2, -6)) }},
	"a yield too small":       {"doesn't yield", func(h *laidHouse) { q := h.quantity("sealant"); q.Yield = q.Yield.Sub(decimal.New(2, -6)) }},
	"a cost of cutting":       {"cutting of trim", func(h *laidHouse) { h.Cutting[0].Cost = one() }},
	"what is left lost":       {"are left over, and not listed", func(h *laidHouse) { h.Leftovers = h.Leftovers[1:] }},
	"too much left":           {"are left over, not", func(h *laidHouse) { h.Leftovers[0].Count++ }},
	"left over of nothing":    {"is no stock of the book", func(h *laidHouse) { h.Leftovers[0].Item = "other" }},
	"cut from no left-over":   {"more of", func(h *laidHouse) { h.Cuts[0].Leftover = true }},
	"a movement lost":         {"movement: ", func(h *laidHouse) { h.Movement = h.Movement[1:] }},
	"a movement too small":    {"movement of cap", func(h *laidHouse) { shift(&h.Movement[0].EachEnd, "-0.000001 mm") }},
	"a movement too many":     {"movement: 1 too many", func(h *laidHouse) { h.Movement = append(h.Movement, h.Movement[0]) }},
	"a hole moved":            {"is drilled", func(h *laidHouse) { shift(&h.Shop[0].Holes[0].At[0], "1/16 in") }},
	"a drilling miscounted":   {"shop: ", func(h *laidHouse) { h.Shop[0].Count++ }},
	"a drilling lost":         {"is drilled", func(h *laidHouse) { h.Shop = h.Shop[1:] }},
	"a drilling told twice":   {"two drillings", func(h *laidHouse) { h.Shop = append(h.Shop, h.Shop[0]) }},
	"a piece of none drilled": {"isn't drilled", func(h *laidHouse) { w := h.Shop[0].Where; w[0].Pieces = append(w[0].Pieces, 99) }},
	"an offset moved":         {"as its pattern says", func(h *laidHouse) { shift(&h.pattern("screws").Offsets[0], "1/16 in") }},
	"another width":           {"as its pattern says", func(h *laidHouse) { shift(&h.pattern("screws").Width, "1/16 in") }},
	"a scope in two patterns": {"in 2 patterns", func(h *laidHouse) { p := h.pattern("screws"); p.Scopes = append(p.Scopes, p.Scopes[0]) }},
	"a pattern of no scope":   {"which is not laid", func(h *laidHouse) { p := h.pattern("screws"); p.Scopes = append(p.Scopes, 99) }},

	"a step too few":      {"step 1 of cap is missing", func(h *laidHouse) { h.Steps = nil }},
	"a step changed":      {"step 2 of cap is", func(h *laidHouse) { h.Steps[1].Sets = nil }},
	"a step too many":     {"is too many", func(h *laidHouse) { h.Steps = append(h.Steps, detail.Step{Detail: "ridge", N: 1}) }},
	"a caution lost":      {"a caution of cap is missing", func(h *laidHouse) { h.Cautions = h.Cautions[1:] }},
	"a note lost":         {"a note of cap is missing", func(h *laidHouse) { h.Notes = nil }},
	"a source lost":       {"the source of cap.require is missing", func(h *laidHouse) { h.Sources = h.Sources[1:] }},
	"a relaxation added":  {"relaxed:", func(h *laidHouse) { h.Relaxed = append(h.Relaxed, rules.Relaxation{}) }},
	"a bare run lost":     {"run rake: bare: false, laid: false", func(h *laidHouse) { h.Bare = nil }},
	"a laid run bare":     {"run eave: bare: true, laid: true", func(h *laidHouse) { h.Bare = append(h.Bare, "eave") }},
	"a reason miscounted": {"counts", func(h *laidHouse) { h.Why[0].Count++ }},
	"a reason of no line": {"the reason for", func(h *laidHouse) { h.Why[0].Binding = "other" }},
}

// uses are those that the house's job has by kind, with one input given.
func uses(name, value string) []detail.Use {
	return []detail.Use{{Detail: "cap", Inputs: []detail.Input{{Name: name, Value: value}}}, {Detail: "ridge"}, {Detail: "tight"}}
}

// shiftRibs moves the ribs under the brackets, whose stations then are wrong too.
func shiftRibs(h *laidHouse) {
	for i := range h.Runs[0].Sides[0].Ribs {
		shift(&h.Runs[0].Sides[0].Ribs[i], "1/2 in")
	}
}

func TestTampered(t *testing.T) {
	for name, c := range tamperings {
		t.Run(name, func(t *testing.T) {
			r, job := layHouse(t)
			c.change(&laidHouse{r, job})
			complaints := verify.Report(r, job)
			assert.Condition(t, func() bool {
				return slices.ContainsFunc(complaints, func(s string) bool { return strings.Contains(s, c.want) })
			}, "%q is not among %q", c.want, complaints)
		})
	}
}
