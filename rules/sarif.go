package rules

import (
	"encoding/json"
	"io"
	"net/url"
	"path/filepath"
	"slices"
)

// SARIF writes the diagnostics as a log of SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), so that
// hosts of code show them on their lines. A diagnostic's code is the result's rule. Columns count UTF-16 code units
// from 1. Files are named as the diagnostics name them, as references relative to wherever the reader has them.
func (ds Diagnostics) SARIF(w io.Writer) error {
	run := sarifRun{
		Tool:       sarifTool{Driver: sarifDriver{Name: "lapwright", Rules: []sarifRule{}}},
		ColumnKind: "utf16CodeUnits",
		Results:    []sarifResult{},
	}
	var codes []string
	for _, d := range ds {
		codes = append(codes, d.Code)
	}
	slices.Sort(codes)
	codes = slices.Compact(codes)
	for _, code := range codes {
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRule{code})
	}
	for _, d := range ds {
		index, _ := slices.BinarySearch(codes, d.Code)
		run.Results = append(run.Results, d.sarif(index))
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0",
		Runs:    []sarifRun{run},
	})
}

// sarif is the diagnostic as a result of the rule with an index.
func (d Diagnostic) sarif(rule int) sarifResult {
	r := sarifResult{RuleID: d.Code, RuleIndex: rule, Level: d.Severity.String(), Message: sarifMessage{d.Summary}}
	if d.Detail != "" {
		r.Message.Text += ". " + d.Detail
	}
	if d.Suggestion != "" {
		r.Message.Text += ". Help: " + d.Suggestion
	}
	if at := sarifPlace(d.Span); at != nil {
		r.Locations = []sarifLocation{{Place: *at}}
	}
	for _, related := range d.Related {
		if at := sarifPlace(related.Span); at != nil {
			r.Related = append(r.Related, sarifLocation{ID: len(r.Related) + 1, Place: *at, Message: &sarifMessage{related.Text}})
		}
	}
	return r
}

// sarifPlace is a span; nil if it is no place.
func sarifPlace(s Span) *sarifPhysical {
	if s.File == "" {
		return nil
	}
	file := url.URL{Path: filepath.ToSlash(s.File)}
	at := &sarifPhysical{Artifact: sarifArtifact{file.String()}}
	if s.Start.Line > 0 {
		at.Region = &sarifRegion{s.Start.Line, s.Start.UTF16, s.End.Line, s.End.UTF16}
	}
	return at
}

// The parts of the format that are written, in its own words.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID string `json:"id"`
	}
	sarifResult struct {
		RuleID    string          `json:"ruleId"`
		RuleIndex int             `json:"ruleIndex"`
		Level     string          `json:"level"`
		Message   sarifMessage    `json:"message"`
		Locations []sarifLocation `json:"locations,omitempty"`
		Related   []sarifLocation `json:"relatedLocations,omitempty"`
	}
	sarifMessage struct {
		Text string `json:"text"`
	}
	sarifLocation struct {
		ID      int           `json:"id,omitempty"`
		Place   sarifPhysical `json:"physicalLocation"`
		Message *sarifMessage `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"`
	}
)
