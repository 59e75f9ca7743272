package detail

import (
	"context"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A SweepAxis is what a sweep varies, or holds at a listed value.
type SweepAxis struct {
	Of    string // panel (the width of whole panels), length (of the run), slope, or input
	Input string // the input's name, where Of is input
}

// String names the axis as an author would: "panel", "input keep_off".
func (a SweepAxis) String() string {
	if a.Of == "input" {
		return "input " + a.Input
	}
	return a.Of
}

// A SweepSpec says what to sweep. Values are texts of the rule language: "12 in", "3:12", "5%", "4".
//
// The run that is laid has one side, or an upper and a lower one on a transition, with ribs at whole panels from its
// left end and no rib there. Its last panel may be cut: what stands in a panel narrower than the others is not judged.
// Where the panel's width is swept and no length is given, the run is three panels long, and only elements that stand in
// panels, at ribs or on such elements are judged, and requirements that don't ask for the run's length.
type SweepSpec struct {
	Detail    string
	Edge      string // the kind of edge; "" is the first that the detail fits
	Along     SweepAxis
	From, To  string      // the range, both ends in it
	At        []SweepAt   // the others; of what is not given: panel 18 in, length 40 ft, slope 3:12, inputs their defaults
	RibWidth  string      // "" is 3/4 in
	RibHeight string      // "" is 1 3/4 in
	Zones     []geom.Zone // from the run's left end; cut off where the run ends

	// Progress, if not nil, is told now and then how far along the range the sweep is, in thousandths of one line.
	Progress func(line, of, thousandths int)
}

// A SweepAt lists the values at which an axis is held. Each combination of the values listed is swept by itself.
type SweepAt struct {
	SweepAxis
	Values []string
}

// A SweepReport says where a detail can be built.
type SweepReport struct {
	Detail string
	Edge   string
	Along  SweepAxis
	Run    []string // what was laid on, in sentences
	Grid   Amount   // the smallest difference told apart: for lengths a tick of 1e-9 mm
	Step   Amount   // how far apart values were tried where a range is not Exact
	Lines  []SweepLine
}

// A SweepLine is one sweep along the range.
type SweepLine struct {
	At     []SweepValue // what was held
	Ranges []SweepRange // without gaps, from the least value on
}

// A SweepValue is an axis held at a value.
type SweepValue struct {
	SweepAxis
	Value Amount
}

// A SweepRange is a stretch of the range throughout which the same can be said.
type SweepRange struct {
	From, To  Amount
	FromOpen  bool // From itself is just outside
	ToOpen    bool // To itself is just outside
	Verdict   SweepVerdict
	Conflicts []SweepConflict // where the verdict is Conflict
	GivenUp   []RuleRef       // shoulds that can't be kept, of scopes without a conflict
	Refused   string          // where the verdict is Refused: why, at the first value tried
	Exact     bool            // it holds for every value of the range; else for those that were tried
}

// A SweepConflict is a set of rules that can't hold together.
type SweepConflict struct {
	Element  string // "" for a requirement
	Rules    []RuleRef
	Smallest bool // no smaller set conflicts; else none of its rules can be left out
}

// A SweepVerdict is what can be said of a range.
type SweepVerdict uint8

// The verdicts, from the best.
const (
	Buildable SweepVerdict = iota // every rule can be kept
	Yielding                      // every must can be kept, and not every should
	Conflict                      // some musts can't be kept together
	Refused                       // it can't be laid at all: an input's `where`, a size that no run has
)

// String names the verdict in the words of a table.
func (v SweepVerdict) String() string {
	return [...]string{"can be built", "gives up a should", "rules conflict", "can't be laid"}[v]
}

// Sweep finds where along a range a detail can be built. An error says what is wrong with the spec, that a limit was
// reached, or that the context ended.
func (o Options) Sweep(ctx context.Context, book *rules.Book, spec SweepSpec) (*SweepReport, error) {
	s, err := newSweeper(ctx, o.Limits.orDefault(), book, spec)
	if err != nil {
		return nil, err
	}
	rep := &SweepReport{Detail: s.detail.Name, Edge: s.edge, Along: spec.Along, Run: s.run(), Grid: s.axis.amount(1), Step: s.axis.amount(s.axis.coarse)}
	lines := [][]fixedValue{nil}
	for i, at := range spec.At {
		var next [][]fixedValue
		for _, held := range lines {
			for k := range at.Values {
				next = append(next, append(slices.Clone(held), s.at[i][k]))
			}
		}
		lines = next
		if len(lines) > maxSweepLines {
			return nil, fmt.Errorf("a sweep is along at most %d lines: list fewer values", maxSweepLines)
		}
	}
	for i, held := range lines {
		if spec.Progress != nil {
			s.progress = func(thousandths int) { spec.Progress(i, len(lines), thousandths) }
		}
		line, err := s.line(held)
		if err != nil {
			return nil, err
		}
		rep.Lines = append(rep.Lines, line)
	}
	return rep, nil
}

const (
	maxSweepLines = 1000
	maxSweepSteps = 20_000  // values tried along a range that isn't exact
	maxSweepTries = 200_000 // layouts tried for exactness along a line; beyond, the rest is not exact
)

// A sweeper sweeps one detail.
type sweeper struct {
	ctx      context.Context
	limits   Limits
	book     *rules.Book
	spec     SweepSpec
	detail   *rules.Detail
	edge     string
	axis     sweepScale
	at       [][]fixedValue
	profile  geom.Profile // without its cover
	progress func(thousandths int)
	judged   map[string]bool // elements
	needed   map[string]bool // and those that they refer to
	whole    bool            // the run is three whole panels: what spans it is not judged

	base   *layer
	held   []fixedValue
	varies map[rules.Expr]bool // expressions that depend on the axis
	curved bool                // one of them may bend between two values that agree
	tries  int
	laid   int // marks and scopes at all the values tried
	ranges []SweepRange
	sigs   []string
}

// A sweepScale numbers the values of an axis: number n is n units.
type sweepScale struct {
	SweepAxis
	typ      string // length slope percent number choice
	unit     *big.Rat
	from, to int64
	coarse   int64
}

// A fixedValue is an axis held.
type fixedValue struct {
	SweepAxis
	typ   string
	value rules.Value
}

func newSweeper(ctx context.Context, limits Limits, book *rules.Book, spec SweepSpec) (*sweeper, error) {
	s := &sweeper{ctx: ctx, limits: limits, book: book, spec: spec, detail: book.Detail(spec.Detail)}
	if s.detail == nil {
		names := make([]string, len(book.Details))
		for i, d := range book.Details {
			names[i] = d.Name
		}
		return nil, named(fmt.Sprintf("the book has no detail %q", spec.Detail), nearest(spec.Detail, names))
	}
	switch kinds := s.detail.Kinds; {
	case len(kinds) == 0 || kinds[0] == "field":
		return nil, fmt.Errorf("detail %s lies in the field of a plane: a sweep is along an edge", s.detail.Name)
	case spec.Edge == "":
		s.edge = kinds[0]
	case !slices.Contains(kinds, spec.Edge):
		return nil, fmt.Errorf("detail %s is for %s, not for %q", s.detail.Name, strings.Join(kinds, ", "), spec.Edge)
	default:
		s.edge = spec.Edge
	}
	for _, size := range []struct {
		to         *units.Length
		text, plan string
	}{{&s.profile.RibWidth, spec.RibWidth, "3/4 in"}, {&s.profile.RibHeight, spec.RibHeight, "1 3/4 in"}} {
		if size.text == "" {
			size.text = size.plan
		}
		var err error
		if *size.to, err = units.Parse(size.text); err != nil {
			return nil, err
		}
	}
	if err := s.setAxis(); err != nil {
		return nil, err
	}
	taken := map[SweepAxis]bool{spec.Along: true}
	for _, at := range spec.At {
		if taken[at.SweepAxis] {
			return nil, fmt.Errorf("%s is given twice", at.SweepAxis)
		}
		taken[at.SweepAxis] = true
		if len(at.Values) == 0 {
			return nil, fmt.Errorf("%s has no value", at.SweepAxis)
		}
		typ, in, err := s.typeOf(at.SweepAxis)
		if err != nil {
			return nil, err
		}
		var list []fixedValue
		for _, text := range at.Values {
			v, err := readInput(in, text)
			if err == nil && at.Of == "input" {
				err = in.Accept(v)
			}
			if err != nil {
				return nil, fmt.Errorf("%s, %q: %w", at.SweepAxis, text, err)
			}
			list = append(list, fixedValue{at.SweepAxis, typ, v})
		}
		s.at = append(s.at, list)
	}
	s.whole = spec.Along.Of == "panel" && !taken[SweepAxis{Of: "length"}]
	s.choose()
	s.base = &layer{ctx: ctx, limits: limits, book: book, files: map[string]int{}}
	for i, f := range book.Files {
		s.base.files[f.Name] = i
	}
	return s, nil
}

// run says in sentences what the sweep lays on.
func (s *sweeper) run() []string {
	rib := fmt.Sprintf("Ribs are %s x %s.", s.profile.RibWidth, s.profile.RibHeight)
	if s.whole {
		return []string{"The run is three panels long; what spans it is not judged.", rib}
	}
	for _, plan := range []struct{ of, text string }{{"panel", "Panels are 18 in wide."}, {"length", "The run is 40 ft long."}, {"slope", "The slope is 3:12."}} {
		of := func(at SweepAt) bool { return at.Of == plan.of }
		if s.spec.Along.Of != plan.of && !slices.ContainsFunc(s.spec.At, of) {
			rib = plan.text + " " + rib
		}
	}
	return []string{rib, "What stands in a cut panel is not judged."}
}

func named(text, near string) error {
	if near != "" {
		text += fmt.Sprintf("; did you mean %q?", near)
	}
	return fmt.Errorf("%s", text)
}

// typeOf is the type of an axis's values, and an input to read them with.
func (s *sweeper) typeOf(a SweepAxis) (string, *rules.Input, error) {
	switch a.Of {
	case "panel", "length":
		return "length", &rules.Input{Type: rules.Name{Text: "length"}}, nil
	case "slope":
		return "slope", &rules.Input{Type: rules.Name{Text: "slope"}}, nil
	case "input":
		in := s.detail.Input(a.Input)
		if in == nil {
			names := make([]string, len(s.detail.Inputs))
			for i, in := range s.detail.Inputs {
				names[i] = in.Name.Text
			}
			return "", nil, named(fmt.Sprintf("detail %s has no input %q", s.detail.Name, a.Input), nearest(a.Input, names))
		}
		return in.Type.Text, in, nil
	}
	return "", nil, fmt.Errorf("a sweep is along panel, length, slope or an input, not %q", a.Of)
}

// setAxis numbers the values of the range.
func (s *sweeper) setAxis() error {
	typ, in, err := s.typeOf(s.spec.Along)
	if err != nil {
		return err
	}
	ax := &s.axis
	*ax = sweepScale{SweepAxis: s.spec.Along, typ: typ, coarse: 1}
	switch typ {
	case "length":
		ax.unit, ax.coarse = big.NewRat(1, 1), units.TicksPerInch/16
	case "slope":
		ax.unit, ax.coarse = big.NewRat(1, 12_000), 10 // thousandths of an inch in 12
	case "percent":
		ax.unit, ax.coarse = big.NewRat(1, 100_000), 10
	case "number":
		ax.unit = big.NewRat(1, 1)
		for _, text := range []string{s.spec.From, s.spec.To} {
			if _, decimals, ok := strings.Cut(text, "."); ok {
				if unit := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(decimals))), nil)); unit.Cmp(ax.unit) < 0 {
					ax.unit = unit
				}
			}
		}
	default:
		return fmt.Errorf("%s is a %s, which has no range: list its values", ax.SweepAxis, typ)
	}
	for _, end := range []struct {
		to   *int64
		text string
	}{{&ax.from, s.spec.From}, {&ax.to, s.spec.To}} {
		v, err := readInput(in, end.text)
		if err != nil {
			return fmt.Errorf("%s, %q: %w", ax.SweepAxis, end.text, err)
		}
		n := new(big.Rat).Quo(v.Num, ax.unit)
		lo, hi, err := whole(n)
		if err != nil {
			return fmt.Errorf("%s, %q: %w", ax.SweepAxis, end.text, err)
		}
		if lo != hi {
			return fmt.Errorf("%s, %q: an end of a range is a whole number of %s", ax.SweepAxis, end.text, ax.amount(1).In(units.In))
		}
		*end.to = lo
	}
	switch {
	case ax.from > ax.to:
		return fmt.Errorf("%s: the range from %s to %s is empty: write the smaller first", ax.SweepAxis, s.spec.From, s.spec.To)
	case (ax.Of == "panel" || ax.Of == "length") && ax.from <= 0:
		return fmt.Errorf("%s: a range of sizes starts above 0", ax.SweepAxis)
	}
	for (ax.to-ax.from)/ax.coarse > maxSweepSteps {
		ax.coarse *= 2
	}
	return nil
}

