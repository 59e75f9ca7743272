package detail

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
)

// WriteJSON writes the inspection in the form of schema/inspection.schema.json, one entry a line, lengths exactly in the
// unit asked for, or in mm where they have no finite decimal in it. The same inspection gives the same bytes.
func (in *Inspection) WriteJSON(w io.Writer, unit units.Unit) error {
	j := &jsonWriter{w: bufio.NewWriter(w), unit: unit}
	r := in.Report
	j.head(r)
	j.line()
	j.length("tolerance", in.Tolerance)
	j.line()
	j.int("judged", in.Judged)
	entries(j, "violations", r.Violations, j.violation)
	entries(j, "mends", in.Mends, func(m *Mend) {
		j.text("run", m.Run)
		j.text("side", m.Side)
		j.text("detail", m.Detail)
		j.text("element", m.Element)
		j.scope(m.Scope.Kind, m.Scope.N)
		j.lengths("add", m.Add)
		list(j, "stuck", m.Stuck, func(v Violation) {
			j.object(func() {
				j.text("rule", v.Rule)
				j.text("measure", v.Measure)
				j.length("from", v.From)
				j.length("to", v.To)
			})
		})
	})
	entries(j, "unmeasured", in.Unmeasured, func(u *Unmeasured) {
		j.text("run", u.Run)
		j.text("side", u.Side)
		j.text("detail", u.Detail)
		j.text("element", u.Element)
		j.text("kind", u.Kind)
		list(j, "scopes", u.Scopes, func(n int) { j.raw(strconv.Itoa(n)) })
		j.text("rule", u.Rule)
		j.text("why", u.Why)
	})
	j.line()
	j.texts("cautions", r.Cautions)
	j.line()
	j.texts("bare", r.Bare)
	j.line()
	j.key("unlisted")
	j.raw(fmt.Sprintf(`{"must": %d, "should": %d}`, r.UnlistedMust, r.UnlistedShould))
	j.raw("\n}\n")
	return j.w.Flush()
}

// Diagnostics are the violations as findings on the lines of the rules that they break, errors where a must fails and
// warnings else, such as rules.Diagnostics.SARIF writes for hosts of code. The code of each is the rule's name.
func (in *Inspection) Diagnostics(unit units.Unit) rules.Diagnostics {
	var list rules.Diagnostics
	for i := range in.Report.Violations {
		v := &in.Report.Violations[i]
		d := rules.Diagnostic{Span: v.Span, Severity: rules.Error, Code: v.Rule, Summary: v.Message(unit)}
		if v.Severity != "must" {
			d.Severity = rules.Warning
		}
		more := []string{fmt.Sprintf("From %s to %s, off by %s", v.From.Format(unit), v.To.Format(unit), v.By.In(unit))}
		if v.Tolerated {
			more[0] += ", which is within the tolerance"
		}
		if v.Because != "" {
			more = append(more, "Because "+v.Because)
		}
		if v.Source != "" {
			more = append(more, "Source: "+v.Source)
		}
		d.Detail = strings.Join(more, ". ")
		list = append(list, d)
	}
	for _, m := range in.Mends {
		if len(m.Add) == 0 {
			continue
		}
		at := make([]string, len(m.Add))
		for i, l := range m.Add {
			at[i] = l.Format(unit)
		}
		for i := range in.Report.Violations {
			v := &in.Report.Violations[i]
			if v.Severity == "must" && v.Run == m.Run && v.Side == m.Side && v.Detail == m.Detail &&
				v.Element == m.Element && v.Scope == m.Scope {
				list[i].Suggestion = "add at " + strings.Join(at, ", ")
			}
		}
	}
	return list
}
