package mutation_test

import (
	"context"
	"fmt"
	"strings"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail/mutation"
)

// A number that no worked example would miss is found, with an example that would.
func ExampleRun() {
	files := fstest.MapFS{"eave.rules": {Data: []byte(`
detail eave for edge eave {
  row screws along run { spacing <= 24 in  end <= 1 in }
}
example "two screws" {
  on edge eave length 20 in
  lay eave
  expect count of screws = 2
  source "worked by hand"
}`)}}
	report, err := mutation.Run(context.Background(), files, "eave.rules", mutation.Options{Tries: 20})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range report.Changes {
		if c.Verdict == mutation.Missed {
			fmt.Println(c.Span, strings.TrimSpace(c.Was+" could be "+c.Now))
		}
	}
	// Output:
	// eave.rules:3:26 could be should
	// eave.rules:3:26 <= could be <
	// eave.rules:3:37 24 in could be 23 15/16 in
	// eave.rules:3:37 24 in could be 24 1/16 in
	// eave.rules:3:44 could be should
	// eave.rules:3:44 <= could be <
	// eave.rules:3:51 1 in could be 15/16 in
	// eave.rules:3:51 1 in could be 1 1/16 in
}
