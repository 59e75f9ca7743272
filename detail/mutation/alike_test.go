package mutation_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func field(element string) string {
	return `book "Field (invented)" { mark 1/16 in  zones corner }
detail field for field { row clips ` + element + ` }
`
}

// TestASeverityThatMeansNothingLaysAlike: must or should, spacings that are proved to stand anyway lay the same marks, on
// planes of any size with a valley, a zone and two pipes.
func TestASeverityThatMeansNothingLaysAlike(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	marks := 0
	for range 25 {
		in := func(from, to int) string { return fmt.Sprintf("%d/32 in", 32*from+random.IntN(32*(to-from))) }
		end, corner := 2+random.IntN(5), 14+random.IntN(6)
		y, top := 30+random.IntN(20), 80+random.IntN(60)
		job := fmt.Sprintf(`{"name": "Plane (invented)",
  "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"},
  "planes": [{"id": "p", "slope": "6:12", "panels": {"first": %q},
    "outline": [{"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "50 in", "y": "0 in", "edge": "valley"},
      {"x": "%d in", "y": "%d in", "edge": "peak"}, {"x": "0 in", "y": "%d in", "edge": "rake"}],
    "zones": [{"kind": "corner", "within": %q, "of": ["eave"]}],
    "penetrations": [{"id": "a", "kind": "pipe", "x": %q, "y": "%d in", "diameter": %q},
      {"id": "b", "kind": "pipe", "x": "35 in", "y": "%d in", "diameter": "3 in"}]}]}`,
			in(2, 18), 50+top/2, top, top, in(5, 70), in(8, 20), y, in(2, 6), y+20)
		var want string
		for i := -1; i < 3; i++ {
			should := [3]string{}
			if i >= 0 {
				should[i] = "should"
			}
			src := field(fmt.Sprintf(`along each rib {
    %s spacing <= %d in  %s spacing <= %d in when zone is corner  end <= %d in
  }
  row screws around each penetration { %s spacing <= 2 in  offset = 1 in }`,
				should[0], 2*corner, should[1], corner, end, should[2]))
			book, found, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(src)}}, "b.rules")
			require.NoError(t, err)
			require.NoError(t, found.Err(), src)
			j, err := detail.ReadJob(strings.NewReader(job))
			require.NoError(t, err, job)
			rep, err := detail.Lay(t.Context(), book, j)
			require.NoError(t, err, job)
			require.Empty(t, verify.Report(rep, j))
			require.Empty(t, rep.Violations, job)
			marks += len(rep.Marks)
			got := fmt.Sprint(rep.Marks)
			if i < 0 {
				want = got
			}
			require.Equal(t, want, got, "%d %s", i, job)
		}
	}
	assert.Positive(t, marks)
}
