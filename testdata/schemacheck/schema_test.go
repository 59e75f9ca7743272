package schemacheck

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

var schemas = filepath.Join("..", "..", "detail", "schema")

func compile(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	compiler := jsonschema.NewCompiler()
	const report = "report.schema.json" // to which others refer
	src, err := os.ReadFile(filepath.Join(schemas, report))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	if err := compiler.AddResource("https://github.com/lapwright/lapwright/detail/schema/"+report, doc); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile(filepath.Join(schemas, name))
	if err != nil {
		t.Fatal(err)
	}
	if schema.DraftVersion != 2020 {
		t.Fatalf("%s is of draft %d", name, schema.DraftVersion)
	}
	return schema
}

func each(t *testing.T, pattern string, check func(t *testing.T, doc any)) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", pattern))
	if err != nil || len(files) == 0 {
		t.Fatalf("no files %s: %v", pattern, err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
			if err != nil {
				t.Fatal(err)
			}
			check(t, doc)
		})
	}
}

func accepts(schema *jsonschema.Schema) func(*testing.T, any) {
	return func(t *testing.T, doc any) {
		if err := schema.Validate(doc); err != nil {
			t.Error(err)
		}
	}
}

func TestJobs(t *testing.T) { each(t, "jobs/*.json", accepts(compile(t, "job.schema.json"))) }

// What the reader refuses for its form, the schema refuses too.
func TestRefusedJobs(t *testing.T) {
	schema := compile(t, "job.schema.json")
	each(t, "jobs/refused/*.json", func(t *testing.T, doc any) {
		if schema.Validate(doc) == nil {
			t.Error("the schema accepts it")
		}
	})
}

func TestReports(t *testing.T) { each(t, "reports/*.json", accepts(compile(t, "report.schema.json"))) }

// Each report that a test of the library made and the verifier found sound, in the folder that LAPWRIGHT_REPORTS names:
// the tests write them there where it is set. Without it, those of testdata.
func TestEveryReport(t *testing.T) {
	folder := os.Getenv("LAPWRIGHT_REPORTS")
	if folder == "" {
		folder = filepath.Join("..", "reports")
	}
	schema := compile(t, "report.schema.json")
	files, err := filepath.Glob(filepath.Join(folder, "*.json"))
	if err != nil || len(files) == 0 {
		t.Fatal("no reports in ", folder, err)
	}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
		if err == nil {
			err = schema.Validate(doc)
		}
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
	}
	t.Logf("%d reports", len(files))
}

func TestTakeoffs(t *testing.T) {
	each(t, "takeoffs/*.json", accepts(compile(t, "takeoff.schema.json")))
}

func TestMeasured(t *testing.T) {
	each(t, "measured/*.json", accepts(compile(t, "measured.schema.json")))
}

// What the reader refuses for its form, the schema refuses too.
func TestRefusedMeasurements(t *testing.T) {
	schema := compile(t, "measured.schema.json")
	each(t, "measured/refused/*.json", func(t *testing.T, doc any) {
		if schema.Validate(doc) == nil {
			t.Error("the schema accepts it")
		}
	})
}

func TestInspections(t *testing.T) {
	each(t, "inspections/*.json", accepts(compile(t, "inspection.schema.json")))
}

func TestComparisons(t *testing.T) {
	each(t, "comparisons/*.json", accepts(compile(t, "compare.schema.json")))
}

// Every object of a report is closed: no key may be missing from it, and no key may be added, but those that the form
// says may be left out.
func TestReportSchemaIsClosed(t *testing.T) {
	schema := compile(t, "report.schema.json")
	optional := map[string]bool{"depth": true, "minimal": true, "file": true, "line": true,
		"cost": true, "least": true, "area": true, "yield": true}
	src, err := os.ReadFile(filepath.Join("..", "reports", "form-in.json"))
	if err != nil {
		t.Fatal(err)
	}
	root, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x)
			}
		case map[string]any:
			v["surplus"] = "x"
			if schema.Validate(root) == nil {
				t.Errorf("a key may be added to %v", v)
			}
			delete(v, "surplus")
			for key, x := range v {
				delete(v, key)
				if !optional[key] && schema.Validate(root) == nil {
					t.Errorf("%s may be missing from %v", key, v)
				}
				v[key] = x
				tried++
			}
			for _, x := range v {
				walk(x)
			}
		}
	}
	walk(root)
	if err := schema.Validate(root); err != nil {
		t.Errorf("restored: %v", err)
	}
	if tried < 150 {
		t.Errorf("only %d keys tried", tried)
	}
}
