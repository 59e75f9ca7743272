package sheet

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planes is a report of one plane: 40 ft of eave, 28 ft of ridge, a rake on the left and a hip on the right.
func planes(t *testing.T) *detail.Report {
	t.Helper()
	return planesBy(t, os.DirFS("../../testdata/cases"), "boathouse.rules")
}

// clipped is the same with clips under the ribs, and screws and a bead round what comes through.
func clipped(t *testing.T) *detail.Report {
	t.Helper()
	return planesBy(t, fstest.MapFS{"field.rules": {Data: []byte(`book "Field (invented)" { mark 1/16 in }
		item clip "rib clip" {} item screw "screw" {} item putty "sealant" { cartridge 10.1 floz  bead 1/4 in round }
		detail field "Field" for field {
			row clips of clip along each rib { spacing <= 24 in }
			row boot of screw around each penetration { spacing <= 2 in  offset = 1/2 in }
			bead seal of putty around each penetration { }
		}`)}}, "field.rules")
}

func planesBy(t *testing.T, files fs.FS, name string) *detail.Report {
	t.Helper()
	book, found, err := rules.Load(files, name)
	require.NoError(t, err)
	require.NoError(t, found.Err())
	job, err := detail.ReadJob(strings.NewReader(`{"name": "Boathouse (invented)",
		"profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 3/4 in"},
		"planes": [{"id": "lake", "slope": "6:12", "panels": {"first": "18 in"},
			"outline": [{"x": "0 in", "y": "0 in", "edge": "eave"}, {"x": "40 ft", "y": "0 in", "edge": "hip"},
				{"x": "28 ft", "y": "15 ft", "edge": "ridge"}, {"x": "0 in", "y": "15 ft", "edge": "rake"}],
			"penetrations": [{"id": "pipe", "kind": "pipe", "x": "10 ft", "y": "6 ft", "diameter": "4 in"},
				{"id": "hatch", "kind": "curb", "x": "20 ft", "y": "5 ft", "width": "3 ft", "length": "4 ft"}]}]}`))
	require.NoError(t, err)
	r, err := detail.Lay(t.Context(), book, job)
	require.NoError(t, err)
	require.Empty(t, verify.Report(r, job))
	return r
}

func TestAPlaneIsDrawnToScale(t *testing.T) {
	r := planes(t)
	all := read(t, svg(t, Options{Only: "lake"}, r))
	found := map[string]string{}
	for _, e := range all {
		if e.parent == nil || e.parent.attr["data-plane"] != "lake" {
			continue
		}
		assert.Equal(t, "72", e.parent.attr["data-ratio"])
		switch e.attr["class"] {
		case "panel", "dim":
			found[e.attr["class"]] = e.attr["d"]
		case "out":
			found[e.title()] = strings.TrimPrefix(e.attr["cx"]+","+e.attr["cy"]+e.attr["d"], ",")
		}
	}
	// Worked by hand: at 1:72 an inch is 4/3 px; the plane's low left corner is at 40, 20 + 240.
	assert.Equal(t, "M40 260L680 260L488 20L40 20z", found["panel"])
	assert.Equal(t, "200,164", found[`Penetration pipe (pipe): 4" across, its middle 10' 0" along and 6' 0" up`])
	assert.Equal(t, "M360 180h48v-64h-48z", found[`Penetration hatch (curb): 3' 0" wide and 4' 0" up the slope, its low left corner 20' 0" along and 5' 0" up`])
	// A rib stands each 18 in, 24 px, from 64 on: 26 of them; the curb cuts two in two.
	ribs := regexp.MustCompile(`M([\d.]+) `).FindAllStringSubmatch(found["dim"], -1)
	lines := map[string]int{}
	for _, x := range ribs {
		lines[x[1]]++
	}
	assert.Len(t, lines, 26)
	assert.Equal(t, 1, lines["64"])
	assert.Equal(t, 1, lines["664"])
	assert.Equal(t, 2, lines["376"])
}

func TestAPlaneAloneSaysWhatItsShapesMean(t *testing.T) {
	r := clipped(t)
	got := string(svg(t, Options{Only: "lake"}, r))
	assert.NotContains(t, got, ">RUN ") // nor the plane's field as a run
	clips := 0
	for _, sc := range r.Scopes {
		if p := r.Placements[sc.Placement]; p.Element.Name == "clips" {
			clips += sc.Last - sc.First
		}
	}
	assert.NotZero(t, clips)
	assert.Contains(t, got, fmt.Sprintf(`<use href="#lw-m0" x="8"/><text class="n" x="22" y="2.5">clips: rib clip; %d marks</text>`, clips))
	assert.Contains(t, got, ">not drawn: seal: sealant; 2 beads</text>")
	assert.Contains(t, got, ">penetration</text>")
	assert.EqualError(t, Options{Only: "lake/pipe"}.SVG(io.Discard, r),
		`what goes round "lake/pipe" is drawn on its plane: draw "lake"`)
	assert.Contains(t, string(svg(t, Options{Only: "lake/rib 3"}, r)), "RUN lake/rib 3: rib")
}

func TestWhatIsNotMetOnAPlaneIsSaidUnderIt(t *testing.T) {
	r := clipped(t)
	r.Violations = []detail.Violation{{Severity: "must", Run: "lake/rib 3", Element: "clips", Rule: "field.clips.spacing", What: "spacing"}}
	for _, got := range []string{string(svg(t, Options{}, r)), string(svg(t, Options{Only: "lake"}, r))} {
		assert.Contains(t, got, "1. NOT MET: run lake/rib 3, clips")
	}
}

func TestThePageShowsThePlanes(t *testing.T) {
	r := planes(t)
	for _, unit := range []units.Unit{units.In, units.MM} {
		got := html(t, Options{Unit: unit}, r)
		assert.Contains(t, string(got), "<h2>PLANE lake: slope 6:12, 510 sq ft</h2>")
		read(t, got)
	}
}
