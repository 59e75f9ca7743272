package schema_test

import (
	"encoding/json"
	"fmt"
	"io/fs"

	"github.com/lapwright/lapwright/detail/schema"
)

// A host hands the schema of a job to an editor, or to whoever sends it jobs.
func ExampleFiles() {
	source, err := fs.ReadFile(schema.Files(), "job.schema.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	var s struct {
		Title      string
		Properties map[string]any
	}
	if err := json.Unmarshal(source, &s); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Title, len(s.Properties["runs"].(map[string]any)) > 0)
	// Output:
	// A job: what is built true
}
