package chain

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// bruteBreaches says where and by how much a layout breaks which limit, from the words of Breach and CheckRow.
func bruteBreaches(p *Row, at []int64) []Breach {
	all := make([]bool, len(p.Limits))
	for i := range all {
		all[i] = true
	}
	b := newBrute(p, all)
	type gap struct {
		end     Ends
		x, y    int64
		reached int64
	}
	ends := []gap{{LeftEnd, 0, p.Length, b.left.reached}, {RightEnd, 0, p.Length, b.right.reached}}
	if n := len(at); n > 0 {
		ends[0].y, ends[1].x = at[0], at[n-1]
	}
	// overHalf is the default limit of a largest gap at an end.
	overHalf := func(l Limit, e gap) bool {
		for _, o := range p.Limits {
			if o.Kind == EndMax && !o.Should && o.Ends&e.end != 0 && touches(o.Spans, e.x, e.y) {
				return false
			}
		}
		d := e.y - e.x
		if p.Lay == Stepped && e.end == RightEnd {
			return touches(l.Spans, e.x, e.y) && d > e.reached && d > l.Value
		}
		return touches(l.Spans, e.x, e.y) && d > e.reached && 2*d > l.Value
	}
	byDefault := func(i int, e gap) bool {
		l := p.Limits[i]
		if l.Kind != GapMax || !overHalf(l, e) {
			return false
		}
		for j, o := range p.Limits { // of the musts the least, and of equals the first
			if !l.Should && o.Kind == GapMax && !o.Should && overHalf(o, e) && (o.Value < l.Value || o.Value == l.Value && j < i) {
				return false
			}
		}
		return true
	}
	var out []Breach
	for i, l := range p.Limits {
		if byDefault(i, ends[0]) {
			out = append(out, Breach{i, 0, ends[0].y, ends[0].y})
		}
		for k, x := range at {
			if l.Kind == Step && x%l.Value != 0 {
				out = append(out, Breach{i, x, x, x % l.Value})
			}
			if l.Kind == Keep && inside(l.Spans, x) {
				d := int64(1)
				for inside(l.Spans, x-d) && inside(l.Spans, x+d) {
					d++
				}
				out = append(out, Breach{i, x, x, d})
			}
			if k == 0 || !touches(l.Spans, at[k-1], x) {
				continue
			}
			if d := x - at[k-1]; l.Kind == GapMin && d < l.Value || l.Kind == GapMax && d > l.Value {
				out = append(out, Breach{i, at[k-1], x, d})
			}
		}
		if byDefault(i, ends[1]) {
			out = append(out, Breach{i, ends[1].x, p.Length, p.Length - ends[1].x})
		}
		for _, e := range ends {
			d := e.y - e.x
			short := l.Kind == EndMin && d < l.Value && len(at) > 0
			if (short || l.Kind == EndMax && d > l.Value) && l.Ends&e.end != 0 && touches(l.Spans, e.x, e.y) {
				out = append(out, Breach{i, e.x, e.y, d})
			}
		}
		if n := int64(len(at)); l.Kind == CountMin && n < l.Value || l.Kind == CountMax && n > l.Value {
			out = append(out, Breach{i, 0, p.Length, n})
		}
	}
	return out
}

func TestBreachesAgainstBruteForce(t *testing.T) {
	rng := seeded(t)
	found := map[Kind]int{}
	for i := range cases(t, 2000, 50_000) {
		p := randomRow(rng)
		var at []int64
		for range rng.IntN(8) {
			at = append(at, int64(rng.IntN(int(p.Length)+1)))
		}
		slices.Sort(at)
		at = slices.Compact(at)
		want := bruteBreaches(p, at)
		require.Equal(t, want, CheckRow(p, at), "case %d\n%v%v", i, p, at)
		for _, b := range want {
			found[p.Limits[b.Limit].Kind]++
		}
	}
	t.Logf("breaches by kind of limit: %v", found)
	for k := Keep; k <= Step; k++ {
		require.Positive(t, found[k], "kind %d", k)
	}
}
