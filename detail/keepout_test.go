package detail_test

import (
	"context"
	"os"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Worked by hand: a rib at 25 in, 3/4 in wide, and 3 in clear of its faces leave 21 5/8 in to 28 3/8 in without a rivet;
// the two panels that meet there make it one stretch.
func TestKeepOutsAreWhereNothingStands(t *testing.T) {
	book, _, err := rules.Load(os.DirFS("../testdata/cases"), "boathouse.rules")
	require.NoError(t, err)
	job := peakJob(t)
	r, err := detail.Lay(context.Background(), book, job)
	require.NoError(t, err)
	require.Empty(t, verify.Report(r, job))
	found := false
	for _, k := range r.KeepOuts {
		p := &r.Placements[k.Placement]
		rule := p.Element.Rules[k.Rule]
		assert.Equal(t, rules.Clear, rule.Measure)
		assert.Negative(t, k.From.Cmp(k.To))
		if rule.ID == "high_side_cap.rivets.clear" && k.From == units.MustParse("21 5/8 in") {
			found = true
			assert.Equal(t, units.MustParse("28 3/8 in"), k.To)
		}
		for _, m := range r.Marks {
			if r.Scopes[m.Scope].Placement == k.Placement && !rule.Should {
				assert.False(t, m.At.Cmp(k.From) > 0 && m.At.Cmp(k.To) < 0, "%s stands at %s", rule.ID, m.At)
			}
		}
	}
	assert.True(t, found)
}
