package detail

import (
	"context"
	"fmt"
	"strings"

	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// verdictWords are the verdicts of a sweep as an example writes them.
var verdictWords = map[string]SweepVerdict{
	"built": Buildable, "yields": Yielding, "conflicts": Conflict, "refused": Refused,
}

// meetsAlong sweeps a range of an example and tells whether it has the verdict expected throughout, and else where
// it has another.
func (o Options) meetsAlong(
	ctx context.Context, book *rules.Book, ex *rules.ExampleDecl, x *rules.Expect,
) (found string, ok bool, err error) {
	spec, err := alongSpec(ex, x)
	if err != nil {
		return "", false, err
	}
	rep, err := o.Sweep(ctx, book, spec)
	if err != nil {
		return "", false, fmt.Errorf("%s: %w", place(x.Pos()), err)
	}
	var others []string
	for _, r := range rep.Lines[0].Ranges {
		if r.Verdict == verdictWords[x.Verdict.Text] {
			continue
		}
		text := fmt.Sprintf("%s to %s: %s", r.From.In(units.In), r.To.In(units.In), r.Verdict)
		for _, c := range r.Conflicts {
			for _, ref := range c.Rules {
				text += ", " + ref.Rule
			}
		}
		others = append(others, text)
	}
	return strings.Join(others, "; "), others == nil, nil
}

// alongSpec is the sweep that an expectation asks for, on the run that its example describes.
func alongSpec(ex *rules.ExampleDecl, x *rules.Expect) (SweepSpec, error) {
	spec := SweepSpec{Edge: ex.On.Edge.Text, Along: axisOf(x.Of.Text), From: x.Range[0].Text, To: x.Range[1].Text}
	hold := func(of, value string) {
		if a := axisOf(of); a != spec.Along {
			spec.At = append(spec.At, SweepAt{a, []string{value}})
		}
	}
	spec.Detail = ex.Lay[0].Detail.Text
	for _, w := range ex.Lay[0].With {
		hold(w.Name.Text, literalText(w.Value))
	}
	for _, p := range ex.On.Parts {
		switch p.Key {
		case "length", "slope":
			hold(p.Key, p.Values[0].Text)
		case "panels":
			hold("panel", p.Values[0].Text)
		case "rib":
			spec.RibWidth, spec.RibHeight = p.Values[0].Text, p.Values[1].Text
		case "zone":
			from, err1 := units.Parse(p.Values[0].Text)
			to, err2 := units.Parse(p.Values[1].Text)
			if err1 != nil || err2 != nil {
				return spec, fmt.Errorf("%s: the zone can't be read", place(p.Pos()))
			}
			spec.Zones = append(spec.Zones, geom.Zone{Kind: p.Word.Text, From: from, To: to})
		case "first", "penetration", "ends":
			return spec, fmt.Errorf("%s: a range can't go with `%s`: it has whole panels from the left end, open ends and no "+
				"penetration", place(p.Pos()), p.Key)
		}
	}
	return spec, nil
}

// axisOf is the axis of a name: panel, length, slope, or an input.
func axisOf(name string) SweepAxis {
	switch name {
	case "panel", "length", "slope":
		return SweepAxis{Of: name}
	}
	return SweepAxis{Of: "input", Input: name}
}
