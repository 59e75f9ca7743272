package verify_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/require"
)

// laid loads a book, which must be sound, reads a job and lays it out. The error is that of the job or of the layout.
func laid(t *testing.T, source, job string) (*rules.Book, *detail.Job, *detail.Report, error) {
	t.Helper()
	book, diagnostics, err := rules.Load(fstest.MapFS{"r.rules": {Data: []byte(source)}}, "r.rules")
	require.NoError(t, err)
	require.NoError(t, diagnostics.Err(), source)
	j, err := detail.ReadJob(strings.NewReader(job))
	if err != nil {
		return nil, nil, nil, err
	}
	r, err := detail.Lay(context.Background(), book, j)
	return book, j, r, err
}
