package detail_test

import (
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTheReportNamesEveryRelaxation lays a detail that relaxes one line and drops an element, by way of another that
// relaxes one too: the report names all three with their reasons, and none where the base is laid.
func TestTheReportNamesEveryRelaxation(t *testing.T) {
	book, ds, err := rules.Load(fstest.MapFS{"r.rules": {Data: []byte(`book "Relaxed (invented)" { mark 1/16 in }
detail base for edge eave {
  row a along run { spacing <= 5 in  count >= 4 }
  row b at each end { offset = 1 in }
}
detail coast for edge rake extends base { relax a { spacing <= 6 in } because "larger" }
detail job for edge peak extends coast {
  relax a { count >= 3 } because "fewer"
  drop b because "none here"
}
`)}}, "r.rules")
	require.NoError(t, err)
	require.Empty(t, ds)
	laid := func(edge string) []string {
		run, err := geom.NewRun(geom.Spec{ID: "run", Edge: edge, Length: units.MustParse("10 ft"),
			Sides: []geom.SideSpec{{Slope: slope(t, "3:12")}}}, 0)
		require.NoError(t, err)
		job := &detail.Job{Name: "relaxed", Runs: []*geom.Run{run}}
		rep, err := detail.Lay(t.Context(), book, job)
		require.NoError(t, err)
		require.Empty(t, verify.Report(rep, job))
		var list []string
		for _, r := range rep.Relaxed {
			list = append(list, r.Rule+": "+r.Because)
		}
		return list
	}
	assert.Empty(t, laid("eave"))
	assert.Equal(t, []string{"coast.a.spacing: larger"}, laid("rake"))
	assert.ElementsMatch(t, []string{"job.a.spacing: larger", "job.a.count: fewer", "job.b: none here"}, laid("peak"))
}
