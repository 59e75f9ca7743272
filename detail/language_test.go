package detail_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// TestLanguageExamples lays out the worked examples of the language's reference.
func TestLanguageExamples(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("../rules/LANGUAGE.md")
	require.NoError(t, err)
	laid := 0
	for i, m := range regexp.MustCompile("(?s)```rules\n(.*?)```").FindAllStringSubmatch(string(page), -1) {
		if !strings.Contains(m[1], "\nexample ") {
			continue
		}
		name := fmt.Sprintf("block-%d.rules", i+1)
		runExamples(t, fstest.MapFS{name: {Data: []byte(m[1])}}, name)
		laid++
	}
	require.Positive(t, laid)
}
