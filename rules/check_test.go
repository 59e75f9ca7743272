package rules

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/lapwright/lapwright/units"
)

// load loads one source and expects no errors.
func load(t *testing.T, src string) (*Book, Diagnostics) {
	t.Helper()
	book, ds, err := Load(fstest.MapFS{"x.rules": {Data: []byte(src)}}, "x.rules")
	require.NoError(t, err)
	require.NoError(t, ds.Err())
	return book, ds
}

func (b *Book) detail(name string) *Detail {
	for _, d := range b.Details {
		if d.Name == name {
			return d
		}
	}
	return nil
}

func ids(d *Detail) []string {
	var ids []string
	for _, e := range d.Elements {
		for _, r := range e.Rules {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

func order(d *Detail) []string {
	var names []string
	for _, i := range d.Order {
		names = append(names, d.Elements[i].Name)
	}
	return names
}

func TestBoathouse(t *testing.T) {
	book, ds, err := Load(os.DirFS("testdata"), "boathouse.rules")
	require.NoError(t, err)
	require.Empty(t, ds)
	assert.Equal(t, "Boathouse standard details", book.Name)
	assert.Equal(t, "2026.1", book.Edition)
	assert.Equal(t, units.MustParse("1/16 in"), book.Mark)
	assert.Equal(t, []string{"edge", "corner"}, book.Zones)
	assert.Regexp(t, "^sha256:[0-9a-f]{64}$", book.Digest)

	items := map[string]*Item{}
	for _, item := range book.Items {
		items[item.Name] = item
	}
	assert.EqualValues(t, 250, items["flat_screw"].Pack)
	assert.Equal(t, "0.05", items["flat_screw"].Waste.String())
	assert.Equal(t, units.MustParse("10 ft"), items["cap_trim"].Stock[0].Length)
	assert.Equal(t, units.MustParse("1/8 in"), items["cap_trim"].Kerf)
	assert.Equal(t, units.MustParse("14 in"), items["cap_trim"].Girth)
	assert.Equal(t, units.MustParse("50 ft"), items["butyl"].Roll)
	volume, err := units.ParseVolume("10.1 floz")
	require.NoError(t, err)
	assert.Equal(t, volume, items["sealant"].Cartridge)
	assert.Equal(t, BeadSize{Round: true, Width: units.MustParse("3/8 in"), Depth: units.MustParse("3/8 in")}, items["sealant"].Bead)

	high := book.detail("high_side_cap")
	assert.Equal(t, []string{
		"high_side_cap.cleat_screws.spacing", "high_side_cap.cleat_screws.spacing#2", "high_side_cap.cleat_screws.end",
		"high_side_cap.closure_screws.spacing", "high_side_cap.closure_screws.count", "high_side_cap.closure_screws.clear",
		"high_side_cap.tape.lap", "high_side_cap.rib_seal.length",
		"high_side_cap.cap.lap", "high_side_cap.cap.length", "high_side_cap.cap.clear", "high_side_cap.cap.extend",
		"high_side_cap.lap_seal.length",
		"high_side_cap.rivets.spacing", "high_side_cap.rivets.clear", "high_side_cap.rivets.clear#2",
	}, ids(high))
	assert.Equal(t, "high_side_cap.require", high.Requires[0].ID)
	assert.Equal(t, "high_side_cap.require#2", high.Requires[1].ID)
	assert.Equal(t, "side", high.RequireScope(high.Requires[0]))
	assert.Equal(t, "panel", high.RequireScope(high.Requires[1]))

	coast := book.detail("high_side_cap_coast")
	assert.Empty(t, coast.For)
	assert.Equal(t, "high_side_cap", coast.Extends)
	assert.Equal(t, []string{"cleat_screws", "closure_screws", "tape", "cap", "lap_seal", "rivets"}, order(coast))
	assert.Equal(t, "4 in", coast.Elements[1].Rules[0].Value.(*Literal).Text)
	assert.Equal(t, "5 in", high.Elements[1].Rules[0].Value.(*Literal).Text, "the base stays as it is")
	require.Len(t, coast.Relaxed, 2)
	assert.Equal(t, "high_side_cap_coast.cap.length", coast.Relaxed[0].Rule)
	assert.Equal(t, "shorter pieces are easier to hold in wind", coast.Relaxed[0].Because)
	assert.Equal(t, "high_side_cap_coast.rib_seal", coast.Relaxed[1].Rule)
	assert.Len(t, high.Steps[1].Sets, 3)
	assert.Len(t, coast.Steps[1].Sets, 2)
	require.Len(t, book.Examples, 1)
}

func TestDigest(t *testing.T) {
	file := func(name, src string) *File { return &File{Name: name, Source: []byte(src)} }
	one := digest([]*File{file("ab", "c")})
	assert.Equal(t, one, digest([]*File{file("ab", "c")}))
	for _, other := range [][]*File{
		{file("a", "bc")}, {file("ab", "d")}, {file("ab", ""), file("c", "")}, {file("ab", "c"), file("", "")}, nil,
	} {
		assert.NotEqual(t, one, digest(other))
	}
}

func TestOrder(t *testing.T) {
	book, _ := load(t, `detail d for edge eave {
  row a along run { spacing <= 5 in clear >= 1 in from c }
  row b at each lap of p { }
  row c in each gap of e { count = 1 }
  pieces p along run { lap >= 1 in }
  row e along run { spacing <= 5 in }
}`)
	d := book.detail("d")
	assert.Equal(t, []string{"e", "c", "a", "p", "b"}, order(d))
	assert.Equal(t, []int{4, 2, 0, 3, 1}, d.Order)
}

func TestOverrideInPlace(t *testing.T) {
	book, _ := load(t, `item nail "" { pack 10 }
detail a for edge eave {
  input gap: length = 5 in where 0 in <= gap and gap <= 6 in "how far"
  row r along run { spacing <= 6 in should end <= 1 in end <= 3 in spacing <= gap when slope > 1:12 }
  pieces p along run { lap >= 2 in }
  caution "Gloves"
  step "One" sets r
  step "Two" sets p
}
detail b extends a {
  input gap: length = 4 in
  row r "R" of nail { lay centered end <= 2 in should end <= 2 in count >= 2 spacing <= gap / 2 when slope > 1:12 }
  relax p { lap >= 1 in } because "short"
  caution "Glasses"
}
detail c for edge rake extends b {
  relax r { spacing <= 8 in } because "sheltered"
  drop p because "none"
}`)
	b, c := book.detail("b"), book.detail("c")
	r := b.Elements[0]
	assert.Equal(t, "centered", r.Lay)
	assert.Equal(t, "nail", r.Item.Name)
	assert.Equal(t, "R", r.Title)
	var lines []string
	for _, rule := range r.Rules {
		line := rule.Measure.String() + rule.Op.String() + canon(rule.Value)
		if rule.Should {
			line = "should " + line
		}
		lines = append(lines, line)
	}
	in := func(n int64) string { return canon(lit(LengthDim, n*25_400_000_000, 1)) }
	assert.Equal(t, []string{
		"spacing<=" + in(6), "should end<=" + in(2), "end<=" + in(2), "spacing<=(gap / a number 2)", "count>=a number 2",
	}, lines)
	assert.Equal(t, "how far", b.Inputs[0].Title)
	assert.Equal(t, "4 in", b.Inputs[0].Default.(*Literal).Text)
	require.NotNil(t, b.Inputs[0].Where, "the base's where stays")
	assert.Equal(t, []string{"Gloves", "Glasses"}, []string{b.Cautions[0], b.Cautions[1]})
	assert.Equal(t, "b.p.lap", b.Relaxed[0].Rule)
	assert.Equal(t, "b.r.spacing#2", r.Rules[3].ID)

	assert.Equal(t, []string{"rake"}, c.For)
	require.Len(t, c.Elements, 1)
	require.Len(t, c.Relaxed, 2, "what was relaxed of p went with p")
	assert.Equal(t, "c.r.spacing", c.Relaxed[0].Rule)
	assert.Equal(t, "c.p", c.Relaxed[1].Rule)
	assert.Empty(t, c.Steps[1].Sets)
	assert.Len(t, b.Steps[1].Sets, 1)
}

func TestRequireScope(t *testing.T) {
	for cond, want := range map[string]string{
		"run.length > 1 in":                    "run",
		"keep > 1 in":                          "run",
		"slope > 1:12":                         "side",
		"side is upper":                        "side",
		"rib.width < 1 in and slope > 1:12":    "rib",
		"panel.width > rib.width":              "panel",
		"wide":                                 "panel",
		"end.kind is wall or slope > 1:12":     "end",
		"end.kind is wall and run.edge is hip": "end",
	} {
		book, _ := load(t, `detail d for edge transition {
  input keep: length = 2 in
  let wide = panel.width > keep
  require `+cond+`
}`)
		d := book.detail("d")
		assert.Equal(t, want, d.RequireScope(d.Requires[0]), cond)
	}
}

func TestUses(t *testing.T) {
	book, _ := load(t, `detail d for edge eave {
  let a = b * 2
  let b = panel.width / 3
  row r in each panel { spacing <= a when not (slope > 1:12 or min(1 in, 2 in) > 1 in) and run.edge is eave }
}`)
	d := book.detail("d")
	r := d.Elements[0].Rules[0]
	for _, name := range []string{"a", "b", "panel.width"} {
		assert.True(t, d.Uses(r.Value, name), name)
	}
	assert.False(t, d.Uses(r.Value, "slope"))
	assert.True(t, d.Uses(r.When, "slope"))
	assert.True(t, d.Uses(r.When, "run.edge"))
	assert.False(t, d.Uses(nil, "slope"))
}

func TestAccept(t *testing.T) {
	book, _ := load(t, `detail d for edge eave {
  input keep: length where keep >= 1 in and 4 in > keep
  input finish: choice of bare, painted
  row r along run { spacing <= keep spacing <= 5 in when finish is bare }
}`)
	keep, finish := book.detail("d").Input("keep"), book.detail("d").Input("finish")
	length := func(s string) Value { return Value{Dim: LengthDim, Num: units.MustParse(s).Rat()} }
	word := func(ws ...string) Value { return Value{Dim: Word, Words: ws} }
	assert.NoError(t, keep.Accept(length("1 in")))
	assert.NoError(t, keep.Accept(length("3 15/16 in")))
	assert.ErrorContains(t, keep.Accept(length("4 in")), "`where`")
	assert.ErrorContains(t, keep.Accept(lit(Number, 2, 1).Value), "a length is wanted")
	assert.NoError(t, finish.Accept(word("bare")))
	assert.ErrorContains(t, finish.Accept(word("rusty")), "bare, painted")
	assert.Error(t, finish.Accept(word("bare", "painted")))
	assert.Error(t, finish.Accept(word()))
	assert.Nil(t, book.detail("d").Input("kep"))
	assert.Nil(t, book.detail("d").Let("kep"))
}

// An element that details share is checked in each and reported once; names are suggested.
func TestReportedOnce(t *testing.T) {
	_, ds, err := Load(fstest.MapFS{"x.rules": {Data: []byte(`detail a for edge eave {
  input keep_off: length = 2 in
  row r along run { spacing <= keep_of }
  step "s" sets r
}
detail b extends a { row q along run { spacing <= keep_off } step "s" sets r, q }
detail c extends b { }
`)}}, "x.rules")
	require.NoError(t, err)
	require.Len(t, ds, 1, "%v", ds)
	assert.Equal(t, CodeUnknownName, ds[0].Code)
	assert.Contains(t, ds[0].Suggestion, "`keep_off`")
}

// A chain of details over a large one is cut off before it fills the memory.
func TestResolvedBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString("detail d0 for edge eave {\n")
	for i := range 800 {
		b.WriteString("row r" + ordinal(i) + " along run { spacing <= 5 in end <= 1 in clear >= 1 in from rib }\n")
	}
	b.WriteString("}\n")
	for i := range 2000 {
		b.WriteString("detail e" + ordinal(i) + " extends d0 { }\n")
	}
	_, ds, err := Load(fstest.MapFS{"x.rules": {Data: []byte(b.String())}}, "x.rules")
	require.NoError(t, err)
	require.NotEmpty(t, ds)
	assert.Equal(t, CodeTooLarge, ds[0].Code)

	b.Reset()
	b.WriteString("detail d0 for edge eave { }\n")
	for i := range 20 {
		b.WriteString("detail d" + strconv.Itoa(i+1) + " extends d" + strconv.Itoa(i) + " { }\n")
	}
	_, ds, err = Load(fstest.MapFS{"x.rules": {Data: []byte(b.String())}}, "x.rules")
	require.NoError(t, err)
	require.Len(t, ds, 1)
	assert.Equal(t, CodeTooLarge, ds[0].Code)
	assert.Equal(t, 18, ds[0].Start.Line)
}

// Lets that stand on one another, each on many, are looked at once each.
func TestManyLets(t *testing.T) {
	var b strings.Builder
	b.WriteString("detail d for edge eave {\ninput x: length = 1 in\nlet a0 = x\n")
	for i := range 300 {
		b.WriteString("let a" + strconv.Itoa(i+1) + " = a" + strconv.Itoa(i) + " + a" + strconv.Itoa(i) + " * 0.5 - a" + strconv.Itoa(i) + " / 4\n")
	}
	b.WriteString("row r along run { spacing <= a300 }\n}\ndetail e extends d { row r { spacing <= a300 - 1 in } }\n")
	load(t, b.String())
}
