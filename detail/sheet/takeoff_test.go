package sheet_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/detail/sheet"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const shed = `book "Shed details (invented)" { mark 1/16 in }
item trim    "eave trim" { stock 10 ft price 20  stock 12 ft price 23.50  kerf 1/8 in  girth 7 in  movement 0.08 in per 10 ft per 100 F }
item bar     "closure"   { stock 2.5 m }
item screw   "screw"     { pack 100  waste 5% }
item sealant "sealant"   { cartridge 10.1 floz  bead 1/4 in by 1/8 in }
detail eave "Eave" for edge eave {
  pieces trim of trim along run { lap >= 2 in }
  bead seal of sealant at each lap of trim { length = 7 in }
  pieces bar of bar in each panel { extend = -1 in }
  row holes of screw along each piece of bar when scope.length > 6 in { spacing <= 5 in }
}`

func lay(t *testing.T, job string) *detail.Report {
	t.Helper()
	book, _, err := rules.Load(fstest.MapFS{"shed.rules": {Data: []byte(shed)}}, "shed.rules")
	require.NoError(t, err)
	j, err := detail.ReadJob(strings.NewReader(job))
	require.NoError(t, err)
	r, err := detail.Lay(context.Background(), book, j)
	require.NoError(t, err)
	require.Empty(t, verify.Report(r, j))
	return r
}

func job(name, run, more string) string {
	return `{"name": "` + name + `", "profile": {"cover": "18 in", "rib_width": "3/4 in", "rib_height": "1 in"}, "runs": [
{"id": "` + run + `", "edge": "eave", "length": "31 ft", "slope": "3:12", "panels": {"first": "7 in"}}]` + more + `}`
}

func TestTakeoffSheet(t *testing.T) {
	a := lay(t, job("lake side", "eave 1", `, "stock": [{"item": "trim", "length": "90 in"}], "heat": "140 F"`))
	b := lay(t, job("", "eave \\u202e2\\u2028", ""))
	sum, err := detail.AddUp(context.Background(), a, b)
	require.NoError(t, err)
	require.Empty(t, verify.Takeoff(sum, a, b))
	for _, columns := range []int{40, 80, 140} {
		var out strings.Builder
		require.NoError(t, sheet.Options{Columns: columns}.Takeoff(&out, sum))
		for line := range strings.Lines(out.String()) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), columns, line)
		}
		assert.NotContains(t, out.String(), "\u202e")
	}
	var out strings.Builder
	require.NoError(t, sheet.Takeoff(&out, sum))
	for _, want := range []string{
		"Jobs:    lake side; without a name\n",
		"eave trim: costs ",
		"sq ft of sheet, 7\" girth.",
		"sealant: a cartridge makes 48.60 ft of bead.",
		" left over: ",
		"the least there can be",
		"Drill in the shop\n",
		"  40 of 1' 4\"\n    holes ",
		"no holes",
		"lake side: eave 1 (pieces 2-21);",
		"eave.trim: 7' 4\" from 10' 0\" on eave 1\n",
	} {
		assert.Contains(t, out.String(), want)
	}

	out.Reset()
	require.NoError(t, sheet.Text(&out, a))
	assert.Contains(t, out.String(), "Movement with heat\n")
	assert.Contains(t, strings.Join(strings.Fields(out.String()), " "),
		`eave.trim on eave 1: 3 pieces that lap or butt, 31' 0", moves up to 3/16" at each end for 140 F, if it is fixed in its middle.`)
}
