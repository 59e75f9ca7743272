package main

import (
	"testing"

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
