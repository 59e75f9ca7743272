package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What the sheet says of the demonstration's measurements stands in the tests of detail; here is that each form comes.
func TestInspectSaysWhatFails(t *testing.T) {
	args := []string{"inspect", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-measured", "demo/measured.json"}
	status, out, stderr := lapwright(t, "", args...)
	assert.Equal(t, failed, status)
	assert.Equal(t, "lapwright: rules that must hold are broken in 10 places\n", stderr)
	for _, text := range []string{
		"7. run high side, panel 4, closure_screws: 3' 7\" to 5' 1\"\n     count >= 4, but is 3: off by 1\n",
		"  - run high side, panel 4, closure_screws\n    add 1 mark at 4' 1 3/4\"\n",
		"  - run high side, panel 4, rivets\n    no added mark mends 10: move, take out or make anew\n",
		"  - run high side, panel 1, 5-22: closure_screws (not measured)\n",
	} {
		assert.Contains(t, out, text)
	}
	for format, version := range map[string]any{"json": nil, "sarif": "2.1.0"} {
		status, out, _ := lapwright(t, "", append(args, "-format", format)...)
		assert.Equal(t, failed, status)
		var doc map[string]any
		assert.NoError(t, json.Unmarshal([]byte(out), &doc))
		assert.Equal(t, version, doc["version"])
	}
	status, out, stderr = lapwright(t, `{"measured": [{"run": "high side", "detail": "high_side_cap", "element": "rivets", "scopes": [2], "at": ["16 1/2 in"]}]}`,
		"inspect", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-measured", "-")
	assert.Equal(t, well, status, stderr)
	assert.Contains(t, out, "every rule that must hold does, in what was measured; 1 place measured;\n")
}

func TestInspectRefuses(t *testing.T) {
	for want, args := range map[string][]string{
		"inspect needs -rules, -job and -measured":                      {"-rules", "demo/boathouse.rules"},
		`there is no -format "csv": use text, json, sarif, svg or html`: {"-rules", "a", "-job", "b", "-measured", "c", "-format", "csv"},
		"only one file can come from standard input":                    {"-rules", "-", "-job", "b", "-measured", "-"},
		"demo/none.json: there is no such file":                         {"-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-measured", "demo/none.json"},
		`demo/boathouse.json:2:3: /name: an inspection has`:             {"-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-measured", "demo/boathouse.json"},
		"-tolerance: ": {"-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-measured", "demo/measured.json", "-tolerance", "1/8"},
	} {
		status, out, stderr := lapwright(t, "", append([]string{"inspect"}, args...)...)
		assert.Equal(t, unusable, status)
		assert.Empty(t, out)
		assert.Contains(t, stderr, want)
	}
}

func TestADrawingOfAnInspectionIsNoLayout(t *testing.T) {
	for _, format := range []string{"svg", "html"} {
		_, out, _ := lapwright(t, "", "inspect", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json",
			"-measured", "demo/measured.json", "-format", format)
		assert.Contains(t, out, "as measured: what is not drawn was not measured")
	}
}
