package verify_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// TestEveryPlaneLayoutPassesInspection inspects random layouts of planes and roofs as if they were built: eaves, hips
// and valleys with panels on the skew, rib lines, planes as a whole, penetrations. What is found is what the report says
// can't be met. What goes round a penetration, or stands by what does, is listed as not inspected, and nothing else is.
func TestEveryPlaneLayoutPassesInspection(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	n := 60
	if testing.Short() {
		n = 6
	}
	judged, around, edges := 0, 0, map[string]int{}
	for i := range n {
		g := &generator{rand.New(rand.NewPCG(seed, uint64(i)))}
		source, job := g.planeBook(), g.planeJob()
		book, j, r, err := laid(t, source, job)
		if offPlane(err) || errors.Is(err, detail.ErrLimit) {
			continue
		}
		require.NoError(t, err, "%s\n%s", source, job)
		m := verify.Measured(r, true)
		m.List = slices.DeleteFunc(m.List, func(x detail.Measure) bool { return byRing(book, x.Detail, x.Element) })
		in, err := detail.Inspect(context.Background(), book, j, m)
		require.NoError(t, err, "%s\n%s", source, job)
		want := slices.DeleteFunc(slices.Clone(r.Violations), func(v detail.Violation) bool { return byRing(book, "field", v.Element) })
		require.Empty(t, differences(said(want), said(in.Report.Violations)), "seed %d, case %d\n%s\n%s", seed, i, source, job)
		scopes := 0
		for _, s := range r.Scopes {
			p := r.Placements[s.Placement]
			if !byRing(book, p.Detail.Name, p.Element.Name) {
				scopes, edges[p.Run.Edge] = scopes+1, edges[p.Run.Edge]+1
			}
		}
		require.Equal(t, scopes, in.Judged, "seed %d, case %d\n%s\n%s", seed, i, source, job)
		for _, u := range in.Unmeasured {
			require.True(t, byRing(book, u.Detail, u.Element), "seed %d, case %d: %+v\n%s\n%s", seed, i, u, source, job)
		}
		judged, around = judged+in.Judged, around+len(in.Unmeasured)
	}
	t.Logf("%d scopes inspected, by edge: %v; %d placements round penetrations listed as not inspected", judged, edges, around)
	require.Greater(t, around, 0)
	for _, edge := range []string{"eave", "hip", "valley", geom.RibLine, "penetration"} {
		require.Greater(t, edges[edge], 0, edge)
	}
}

// TestWhatStandsAtAPenetration inspects a mark measured on the wrong side of a pipe's middle, which is no end of a run,
// and holds what the detail requires of the plane and its penetrations though nothing else on the plane was measured.
func TestWhatStandsAtAPenetration(t *testing.T) {
	job, err := os.ReadFile("../../../testdata/cases/triangle.json")
	require.NoError(t, err)
	book, j, r, err := laid(t, `book "b" { mark 1/16 in }
detail field for field {
  require slope >= 13:12
  require penetration clear >= 30 in from hip
  row pegs at each penetration { offset = 6 in }
}`, string(job))
	require.NoError(t, err)
	inspect := func(change func(*detail.Measure)) (rules []string) {
		m := verify.Measured(r, true)
		require.NotEmpty(t, m.List)
		for i := range m.List {
			change(&m.List[i])
		}
		in, err := detail.Inspect(context.Background(), book, j, m)
		require.NoError(t, err)
		for _, v := range in.Report.Violations {
			rules = append(rules, v.Rule)
		}
		return rules
	}
	required := []string{"field.require", "field.require#2"}
	require.Equal(t, required, inspect(func(*detail.Measure) {}))
	require.Equal(t, append(required, "field.pegs.offset"), inspect(func(m *detail.Measure) { m.At[0] = units.MustParse("-6 in") }))
}

// byRing tells whether an element goes round a penetration, or stands by what does.
func byRing(book *rules.Book, of, element string) bool {
	for _, d := range book.Details {
		for _, e := range d.Elements {
			if d.Name == of && e.Name == element {
				return e.Scope.How == "around" || e.Scope.Name != nil && byRing(book, of, e.Scope.Name.Text)
			}
		}
	}
	return false
}
