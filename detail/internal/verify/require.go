package verify

import (
	"math/big"
	"strings"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// An unmet is a requirement that doesn't hold at a place.
type unmet struct {
	severity, id, run, side string
	scope                   detail.ScopeRef
	place                   band
	near                    bool // a distance of a penetration, found by its square where that is known
	squared, radius         num
	op                      string // of a comparison of numbers; "" of any other condition
	required, found         num
}

// requirements holds each condition of a detail at each place of which it speaks.
func (p *plan) requirements() {
	for _, q := range p.detail.Requires {
		if q.Cond == nil {
			p.clearance(q)
			continue
		}
		if p.run.Edge != "field" && kindOf(p.run) == "field" {
			continue // of the plane as a whole
		}
		of := p.speaksOf(q.Cond)
		sides := []int{-1}
		if of == "panel" || of == "rib" || of == "side" {
			sides = nil
			for i := range p.run.Sides {
				sides = append(sides, i)
			}
		}
		if of == "side" && len(p.run.Sides) == 1 {
			of = "run"
		}
		for _, side := range sides {
			at := &placement{plan: p, side: side, element: &rules.Element{Scope: &rules.ScopeDecl{How: "in", Of: of, Every: 1}}}
			for _, s := range at.scopes() {
				at.requirement(q, s)
			}
		}
	}
}

func (p *placement) requirement(q *rules.Require, s scope) {
	look := p.in(s, max(p.side, 0), 0, nil)
	holds, err := eval(q.Cond, look)
	if err != nil {
		p.complain("run %s: %s can't be computed: %v", p.run.ID, q.ID, err)
	}
	if err != nil || holds.yes {
		return
	}
	u := unmet{severity: "must", id: q.ID, run: p.run.ID, side: p.sideID(), scope: s.ScopeRef, place: s.band}
	if q.Should {
		u.severity = "should"
	}
	if c, ok := q.Cond.(*rules.Binary); ok && c.Op != "and" && c.Op != "or" {
		x, errX := eval(c.X, look)
		y, errY := eval(c.Y, look)
		if errX == nil && errY == nil && x.num != nil && y.num != nil {
			u.op, u.found, u.required = c.Op, x.num, y.num
		}
	}
	p.unmet = append(p.unmet, u)
}

// speaksOf is the kind of scope at which a condition is checked, by the names that it uses.
func (p *plan) speaksOf(cond rules.Expr) string {
	for _, kind := range []struct{ scope, prefix string }{
		{"panel", "panel."}, {"rib", "rib."}, {"side", "slope"}, {"side", "side"}, {"end", "end.kind"},
	} {
		if p.mentions(cond, kind.prefix) {
			return kind.scope
		}
	}
	return "run"
}

// mentions tells whether an expression uses a name that starts so, itself or through a let.
func (p *plan) mentions(e rules.Expr, prefix string) bool {
	switch e := e.(type) {
	case *rules.Ref:
		if strings.HasPrefix(e.Name, prefix) && (e.Name == prefix || strings.HasSuffix(prefix, ".")) {
			return true
		}
		for _, let := range p.detail.Lets {
			if let.Name.Text == e.Name {
				return p.mentions(let.Value, prefix)
			}
		}
	case *rules.Unary:
		return p.mentions(e.X, prefix)
	case *rules.Binary:
		return p.mentions(e.X, prefix) || p.mentions(e.Y, prefix)
	case *rules.Is:
		return p.mentions(e.X, prefix)
	case *rules.Call:
		for _, a := range e.Args {
			if p.mentions(a, prefix) {
				return true
			}
		}
	}
	return false
}

// lists tells whether a violation says what the unmet requirement is.
func (u unmet) lists(x detail.Violation) bool {
	if x.Severity != u.severity || x.Rule != u.id || x.Measure != "require" || x.Run != u.run || x.Side != u.side ||
		x.Scope != u.scope || !equal(ticks(x.From), u.place.from) || !equal(ticks(x.To), u.place.to) || x.Element != "" {
		return false
	}
	if u.near {
		found := ticks(x.Found.Length)
		if u.squared != nil && found.Sign() > 0 {
			low := add(found, u.radius)
			if high := add(low, whole(2)); !between(mul(low, low), u.squared, mul(high, high)) {
				return false
			}
		}
		return strings.HasPrefix(x.What, "clear from ")
	}
	if u.op == "" {
		return true
	}
	required, ok1 := amount(x.Required)
	found, ok2 := amount(x.Found)
	by, ok3 := amount(x.By)
	off := sub(u.found, u.required)
	return ok1 && ok2 && ok3 && x.Required.Op == u.op &&
		equal(required, u.required) && equal(found, u.found) && equal(by, larger(off, neg(off)))
}

// amount reads an amount back: a length in ticks, a slope, a percent, a number.
func amount(a detail.Amount) (num, bool) {
	if a.Text == "" {
		return ticks(a.Length), true
	}
	if s, err := units.ParseSlope(a.Text); err == nil {
		return s.Rat(), true
	}
	text, isTicks := strings.CutSuffix(a.Text, " ticks")
	text, isPercent := strings.CutSuffix(text, "%")
	n, ok := new(big.Rat).SetString(text)
	if ok && isPercent && !isTicks {
		n = quo(n, whole(100))
	}
	return n, ok
}
