package rules

import (
	"os"
	"strings"
	"testing"
)

// FuzzFormat: what can be read has the same meaning once it is formatted, and is formatted only once.
func FuzzFormat(f *testing.F) {
	for _, name := range []string{"testdata/boathouse.rules", "testdata/check/sentences.rules", "testdata/check/blocks.rules"} {
		src, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for part := range strings.SplitSeq(string(src), "\n\n") {
			f.Add([]byte(part))
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		if _, ds := formatFile("x.rules", src, Limits{Diagnostics: 1}); len(ds) == 0 {
			checkFormat(t, "x.rules", src)
		}
	})
}
