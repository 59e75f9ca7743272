package chain

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// brutePieceBreaches says what pieces break, from the words of CheckPieces.
func brutePieceBreaches(p *Pieces, ps []Piece) (out []Breach) {
	add := func(limit int, from, to, found int64) { out = append(out, Breach{limit, from, to, found}) }
	n := len(ps)
	if n == 0 {
		if p.From < p.To {
			add(Start, p.From, p.To, p.To-p.From)
		}
	} else if d := ps[0].From - p.From; d != 0 {
		add(Start, min(p.From, ps[0].From), max(p.From, ps[0].From), d)
	}
	for i, q := range ps {
		if q.From >= q.To || i > 0 && (ps[i-1].From >= q.From || ps[i-1].To >= q.To) {
			add(Order, q.From, q.To, q.To-q.From)
		}
		if i >= 2 && ps[i-2].To > q.From {
			add(Across, q.From, ps[i-2].To, ps[i-2].To-q.From)
		}
	}
	// laps calls f with each lap: its ends from the left, its length, and whether a limit binds it.
	laps := func(f func(from, to, lap int64, binds func(Limit) bool)) {
		for i := range ps[min(1, n):] {
			x, y := ps[i+1].From, ps[i].To
			f(min(x, y), max(x, y), y-x, func(l Limit) bool { return touches(l.Spans, min(x, y), max(x, y)) })
		}
	}
	floor, lapped, step := int64(0), false, int64(1)
	for _, l := range p.Limits {
		if l.Kind == Step {
			step = l.Value
		}
	}
	for _, l := range p.Limits {
		switch l.Kind {
		case LapMin:
			floor, lapped = min(floor, l.Value), true
		case LapMax:
			floor, lapped = min(floor, roundTo(l.Value, step, false)), true
		}
	}
	laps(func(from, to, lap int64, binds func(Limit) bool) {
		named := slices.ContainsFunc(p.Limits, func(l Limit) bool { return l.Kind == LapMin && binds(l) })
		if !lapped && lap != 0 || !named && lap < floor {
			add(Joint, from, to, lap)
		}
	})
	if n > 0 && ps[n-1].To != p.To {
		add(Finish, min(p.To, ps[n-1].To), max(p.To, ps[n-1].To), ps[n-1].To-p.To)
	}
	for i, l := range p.Limits {
		laps(func(from, to, lap int64, binds func(Limit) bool) {
			if binds(l) && (l.Kind == LapMin && lap < l.Value || l.Kind == LapMax && lap > l.Value) {
				add(i, from, to, lap)
			}
			if l.Kind != Keep {
				return
			}
			spans := slices.Clone(l.Spans)
			slices.SortStableFunc(spans, byFrom)
			for _, s := range spans {
				if from < s.To && to > s.From {
					add(i, from, to, min(to-s.From, s.To-from))
				}
			}
		})
		for k, q := range ps {
			d := q.To - q.From
			if l.Kind == LengthMin && d < l.Value || l.Kind == LengthMax && d > l.Value || l.Kind == Stock && d > slices.Max(l.Lengths) {
				add(i, q.From, q.To, d)
			}
			if l.Kind != Step {
				continue
			}
			if over := (q.From - p.From) % l.Value; k > 0 && over != 0 {
				add(i, q.From, q.From, over)
			}
			if over := (q.To - p.From) % l.Value; k < n-1 && over != 0 {
				add(i, q.To, q.To, over)
			}
		}
		if l.Kind == CountMin && int64(n) < l.Value || l.Kind == CountMax && int64(n) > l.Value {
			add(i, p.From, p.To, int64(n))
		}
	}
	return out
}

// anyPieces puts up to five pieces somewhere near a stretch, most one after the other.
func anyPieces(rng *rand.Rand, p *Pieces) (ps []Piece) {
	at := p.From + int64(rng.IntN(3))/2
	for range rng.IntN(6) {
		q := Piece{at, at + int64(rng.IntN(10))}
		if ps = append(ps, q); rng.IntN(8) > 0 {
			q.From = q.To
		}
		at = q.From - int64(rng.IntN(8)) + 3
	}
	if len(ps) > 0 && rng.IntN(2) == 0 {
		ps[len(ps)-1].To = p.To
	}
	return ps
}

func TestPieceBreachesAgainstBruteForce(t *testing.T) {
	rng := seeded(t)
	found := map[int]int{}
	for i := range cases(t, 3000, 50_000) {
		p := pieceCase(rng)
		ps := anyPieces(rng, p)
		want := brutePieceBreaches(p, ps)
		if p.From == p.To && len(ps) == 0 {
			want = nil // nothing to cover breaks no limit
		}
		require.Equal(t, want, CheckPieces(p, ps), "case %d: %+v\n%v", i, p, ps)
		for _, b := range want {
			kind := -1
			if b.Limit >= 0 {
				kind = int(p.Limits[b.Limit].Kind)
			}
			found[kind]++
		}
	}
	t.Logf("breaches by kind of limit, -1 for none: %v", found)
	for _, k := range []Kind{Keep, CountMin, CountMax, Step, LapMin, LapMax, LengthMin, LengthMax, Stock} {
		require.Positive(t, found[int(k)], "kind %d", k)
	}
}
