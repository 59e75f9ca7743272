package detail

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzReadMeasured: measurements as JSON and as a table are read, or refused at places in the text.
func FuzzReadMeasured(f *testing.F) {
	files, err := filepath.Glob("../testdata/measured/*.json")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, name := range files {
		src, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(string(src))
	}
	f.Add("run,side,detail,element,scope,at,from,to,length\nr,,d,e,1,2 in,,,\nr,,d,p,,,1 in,2 in,\n\"r\",\"\",d,p,3,,,,\n")
	f.Fuzz(func(t *testing.T, src string) {
		_, inJSON := ReadMeasured(strings.NewReader(src))
		_, inTable := Options{}.ReadMeasuredCSV(strings.NewReader(src))
		for _, err := range []error{inJSON, inTable} {
			var list *JobErrors
			if err == nil {
				continue
			}
			if !errors.As(err, &list) || len(list.List) == 0 || len(list.List) > maxJobErrors {
				t.Fatalf("no list of errors: %v", err)
			}
			for _, e := range list.List {
				if e.Line < 0 || e.Line > strings.Count(src, "\n")+1 || e.Column > len(src)+1 {
					t.Fatalf("an error off the text: %v", e)
				}
			}
		}
	})
}
