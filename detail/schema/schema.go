// Package schema holds the JSON Schemas (2020-12) of the formats that package detail reads and writes.
package schema

import _ "embed"

var (
	//go:embed job.schema.json
	job string
	//go:embed report.schema.json
	report string
)

// Job is the schema of a job.
func Job() string { return job }

// Report is the schema of a report.
func Report() string { return report }
