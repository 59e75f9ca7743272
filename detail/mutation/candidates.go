package mutation

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A candidate is a run on which a change may be seen.
type candidate struct {
	edge, length, slope, panel, first string
	hole, zone, ends                  string
	inputs                            []string // NAME = VALUE
}

func (c candidate) text() string {
	s := fmt.Sprintf("edge %s length %s slope %s panels %s", c.edge, c.length, c.slope, c.panel)
	if c.first != "" {
		s += " first " + c.first
	}
	s += " rib 3/4 in x 1 3/4 in"
	if c.ends != "" {
		s += " ends " + c.ends
	}
	if c.zone != "" {
		s += " zone " + c.zone
	}
	if c.hole != "" {
		s += " penetration " + c.hole
	}
	return s
}

func (c candidate) with() string {
	if len(c.inputs) == 0 {
		return ""
	}
	return " with " + strings.Join(c.inputs, ", ")
}

// runsFor lists runs on which a change of a detail may be seen, the plainest first: lengths, panels, holes and inputs
// at and beside the numbers that the detail speaks of and their multiples.
func runsFor(d *rules.Detail, s *site) []candidate {
	base := candidate{edge: d.Kinds[0], length: "20 ft", slope: "12:12", panel: "18 in", inputs: given(d)}
	sizes, slopes := spoken(d, s)
	var list []candidate
	add := func(c candidate) { list = append(list, c) }

	grounds := []candidate{base}
	for _, ends := range endsOf(d) {
		c := base
		c.ends = ends + ", " + ends
		grounds = append(grounds, c)
	}
	for _, zone := range zonesOf(d) {
		c := base
		c.zone = zone + " 0 in to 48 in"
		grounds = append(grounds, c)
	}
	for _, g := range grounds {
		add(g)
	}
	for _, slope := range slopes {
		c := base
		c.slope = slope
		add(c)
	}
	for _, in := range choices(d, sizes) {
		c := base
		c.inputs = append(slices.Clone(base.inputs), in)
		add(c)
	}
	if s.key == "kerf" {
		for _, hole := range halves {
			c := base
			c.length, c.hole = "132 in", hole
			add(c)
		}
	}
	if s.item != "" {
		for feet := range 300 {
			c := base
			c.length = number(int64(feet+1)) + " ft"
			add(c)
			if feet < 100 {
				c.panel = "7 in"
				add(c)
			}
		}
	}
	for _, size := range sizes {
		for _, g := range grounds {
			c := g
			c.length = size
			add(c)
		}
		c := base
		c.panel = size
		add(c)
		c.panel, c.first = "18 in", size
		add(c)
		for _, from := range []string{"0 in", "60 in"} {
			c := base
			c.hole = from + " to " + plus(from, size)
			add(c)
		}
		for _, g := range grounds[1:] {
			c := g
			c.hole = "10 in to " + plus("10 in", size)
			add(c)
		}
		c = base
		c.panel, c.hole = "96 in", "120 in to "+plus("120 in", size)
		add(c)
	}
	for _, size := range sizes {
		for _, panel := range sizes {
			c := base
			c.length, c.panel = size, panel
			add(c)
		}
	}
	return list
}

// halves are holes in a run of 132 in that leave a little less than a half of 10 ft on either side, extends of 1 in or
// none included.
var halves = func() (list []string) {
	at := func(sixteenths int64) string {
		l, _ := units.FromTicks(sixteenths * (units.TicksPerInch / 16))
		return inches(l)
	}
	for _, a := range []int64{0, 1, 2, 3, 16, 17, 18, 19} {
		for _, b := range []int64{0, 1, 2, 3, 16, 17, 18, 19} {
			list = append(list, at(60*16-a)+" to "+at(72*16+b))
		}
	}
	return list
}()

