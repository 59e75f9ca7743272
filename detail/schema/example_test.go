package schema_test

import (
	"encoding/json"
	"fmt"

	"github.com/lapwright/lapwright/detail/schema"
)

// A host hands the schema of a job to an editor, or to whoever sends it jobs.
func ExampleJob() {
	var s struct {
		Title      string
		Properties map[string]any
	}
	if err := json.Unmarshal([]byte(schema.Job()), &s); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Title, len(s.Properties["runs"].(map[string]any)) > 0)
	// Output:
	// A job: what is built true
}
