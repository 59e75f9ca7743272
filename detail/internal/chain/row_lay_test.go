package chain

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCenteredByHand(t *testing.T) {
	gap := func(v int64) Limit { return Limit{Kind: GapMax, Value: v} }
	keep := func(from, to int64) Limit { return Limit{Kind: Keep, Spans: []Span{{from, to}}} }
	for _, c := range []struct {
		name   string
		length int64
		limits []Limit
		want   []int64
	}{
		{"full spacings inside, equal ends", 10, []Limit{gap(4)}, []int64{1, 5, 9}},
		{"the last mark has to stand at the right end", 10, []Limit{gap(4), {Kind: EndMax, Ends: RightEnd}}, []int64{2, 6, 10}},
		{"the first mark has to stand at the left end", 10, []Limit{gap(4), {Kind: EndMax, Ends: LeftEnd}}, []int64{0, 4, 8}},
		{"the middle would end where an end minimum of a zone forbids it", 10,
			[]Limit{gap(4), {Kind: EndMin, Value: 2, Ends: RightEnd, Spans: []Span{{9, 9}}}}, []int64{0, 4, 8}},
		{"a mark where a keep-out starts", 10, []Limit{gap(5), keep(5, 7)}, []int64{0, 5, 10}},
		{"a mark where a keep-out ends", 10, []Limit{gap(5), keep(3, 5)}, []int64{0, 5, 10}},
		{"no room for full spacings at the right end: even", 10, []Limit{gap(5), keep(8, 11)}, []int64{0, 4, 8}},
		{"nearest to the middle of what keep-outs leave", 21, []Limit{gap(6), keep(0, 2)}, []int64{2, 8, 14, 20}},
		{"the nearer of two steps", 15, []Limit{gap(99), {Kind: Step, Value: 4}}, []int64{8}},
		{"the left of two steps as near", 12, []Limit{gap(99), {Kind: Step, Value: 4}}, []int64{4}},
	} {
		at, res := layRow(t, &Row{Length: c.length, Lay: Centered, Limits: c.limits})
		require.Equal(t, c.want, at, c.name)
		require.Nil(t, res.Conflict, c.name)
	}
}

// Stepped off: the furthest place that an end maximum of a zone allows is kept free, so that the default limit decides.
func TestSteppedFromTheNearerOfTwoStarts(t *testing.T) {
	at, res := layRow(t, &Row{Length: 20, Lay: Stepped, Limits: []Limit{
		{Kind: GapMax, Value: 4}, {Kind: EndMax, Value: 8, Ends: LeftEnd, Spans: []Span{{6, 8}}}, {Kind: Keep, Spans: []Span{{5, 9}}},
	}})
	require.Equal(t, []int64{2, 5, 9, 13, 17}, at)
	require.Nil(t, res.Conflict)
}
