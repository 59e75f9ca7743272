package chain

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// randomRow makes a small row, most with several keep-outs and gap limits.
func randomRow(rng *rand.Rand) *Row {
	step := int64(1)
	if rng.IntN(3) == 0 {
		step = int64(2 + rng.IntN(3))
	}
	p := &Row{Length: int64(rng.IntN(62))}
	if rng.IntN(8) > 0 {
		p.Length = int64(20 + rng.IntN(42))
	}
	if rng.IntN(2) == 0 {
		p.Length = p.Length / step * step
	}
	length := int(p.Length)
	somewhere := func(most int) Span {
		a := int64(rng.IntN(length+7) - 3)
		return Span{a, a + int64(rng.IntN(most))}
	}
	mirror := rng.IntN(3) == 0
	both := func(w []Span) []Span {
		if mirror {
			for _, s := range slices.Clone(w) {
				w = append(w, Span{p.Length - s.To, p.Length - s.From})
			}
		}
		return w
	}
	zones := func() []Span {
		switch rng.IntN(6) {
		case 0:
			return both([]Span{somewhere(length/2 + 2)})
		case 1:
			return both([]Span{{-3, int64(rng.IntN(length/2 + 1))}})
		case 2:
			return both([]Span{somewhere(4), somewhere(9)})
		}
		return nil
	}
	add := func(l Limit) {
		l.Should = rng.IntN(6) == 0
		if !l.Should && l.Kind == Keep {
			l.Fixed = rng.IntN(4) == 0
		}
		p.Limits = append(p.Limits, l)
	}
	var keep []Span
	for range 2 + rng.IntN(3) {
		keep = append(keep, somewhere(7))
	}
	if keep = both(keep); rng.IntN(3) == 0 && len(keep) > 1 {
		add(Limit{Kind: Keep, Spans: keep[:1:1]})
		keep = keep[1:]
	}
	if rng.IntN(6) == 0 { // feature by feature
		for _, k := range keep {
			p.Limits = append(p.Limits, Limit{Kind: Keep, Spans: []Span{k}, Should: true})
		}
	} else {
		add(Limit{Kind: Keep, Spans: keep})
	}
	gap := func() int64 { return step + int64(rng.IntN(14)) }
	for range 1 + rng.IntN(2) {
		add(Limit{Kind: GapMax, Value: gap(), Spans: zones()})
	}
	if rng.IntN(4) > 0 {
		add(Limit{Kind: GapMin, Value: 1 + int64(rng.IntN(8)), Spans: zones()})
	}
	ends := func() Ends {
		if mirror {
			return LeftEnd | RightEnd
		}
		return Ends(1 + rng.IntN(3))
	}
	if rng.IntN(3) == 0 {
		add(Limit{Kind: EndMax, Value: int64(rng.IntN(10)), Ends: ends(), Spans: zones()})
	}
	if rng.IntN(4) == 0 {
		add(Limit{Kind: EndMin, Value: int64(rng.IntN(7)), Ends: ends(), Spans: zones()})
	}
	if rng.IntN(3) == 0 {
		add(Limit{Kind: CountMin, Value: int64(rng.IntN(13))})
	}
	if rng.IntN(3) == 0 {
		add(Limit{Kind: CountMax, Value: int64(rng.IntN(8))})
	}
	if step > 1 {
		p.Limits = append(p.Limits, Limit{Kind: Step, Value: step})
	}
	rng.Shuffle(len(p.Limits), func(i, j int) { p.Limits[i], p.Limits[j] = p.Limits[j], p.Limits[i] })
	for i := 1; i < len(p.Limits); i++ {
		a, b := p.Limits[i-1], &p.Limits[i]
		if rng.IntN(8) == 0 && a.Kind != Step && b.Kind != Step && !a.Fixed && !b.Fixed {
			b.Joined, b.Should = true, a.Should
		}
	}
	if k := rng.IntN(8); k < 2 {
		p.Lay = []Lay{Stepped, Centered}[k]
	}
	return p
}

// cases is how many random cases a test looks at: few with -short, CHAIN_CASES if set.
func cases(t *testing.T, short, usual int) int {
	if n, err := strconv.Atoi(os.Getenv("CHAIN_CASES")); err == nil {
		return n
	}
	if testing.Short() {
		return short
	}
	return usual
}

