package sheet

import (
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
)

func TestEveryScopeHasAName(t *testing.T) {
	of := &rules.Name{Text: "cap"}
	for want, s := range map[string]rules.ScopeDecl{
		"Along the run":                 {How: "along", Of: "run"},
		"Along the side":                {How: "along", Of: "side"},
		"Panels":                        {How: "in", Of: "panel"},
		"At the middle of each panel":   {How: "at", Of: "panel"},
		"Gaps of cap":                   {How: "in", Of: "gap", Name: of},
		"Midway between cap":            {How: "at", Of: "gap", Name: of},
		"Pieces of cap":                 {How: "along", Of: "piece", Name: of},
		"At each lap of cap":            {How: "at", Of: "lap", Name: of},
		"At each mark of cap":           {How: "at", Of: "mark", Name: of},
		"At the ends":                   {How: "at", Of: "end"},
		"At each rib":                   {How: "at", Of: "rib", Every: 1},
		"At rib 2, then every 2 ribs":   {How: "at", Of: "rib", Every: 2},
		"At rib 2, then every 3 ribs":   {How: "at", Of: "rib", Every: 3, From: 2},
		"At rib 12, then every 12 ribs": {How: "at", Of: "rib", Every: 12},
	} {
		assert.Equal(t, want, where(&s))
	}
}

func TestHowAPieceMeetsTheOneBefore(t *testing.T) {
	p := &page{columns: 80}
	for want, x := range map[string]detail.Piece{
		`0" to 10", 10" long`:                 {N: 1},
		`0" to 10", 10" long, butts 1`:        {N: 2, Joint: true},
		`0" to 10", 10" long, 1/8" from 1`:    {N: 2, Joint: true, Lap: at("-1/8 in")},
		`0" to 10", 10" long, laps 2 by 1/2"`: {N: 3, Joint: true, Lap: at("1/2 in")},
	} {
		x.To = at("10 in")
		assert.Equal(t, want, p.piece(x, units.Length{}))
	}
	assert.False(t, p.rounded)
}

func TestTheOrderSaysHowTheItemComes(t *testing.T) {
	for want, q := range map[string]detail.Quantity{
		"2 packs of 250":     {Item: &rules.Item{Pack: 250}, Unit: "each", Pack: decimal.NewFromInt(250), Packs: decimal.NewFromInt(2)},
		"7":                  {Item: &rules.Item{}, Unit: "each", Pack: decimal.NewFromInt(1), Packs: decimal.NewFromInt(7)},
		"1 cartridge":        {Item: &rules.Item{}, Unit: "cartridge", Packs: decimal.NewFromInt(1)},
		"2 rolls of 50' 0\"": {Item: &rules.Item{Roll: at("50 ft")}, Unit: "in", Pack: decimal.NewFromInt(600), Packs: decimal.NewFromInt(2)},
		"3 of 10' 0\"":       {Item: &rules.Item{Stock: []rules.Stock{{}}}, Unit: "in", Pack: decimal.NewFromInt(120), Packs: decimal.NewFromInt(3)},
		"1' 0 1/16\"":        {Item: &rules.Item{}, Unit: "in", Gross: decimal.RequireFromString("12.01"), Packs: decimal.NewFromInt(13)},
		"3' 3 3/8\"":         {Item: &rules.Item{}, Unit: "mm", Gross: decimal.NewFromInt(1000), Packs: decimal.NewFromInt(1000)},
	} {
		assert.Equal(t, want, (&figures{}).order(q))
	}
}

func TestWhatARuleStandsAgainst(t *testing.T) {
	r := report(t, same)
	v := &r.Violations[0]
	v.Conflict = v.Conflict[:1]
	assert.Contains(t, text(t, 0, r), "  against cap.cap.lap (house.rules:41)\n")
	v.Conflict[0].Rule = v.Rule
	assert.NotContains(t, text(t, 0, r), "against")
}

func TestRibsOffAStepAreListed(t *testing.T) {
	p := &page{columns: 80}
	for want, ribs := range map[string][]units.Length{
		"one panel, no rib":                      nil,
		`1 rib at 7"`:                            {at("7 in")},
		`3 ribs at 7", then each 1' 6" to 3' 7"`: {at("7 in"), at("25 in"), at("43 in")},
		`3 ribs at 0", 7", 2' 1"`:                {at("0 in"), at("7 in"), at("25 in")},
	} {
		assert.Equal(t, want, p.ribs(&geom.Side{HasPanels: true, Ribs: ribs}))
	}
}

func TestEqualNeighboursAreOneEntry(t *testing.T) {
	assert.Equal(t, []string{"a x2", "b", "a"}, repeats([]string{"a", "a", "b", "a"}))
	assert.Empty(t, repeats(nil))
}

func TestNumbersInARowAreARange(t *testing.T) {
	var like []*bay
	for _, n := range []int{1, 3, 4, 5, 8, 9} {
		like = append(like, &bay{n: n})
	}
	assert.Equal(t, "1, 3-5, 8-9", numbers(like))
}

func TestTwoSidesAreSideBySide(t *testing.T) {
	r := report(t, same)
	run := *r.Runs[0]
	road := run.Sides[0]
	run.Sides[0].ID, road.ID = "lake", "road"
	run.Sides = append(run.Sides, road)
	r.Runs[0] = &run
	for i := range r.Placements {
		r.Placements[i].Run = &run
	}
	r.Placements[3].Side = 1
	got := text(t, 0, r)
	assert.Contains(t, got, "Left and right are those of side lake.\n")
	assert.Contains(t, got, "Panels, side lake, each measured")
	assert.Contains(t, got, "At each rib, side road\n")
	assert.Contains(t, got, "run high side, side lake, panel 4: screws")
}
