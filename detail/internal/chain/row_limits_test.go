package chain

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRowTakesEveryStep(t *testing.T) {
	at, _ := layRow(t, &Row{Length: 4, Limits: []Limit{{Kind: Step, Value: 1}}})
	require.Equal(t, []int64{2}, at)
	at, _ = layRow(t, &Row{Length: MaxLength, Limits: []Limit{{Kind: Step, Value: MaxLength}, {Kind: EndMax, Ends: RightEnd}}})
	require.Equal(t, []int64{MaxLength}, at)
	_, _, err := new(Solver).Row(context.Background(), &Row{Length: 4, Limits: []Limit{{Kind: Step, Value: MaxLength + 1}}}, nil)
	require.Error(t, err)
}

// By hand: side by side from 2 on the largest gap is one step, smaller than with a mark at 0, though fewer marks
// would do.
func TestRowOfMoreMarksSideBySide(t *testing.T) {
	at, res := layRow(t, &Row{Length: 4, Limits: []Limit{
		{Kind: Keep, Spans: []Span{{0, 2}}}, {Kind: EndMax, Value: 2, Ends: LeftEnd}, {Kind: EndMax, Value: 1, Ends: RightEnd}, {Kind: CountMin, Value: 3},
	}})
	require.Equal(t, []int64{2, 3, 4}, at)
	require.Equal(t, 3, res.Binding)
}

func TestRowOfFarMoreMarksThanFit(t *testing.T) {
	at, res := layRow(t, &Row{Length: 1e9, Limits: []Limit{{Kind: GapMin, Value: 4e8}, {Kind: CountMin, Value: 1 << 25}}})
	require.Len(t, at, 3)
	require.Equal(t, []int{0, 1}, res.Conflict)
}

// A row that is refused for its work, wherever that is noticed, says nothing about its marks.
func TestRowStopsAnywhere(t *testing.T) {
	gaps := longRow(2000*inch, true, true)
	gaps.Limits = append(gaps.Limits, Limit{Kind: GapMin, Value: inch}, Limit{Kind: GapMax, Value: 6 * inch},
		Limit{Kind: EndMax, Value: 9 * inch, Ends: LeftEnd | RightEnd})
	count := &Row{Length: gaps.Length, Limits: append(slices.Clone(gaps.Limits), Limit{Kind: CountMin, Value: 500, Should: true})}
	conflict := &Row{Length: gaps.Length, Limits: append(slices.Clone(gaps.Limits), Limit{Kind: CountMax, Value: 100})}
	for _, p := range []*Row{gaps, count, conflict} {
		at, res := layRow(t, p)
		require.NotEmpty(t, at)
		require.Equal(t, p == conflict, res.Conflict != nil)
		for limit := int64(1); limit < res.Work; limit += res.Work / 50 {
			s := Solver{MaxWork: limit}
			at, cut, err := s.Row(context.Background(), p, []int64{7})
			if err == nil { // the last that is looked at may go over it, and a conflict may be told less well
				continue
			}
			require.ErrorIs(t, err, ErrWork)
			require.Equal(t, []int64{7}, at)
			require.Equal(t, -1, cut.Binding)
		}
	}
}

// An end that a keep-out holds open does not draw the marks together.
func TestRowWhoseEndsCantBeKept(t *testing.T) {
	end := Limit{Kind: EndMax, Value: 3, Ends: LeftEnd | RightEnd}
	keep := Limit{Kind: Keep, Spans: []Span{{-5, 8}, {55, 65}}}
	for _, c := range []struct {
		limits []Limit
		want   []int64
	}{
		{[]Limit{{Kind: GapMax, Value: 10}, end, keep}, []int64{8, 17, 26, 35, 45, 55}},
		{[]Limit{{Kind: GapMax, Value: 10, Spans: []Span{{0, 20}}}, {Kind: GapMax, Value: 30}, end, keep}, []int64{8, 17, 26, 35, 45, 55}},
		{[]Limit{end, keep}, []int64{8, 55}},
		{[]Limit{end, keep, {Kind: CountMin, Value: 3}}, []int64{8, 31, 55}},
	} {
		at, res := layRow(t, &Row{Length: 60, Limits: c.limits})
		require.NotNil(t, res.Conflict)
		require.Equal(t, c.want, at, "%+v", c.limits)
	}
}