// seeded gives a generator whose seed is printed, CHAIN_SEED if set.
func seeded(t *testing.T) *rand.Rand {
	seed := uint64(time.Now().UnixNano())
	if n, err := strconv.ParseUint(os.Getenv("CHAIN_SEED"), 10, 64); err == nil {
		seed = n
	}
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

func (p *Row) String() string {
	s := fmt.Sprintf("length %d lay %d\n", p.Length, p.Lay)
	for i, l := range p.Limits {
		s += fmt.Sprintf("%2d %+v\n", i, l)
	}
	return s
}

func TestRowAgainstBruteForce(t *testing.T) {
	rng := seeded(t)
	total := cases(t, 4000, 200_000)
	rich, conflicts, zoned, shoulds, mirrored, most := 0, 0, 0, 0, 0, 0
	var s Solver
	for i := range total {
		p := randomRow(rng)
		got, res, err := s.Row(context.Background(), p, nil)
		require.NoError(t, err, "case %d\n%v", i, p)
		want, kept, conflict := bruteRow(p)
		if !slices.Equal(got, want) || !slices.Equal(res.Kept, kept) || !slices.Equal(res.Conflict, conflict) || (res.Conflict == nil) != (conflict == nil) || conflict != nil && !res.Smallest {
			t.Fatalf("case %d\n%v got %v kept %v conflict %v\nwant %v kept %v conflict %v", i, p, got, res.Kept, res.Conflict, want, kept, conflict)
		}
		keeps, gaps := 0, 0
		for _, l := range p.Limits {
			switch {
			case l.Kind == Keep:
				keeps += len(l.Spans)
			case l.Kind == GapMin || l.Kind == GapMax:
				gaps++
				if l.Spans != nil {
					zoned++
				}
			}
			if l.Should {
				shoulds++
			}
		}
		if len(got) >= 3 && keeps >= 2 && gaps >= 2 {
			rich++
		}
		if conflict != nil {
			conflicts++
		}
		if n := len(got); n > 1 && got[0]+got[n-1] == p.Length {
			mirrored++
		}
		most = max(most, len(got))
	}
	t.Logf("of %d cases %.0f %% have three marks, two keep-outs and two gap limits, %.0f %% conflict; %d limits bind in zones, %d are shoulds; %d answers even at both ends; most marks %d",
		total, 100*float64(rich)/float64(total), 100*float64(conflicts)/float64(total), zoned, shoulds, mirrored, most)
	require.GreaterOrEqual(t, 2*rich, total, "three marks, two keep-outs and two gap limits")
	require.GreaterOrEqual(t, 3*conflicts, total, "conflicts")
}

func TestCheckRowAgainstBruteForce(t *testing.T) {
	rng := seeded(t)
	var s Solver
	clean, broken := 0, 0
	for i := range cases(t, 4000, 50_000) {
		p := randomRow(rng)
		at, res, err := s.Row(context.Background(), p, nil)
		require.NoError(t, err)
		laid := rng.IntN(2) == 0
		if !laid { // as somebody else laid it
			at = at[:0]
			for range rng.IntN(8) {
				at = append(at, int64(rng.IntN(int(p.Length)+1)))
			}
			slices.Sort(at)
			at = slices.Compact(at)
		}
		breaches := CheckRow(p, at)
		var got []int
		for _, b := range breaches {
			if len(got) == 0 || got[len(got)-1] != b.Limit {
				got = append(got, b.Limit)
			}
			limit := p.Limits[b.Limit]
			switch limit.Kind {
			case GapMin, EndMin, CountMin:
				require.Less(t, b.Found, limit.Value)
			case EndMax, CountMax:
				require.Greater(t, b.Found, limit.Value)
			case GapMax:
				require.Greater(t, 2*b.Found, limit.Value)
			default:
				require.Positive(t, b.Found)
			}
		}
		require.Equal(t, bruteBroken(p, at), got, "case %d\n%v%v", i, p, at)
		if !laid || len(at) == 0 {
			continue
		}
		if res.Conflict == nil {
			clean++
		} else {
			broken++
		}
		for k, l := range p.Limits {
			if l.Joined || res.Conflict != nil && !l.Should {
				continue
			}
			holds := !slices.Contains(got, k)
			for j := k + 1; j < len(p.Limits) && p.Limits[j].Joined; j++ {
				holds = holds && !slices.Contains(got, j)
			}
			require.Equal(t, res.Kept[k], holds, "case %d limit %d\n%v%v", i, k, p, at)
		}
		if res.Conflict != nil {
			require.True(t, slices.ContainsFunc(got, func(k int) bool { return !p.Limits[k].Should }), "case %d\n%v%v", i, p, at)
		}
	}
	t.Logf("%d layouts that keep the musts, %d that can't", clean, broken)
	require.Positive(t, clean)
	require.Positive(t, broken)
}

// every: the whole order by its words, over every set of positions of a tiny scope. What it finds the brute force has
// to find.
func TestBruteForceAgainstEveryLayout(t *testing.T) {
	rng := seeded(t)
	for i := range cases(t, 300, 3000) {
		p := randomRow(rng)
		p.Lay = Even
		p.Length = int64(rng.IntN(11))
		p.Limits = slices.DeleteFunc(p.Limits, func(l Limit) bool { return l.Should })
		for k := range p.Limits {
			p.Limits[k].Joined = false
		}
		at, _, conflict := bruteRow(p)
		step := int64(1)
		for _, l := range p.Limits {
			if l.Kind == Step {
				step = l.Value
			}
		}
		n := p.Length/step + 1
		var best []int64
		var worth [4]int64
		all := make([]bool, len(p.Limits))
		for k := range all {
			all[k] = true
		}
		b := newBrute(p, all)
		even := b.symmetric()
		for set := 1; set < 1<<n; set++ {
			var x []int64
			for k := range n {
				if set>>k&1 == 1 {
					x = append(x, k*step)
				}
			}
			if len(bruteBroken(p, x)) > 0 {
				continue
			}
			w := valueOf(b, p, x, step, even)
			if c := slices.Compare(w[:], worth[:]); best == nil || c < 0 || c == 0 && slices.Compare(x, best) < 0 {
				best, worth = x, w
			}
		}
		require.Equal(t, best == nil, conflict != nil, "case %d\n%v", i, p)
		if best != nil {
			require.Equal(t, best, at, "case %d\n%v", i, p)
		}
	}
}

// valueOf is what a layout is judged by, less being better: marks, g, smallest gap, mirror image.
func valueOf(b *brute, p *Row, x []int64, step int64, even bool) [4]int64 {
	least, most := p.Length+1, int64(0)
	for k := 1; k < len(x); k++ {
		least, most = min(least, x[k]-x[k-1]), max(most, x[k]-x[k-1])
	}
	g := most / step
	for _, e := range []struct {
		d, reached int64
		end        Ends
	}{{x[0], b.left.reached, LeftEnd}, {p.Length - x[len(x)-1], b.right.reached, RightEnd}} {
		from, to := int64(0), e.d
		if e.end == RightEnd {
			from, to = p.Length-e.d, p.Length
		}
		own := false
		for _, l := range p.Limits {
			own = own || l.Kind == EndMax && l.Ends&e.end != 0 && touches(l.Spans, from, to)
		}
		if !own && e.d > e.reached {
			g = max(g, (2*e.d+step-1)/step)
		}
	}
	odd := int64(0)
	for k := range x {
		if d := x[k] + x[len(x)-1-k] - p.Length; even && max(d, -d) > step {
			odd = 1
		}
	}
	if len(x) == 1 {
		least = 0
	}
	return [4]int64{int64(len(x)), g, -least, odd}
}

func TestStrideCountsAsLayersDo(t *testing.T) {
	rng := seeded(t)
	none, most := 0, int64(0)
	for i := range cases(t, 2000, 20_000) {
		p := &Row{Length: int64(rng.IntN(5000))}
		for range rng.IntN(30) {
			a := int64(rng.IntN(5000))
			p.Limits = append(p.Limits, Limit{Kind: Keep, Spans: []Span{{a, a + int64(rng.IntN(200))}}})
		}
		gap := int64(1 + rng.IntN(300))
		p.Limits = append(p.Limits, Limit{Kind: GapMax, Value: gap})
		s := rowScratch{ctx: context.Background(), limit: maxWork, g: far}
		for range p.Limits {
			s.in = append(s.in, true)
		}
		if !s.build(p, s.in, false) {
			continue
		}
		s.aim(far)
		v := &s.grid.view[0]
		if !v.strides() {
			continue
		}
		got, err := s.stride(v, gap)
		require.NoError(t, err)
		want, err := s.run(v, search{need: 1, cap: far, most: far}, nil)
		require.NoError(t, err)
		require.Equal(t, want, got, "case %d\n%v", i, p)
		if most = max(most, got); got == 0 {
			none++
		}
	}
	t.Logf("%d can't be laid; most marks %d", none, most)
	require.Positive(t, none)
	require.Greater(t, most, int64(100))
}