// spoken are the lengths and slopes that a detail speaks of, with those beside them and multiples of the lengths; those
// of the changed line come first.
func spoken(d *rules.Detail, s *site) (sizes, slopes []string) {
	var lengths []*big.Rat
	var rises []*big.Rat
	take := func(e rules.Expr) {
		each(e, func(l *rules.Literal) {
			switch l.Value.Dim {
			case rules.LengthDim:
				if !slices.ContainsFunc(lengths, func(x *big.Rat) bool { return x.Cmp(l.Value.Num) == 0 }) {
					lengths = append(lengths, l.Value.Num)
				}
			case rules.SlopeDim:
				rises = append(rises, l.Value.Num)
			}
		})
	}
	if s.number != nil {
		take(s.number)
	}
	takeOwn := func(r *rules.Rule) {
		if r.Span.File == s.Span.File && r.Start.Offset <= s.cut[0] && s.cut[1] <= r.End.Offset {
			take(r.Value)
		}
	}
	for _, e := range d.Elements {
		for _, r := range e.Rules {
			takeOwn(r)
		}
	}
	own := len(lengths)
	for _, q := range d.Requires {
		take(q.Cond)
	}
	for _, in := range d.Inputs {
		take(in.Default)
		take(in.Where)
	}
	for _, e := range d.Elements {
		take(e.When)
		if e.Item != nil {
			for _, st := range e.Item.Stock {
				lengths = append(lengths, st.Length.Rat())
			}
			if !e.Item.Roll.IsZero() {
				lengths = append(lengths, e.Item.Roll.Rat())
			}
		}
		for _, r := range e.Rules {
			take(r.Value)
		}
	}
	sixteenth := new(big.Rat).SetInt64(units.TicksPerInch / 16)
	seen := map[string]bool{}
	put := func(x *big.Rat) {
		l, err := units.FromRat(x, units.Exact)
		if err != nil || l.Sign() <= 0 || l.Cmp(longest) > 0 {
			return
		}
		if text := inches(l); !seen[text] {
			seen[text] = true
			sizes = append(sizes, text)
		}
	}
	for _, v := range lengths[:min(len(lengths), own)] {
		for k := range int64(5) {
			for _, w := range lengths {
				for _, times := range []int64{1, 2, -1, -2} {
					x := new(big.Rat).Mul(v, big.NewRat(k+1, 1))
					put(x.Add(x, new(big.Rat).Mul(w, big.NewRat(times, 1))))
				}
			}
		}
	}
	for i, v := range lengths {
		times := []int64{1, 2, 3, 4, 5, 8}
		if i > 3 {
			times = times[:2]
		}
		for _, k := range times {
			for _, off := range []int64{0, 1, -1, 12, 13, 14} {
				x := new(big.Rat).Mul(v, big.NewRat(k, 1))
				x.Add(x, new(big.Rat).Mul(sixteenth, big.NewRat(off, 1)))
				put(x)
			}
		}
	}
	for _, v := range rises {
		for _, off := range []int64{0, -1, 1} {
			slope, err := units.SlopeFromRat(new(big.Rat).Add(v, big.NewRat(off, 48)))
			if err == nil && slope.Rat().Sign() > 0 {
				slopes = append(slopes, slope.String())
			}
		}
	}
	return sizes, slopes
}

var longest = units.MustParse("100 ft")

func plus(a, b string) string {
	x, y := units.MustParse(a), units.MustParse(b)
	sum, _ := x.Add(y)
	return inches(sum)
}

// each calls f for each number in an expression.
func each(e rules.Expr, f func(*rules.Literal)) {
	switch e := e.(type) {
	case *rules.Literal:
		f(e)
	case *rules.Unary:
		each(e.X, f)
	case *rules.Binary:
		each(e.X, f)
		each(e.Y, f)
	case *rules.Call:
		for _, a := range e.Args {
			each(a, f)
		}
	}
}

// eachIs calls f for each `is` in an expression.
func eachIs(e rules.Expr, f func(*rules.Is)) {
	switch e := e.(type) {
	case *rules.Is:
		f(e)
	case *rules.Unary:
		eachIs(e.X, f)
	case *rules.Binary:
		eachIs(e.X, f)
		eachIs(e.Y, f)
	}
}

// asked are the words of which a detail asks whether a name is one.
func asked(d *rules.Detail, name string) []string {
	var list []string
	take := func(e rules.Expr) {
		eachIs(e, func(is *rules.Is) {
			if ref, ok := is.X.(*rules.Ref); ok && ref.Name == name && !slices.Contains(list, is.Word.Text) {
				list = append(list, is.Word.Text)
			}
		})
	}
	for _, q := range d.Requires {
		take(q.Cond)
	}
	for _, e := range d.Elements {
		take(e.When)
		for _, r := range e.Rules {
			take(r.When)
		}
	}
	return list
}

func endsOf(d *rules.Detail) []string  { return asked(d, "end.kind") }
func zonesOf(d *rules.Detail) []string { return asked(d, "zone") }

// given are values for the inputs that have no default: of a choice its first word, else a number from its `where`.
func given(d *rules.Detail) []string {
	var list []string
	for _, in := range d.Inputs {
		if in.Default != nil {
			continue
		}
		value := map[string]string{"length": "1 in", "number": "1", "slope": "3:12", "percent": "5%"}[in.Type.Text]
		if len(in.Choices) > 0 {
			value = in.Choices[0].Text
		}
		each(in.Where, func(l *rules.Literal) { value = l.Text })
		list = append(list, in.Name.Text+" = "+value)
	}
	return list
}

// choices are values for one input each: each word of a choice, and lengths.
func choices(d *rules.Detail, sizes []string) []string {
	var list []string
	for _, in := range d.Inputs {
		for _, c := range in.Choices {
			list = append(list, in.Name.Text+" = "+c.Text)
		}
		if in.Type.Text == "length" && in.Default != nil {
			for _, size := range sizes[:min(len(sizes), 12)] {
				list = append(list, in.Name.Text+" = "+size)
			}
		}
	}
	return list
}

// inputRanges are examples that ask of values of an input, at and beside the number changed, whether they are let in.
func inputRanges(s *site, d *rules.Detail) []string {
	var values []string
	in := d.Input(s.input)
	if in == nil {
		return nil
	}
	each(in.Where, func(l *rules.Literal) {
		values = append(values, l.Text)
		for _, v := range (&sites{}).beside(l) {
			values = append(values, v.Text)
		}
	})
	var list []string
	on := candidate{edge: d.Kinds[0], length: "20 ft", slope: "12:12", panel: "18 in"}
	for _, v := range values {
		for _, verdict := range []string{"built", "refused"} {
			l := ground{on.text(), "lay " + d.Name}
			list = append(list, exampleText(s, l, fmt.Sprintf("along %s %s to %s %s", s.input, v, v, verdict)))
		}
	}
	return list
}
