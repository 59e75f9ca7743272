package chain

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// ribbedRow makes a row over panels of 16 to 40 units, with keep-outs at their ribs, zones and a least gap.
func ribbedRow(rng *rand.Rand) *Row {
	value := func(from, n int) int64 { return int64(from + rng.IntN(n)) }
	panel, clear := value(16, 25), value(1, 4)
	p := &Row{Length: panel*value(8, 60) + value(0, 8)}
	keep := Limit{Kind: Keep}
	for rib := -value(0, 12); rib <= p.Length; rib += panel {
		keep.Spans = append(keep.Spans, Span{rib - clear, rib + clear})
	}
	zone := p.Length / value(2, 6)
	p.Limits = []Limit{
		keep,
		{Kind: GapMax, Value: value(10, 30)},
		{Kind: GapMax, Value: value(9, 20), Spans: []Span{{0, zone}}},
		{Kind: GapMin, Value: value(2, 4)},
		{Kind: EndMax, Value: value(4, 30), Ends: LeftEnd | RightEnd},
		{Kind: GapMin, Value: value(2, 9), Spans: []Span{{zone, 2 * zone}}, Should: true},
		{Kind: Keep, Spans: []Span{{zone - value(0, 20), zone + value(0, 20)}}},
	}
	if rng.IntN(2) == 0 {
		p.Limits = append(p.Limits, Limit{Kind: CountMin, Value: value(0, int(p.Length/8))})
	}
	return p
}

// What the solver leaves out of its search changes no answer, only the work. So the work on the same problems is
// held too: a change that lessens it lowers these figures, one that adds to it says why.
func TestWorkNeverGrows(t *testing.T) {
	most := []struct {
		of   string
		work int64
	}{
		{"short rows", 251_956},
		{"plain rows", 6_960},
		{"ribbed rows", 938_472},
		{"short pieces", 102_346},
		{"pieces of a cap", 60_994},
		{"even pieces of a cap", 1_866_860},
	}
	work := map[string]int64{}
	var s Solver
	row := func(of string, make func(*rand.Rand) *Row, n uint64) {
		for seed := range n {
			_, res, err := s.Row(context.Background(), make(rand.New(rand.NewPCG(seed, 1))), nil)
			require.NoError(t, err)
			work[of] += res.Work
		}
	}
	pieces := func(of string, p *Pieces) {
		_, res, err := s.Pieces(context.Background(), p, nil)
		require.NoError(t, err)
		work[of] += res.Work
	}
	row("short rows", randomRow, 1000)
	row("plain rows", randomPlain, 300)
	row("ribbed rows", ribbedRow, 60)
	for seed := range uint64(400) {
		pieces("short pieces", pieceCase(rand.New(rand.NewPCG(seed, 2))))
	}
	for panels := range int64(40) {
		pieces("pieces of a cap", capRun(panels, 25_400_000_000/16))
		p := capRun(panels, 25_400_000_000/8)
		p.Lay = Even
		pieces("even pieces of a cap", p)
	}
	for _, m := range most {
		require.Positive(t, work[m.of], m.of)
		require.LessOrEqual(t, work[m.of], m.work, m.of)
	}
}
