package schemacheck

import (
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The schema of SARIF 2.1.0 stands in sarif-2.1.0-rtm.5.json as the npm package @microsoft/jest-sarif 1.0.0-beta.0 (MIT)
// carries it.
func TestSARIF(t *testing.T) {
	compiler := jsonschema.NewCompiler()
	compiler.AssertFormat()
	schema, err := compiler.Compile("sarif-2.1.0-rtm.5.json")
	if err != nil {
		t.Fatal(err)
	}
	each(t, filepath.Join("inspections", "*.sarif"), accepts(schema))
	logs := filepath.Join("..", "rules", "testdata", "sarif", "*.sarif")
	each(t, logs, accepts(schema))
	each(t, logs, func(t *testing.T, doc any) { // it tells a log from what is none
		run := doc.(map[string]any)["runs"].([]any)[0].(map[string]any)
		run["columnKind"] = "bytes"
		if schema.Validate(doc) == nil {
			t.Error("the schema accepts another kind of column")
		}
		delete(run, "columnKind")
		delete(run, "tool")
		if schema.Validate(doc) == nil {
			t.Error("the schema accepts a run without its tool")
		}
	})
}
