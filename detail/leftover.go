package detail

import (
	"fmt"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/strictjson"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A Leftover is stock that is left over from other work: it is used up before any is bought.
type Leftover struct {
	Place  // in the job; none in a report
	Item   string
	Length units.Length
	Count  int // at least 1
}

// maxLeftovers is how many of one length can be left over.
const maxLeftovers = 1_000_000

// stock reads one entry of the left-over stock.
func (r *jobReader) stock(i int, v strictjson.Value) Leftover {
	s := Leftover{Place: r.place(v, fmt.Sprintf("/stock/%d", i)), Count: 1}
	r.object(v, "left-over stock", fields{
		"item":   func(v strictjson.Value) { s.Item = r.name(v, "an item's name") },
		"length": func(v strictjson.Value) { s.Length = r.length(v, "a length that is left over") },
		"count":  func(v strictjson.Value) { s.Count = r.wholeNumber(v, "a count", maxLeftovers) },
	}, "item", "length")
	return s
}

// wholeNumber reads a number from 1 to most.
func (r *jobReader) wholeNumber(v strictjson.Value, what string, most int) int {
	n := 0
	if v.Kind() == strictjson.Number && len(v.Text()) <= maxNumber {
		if _, err := fmt.Sscanf(v.Text(), "%d", &n); err != nil || fmt.Sprint(n) != v.Text() {
			n = 0
		}
	}
	if n < 1 || n > most {
		r.fault(v, "%s is a whole number from 1 to %d", what, most)
		return 1
	}
	return n
}

// stockOf are the left-over lengths of an item in all jobs, the longest first, equal ones together.
func (a *adder) stockOf(it *rules.Item) (list []Leftover) {
	for _, s := range a.leftovers {
		if s.Item == it.Name {
			list = append(list, Leftover{Item: s.Item, Length: s.Length, Count: s.Count})
		}
	}
	return merged(list)
}

func merged(list []Leftover) (out []Leftover) {
	slices.SortStableFunc(list, func(a, b Leftover) int { return b.Length.Cmp(a.Length) })
	for _, s := range list {
		if n := len(out); n > 0 && out[n-1].Length == s.Length {
			out[n-1].Count += s.Count
		} else {
			out = append(out, s)
		}
	}
	return out
}

// staying is what is left of an item: the left-overs that no cut takes, and each offcut that is as long as the shortest
// piece cut, and so could have been one.
func staying(it *rules.Item, given []Leftover, cuts []Cut) []Leftover {
	stay := slices.Clone(given)
	shortest := cuts[0].Lengths[0]
	for _, c := range cuts {
		if last := c.Lengths[len(c.Lengths)-1]; last.Cmp(shortest) < 0 {
			shortest = last
		}
	}
	for _, c := range cuts {
		if c.Leftover {
			i := slices.IndexFunc(stay, func(s Leftover) bool { return s.Length == c.Stock })
			stay[i].Count -= c.Times
		}
		if c.Offcut.Cmp(shortest) >= 0 {
			stay = append(stay, Leftover{Item: it.Name, Length: c.Offcut, Count: c.Times})
		}
	}
	return merged(slices.DeleteFunc(stay, func(s Leftover) bool { return s.Count == 0 }))
}

// checkStock tells what is wrong with the left-over stock of a job.
func checkStock(book *rules.Book, stock []Leftover, errs *JobErrors) {
	var names []string
	items := map[string]*rules.Item{}
	for _, it := range book.Items {
		items[it.Name] = it
		if len(it.Stock) > 0 {
			names = append(names, it.Name)
		}
	}
	for i, s := range stock {
		at := s.Place
		if at.Pointer == "" {
			at.Pointer = fmt.Sprintf("/stock/%d", i)
		}
		fault := func(format string, args ...any) {
			errs.add(&JobError{Place: at, Msg: fmt.Sprintf(format, args...)})
		}
		switch it := items[s.Item]; {
		case it == nil:
			msg := fmt.Sprintf("the book has no item %s", quoted(s.Item))
			errs.add(&JobError{Place: at, Msg: msg, Suggestion: nearest(s.Item, names)})
		case len(it.Stock) == 0:
			fault("%s is not cut from stock, so that none of it can be left over", s.Item)
		case s.Length.Sign() <= 0:
			fault("%s of %s is left over: a length is above 0", s.Length, s.Item)
		case s.Count < 1 || s.Count > maxLeftovers:
			fault("%d lengths of %s are left over: a count is from 1 to %d", s.Count, s.Item, maxLeftovers)
		}
	}
}
