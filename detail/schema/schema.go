// Package schema holds the JSON Schemas (2020-12) of the formats that package detail reads and writes.
package schema

import _ "embed"

var (
	//go:embed job.schema.json
	job string
	//go:embed report.schema.json
	report string
	//go:embed takeoff.schema.json
	takeoff string
	//go:embed measured.schema.json
	measured string
	//go:embed inspection.schema.json
	inspection string
	//go:embed compare.schema.json
	compare string
)

// Job is the schema of a job.
func Job() string { return job }

// Report is the schema of a report.
func Report() string { return report }

// Takeoff is the schema of a takeoff. It refers to that of a report.
func Takeoff() string { return takeoff }

// Measured is the schema of what was measured on a finished roof.
func Measured() string { return measured }

// Inspection is the schema of an inspection. It refers to that of a report.
func Inspection() string { return inspection }

// Compare is the schema of a comparison of two editions of a book.
func Compare() string { return compare }
