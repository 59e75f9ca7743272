package mutation_test

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/mutation"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// house has one number that no example tests: the 24 in of the trim's length. Its example of 27 in would be laid alike
// with any least length up to that.
const house = `book "House (invented)" { }
item trim "trim" { stock 10 ft  girth 7 in }
detail eave for edge eave {
  pieces trim of trim along run { lap >= 2 in  length >= 24 in }
}
example "one piece" {
  on edge eave length 27 in
  lay eave
  expect count of trim = 1
  expect area trim = 7 in * 10 ft
  expect no violation
  source "worked by hand: shorter than the stock"
}
example "three pieces" {
  on edge eave length 20 ft
  lay eave
  expect length of trim 1 = 120 in
  expect lap of trim = 2 in
  source "worked by hand: two of 120 in with a lap of 2 in cover 238 in, and no more"
}
example "exactly two lengths of stock" {
  on edge eave length 238 in
  lay eave
  expect stock trim = 2
  source "worked by hand: 120 + 120 - 2"
}
`

func run(t *testing.T, src string, tries ...int) *mutation.Report {
	t.Helper()
	files := fstest.MapFS{"house.rules": {Data: []byte(src)}}
	o := mutation.Options{}
	if len(tries) > 0 {
		o.Tries = tries[0]
	}
	rep, err := mutation.Run(t.Context(), files, "house.rules", o)
	require.NoError(t, err)
	return rep
}

// TestAnUntestedNumberIsNamed: the kit names it, and the example that it suggests kills the change.
func TestAnUntestedNumberIsNamed(t *testing.T) {
	rep := run(t, house)
	var missed []mutation.Change
	for _, c := range rep.Changes {
		if c.Verdict == mutation.Missed {
			missed = append(missed, c)
			assert.Equal(t, 4, c.Span.Start.Line)
			assert.Equal(t, "length >= 24 in", c.In)
			require.NotEmpty(t, c.Suggestion, c.Was)
		}
	}
	require.NotEmpty(t, missed)
	before, all := rep.Scores()
	require.NotEmpty(t, before)

	with := house
	for _, c := range missed {
		with += "\n" + c.Suggestion
	}
	again := run(t, with)
	for _, c := range again.Changes {
		assert.NotEqual(t, mutation.Missed, c.Verdict, "%s to %s", c.Was, c.Now)
	}
	_, now := again.Scores()
	assert.Equal(t, now.Of, now.Noticed)
	assert.Less(t, all.Noticed, all.Of)
	assert.True(t, again.Counts() == (len(again.Changes) >= 20), "one change of %d means nothing", len(again.Changes))
}

// TestEachSuggestionIsProved: without any example, each that is suggested holds in the book, and fails in the one
// changed by hand.
func TestEachSuggestionIsProved(t *testing.T) {
	const bare = `book "House (invented)" { mark 1/16 in }
detail eave for edge eave {
  input off: length = 2 in where off >= 1 in
  require slope >= 3:12
  row clips along run { spacing <= 10 in  clear >= off from rib }
}
`
	rep := run(t, bare)
	require.NotEmpty(t, rep.Changes)
	for _, c := range rep.Changes {
		require.Equal(t, mutation.Missed, c.Verdict, "%s to %s: %s", c.Was, c.Now, c.Proof)
		require.NotEmpty(t, c.Suggestion, "%s: %s to %s", c.In, c.Was, c.Now)
		assert.True(t, holds(t, bare+c.Suggestion), c.Suggestion)
	}
	at := bytes.Index([]byte(bare), []byte("10 in"))
	changed := bare[:at] + "10 1/16 in" + bare[at+len("10 in"):]
	found := false
	for _, c := range rep.Changes {
		if c.Was == "10 in" && c.Now == "10 1/16 in" {
			found = true
			assert.False(t, holds(t, changed+c.Suggestion), c.Suggestion)
		}
	}
	assert.True(t, found)
}

// holds tells whether a book's one example holds.
func holds(t *testing.T, src string) bool {
	t.Helper()
	book, found, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(src)}}, "b.rules")
	require.NoError(t, err)
	require.NoError(t, found.Err(), src)
	results := detail.Examples(t.Context(), nil, book)
	require.Len(t, results, 1)
	return results[0].OK()
}

