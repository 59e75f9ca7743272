package detail

import (
	"context"
	"math"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEveryLimit holds each field of Limits against a job that reaches it and is let through, and against the same job
// where it is one less: so no limit can be added without either, nor without its line in the README.
func TestEveryLimit(t *testing.T) {
	book, ds, err := rules.Load(fstest.MapFS{"a.rules": {Data: []byte(`item a "a" { pack 3 }
detail d "d" for edge eave { row r of a in each panel { spacing <= 1 in  spacing >= 2 in  count >= 4 } }`)}}, "a.rules")
	require.NoError(t, err)
	require.NoError(t, ds.Err())
	const job = `{"profile": {"cover": "12 in", "rib_width": "1 in", "rib_height": "1 in"},
 "runs": [{"id": "r", "edge": "eave", "length": "4 ft", "slope": "3:12", "panels": {"first": "12 in"}}]}`
	lay := func(l Limits) (*Report, error) {
		o := Options{Limits: l}
		j, err := o.ReadJob(strings.NewReader(job))
		if err != nil {
			return nil, err
		}
		return o.Lay(context.Background(), book, j)
	}
	report, err := lay(Limits{})
	require.NoError(t, err)
	marks, violations := len(report.Marks), len(report.Violations)
	require.Positive(t, violations)
	cases := map[string]struct {
		value int // that the job reaches
		what  string
	}{
		"JobBytes":     {len(job), "bytes in the job"},
		"Depth":        {4, "levels in the job"},
		"Panels":       {4, "panels in the job"},
		"Marks":        {marks, "marks and pieces in a report"},
		"Violations":   {violations, ""},
		"ConflictWork": {1, ""},
	}
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	for _, field := range reflect.VisibleFields(reflect.TypeFor[Limits]()) {
		t.Run(field.Name, func(t *testing.T) {
			c, ok := cases[field.Name]
			require.True(t, ok, "no case")
			with := func(value int) (*Report, error) {
				var l Limits
				reflect.ValueOf(&l).Elem().FieldByIndex(field.Index).SetInt(int64(value))
				return lay(l)
			}
			r, err := with(c.value)
			require.NoError(t, err, "what reaches it is let through")
			switch {
			case c.what != "":
				_, err = with(c.value - 1)
				assert.ErrorIs(t, err, rules.ErrLimit)
				assert.ErrorContains(t, err, "too many "+c.what+": the limit is "+strconv.Itoa(c.value-1)+
					", and a host raises it by detail.Limits."+field.Name)
			case field.Name == "Violations":
				less, err := with(c.value - 1)
				require.NoError(t, err)
				assert.Len(t, less.Violations, violations-1)
				assert.Equal(t, 1, less.UnlistedMust, "the rest is counted")
			default:
				assert.Len(t, r.Violations, violations, "less is known of which rules conflict")
			}
			_, err = with(math.MaxInt)
			assert.NoError(t, err)
			def := reflect.ValueOf(Limits{}.orDefault()).FieldByIndex(field.Index).Int()
			assert.Contains(t, string(readme), "| `detail.Limits."+field.Name+"` | "+grouped(def)+" |")
		})
	}
	assert.Equal(t, Limits{}.orDefault(), Limits{-1, -1, -1, -1, -1, -1}.orDefault())
}

// grouped is a number with a comma after each thousand.
func grouped(n int64) string {
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
