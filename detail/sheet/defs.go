package sheet

import _ "embed"

//go:embed drawing.css
var drawingStyle string

// symbols is how many marks have a shape of their own.
const symbols = 12

// shapes are the marks and the hatches: shape and hatch carry the meaning, colour never alone.
const shapes = `<g id="lw-m0" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><circle r="2.9"/></g>
<g id="lw-m1" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M-3-3h6v6h-6z" fill="#fff"/></g>
<g id="lw-m2" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-3.6L3.6 3h-7.2z"/></g>
<g id="lw-m3" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-4L4 0 0 4-4 0z" fill="#fff"/></g>
<g id="lw-m4" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-4V4M-4 0H4" fill="none"/></g>
<g id="lw-m5" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M-3-3L3 3M-3 3L3-3" fill="none"/></g>
<g id="lw-m6" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M-3-3h6v6h-6z"/></g>
<g id="lw-m7" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><circle r="3" fill="#fff"/></g>
<g id="lw-m8" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0 3.6L3.6-3h-7.2z" fill="#fff"/></g>
<g id="lw-m9" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-4L4 0 0 4-4 0z"/></g>
<g id="lw-m10" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-4V4M-3.5-2L3.5 2M-3.5 2L3.5-2" fill="none"/></g>
<g id="lw-m11" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M0-4V4M-3-4H3M-3 4H3" fill="none"/></g>
<g id="lw-bead" fill="#1b1b1b" stroke="#1b1b1b" stroke-width="1.2"><path d="M-1.5-5a1.5 1.5 0 0 1 3 0v10a1.5 1.5 0 0 1-3 0z" fill="#fff"/><path d="M-1.5-3l3 2M-1.5 0l3 2M-1.5 3l3 2" stroke-width=".7"/></g>
<pattern id="lw-zone" width="7" height="7" patternUnits="userSpaceOnUse"><path d="M0 0h7v7H0z" fill="#fff"/><path d="M-1 8L8-1M-1 1l2-2M6 8l2-2" stroke="#3d3d3d" stroke-width=".8"/></pattern>
<pattern id="lw-out" width="5" height="5" patternUnits="userSpaceOnUse"><path d="M0 0h5v5H0z" fill="#fff"/><path d="M0 0l5 5M5 0L0 5" stroke="#1b1b1b" stroke-width=".7"/></pattern>
<pattern id="lw-keep" width="4" height="4" patternUnits="userSpaceOnUse"><path d="M0 0h4v4H0z" fill="#fff"/><circle cx="1" cy="1" r=".6" fill="#767676"/><circle cx="3" cy="3" r=".6" fill="#767676"/></pattern>
<pattern id="lw-lap" width="3" height="3" patternUnits="userSpaceOnUse"><path d="M0 0h3v3H0z" fill="#fff"/><path d="M-1-1l5 5M2-1l2 2M-1 2l2 2" stroke="#1b1b1b" stroke-width=".8"/></pattern>
<pattern id="lw-strip" width="4" height="3" patternUnits="userSpaceOnUse"><path d="M0 0h4v3H0z" fill="#fff"/><path d="M0 1.5h2.4" stroke="#1b1b1b" stroke-width="1"/></pattern>
<pattern id="lw-run" width="8" height="6" patternUnits="userSpaceOnUse"><path d="M0 0h8v6H0z" fill="#fff"/><path d="M0 3q2-4 4 0t4 0" fill="none" stroke="#1b1b1b" stroke-width="1"/></pattern>
`

// defs writes what all drawings of a document share.
func (p *pen) defs(x *index, boards []*board) {
	p.raw("<defs>\n" + shapes)
	for i, why := range x.whys {
		p.put(`<text id="lw-w%d">`, i+1)
		for k, line := range reading(why) {
			p.put(`<tspan x="0" dy="%d">%s</tspan>`, min(k, 1)*12, markup(line))
		}
		p.raw("</text>\n")
	}
	seen := map[int64]bool{}
	for _, b := range boards {
		if s := b.scale; !seen[s.ratio] {
			seen[s.ratio] = true
			p.tapeOf(s)
		}
	}
	p.raw("</defs>\n")
}

// tapeOf writes the ticks of one major step of a tape.
func (p *pen) tapeOf(s scale) {
	minor, mid, major := s.minor.Ticks(), s.mid.Ticks(), s.major.Ticks()
	p.put(`<g id="lw-t%d"><path fill="none" stroke="#1b1b1b" stroke-width=".7" d="`, s.ratio)
	for t := minor; t < major; t += minor {
		high := 4
		if t%mid == 0 {
			high = 7
		}
		p.put("M%v 0v%d", s.at(t), high)
	}
	p.raw(`"/><path stroke="#1b1b1b" stroke-width="1.4" d="M0 0v20"/></g>` + "\n")
}
