package mutation

import (
	"math/big"

	"github.com/lapwright/lapwright/rules"
)

// unread are the properties of an item that no figure of a report comes from.
var unread = map[string]bool{"movement": true}

// equivalent proves that a change means nothing, or returns "".
func (s *site) equivalent(book *rules.Book) string {
	if proof := s.stands(book); proof != "" {
		return proof
	}
	if unread[s.key] {
		return "no figure of a layout comes from a " + s.key
	}
	if s.whole == nil {
		return ""
	}
	if s.neverDecides(book) {
		return "this number never decides, before or after: by the bounds of the inputs another part always does"
	}
	before, err := rules.Eval(s.whole, none{})
	if err != nil {
		return ""
	}
	s.make()
	defer s.undo()
	after, err := rules.Eval(s.whole, none{})
	if err != nil || before.Dim != after.Dim || before.Bool != after.Bool {
		return ""
	}
	if before.Num != nil && before.Num.Cmp(after.Num) != 0 {
		return ""
	}
	return "both come to the same, whatever the roof"
}

// neverDecides tells whether a number stands in a min or max that it decides neither before nor after its change, in
// every detail that takes it from its base: an input may be declared again with other bounds.
func (s *site) neverDecides(book *rules.Book) bool {
	if s.number == nil || s.input != "" {
		return false
	}
	found := false
	for _, d := range book.Details {
		on := d.Name == s.Part
		for at := book.Detail(d.Extends); at != nil && !on; at = book.Detail(at.Extends) {
			on = at.Name == s.Part
		}
		if !on {
			continue
		}
		found = true
		before := outdone(d, s.whole, s.number)
		s.make()
		after := outdone(d, s.whole, s.number)
		s.undo()
		if !before || !after {
			return false
		}
	}
	return found
}

// none gives no name a value: what can be computed with it is the same on every roof.
type none struct{}

func (none) Lookup(string) (rules.Value, bool) { return rules.Value{}, false }

// stands proves that the severity of a `lap` or a `spacing` means nothing because nothing can stand against it, so that
// must or should it is kept. Of laps: where a stretch takes more pieces than one, of the fewest that cover it the mean is
// over half of the stock, so that pieces of about equal length keep the least length and the lap, if both are at most
// half of the stock. Of spacings: see open.
func (s *site) stands(book *rules.Book) string {
	if !s.forced {
		return ""
	}
	proved := ""
	for _, d := range book.Details {
		for _, e := range d.Elements {
			for _, r := range e.Rules {
				if r.Span != s.Span {
					continue
				}
				switch {
				case r.Measure == rules.Lap && free(book, e, r):
					proved = "nothing stands against this lap: pieces that lap are on the mean over half of the stock or roll"
				case r.Measure == rules.Spacing && open(book, e):
					proved = "nothing stands against this spacing: a mark may stand anywhere, and no line asks for fewer or wider"
				default:
					return ""
				}
			}
		}
	}
	return proved
}

// free tells whether no rule of an element can conflict with its lap.
func free(book *rules.Book, e *rules.Element, lap *rules.Rule) bool {
	if e.Item == nil || lap.When != nil {
		return false
	}
	most := e.Item.Roll
	if e.Kind == rules.Pieces {
		if len(e.Item.Stock) == 0 {
			return false
		}
		most = e.Item.Stock[0].Length
		for _, st := range e.Item.Stock {
			if st.Length.Cmp(most) > 0 {
				most = st.Length
			}
		}
	}
	half := new(big.Rat).Quo(most.Rat(), big.NewRat(2, 1))
	half.Sub(half, book.Mark.Rat())
	for _, r := range e.Rules {
		switch r.Measure {
		case rules.Extend:
			continue
		case rules.Lap:
			if r != lap || r.Op != rules.AtLeast && r.Op != rules.Greater {
				return false
			}
		case rules.Length:
			if r.Op != rules.AtLeast && r.Op != rules.Greater {
				return false
			}
		default:
			return false
		}
		if v, err := rules.Eval(r.Value, none{}); err != nil || v.Num.Cmp(half) > 0 {
			return false
		}
	}
	return true
}

// open tells whether a row's marks may stand anywhere, as close as can be: along rib lines, which end where something
// stands in the way, or round penetrations, with no rule but the most that spacings and ends may be. Ends with a must
// of their own don't look at the spacing. A maximum that the roof or an input decides, or of two steps or less, might
// leave room for none.
func open(book *rules.Book, e *rules.Element) bool {
	ring := e.Scope.How == "around"
	if e.Kind != rules.Row || !ring && (e.Scope.How != "along" || e.Scope.Of != "rib") || e.Lay != "" && e.Lay != "even" {
		return false
	}
	steps := new(big.Rat).Mul(book.Mark.Rat(), big.NewRat(2, 1))
	ends := ring
	for _, r := range e.Rules {
		if v, err := rules.Eval(r.Value, none{}); r.Measure != rules.Offset && (err != nil || v.Num.Cmp(steps) <= 0) {
			return false
		}
		switch {
		case r.Op != rules.AtMost && r.Op != rules.Less && r.Measure != rules.Offset:
			return false
		case r.Measure == rules.End:
			ends = ends || r.Side == rules.BothEnds && !r.Should && r.When == nil
		case r.Measure != rules.Spacing && (r.Measure != rules.Offset || !ring):
			return false
		}
	}
	return ends
}
