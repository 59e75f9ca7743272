package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The ranges are worked by hand: the detail asks for panels of at most 24 in, and nothing else stops it.
func TestSweepSaysWhereADetailCanBeBuilt(t *testing.T) {
	status, out, stderr := lapwright(t, "", "sweep", "-rules", "../../rules/testdata/boathouse.rules", "-detail", "high_side_cap", "-panel", `"12 in".."25 in"`, "-slope", "1/2:12,3:12")
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