// value is number n of the axis.
func (a *sweepScale) value(n int64) rules.Value {
	dims := map[string]rules.Dim{"length": rules.LengthDim, "slope": rules.SlopeDim, "percent": rules.PercentDim, "number": rules.Number}
	return rules.Value{Dim: dims[a.typ], Num: new(big.Rat).Mul(a.unit, new(big.Rat).SetInt64(n))}
}

func (a *sweepScale) amount(n int64) Amount { return amount("", a.value(n)) }

// choose finds the elements that the sweep judges and those that have to be laid for them.
func (s *sweeper) choose() {
	s.judged, s.needed = map[string]bool{}, map[string]bool{}
	for _, i := range s.detail.Order {
		e := s.detail.Elements[i]
		switch {
		case e.Scope.Name != nil:
			s.judged[e.Name] = s.judged[e.Scope.Name.Text]
		default:
			s.judged[e.Name] = !s.whole || e.Scope.Of == "panel" || e.Scope.Of == "rib"
		}
	}
	for _, i := range slices.Backward(s.detail.Order) {
		e := s.detail.Elements[i]
		if !s.judged[e.Name] && !s.needed[e.Name] {
			continue
		}
		s.needed[e.Name] = true
		if e.Scope.Name != nil {
			s.needed[e.Scope.Name.Text] = true
		}
		for _, r := range e.Rules {
			if r.From != nil && r.From.Name != nil {
				s.needed[r.From.Name.Text] = true
			}
		}
	}
}

