// Package schema holds the JSON Schemas (2020-12) of the formats that package detail reads and writes.
package schema

import (
	"embed"
	"io/fs"
)

//go:embed *.schema.json
var files embed.FS

// Files holds a schema for each format: job, measured, report, takeoff, inspection and compare, each named as
// job.schema.json is. Those of a takeoff and an inspection refer to that of a report.
func Files() fs.FS { return files }
