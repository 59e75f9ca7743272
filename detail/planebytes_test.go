package detail_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var updatePlanes = flag.Bool("update-planes", false, "write testdata/reports/planes.json anew")

// TestPlaneReport holds the report of a plane byte for byte: its outline, panels and runs, where marks, pieces, strips
// and beads are on it, and the angles of a ring. The golden file was read by eye; another module holds it to the schema.
func TestPlaneReport(t *testing.T) {
	const golden = "../testdata/reports/planes.json"
	r := layPlanes(t, `book "On a plane (invented)" { edition "1"  mark 1/16 in  zones corner, edge }
item clip    "clip"    { pack 100 }
item trim    "trim"    { stock 10 ft }
item tape    "tape"    { roll 50 ft }
item sealant "sealant" { cartridge 10.1 floz  bead 3/8 in round }
detail hip for edge hip {
  pieces cap of trim along run { lap >= 6 in }
  strip tape of tape along run { }
  row screws of clip in each panel { spacing <= 8 in }
}
detail field for field {
  require penetration clear >= 27 in from hip
  row clips of clip along each 3rd rib { spacing <= 3 ft }
  row boots of clip around each penetration { spacing <= 4 in  offset = 1 in }
  bead seal of sealant around each penetration { }
  bead collar of sealant at each penetration { length = 2 * penetration.width }
}`, "triangle.json")
	var b bytes.Buffer
	require.NoError(t, r.WriteJSON(&b, units.In))
	if *updatePlanes {
		require.NoError(t, os.WriteFile(golden, b.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), b.String())

	b.Reset()
	require.NoError(t, r.WriteJSON(&b, units.MM))
	assert.Contains(t, b.String(), `"area": "2.23 m2"`, "96 by 72 in / 2 are 24 sq ft, of 0.09290304 m2")
}

// TestHostileOutlines: an outline of a million points is refused by how long it is before anything is made of it, and the
// largest that is let through, a comb that each rib crosses as often as can be, takes no long time either.
func TestHostileOutlines(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"planes": [{"id": "p", "slope": "6:12", "outline": [`)
	for i := range 1_000_000 {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(`{"x":"1 in"`)
		if i%2 == 0 {
			b.WriteString(`,"y":"1 in"`)
		}
		b.WriteString(`}`)
	}
	b.WriteString(`]}]}`)
	start := time.Now()
	_, err := detail.ReadJob(strings.NewReader(b.String()))
	require.ErrorIs(t, err, detail.ErrLimit)
	_, err = detail.Options{Limits: detail.Limits{JobBytes: 1 << 30}}.ReadJob(strings.NewReader(b.String()))
	assert.ErrorContains(t, err, "/planes/0/outline: 1000000 points of an outline are over the limit of 1000")

	point := func(x string, y int, edge string) string {
		return fmt.Sprintf(`{"x": "%s", "y": "%d in", "edge": "%s"}`, x, y, edge)
	}
	comb := []string{point("0 in", 0, "eave")}
	const teeth = 249
	for k := range teeth {
		comb = append(comb, point("100 ft", 2*k, "rake"), point("100 ft", 2*k+1, "ridge"))
		if k < teeth-1 {
			comb = append(comb, point("1 in", 2*k+1, "rake"), point("1 in", 2*k+2, "eave"))
		}
	}
	comb = append(comb, point("0 in", 2*teeth-1, "rake"))
	_, err = detail.ReadJob(strings.NewReader(`{"profile": {"cover": "1 in", "rib_width": "1/8 in", "rib_height": "1 in"},
  "planes": [{"id": "p", "slope": "6:12", "panels": {"first": "1/2 in"}, "outline": [` + strings.Join(comb, ", ") + `]}]}`))
	assert.ErrorIs(t, err, detail.ErrLimit, "1,200 ribs, each cut in 249 parts")
	assert.Less(t, time.Since(start), 30*time.Second)
}
