package mutation

import (
	"slices"

	"github.com/lapwright/lapwright/rules"
)

// outdone tells whether a number never decides the min or max that it stands in, since another part always outdoes it
// or is as good.
func outdone(d *rules.Detail, e rules.Expr, l *rules.Literal) bool {
	switch e := e.(type) {
	case *rules.Unary:
		return outdone(d, e.X, l)
	case *rules.Binary:
		return outdone(d, e.X, l) || outdone(d, e.Y, l)
	case *rules.Call:
		if i := slices.Index(e.Args, rules.Expr(l)); i >= 0 && (e.Func == "min" || e.Func == "max") {
			in := d.Ranges()
			return slices.ContainsFunc(slices.Delete(slices.Clone(e.Args), i, i+1), func(other rules.Expr) bool {
				lo, hi := in.Of(other)
				if e.Func == "min" {
					return hi != nil && hi.Cmp(l.Value.Num) <= 0
				}
				return lo != nil && lo.Cmp(l.Value.Num) >= 0
			})
		}
		return slices.ContainsFunc(e.Args, func(a rules.Expr) bool { return outdone(d, a, l) })
	}
	return false
}