// line sweeps the range with the other axes held.
func (s *sweeper) line(held []fixedValue) (SweepLine, error) {
	s.held, s.ranges, s.sigs, s.tries = held, nil, nil, 0
	s.depend()
	a, err := s.try(s.axis.from)
	if err != nil {
		return SweepLine{}, err
	}
	b := a
	if s.axis.to > s.axis.from {
		if b, err = s.try(s.axis.to); err != nil {
			return SweepLine{}, err
		}
		if err := s.between(a, b, false); err != nil {
			return SweepLine{}, err
		}
	}
	s.emit(b, b.at, true)
	line := SweepLine{Ranges: s.ranges}
	for _, f := range held {
		line.At = append(line.At, SweepValue{f.SweepAxis, amount("", f.value)})
	}
	return line, nil
}

// between finds what holds from a up to and without b.
func (s *sweeper) between(a, b *tried, halve bool) error {
	loose := a.seen || b.seen || s.tries > maxSweepTries
	if b.at-a.at <= 1 || a.sig == b.sig && (loose && b.at-a.at <= s.axis.coarse || !loose && a.agrees(b)) {
		s.emit(a, b.at-1, !loose || b.at-a.at <= 1)
		return nil
	}
	at := a.at + (b.at-a.at)/2
	switch {
	case loose && a.sig == b.sig:
		// On the steps themselves, counted from 0, as far as they lie between.
		if on := at - at%s.axis.coarse; on > a.at {
			at = on
		} else if on += s.axis.coarse; on < b.at {
			at = on
		}
	case !loose && !halve:
		at = a.split(b)
	}
	m, err := s.try(at)
	if err != nil {
		return err
	}
	if s.progress != nil && s.tries%256 == 0 {
		span := new(big.Int).Mul(big.NewInt(a.at-s.axis.from), big.NewInt(1000))
		s.progress(int(span.Quo(span, big.NewInt(max(1, s.axis.to-s.axis.from))).Int64()))
	}
	// A guess that leaves most of the stretch was a bad one: the next one halves it.
	lopsided := func(part int64) bool { return !halve && part > (b.at-a.at)/4*3 }
	if err := s.between(a, m, lopsided(m.at-a.at)); err != nil {
		return err
	}
	return s.between(m, b, lopsided(b.at-m.at))
}

// emit appends what was found at a point as holding up to a number, and joins it to an equal range before it.
func (s *sweeper) emit(p *tried, to int64, exact bool) {
	n := len(s.ranges) - 1
	if n < 0 || s.sigs[n] != p.sig {
		r := p.says
		r.From, r.FromOpen = s.bound(p.at, -1)
		r.Exact = true
		s.ranges, s.sigs = append(s.ranges, r), append(s.sigs, p.sig)
		n++
	}
	s.ranges[n].To, s.ranges[n].ToOpen = s.bound(to, 1)
	s.ranges[n].Exact = s.ranges[n].Exact && exact
}

// bound is an end of a range at a number, said by the number just outside where that is rounder.
func (s *sweeper) bound(n, outward int64) (at Amount, open bool) {
	if out := n + outward; s.axis.typ == "length" && out >= s.axis.from && out <= s.axis.to && round(out) > round(n) {
		return s.axis.amount(out), true
	}
	return s.axis.amount(n), false
}

// round says how round a length is.
func round(ticks int64) int {
	for i, step := range []int64{1, units.TicksPerMM / 1000, units.TicksPerInch / 512, units.TicksPerInch / 64} {
		if ticks%step != 0 {
			return i
		}
	}
	return 4
}
