package detail_test

import (
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// expectations are tried on one run: 36 in of 12 in panels with ribs 1 in wide. Clips with 6 in clear of both ribs have
// no room in the middle panel; pins keep 2 in of the 5 in that they should from an end.
const expectations = `book "Expectations (invented)" { mark 1/16 in }
detail d for edge eave {
  input off: length = 6 in where off >= 1 in
  require slope >= 1:12
  should require run.length >= 40 in
  row clips in each panel { spacing <= 20 in  clear >= off from rib }
  row pins along run { spacing <= 40 in  end = 2 in  should end >= 5 in }
}
`

func TestExpectations(t *testing.T) {
	for _, c := range []struct {
		expect string
		holds  bool
	}{
		{"violation of clips", true},
		{"violation of clips clear", false}, // nothing stands where a distance could be measured: the count is short
		{"violation of clips count in panel 2", true},
		{"violation of clips in panel 1", false},
		{"must violation of clips", true},
		{"should violation of clips", false},
		{"violation of clips against clips.clear", true},
		{"violation of clips against d.clips.clear", true}, // the detail may be said
		{"violation of clips against clips.spacing", false},
		{"violation of clips against clips.clear, clips.spacing", false},
		{"should violation of pins end", true},
		{"must violation of pins end", false},
		{"must violation of require", true},
		{"should violation of require", true},
		{"no violation", false},
		{"along panel 13 in to 24 in built", false}, // the should require is judged: 39 in is short
		{"along panel 10 in to 12 15/16 in conflicts", true},
		{"along panel 10 in to 13 in conflicts", false},
		{"along off 1 in to 5 1/2 in conflicts", false},
		{"along off 1/2 in to 15/16 in refused", true},
		{"along off 1/2 in to 1 in refused", false},
	} {
		src := expectations + "example \"e\" {\n  on edge eave length 36 in panels 12 in rib 1 in x 1 in\n  lay d\n  expect " +
			c.expect + "\n}\n"
		book, found, err := rules.Load(fstest.MapFS{"e.rules": {Data: []byte(src)}}, "e.rules")
		require.NoError(t, err)
		if found.Err() != nil {
			assert.False(t, c.holds, "%s: %v", c.expect, found.Err())
			continue
		}
		r := detail.Examples(t.Context(), nil, book)[0]
		require.NoError(t, r.Err, c.expect)
		assert.Equal(t, c.holds, r.OK(), "%s\n%s", c.expect, r.Text())
	}
}
