package detail

import (
	"fmt"
	"slices"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A tape is a scope with the marks, or the joints of pieces, that were expected and found in it.
type tape struct {
	from, to        int64
	expected, found []int64
	asked           bool // something was expected; else only what was found is shown
	origin          int64
}

// Text says in lines of at most 80 columns, as far as names let it, what of an example doesn't hold: what was expected
// and found side by side, and why it was laid so. It is empty where all holds.
func (r *ExampleResult) Text() string {
	var b strings.Builder
	if r.OK() {
		return ""
	}
	if r.Err != nil {
		return r.Err.Error() + "\n"
	}
	fmt.Fprintf(&b, "%s: %q\n", place(r.Example.Pos()), r.Example.Name)
	for _, f := range r.Failures {
		fmt.Fprintf(&b, "  line %d: %s\n", f.Expect.Start.Line, f.Expected)
		if !slices.ContainsFunc(f.tapes, func(t tape) bool { return t.asked }) {
			fmt.Fprintf(&b, "    found     %s\n", f.Found)
		}
		for _, t := range f.tapes {
			t.write(&b)
		}
		for _, why := range f.Why {
			fmt.Fprintf(&b, "    why       %s\n", why)
		}
	}
	return b.String()
}

// failure is an expectation that doesn't hold, with what was laid where it speaks of and why.
func (r *Report) failure(x *rules.Expect, found string) Failure {
	f := Failure{Expect: x, Expected: r.text(x.Pos()), Found: found}
	if x.Of == nil || x.What == "along" || slices.Contains(quantities, x.What) {
		return f
	}
	var asked []int64
	for _, at := range x.At {
		if v, err := rules.Eval(at, noNames{}); err == nil {
			if lo, _, err := whole(v.Num); err == nil {
				asked = append(asked, lo)
			}
		}
	}
	scopes := r.scopesOf(x)
	for _, sc := range scopes[:min(len(scopes), maxTapes)] {
		t := tape{from: sc.From.Ticks(), to: sc.To.Ticks()}
		if x.In != nil {
			t.origin = t.from
		}
		for _, at := range asked {
			t.expected = append(t.expected, at+t.origin)
		}
		t.asked = x.What == "at"
		if r.Placements[sc.Placement].Element.Kind != rules.Row {
			break
		}
		for _, m := range r.Marks[sc.First:sc.Last] {
			t.found = append(t.found, m.At.Ticks())
		}
		if x.In == nil && len(f.tapes) > 0 && t.asked { // positions of several scopes are one list
			last := &f.tapes[len(f.tapes)-1]
			last.to, last.found = max(last.to, t.to), append(last.found, t.found...)
			continue
		}
		f.tapes = append(f.tapes, t)
	}
	f.Why = r.whyOf(scopes)
	return f
}

// quantities are what is expected of an item, and so nowhere along a run.
var quantities = []string{"takeoff", "stock", "area", "cost"}

const (
	maxTapes = 3 // scopes that a failure shows
	maxWhy   = 4
)

// whyOf says why some scopes were laid as they are: which rule decided the count, and which rules are broken there.
func (r *Report) whyOf(scopes []Scope) []string {
	var list []string
	for _, sc := range scopes[:min(len(scopes), maxTapes)] {
		for i := range r.Why {
			y := &r.Why[i]
			if s := r.Scopes[y.Scope]; s.Placement == sc.Placement && s.Kind == sc.Kind && s.N == sc.N && len(list) < maxWhy {
				list = appendNew(list, y.Text(units.In))
			}
		}
		p := &r.Placements[sc.Placement]
		for i := range r.Violations {
			v := &r.Violations[i]
			here := v.Element == p.Element.Name && v.Run == p.Run.ID && v.Side == p.SideID()
			if here && v.Scope == (ScopeRef{sc.Kind, sc.N}) && len(list) < maxWhy {
				list = appendNew(list, v.Message(units.In)+against(v))
			}
		}
	}
	return list
}

// against names the rules that a violation says conflict.
func against(v *Violation) string {
	if len(v.Conflict) < 2 {
		return ""
	}
	names := make([]string, len(v.Conflict))
	for i, c := range v.Conflict {
		names[i] = c.Rule
	}
	return "; " + strings.Join(names, " against ")
}

// tapeWidth is how many columns a scope is drawn in.
const tapeWidth = 60

// write draws the tape, and lists what was expected beside what was found.
func (t *tape) write(b *strings.Builder) {
	for _, line := range []struct {
		name string
		at   []int64
		on   bool
	}{{"expected", t.expected, t.asked}, {"found", t.found, true}} {
		if line.on {
			fmt.Fprintf(b, "    %-9s %s\n", line.name, t.drawn(line.at))
		}
	}
	from, to := ticks(t.from-t.origin).String(), ticks(t.to-t.origin).String()
	fmt.Fprintf(b, "    %-9s %s%*s\n", "", from, max(tapeWidth-len(from), len(to)+1), to)
	if !t.asked {
		return
	}
	text := func(list []int64, i int) string {
		if i >= len(list) {
			return "-"
		}
		return ticks(list[i] - t.origin).String()
	}
	fmt.Fprintf(b, "    %-14s%s\n", "expected", "found")
	for i := range max(len(t.expected), len(t.found)) {
		x, y := text(t.expected, i), text(t.found, i)
		mark := ""
		if x != y {
			mark = "   <"
		}
		fmt.Fprintf(b, "    %-14s%s%s\n", x, y, mark)
	}
}

// drawn is a line of the tape: [---o---o---].
func (t *tape) drawn(at []int64) string {
	line := []byte("[" + strings.Repeat("-", tapeWidth-2) + "]")
	for _, x := range at {
		col := 0
		if length := t.to - t.from; length > 0 {
			col = int(min(max(x-t.from, 0), length) / (length/(tapeWidth-1) + 1))
		}
		if line[col] == 'o' {
			line[col] = '8' // two that the drawing can't keep apart
		} else {
			line[col] = 'o'
		}
	}
	return string(line)
}
