package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A bay is one panel, gap or piece, with what each element of the section lays there.
type bay struct {
	n        int
	from, to units.Length
	known    bool            // from and to are: an element is laid there
	scopes   []*detail.Scope // by the element's place in the section; nil: left out
}

// groups writes bays that are laid alike as one pattern.
func (p *page) groups(r *detail.Report, scope *rules.ScopeDecl, of []placed) {
	var order []string
	alike := map[string][]*bay{}
	for _, b := range bays(of) {
		key := p.pattern(r, of, b)
		if alike[key] == nil {
			order = append(order, key)
		}
		alike[key] = append(alike[key], b)
	}
	for _, key := range order {
		p.gap()
		p.group(r, scope, of, alike[key])
	}
}

// bays are the section's bays in their order.
func bays(of []placed) []*bay {
	byNumber := map[int]*bay{}
	at := func(n int) *bay {
		if byNumber[n] == nil {
			byNumber[n] = &bay{n: n, scopes: make([]*detail.Scope, len(of))}
		}
		return byNumber[n]
	}
	for i, x := range of {
		for k := range x.scopes {
			sc := &x.scopes[k]
			b := at(sc.N)
			b.from, b.to, b.known, b.scopes[i] = sc.From, sc.To, true, sc
		}
		for _, s := range x.skips {
			at(s.Scope.N)
		}
	}
	list := make([]*bay, 0, len(byNumber))
	for _, b := range byNumber {
		list = append(list, b)
	}
	slices.SortFunc(list, func(a, b *bay) int { return a.n - b.n })
	return list
}

// pattern is equal for bays that are laid alike.
func (f *figures) pattern(r *detail.Report, of []placed, b *bay) string {
	var key []byte
	note := func(from, to units.Length) {
		key = append(strconv.AppendInt(key, f.less(from, to).Ticks(), 36), ' ')
	}
	key = strconv.AppendBool(key, b.known)
	note(b.to, b.from)
	for i, sc := range b.scopes {
		key = append(key, '|')
		if sc == nil {
			key = append(key, "left out"...)
			continue
		}
		for k := sc.First; k < sc.Last; k++ {
			switch of[i].Element.Kind {
			case rules.Row:
				note(r.Marks[k].At, b.from)
			case rules.Pieces:
				x := &r.Pieces[k]
				note(x.From, b.from)
				note(x.To, b.from)
				key = strconv.AppendBool(key, x.Joint)
			case rules.Strip:
				x := &r.Strips[k]
				note(x.From, b.from)
				note(x.To, b.from)
				note(x.Length, units.Length{})
			case rules.Bead:
				x := &r.Beads[k]
				note(x.At, b.from)
				note(x.Length, units.Length{})
			}
		}
	}
	return string(key)
}

// group writes one pattern and where it begins.
func (p *page) group(r *detail.Report, scope *rules.ScopeDecl, of []placed, like []*bay) {
	first := like[0]
	name := strings.ToUpper(scope.Of[:1]) + scope.Of[1:]
	if len(like) > 1 {
		name += "s"
	}
	name += " " + numbers(like)
	if first.known {
		name += ", " + p.tape(p.less(first.to, first.from), units.Nearest) + " wide"
	}
	p.text("   ", "    ", "%s", name)
	for i, x := range of {
		if sc := first.scopes[i]; sc != nil {
			p.content(r, x.Element, *sc, first.from)
		} else {
			p.say(x.Element.Name, "left out")
		}
	}
	if !first.known {
		return
	}
	var starts []string
	for _, b := range like {
		starts = append(starts, fmt.Sprintf("%d: %s", b.n, p.tape(b.from, units.Nearest)))
	}
	p.entries("begins at", starts)
}

// numbers are the bays' numbers, runs of them as 2-4.
func numbers(like []*bay) string {
	list := make([]int, len(like))
	for i, b := range like {
		list[i] = b.n
	}
	return ranges(list)
}
