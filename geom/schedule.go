package geom

import (
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/units"
)

// PanelCut is a panel of a plane, or a part of one where the outline leaves several, as it is cut.
type PanelCut struct {
	N        int          // from 1, from the left
	Part     int          // from 1; parts of one panel are in the order of their left ends, then from below
	From, To units.Length // x of its left and right
	Longest  units.Length // along the ribs, rounded up to a tick
	Shortest units.Length // along the ribs, rounded down to a tick; 0 where the panel runs out to a point
	Sheet    units.Length // from its lowest to its highest point, rounded up to a tick: what it is cut from
	Skews    []SkewCut    // the sides that cut it on the skew, in the order of the outline
	Cut      bool         // narrower than the cover, or cut on the skew
	Area     *big.Rat     // in square ticks, exactly; penetrations aren't taken off
}

// Width returns To - From.
func (c *PanelCut) Width() units.Length { return minus(c.To, c.From) }

// SkewCut is a cut that is neither square to the ribs nor along them.
type SkewCut struct {
	Side string // the run's id, such as lake/hip-1
	// Rise and Run are how far it goes up over its way to the right, exactly: a negative rise goes down.
	Rise, Run units.Length
}

// Schedule returns the plane's panels from the left; their areas add up to the plane's exactly. A plane without panels
// has none.
func (p *Plane) Schedule() []PanelCut {
	if !p.hasPanels {
		return nil
	}
	borders := []int64{p.left, p.right}
	for i := range p.sides {
		borders = append(borders, p.sides[i].a.x)
	}
	for _, x := range p.ribs {
		if p.left < x && x < p.right {
			borders = append(borders, x)
		}
	}
	slices.Sort(borders)
	borders = slices.Compact(borders)
	var list []PanelCut
	var strip []slice
	n, rib := 1, 0
	for ; rib < len(p.ribs) && p.ribs[rib] <= p.left; rib++ {
	}
	for i, x := range borders[1:] {
		strip = append(strip, p.slices(borders[i], x)...)
		if x != p.right && (rib == len(p.ribs) || p.ribs[rib] != x) {
			continue
		}
		list = append(list, p.cuts(n, strip)...)
		n, rib, strip = n+1, rib+1, strip[:0]
	}
	return list
}

// slice is a part of a panel without a corner of the outline inside: between two upright lines, a lower and an upper
// side.
type slice struct {
	left, right int64
	bottom, top [2]crossing // at the left, at the right
}

// slices returns the parts of the outline between two upright lines that have no corner between them.
func (p *Plane) slices(left, right int64) []slice {
	var bars [][2]crossing
	for i := range p.sides {
		if p.sides[i].minX() <= left && p.sides[i].maxX() >= right {
			bars = append(bars, [2]crossing{p.at(i, left), p.at(i, right)})
		}
	}
	slices.SortFunc(bars, func(a, b [2]crossing) int {
		if c := a[0].cmp(&b[0]); c != 0 {
			return c
		}
		return a[1].cmp(&b[1])
	})
	var list []slice
	for i := 0; i+1 < len(bars); i += 2 {
		list = append(list, slice{left: left, right: right, bottom: bars[i], top: bars[i+1]})
	}
	return list
}

// cuts puts the slices of a panel, from left to right and then from below, together to its parts.
func (p *Plane) cuts(n int, strip []slice) []PanelCut {
	parts := make([]int, len(strip)) // the slice that each hangs on: of a part's slices, the first hangs on itself
	first := func(i int) int {
		for parts[i] != i {
			parts[i] = parts[parts[i]]
			i = parts[i]
		}
		return i
	}
	before := 0 // the next of the column to the left that may open to this one
	for i := range strip {
		parts[i] = i
		for before < i && strip[before].right < strip[i].left {
			before++
		}
		for j := before; j < i && strip[j].right == strip[i].left; j++ {
			if strip[j].top[1].cmp(&strip[i].bottom[0]) <= 0 {
				if j == before {
					before++
				}
				continue
			}
			if strip[i].top[0].cmp(&strip[j].bottom[1]) <= 0 {
				break
			}
			a, b := first(i), first(j)
			parts[max(a, b)] = min(a, b)
		}
	}
	groups := make([][]*slice, len(strip))
	for i := range strip {
		groups[first(i)] = append(groups[first(i)], &strip[i])
	}
	var list []PanelCut
	for _, group := range groups {
		if len(group) > 0 {
			c := p.cut(group)
			c.N, c.Part = n, len(list)+1
			list = append(list, c)
		}
	}
	return list
}

// cut measures a part of a panel.
func (p *Plane) cut(group []*slice) PanelCut {
	area := new(big.Rat)
	var longest, shortest, low, high *big.Rat
	var sides []int
	left, right := group[0].left, group[0].right
	for _, s := range group {
		left, right = min(left, s.left), max(right, s.right)
		sides = append(sides, s.bottom[0].side, s.top[0].side)
		sum := new(big.Rat)
		for end := range 2 {
			bottom, top := s.bottom[end].rat(), s.top[end].rat()
			length := new(big.Rat).Sub(top, bottom)
			sum.Add(sum, length)
			longest, shortest = larger(longest, length, 1), larger(shortest, length, -1)
			low, high = larger(low, bottom, -1), larger(high, top, 1)
		}
		area.Add(area, sum.Mul(sum, big.NewRat(s.right-s.left, 2)))
	}
	c := PanelCut{From: ticks(left), To: ticks(right), Area: area}
	c.Longest, _ = units.FromRat(longest, units.Up) // within a plane
	c.Shortest, _ = units.FromRat(shortest, units.Down)
	c.Sheet, _ = units.FromRat(high.Sub(high, low), units.Up)
	slices.Sort(sides)
	for _, i := range slices.Compact(sides) {
		s := &p.sides[i]
		if s.a.y == s.b.y {
			continue
		}
		rise, run := s.b.y-s.a.y, s.b.x-s.a.x
		if run < 0 {
			rise, run = -rise, -run
		}
		c.Skews = append(c.Skews, SkewCut{p.id + "/" + s.name, ticks(rise), ticks(run)})
	}
	c.Cut = len(c.Skews) > 0 || c.Width().Cmp(p.profile.Cover) < 0
	return c
}

func (c *crossing) rat() *big.Rat {
	r := big.NewRat(c.rest, c.whole)
	return r.Add(r, new(big.Rat).SetInt64(c.y))
}

// larger is the one of a and b that is larger, or with -1 smaller; b where there is no a yet.
func larger(a, b *big.Rat, sign int) *big.Rat {
	if a == nil || b.Cmp(a)*sign > 0 {
		return b
	}
	return a
}
