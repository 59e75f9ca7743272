package detail_test

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden comparison anew")

func edition(t *testing.T, name, spacing string) *rules.Book {
	t.Helper()
	src := `book "House (invented)" { edition "` + name + `"  mark 1/16 in }
item clip "clip" { pack 4 }
detail eave for edge eave {
  row clips of clip along run {
    spacing <= ` + spacing + `
    end     <= 6 in
  }
}
`
	book, found, err := rules.Load(fstest.MapFS{"house.rules": {Data: []byte(src)}}, "house.rules")
	require.NoError(t, err)
	require.NoError(t, found.Err())
	return book
}

// TestCompare: on 36 in at most 12 in apart are three clips, 6, 18 and 30 in; at most 24 in apart two, 6 and 30 in, so
// one is taken away and none moves. Beside a hole of 20 in four become two, 6 and 30 in, at each side one, and its
// 20 in break the 12 in and not the 24 in. 4 to a pack: of seven two packs, of four one.
func TestCompare(t *testing.T) {
	job, err := detail.ReadJob(strings.NewReader(`{"name": "Boathouse (invented)", "runs": [
		{"id": "a", "edge": "eave", "length": "36 in", "slope": "3:12"},
		{"id": "b", "edge": "eave", "length": "36 in", "slope": "3:12",
		 "obstacles": [{"id": "post", "kind": "penetration", "from": "8 in", "to": "28 in"}]}]}`))
	require.NoError(t, err)
	c, err := detail.Options{}.Compare(t.Context(), edition(t, "1", "12 in"), edition(t, "2", "24 in"), []*detail.Job{job})
	require.NoError(t, err)
	require.Len(t, c.Jobs, 1)
	j := c.Jobs[0]
	require.NotEmpty(t, j.Elements)
	a := j.Elements[0]
	assert.Equal(t, []any{"a", "clips", 3, 2, 0, 1}, []any{a.Run, a.Element, a.Old, a.New, a.Moved, a.Scopes})
	want := []detail.ComparedLine{{
		Old: "spacing <= 12 in", OldAt: "house.rules:5:5", New: "spacing <= 24 in", NewAt: "house.rules:5:5",
	}}
	assert.Equal(t, want, a.Lines)
	assert.Empty(t, j.Come)
	require.NotEmpty(t, j.Gone)
	assert.Equal(t, "eave.clips.spacing", j.Gone[0].Rule)
	assert.Equal(t, want, j.Gone[0].Lines)
	require.Len(t, c.Takeoff, 1)
	assert.Equal(t, "2", c.Takeoff[0].OldPacks)
	assert.Equal(t, "1", c.Takeoff[0].NewPacks)

	back, err := detail.Options{}.Compare(t.Context(), edition(t, "2", "24 in"), edition(t, "1", "12 in"), []*detail.Job{job})
	require.NoError(t, err)
	assert.Equal(t, len(j.Gone), len(back.Jobs[0].Come))
	same, err := detail.Options{}.Compare(t.Context(), edition(t, "1", "12 in"), edition(t, "1", "12 in"), []*detail.Job{job})
	require.NoError(t, err)
	assert.Empty(t, same.Jobs[0].Elements)
	assert.Empty(t, same.Takeoff)

	var b bytes.Buffer
	require.NoError(t, c.WriteJSON(&b))
	const golden = "../testdata/comparisons/clips.json"
	if *update {
		require.NoError(t, os.WriteFile(golden, b.Bytes(), 0o644))
	}
	kept, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(kept), b.String())
}
