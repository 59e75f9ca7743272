package main

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The ranges are worked by hand: the detail asks for panels of at most 24 in, and nothing else stops it.
func TestSweepSaysWhereADetailCanBeBuilt(t *testing.T) {
	status, out, stderr := lapwright(t, "", "sweep", "-rules", "../../rules/testdata/boathouse.rules", "-detail",
		"high_side_cap", "-panel", `"12 in".."25 in"`, "-slope", "1/2:12,3:12")
	assert.Equal(t, well, status, stderr)
	assert.Equal(t, `high_side_cap on peak, along panel
The run is three panels long; what spans it is not judged.
Ribs are 0.75 in x 1.75 in.

slope 1/2:12
  12 in                  to 24 in                 rules conflict
    high_side_cap.require (boathouse.rules:18:3)
  over 24 in             to 25 in                 rules conflict
    high_side_cap.require (boathouse.rules:18:3)
    high_side_cap.require#2 (boathouse.rules:19:3)

slope 3:12
  12 in                  to 24 in                 can be built
  over 24 in             to 25 in                 rules conflict
    high_side_cap.require#2 (boathouse.rules:19:3)
`, out)
}

// TestSweepDrawsARange holds the picture of the same sweep: well-formed, with the same ranges in words, a hatched box
// for each beside the four of the key, and its axis as a tape has it.
func TestSweepDrawsARange(t *testing.T) {
	sweep := func(rest ...string) (int, string, string) {
		args := append([]string{"sweep", "-format", "svg", "-rules", "../../rules/testdata/boathouse.rules",
			"-detail", "high_side_cap"}, rest...)
		return lapwright(t, "", args...)
	}
	status, picture, stderr := sweep("-panel", "12in..25in", "-slope", "1/2:12,3:12")
	require.Equal(t, well, status, stderr)
	texts, boxes := 0, map[string]int{}
	read := xml.NewDecoder(strings.NewReader(picture))
	for {
		token, err := read.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "text" {
			texts++
		} else if ok && e.Name.Local == "rect" {
			for _, a := range e.Attr {
				if a.Name.Local == "fill" {
					boxes[a.Value]++
				}
			}
		}
	}
	assert.Equal(t, map[string]int{"none": 1 + 1, "url(#v1)": 1, "url(#v2)": 1 + 3, "url(#v3)": 1, "#fff": 1 + 4}, boxes)
	assert.Greater(t, texts, 20)
	for _, text := range []string{"slope 1/2:12", "1&#39; 0&#34;", "2&#39; 0&#34;", "over 24 in", "can be built",
		"high_side_cap.require#2 (boathouse.rules:19:3)"} {
		assert.Contains(t, picture, text)
	}
	status, picture, stderr = sweep("-slope", "1:12..3:12")
	assert.Equal(t, unusable, status)
	assert.Empty(t, picture)
	assert.Contains(t, stderr, "use text")
	for _, span := range []int64{1, units.TicksPerInch, 1 << 40, 1 << 59} {
		assert.LessOrEqual(t, span/axisStep(span), int64(16))
	}
}