func TestAnExampleThatDoesNotHoldIsAnError(t *testing.T) {
	src := house + "example \"wrong\" {\n  on edge eave length 27 in\n  lay eave\n  expect count of trim = 2\n}\n"
	wrong := fstest.MapFS{"house.rules": {Data: []byte(src)}}
	_, err := mutation.Run(t.Context(), wrong, "house.rules", mutation.Options{})
	assert.ErrorContains(t, err, "doesn't hold to begin with")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err = mutation.Run(ctx, fstest.MapFS{"house.rules": {Data: []byte(house)}}, "house.rules", mutation.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestWhatMeansNothingIsProved(t *testing.T) {
	rep := run(t, `book "House (invented)" { mark 1/16 in }
item clip "clip" { pack 10 }
item trim "trim" { stock 10 ft  movement 0.08 in per 10 ft per 100 F }
detail eave for edge eave {
  input gap: length = 4 in where gap >= 1 in and gap <= 6 in
  row clips of clip along run {
    spacing <= min(5 in, 9 in)
    end     <= min(gap, 7 in)
    end     >= min(gap, 3 in)
    count   >= floor(1.5)
  }
  pieces trim of trim along run { lap >= 2 in }
}
`, 10)
	proofs := map[string]string{}
	for _, c := range rep.Changes {
		if c.Verdict == mutation.Equivalent {
			proofs[c.Was+" to "+c.Now] = c.Proof
		}
	}
	assert.Contains(t, proofs["9 in to 9 1/16 in"], "never decides")
	assert.Contains(t, proofs["1.5 to 1.6"], "the same, whatever the roof")
	assert.Contains(t, proofs["10 ft to 120 1/16 in"], "movement")
	assert.Contains(t, proofs[" to should "], "nothing stands against this lap")
	assert.NotContains(t, proofs, "5 in to 5 1/16 in")
	assert.Contains(t, proofs["7 in to 6 15/16 in"], "never decides")
	assert.Contains(t, proofs["7 in to 7 1/16 in"], "never decides")
	assert.NotContains(t, proofs, "3 in to 3 1/16 in", "a gap of 4 in is more")
	assert.False(t, rep.Counts(), "more than 5 % mean nothing")
	var b bytes.Buffer
	require.NoError(t, rep.Text(&b))
	assert.Contains(t, b.String(), "The score doesn't count")
}

// TestSpacingsThatStand: on the field of a plane nothing stands against a spacing, but where a line asks for fewer or
// wider, or an end hangs on it.
func TestSpacingsThatStand(t *testing.T) {
	for rules, stands := range map[string]bool{
		"spacing <= 24 in  end <= 6 in":                                 true,
		"spacing <= 24 in  spacing <= 12 in  end <= 6 in":               true,
		"spacing <= 24 in":                                              false,
		"spacing <= 24 in  spacing <= slope * 24 in  end <= 6 in":       false,
		"spacing <= 24 in  end left <= 6 in":                            false,
		"spacing <= 24 in  should end <= 6 in":                          false,
		"spacing <= 24 in  end <= 6 in  count <= 3":                     false,
		"spacing <= 24 in  end <= 6 in  end >= 2 in":                    false,
		"spacing <= 24 in  end <= 6 in  spacing >= 3 in":                false,
		"spacing <= 24 in  end <= 6 in  lay stepped":                    false,
		"spacing <= 24 in  end <= 6 in  clear >= 1 in from penetration": false,
	} {
		rep := run(t, `book "House (invented)" { mark 1/16 in }
detail field for field { row clips along each rib { `+rules+` } }
`, 10)
		proved := false
		for _, c := range rep.Changes {
			proved = proved || c.Verdict == mutation.Equivalent && c.Now == "should " && strings.Contains(c.In, "spacing <= 24 in")
		}
		assert.Equal(t, stands, proved, rules)
	}
}

// TestCoverage: of three rules one is never exercised, and one is exercised and changes nothing.
func TestCoverage(t *testing.T) {
	src := `book "House (invented)" { mark 1/16 in  zones corner }
detail eave for edge eave {
  row clips along run {
    spacing <= 10 in
    spacing <= 40 in
    spacing <= 6 in when zone is corner
  }
}
example "a wide obstacle" {
  on edge eave length 60 in penetration 20 in to 40 in
  lay eave
  expect must violation of clips spacing
}
`
	book, found, err := rules.Load(fstest.MapFS{"b.rules": {Data: []byte(src)}}, "b.rules")
	require.NoError(t, err)
	require.NoError(t, found.Err())
	uses, err := detail.Options{}.Coverage(t.Context(), nil, book)
	require.NoError(t, err)
	require.Len(t, uses, 3)
	flags := func(u detail.RuleUse) []bool { return []bool{u.Exercised, u.Binding, u.Violated} }
	assert.Equal(t, []bool{true, true, true}, flags(uses[0]))
	assert.Equal(t, []bool{true, false, false}, flags(uses[1]))
	assert.Equal(t, []bool{false, false, false}, flags(uses[2]))
	var b bytes.Buffer
	require.NoError(t, mutation.CoverageText(&b, uses))
	assert.Contains(t, b.String(), "Rules never exercised: 1 of 3\n  b.rules:6: eave.clips.spacing#3\n")
}
