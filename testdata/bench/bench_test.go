package main

import (
	"io"
	"testing"

	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
)

// Every version lays the same marks: what is measured is the same work.
func TestAllLayTheSame(t *testing.T) {
	book := loadBook()
	for name, r := range map[string]*roof{
		"10 equal": equal(10), "1,000 equal": equal(1000), "10 different": different(10), "1,000 different": different(1000),
	} {
		t.Run(name, func(t *testing.T) {
			rep := whole(book, "fasteners", r)
			require.Empty(t, rep.Violations)
			var want []int64
			for _, m := range rep.Marks {
				want = append(want, m.At.Ticks())
			}
			same(t, want, stations(new(hand).lay(r.ribs, nil)), "hand")
			same(t, want, stations(layWith(newExpr(), r.ribs, nil)), "expr")
			same(t, want, stations(layWith(newCEL(), r.ribs, nil)), "CEL")
			same(t, want, stations(newStarlark().run(r.ribs, nil)), "Starlark")
			p := prepare(book, "fasteners")
			for range 2 { // the second time into memory that was used
				p.lay(r)
				require.True(t, p.layout.Kept)
				var into []int64
				for _, m := range p.layout.Marks {
					into = append(into, m.At.Ticks())
				}
				same(t, want, into, "library, into the caller's slice")
			}
			var dec []int64
			for _, m := range new(decimals).lay(inInches(r.ribs), nil) {
				dec = append(dec, m.at.Mul(decimal.NewFromInt(inch)).IntPart())
			}
			same(t, want, dec, "decimals")
		})
	}
}

func stations(marks []mark) (at []int64) {
	for _, m := range marks {
		at = append(at, m.at)
	}
	return at
}

// same compares long lists, and tells where they part.
func same(t *testing.T, want, got []int64, who string) {
	t.Helper()
	require.Equal(t, len(want), len(got), "%s: marks", who)
	for i := range want {
		require.Equal(t, want[i], got[i], "%s: mark %d of %d", who, i, len(want))
	}
}

// BenchmarkFasteners runs every version once in CI, so that none rots; main.go measures.
func BenchmarkFasteners(b *testing.B) {
	for _, c := range contenders(loadBook(), equal(1000)) {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				c.run()
			}
		})
	}
}

// BenchmarkKeystroke lays out after one declaration has changed.
func BenchmarkKeystroke(b *testing.B) {
	_, press, _ := keystroke()
	for b.Loop() {
		press()
	}
}

// BenchmarkBooks reads the books of every language once.
func BenchmarkBooks(b *testing.B) {
	text := books(200 << 10)
	for b.Loop() {
		text.load()
		text.parseHCL()
		text.parseCUE()
	}
}

// The loop for pieces finds as few as the library, and keeps every must.
func TestFewestPieces(t *testing.T) {
	book := loadBook()
	for name, r := range map[string]*roof{
		"10 equal": equal(10), "300 equal": equal(300), "10 different": different(10), "300 different": different(300),
	} {
		t.Run(name, func(t *testing.T) {
			p := prepare(book, "cap")
			p.lay(r)
			require.True(t, p.layout.Kept)
			pieces := fewestPieces(r.ribs, nil)
			require.Len(t, p.layout.Pieces, len(pieces))
			for i, s := range pieces {
				require.LessOrEqual(t, s.to-s.from, int64(capStock))
				require.GreaterOrEqual(t, s.to-s.from, int64(capLeast))
				if i == 0 {
					continue
				}
				to := pieces[i-1].to
				require.GreaterOrEqual(t, to-s.from, int64(capLap))
				for _, rib := range r.ribs {
					require.False(t, rib+capOff > s.from && rib-capOff < to, "lap %d is within %d ticks of a rib", i, capOff)
				}
			}
			require.Equal(t, r.ribs[len(r.ribs)-1], pieces[len(pieces)-1].to)
		})
	}
}

// The check by hand and the library's inspection are of one mind, on what keeps the rules and on what does not.
func TestBothChecksSayTheSame(t *testing.T) {
	book := loadBook()
	for name, r := range map[string]*roof{"equal": equal(50), "different": different(50)} {
		t.Run(name, func(t *testing.T) {
			says := func(f fixed) bool {
				one := f.holds(r.ribs)
				in := inspect(book, r, measured(f, len(r.ribs)-1))
				require.Equal(t, one, len(in.Report.Violations) == 0, in.Report.Violations)
				return one
			}
			require.True(t, says(found(r)))
			changes := map[string]func(f *fixed){
				"a screw moved":   func(f *fixed) { f.closures[21] += inch },
				"a screw too few": func(f *fixed) { f.closures = append(f.closures[:9:9], f.closures[10:]...) },
				"a cleat moved":   func(f *fixed) { f.cleats[11] += inch },
				"no cleat":        func(f *fixed) { f.cleats = f.cleats[:len(f.cleats)-1] },
				"no rivet":        func(f *fixed) { f.rivets = f.rivets[:len(f.rivets)-1] },
			}
			for name, change := range changes {
				f := found(r)
				change(&f)
				require.False(t, says(f), name)
			}
		})
	}
}

// BenchmarkRest runs once in CI what the tables measure besides.
func BenchmarkRest(b *testing.B) {
	book, r := loadBook(), different(100)
	m := measured(found(r), len(r.ribs)-1)
	for b.Loop() {
		prepare(book, "cap").lay(r)
		inspect(book, r, m)
		check(whole(book, "fasteners", r).WriteJSON(io.Discard, units.In))
		sweep(book)
		mutate()
	}
}
