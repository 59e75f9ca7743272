package detail

import (
	"encoding/binary"
	"slices"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// A Drilling is pieces that are drilled alike in the shop, before they go up: those of an element along which rows are
// laid (`row … along each piece of`).
type Drilling struct {
	Detail  *rules.Detail
	Element *rules.Element // of pieces
	Length  units.Length
	Count   int
	Holes   []Holes // one for each row that is laid along such pieces; none: the piece stays whole
	Where   []DrillingPlace
}

// Holes are those that one row has in a piece.
type Holes struct {
	Element *rules.Element
	At      []units.Length // from the piece's left end; on a run that climbs, from its low end
}

// A DrillingPlace is where pieces that are drilled alike go on a side of a run.
type DrillingPlace struct {
	Job, Run, Side string
	Pieces         []int // the element's pieces on that side, counted from 1
}

// drillings groups the pieces of a report that are drilled, in the order of the details' elements, the longest first.
func (a *adder) drillings(r *Report) {
	type place struct {
		placement Placement
		name      string // of the pieces
	}
	rows := map[place][]int32{}         // the placements of rows along pieces
	scopes := map[int32]map[int]Scope{} // of these rows, by the piece
	pieces := map[int32][]int{}         // of each placement of pieces, its pieces in the report
	for i := range r.Scopes {
		sc := &r.Scopes[i]
		p := r.Placements[sc.Placement]
		switch {
		case p.Element.Kind == rules.Pieces:
			for k := sc.First; k < sc.Last; k++ {
				pieces[sc.Placement] = append(pieces[sc.Placement], k)
			}
		case p.Element.Kind == rules.Row && p.Element.Scope.Of == "piece":
			if scopes[sc.Placement] == nil {
				at := place{Placement{p.Run, p.Side, p.Detail, nil}, p.Element.Scope.Name.Text}
				rows[at] = append(rows[at], sc.Placement)
				scopes[sc.Placement] = map[int]Scope{}
			}
			scopes[sc.Placement][sc.N] = *sc
		}
	}
	for i := range r.Placements {
		p := &r.Placements[i]
		along := rows[place{Placement{p.Run, p.Side, p.Detail, nil}, p.Element.Name}]
		if p.Element.Kind != rules.Pieces || len(along) == 0 {
			continue
		}
		for n, k := range pieces[int32(i)] {
			x := &r.Pieces[k]
			d := Drilling{Detail: p.Detail, Element: p.Element, Length: ticks(x.To.Ticks() - x.From.Ticks())}
			for _, row := range along {
				if sc, laid := scopes[row][n+1]; laid {
					h := Holes{Element: r.Placements[row].Element}
					for _, m := range r.Marks[sc.First:sc.Last] {
						h.At = append(h.At, ticks(m.At.Ticks()-x.From.Ticks()))
					}
					d.Holes = append(d.Holes, h)
				}
			}
			a.drill(d, DrillingPlace{Job: r.Job, Run: p.Run.ID, Side: p.SideID()}, n+1)
		}
	}
}

// drill adds a piece to those that are drilled like it.
func (a *adder) drill(d Drilling, at DrillingPlace, n int) {
	key := append([]byte(nil), d.Detail.Name+" "+d.Element.Name+" "...)
	key = binary.AppendVarint(key, d.Length.Ticks())
	for _, h := range d.Holes {
		key = append(key, h.Element.Name+" "...)
		key = binary.AppendUvarint(key, uint64(len(h.At)))
		for _, x := range h.At {
			key = binary.AppendVarint(key, x.Ticks())
		}
	}
	of := a.alike[string(key)]
	if of == nil {
		of = &d
		a.alike[string(key)] = of
		a.drilled = append(a.drilled, of)
	}
	of.Count++
	same := func(p DrillingPlace) bool { return p.Job == at.Job && p.Run == at.Run && p.Side == at.Side }
	if k := len(of.Where) - 1; k < 0 || !same(of.Where[k]) {
		of.Where = append(of.Where, at)
	}
	last := &of.Where[len(of.Where)-1]
	last.Pieces = append(last.Pieces, n)
}

// shop lists the drillings, those of one element together.
func (a *adder) shop() (list []Drilling) {
	first := map[[2]string]int{}
	of := func(d *Drilling) [2]string { return [2]string{d.Detail.Name, d.Element.Name} }
	for i, d := range a.drilled {
		if _, seen := first[of(d)]; !seen {
			first[of(d)] = i
		}
	}
	slices.SortStableFunc(a.drilled, func(x, y *Drilling) int {
		if i, k := first[of(x)], first[of(y)]; i != k {
			return i - k
		}
		return y.Length.Cmp(x.Length)
	})
	for _, d := range a.drilled {
		list = append(list, *d)
	}
	return list
}
