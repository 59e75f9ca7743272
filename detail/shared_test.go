package detail_test

import (
	"bytes"
	"context"
	"os"
	"sync"
	"testing"
	"unsafe"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMarkIsSmall: a report may have a million marks.
func TestMarkIsSmall(t *testing.T) {
	assert.LessOrEqual(t, unsafe.Sizeof(detail.Mark{}), uintptr(32))
}

// TestReportIsItsOwn changes all that a caller can still reach of a job once it is laid: the report stays as it was.
func TestReportIsItsOwn(t *testing.T) {
	book, job := loadPeak(t), peakJob(t)
	r, err := detail.Lay(context.Background(), book, job)
	require.NoError(t, err)
	before := reportJSON(t, r)

	run := job.Runs[0]
	run.ID, run.Edge, run.Length, run.Ends = "other", "eave", units.MustParse("1 in"), [2]string{"open", "open"}
	side := &run.Sides[0]
	side.Slope, side.HasPanels, side.Profile.Cover = units.Slope{}, false, units.MustParse("1 in")
	for i := range side.Ribs {
		side.Ribs[i] = units.MustParse("1 in")
	}
	run.Zones[0].Kind, run.Zones[0].To = "edge", units.MustParse("1 in")
	run.Obstacles[0].ID, run.Obstacles[0].To = "other", units.MustParse("1 in")
	job.Name = "other"
	job.Uses[0].Runs[0], job.Uses[0].Inputs[0].Value = "other", "1 in"
	job.Runs[0] = nil
	assert.Equal(t, before, reportJSON(t, r))
}

// TestSharedBook lays with one book from many goroutines, for the race detector: the same bytes from each.
func TestSharedBook(t *testing.T) {
	book, job := loadPeak(t), peakJob(t)
	texts := make([]string, 64)
	var all sync.WaitGroup
	for i := range texts {
		all.Go(func() {
			r, err := detail.Lay(context.Background(), book, job)
			if assert.NoError(t, err) {
				texts[i] = reportJSON(t, r)
			}
		})
	}
	all.Wait()
	require.NotEmpty(t, texts[0])
	for i, text := range texts {
		require.Equal(t, texts[0], text, "goroutine %d", i)
	}
}

func loadPeak(t *testing.T) *rules.Book {
	t.Helper()
	book, found, err := rules.Load(os.DirFS("../testdata/cases"), "boathouse.rules")
	require.NoError(t, err)
	require.Empty(t, found)
	return book
}

func reportJSON(t *testing.T, r *detail.Report) string {
	t.Helper()
	var b bytes.Buffer
	assert.NoError(t, r.WriteJSON(&b, units.In))
	return b.String()
}
