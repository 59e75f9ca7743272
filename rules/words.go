package rules

import "strconv"

// String is the keyword: "row".
func (k Kind) String() string { return [...]string{"row", "pieces", "strip", "bead"}[k] }

// String is the keyword: "spacing".
func (m Measure) String() string {
	return [...]string{"spacing", "count", "end", "clear", "offset", "lap", "length", "extend"}[m]
}

// String is the comparator as written: "<=".
func (o Op) String() string { return [...]string{"<", "<=", "=", ">=", ">"}[o] }

// String is the keyword, "left" or "right", or empty for both ends.
func (s Side) String() string { return [...]string{"", "left", "right"}[s] }

// edgeKinds are what a detail can be for, and how a run or a side of a plane can be called.
var edgeKinds = [...]string{
	"eave", "rake", "ridge", "peak", "hip", "valley", "headwall", "sidewall", "transition", "backpan",
}

// endKinds are what a run can end at beside an edge.
var endKinds = [...]string{"wall", "open", "penetration"}

// A given is a name that the roof gives a value.
type given struct {
	name string
	dim  Dim
	at   string // where it is given
}

var givens = [...]given{
	{"run.length", LengthDim, "everywhere"},
	{"run.edge", Word, "everywhere"},
	{"slope", SlopeDim, "everywhere"},
	{"side", Word, "on transitions, in scopes of one side (`along each side`, `in each panel`, `at each rib`, `at each panel`)"},
	{"panel.width", LengthDim, "`in each panel` and `at each panel`"},
	{"panel.flat", LengthDim, "`in each panel` and `at each panel`"},
	{"panel.cut", Condition, "`in each panel` and `at each panel`"},
	{"rib.width", LengthDim, "in scopes of one side (`along each side`, `in each panel`, `at each rib`, `at each panel`)"},
	{"rib.height", LengthDim, "in scopes of one side (`along each side`, `in each panel`, `at each rib`, `at each panel`)"},
	{"scope.length", LengthDim, "in scopes that have a length (`along …`, `around …`, `in each …`)"},
	{"penetration.width", LengthDim, "`at each penetration` and `around each penetration`"},
	{"zone", Word, "in a `when`"},
	{"end.kind", Word, "`at each end`, and in the `when` of an `end` or `extend` rule"},
}

func givenNamed(name string) *given {
	for i := range givens {
		if givens[i].name == name {
			return &givens[i]
		}
	}
	return nil
}

// text is the scope as it is written: "at each 2nd rib from rib 3".
func (s *ScopeDecl) text() string {
	if s.Of == "run" {
		return s.How + " run"
	}
	t := s.How + " each "
	if s.Every > 1 {
		t += ordinal(s.Every) + " "
	}
	t += s.Of
	if s.Name != nil {
		t += " of " + s.Name.Text
	}
	if s.From > 1 {
		t += " from rib " + strconv.Itoa(s.From)
	}
	return t
}

// equal tells whether two scopes say the same.
func (s *ScopeDecl) equal(t *ScopeDecl) bool { return s.text() == t.text() }

// ordinal writes 2 as "2nd".
func ordinal(n int) string {
	end := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return strconv.Itoa(n) + end
}
