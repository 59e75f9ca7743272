package sheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// FuzzSheets: whatever stands in a job's and a book's texts, a drawing and a page are well-formed, a table is one that
// others read and no cell of it a formula, and a text has no control character.
func FuzzSheets(f *testing.F) {
	f.Add("Boathouse", "eave-1", "Cap trim, 24 ga", int64(120))
	f.Add("a<b>&\"'", "]]>", "=1+1\t\r", int64(7))
	f.Add("\x00\x1b[31m\xff", "é\u202e", "<script>alert(1)</script>", int64(-3))
	f.Fuzz(func(t *testing.T, name, id, title string, inches int64) {
		quoted := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(title)
		book, ds, err := rules.Load(fstest.MapFS{"a.rules": {Data: []byte(`item s "` + quoted + `" { pack 100 }
detail d "` + quoted + `" for edge eave { row r of s in each panel { spacing <= 9 in  count >= 2 because "` + quoted + `" } note "` + quoted + `" }`)}}, "a.rules")
		require.NoError(t, err)
		if ds.Err() != nil {
			return
		}
		length, err := units.FromTicks(inches % 1000 * units.TicksPerInch)
		require.NoError(t, err)
		panels := &geom.Panels{First: units.MustParse("9 in"), Profile: geom.Profile{Cover: units.MustParse("18 in"),
			RibWidth: units.MustParse("1 in"), RibHeight: units.MustParse("1 in")}}
		run, err := geom.NewRun(geom.Spec{ID: id, Edge: "eave", Length: length, Sides: []geom.SideSpec{{Panels: panels}}}, 0)
		if err != nil {
			return
		}
		r, err := detail.Lay(context.Background(), book, &detail.Job{Name: name, Runs: []*geom.Run{run}})
		if err != nil {
			return
		}
		var b bytes.Buffer
		require.NoError(t, Options{}.SVG(&b, r))
		read(t, b.Bytes())
		b.Reset()
		require.NoError(t, Options{}.HTML(&b, r))
		read(t, b.Bytes())
		b.Reset()
		require.NoError(t, Options{}.CSV(&b, r))
		lines, err := csv.NewReader(&b).ReadAll()
		require.NoError(t, err)
		for _, line := range lines {
			for _, cell := range line {
				require.False(t, cell != "" && strings.ContainsAny(cell[:1], "=+@\t\r"), "%q", cell)
			}
		}
		b.Reset()
		require.NoError(t, Text(&b, r))
		require.True(t, utf8.Valid(b.Bytes()))
		require.False(t, strings.ContainsFunc(b.String(), func(c rune) bool { return c < ' ' && c != '\n' || c == 0x7f }), "%q", b.String())
	})
}
