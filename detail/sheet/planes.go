package sheet

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/units"
)

// planes describes each plane: how large it is, what comes through it, and the panels that it takes.
func (p *page) planes(r *detail.Report) {
	skewed := false
	for _, plane := range r.Planes {
		p.heading("PLANE %s", planeName(plane))
		for _, h := range plane.Penetrations() {
			p.text("", "  ", "%s", p.penetration(&h))
		}
		skewed = p.schedule(plane) || skewed
	}
	if skewed {
		p.gap()
		p.text("", "", `Sheet is what a panel is cut from, longest and shortest its length along the ribs, rounded to the safe side. The `+
			`last column says how far a cut goes up or down over 12" to the right; both: one cut of each.`)
	}
}

// planeName says which plane it is.
func planeName(plane *geom.Plane) string {
	return fmt.Sprintf("%s: slope %s, %s", plane.ID(), plane.Slope(), planeArea(plane.Area()))
}

// planeArea writes an area in square ticks to the nearest hundredth of a square foot.
func planeArea(area *big.Rat) string {
	foot := big.NewInt(12 * units.TicksPerInch)
	s := new(big.Rat).Quo(area, new(big.Rat).SetInt(foot.Mul(foot, foot))).FloatString(2)
	return strings.TrimSuffix(strings.TrimSuffix(s, "0"), ".0") + " sq ft"
}

func (p *page) penetration(h *geom.Penetration) string {
	x, y := p.tape(h.X, units.Nearest), p.tape(h.Y, units.Nearest)
	if !h.Diameter.IsZero() {
		return fmt.Sprintf("Penetration %s (%s): %s across, its middle %s along and %s up", h.ID, h.Kind, p.tape(h.Diameter, units.Up), x, y)
	}
	return fmt.Sprintf("Penetration %s (%s): %s wide and %s up the slope, its low left corner %s along and %s up",
		h.ID, h.Kind, p.tape(h.Width, units.Up), p.tape(h.Length, units.Up), x, y)
}

// schedule lists the panels from the left, those alike side by side in one line, and tells whether any is cut on the skew.
func (p *page) schedule(plane *geom.Plane) (skewed bool) {
	all := plane.Schedule()
	if len(all) == 0 {
		p.text("", "  ", "No panels are said to lie here.")
		return false
	}
	var rows [][]string
	for i := 0; i < len(all); {
		k := i + 1
		for k < len(all) && alike(&all[k], &all[i]) {
			k++
		}
		c := &all[i]
		name := fmt.Sprint(c.N)
		if c.Part > 1 || k < len(all) && all[k].N == c.N {
			name += fmt.Sprintf(", part %d", c.Part)
		} else if k > i+1 {
			name = fmt.Sprintf("%d-%d", c.N, all[k-1].N)
		}
		skewed = skewed || len(c.Skews) > 0
		// What is longest is rounded up, so that no panel is made too short.
		rows = append(rows, []string{name, p.tape(c.Width(), units.Up), p.tape(c.Sheet, units.Up),
			p.tape(c.Longest, units.Up), p.tape(c.Shortest, units.Down), p.skews(c.Skews)})
		i = k
	}
	head := []string{"Panel", "width", "sheet", "longest", "shortest", `cut in 12"`}
	if !skewed {
		head = head[:5]
		for i := range rows {
			rows[i] = rows[i][:5]
		}
	}
	p.table("  ", head, rows)
	return skewed
}

// skews are the cuts of a panel that are neither square to its ribs nor along them.
func (p *page) skews(list []geom.SkewCut) string {
	texts := make([]string, len(list))
	for i, s := range list {
		texts[i] = p.skew(s)
	}
	if len(texts) == 2 {
		first, up := strings.CutSuffix(texts[0], " up")
		first = strings.TrimSuffix(first, " down")
		if second, ok := strings.CutSuffix(texts[1], " down"); up && ok && first == second {
			return first + " both"
		} else if second, ok := strings.CutSuffix(texts[1], " up"); !up && ok && first == second {
			return first + " both"
		}
	}
	return strings.Join(texts, ", ")
}

// alike tells whether two panels are cut alike.
func alike(a, b *geom.PanelCut) bool {
	if a.Part > 1 || b.Part > 1 || a.Width() != b.Width() || a.Longest != b.Longest || a.Shortest != b.Shortest || a.Sheet != b.Sheet || len(a.Skews) != len(b.Skews) {
		return false
	}
	for i := range a.Skews {
		if a.Skews[i] != b.Skews[i] {
			return false
		}
	}
	return true
}

// skew is how far a cut goes up or down over a foot to the right.
func (p *page) skew(s geom.SkewCut) string {
	rise := new(big.Rat).SetFrac64(s.Rise.Ticks(), s.Run.Ticks())
	rise.Mul(rise, new(big.Rat).SetInt64(12*units.TicksPerInch))
	l, err := units.FromRat(rise, units.Nearest)
	if err != nil {
		return "all but upright"
	}
	if l.Sign() < 0 {
		return p.tape(l.Abs(), units.Nearest) + " down"
	}
	return p.tape(l, units.Nearest) + " up"
}
