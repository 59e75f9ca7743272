package detail_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/rules"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The cases of testdata/measures show what each measure does in each scope: a layout worked out by hand, or in
// refused/ the error that says why the pair has no meaning.

// allScopes are the scopes of the language, those that only a plane gives last.
var allScopes = []string{
	"along run", "along each side", "along each piece", "in each panel", "in each gap",
	"at each rib", "at each 2nd rib", "at each panel", "at each lap", "at each mark", "at each gap", "at each end",
	"along each rib", "around each penetration", "at each penetration",
}

var allKinds = []rules.Kind{rules.Row, rules.Pieces, rules.Strip, rules.Bead}

var allMeasures = []rules.Measure{
	rules.Spacing, rules.Count, rules.End, rules.Clear, rules.Offset, rules.Lap, rules.Length, rules.Extend,
}

// A pair is a measure of a kind in a scope.
type pair struct {
	kind    rules.Kind
	measure rules.Measure
	scope   string
}

func (p pair) String() string { return fmt.Sprintf("%s of %s %s", p.measure, p.kind, p.scope) }

func scopeText(s *rules.ScopeDecl) string {
	switch {
	case s.Of == "run":
		return "along run"
	case s.Every > 1:
		return fmt.Sprintf("%s each %dnd rib", s.How, s.Every)
	}
	return s.How + " each " + s.Of
}

// runExamples loads a rule file and runs its examples, each of which must hold and pass the verifier.
func runExamples(t *testing.T, files fs.FS, name string) (*rules.Book, []detail.ExampleResult) {
	t.Helper()
	book, found, err := rules.Load(files, name)
	require.NoError(t, err)
	require.NoError(t, found.Err())
	results := detail.Examples(context.Background(), files, book)
	require.NotEmpty(t, results, "%s has no example", name)
	for _, r := range results {
		if !assert.NoError(t, r.Err, r.Example.Name) {
			continue
		}
		for _, f := range r.Failures {
			t.Errorf("%s: %q at line %d: expected %s, found %s", name, r.Example.Name, f.Expect.Start.Line, f.Expected, f.Found)
		}
		assert.Empty(t, verify.Report(r.Report, exampleJob(t, files, r.Example)), "%s: %q", name, r.Example.Name)
	}
	return book, results
}

// exampleJob is the job of an example as far as the verifier needs it: which details are laid, with which inputs.
func exampleJob(t *testing.T, files fs.FS, ex *rules.ExampleDecl) *detail.Job {
	t.Helper()
	job := &detail.Job{}
	for _, l := range ex.Lay {
		use := detail.Use{Detail: l.Detail.Text}
		for _, w := range l.With {
			src, err := fs.ReadFile(files, w.Value.Pos().File)
			require.NoError(t, err)
			at := w.Value.Pos()
			use.Inputs = append(use.Inputs, detail.Input{Name: w.Name.Text, Value: string(src[at.Start.Offset:at.End.Offset])})
		}
		job.Uses = append(job.Uses, use)
	}
	return job
}

// laidPairs are the pairs that a file's examples lay and speak of.
func laidPairs(book *rules.Book, results []detail.ExampleResult) map[pair]bool {
	pairs := map[pair]bool{}
	for _, r := range results {
		if r.Report == nil {
			continue
		}
		spoken := map[string]bool{}
		for _, x := range r.Example.Expects {
			if x.Of != nil {
				spoken[x.Of.Text] = true
			}
		}
		for _, sc := range r.Report.Scopes {
			e := r.Report.Placements[sc.Placement].Element
			if !spoken[e.Name] && e.Kind != rules.Bead || sc.First == sc.Last {
				continue
			}
			for _, rule := range e.Rules {
				if rule.File == book.Files[0].Name {
					pairs[pair{e.Kind, rule.Measure, scopeText(e.Scope)}] = true
				}
			}
		}
	}
	return pairs
}

// refusedPairs are the pairs of a refused file with an error beside the element.
func refusedPairs(t *testing.T, name string) map[pair]bool {
	t.Helper()
	const dir = "../testdata/measures"
	src, err := os.ReadFile(filepath.Join(dir, name))
	require.NoError(t, err)
	_, found, err := rules.Options{Limits: rules.Limits{Diagnostics: 10_000}}.Load(os.DirFS(dir), name)
	require.NoError(t, err)
	byLine := map[int][]rules.Diagnostic{}
	for _, d := range found {
		byLine[d.Start.Line] = append(byLine[d.Start.Line], d)
	}
	pairs := map[pair]bool{}
	for i, line := range strings.Split(string(src), "\n") {
		code, comment, expected := strings.Cut(line, "### ")
		var want []string
		if expected {
			want = strings.Split(comment, ";")
		}
		assert.Len(t, byLine[i+1], len(want), "%s:%d: %s: %v", name, i+1, line, byLine[i+1])
		for k, w := range want {
			wantCode, text, _ := strings.Cut(strings.TrimSpace(w), ": ")
			if k < len(byLine[i+1]) {
				assert.Equal(t, wantCode, byLine[i+1][k].Code, "%s:%d", name, i+1)
				assert.Contains(t, byLine[i+1][k].Summary, text, "%s:%d", name, i+1)
			}
		}
		if expected {
			pairs[pairOf(t, code)] = true
		}
	}
	return pairs
}

// pairOf reads the element of one line, whose first rule is the one that it is about.
func pairOf(t *testing.T, line string) pair {
	t.Helper()
	f := strings.Fields(line)
	require.Greater(t, len(f), 5, line)
	open := slices.Index(f, "{")
	require.Greater(t, open, 3, line)
	p := pair{scope: strings.Join(f[2:open], " ")}
	if of := slices.Index(f[:open], "of"); of >= 0 {
		p.scope = strings.Join(f[2:of], " ")
	}
	kind := slices.IndexFunc(allKinds, func(k rules.Kind) bool { return k.String() == f[0] })
	measure := slices.IndexFunc(allMeasures, func(m rules.Measure) bool { return m.String() == f[open+1] })
	require.True(t, kind >= 0 && measure >= 0, line)
	p.kind, p.measure = allKinds[kind], allMeasures[measure]
	return p
}

// TestMeasures runs the cases, and holds that none of the language's pairs of measure and scope is without one, and
// that no pair is both laid and refused.
func TestMeasures(t *testing.T) {
	files := os.DirFS("../testdata/measures")
	laid, refused := map[pair]bool{}, map[pair]bool{}
	for _, m := range allMeasures {
		t.Run(m.String(), func(t *testing.T) {
			book, results := runExamples(t, files, m.String()+".rules")
			for p := range laidPairs(book, results) {
				laid[p] = laid[p] || p.measure == m // what stands there for the sake of another measure is no case of its own
			}
			for p := range refusedPairs(t, "refused/"+m.String()+".rules") {
				refused[p] = true
			}
		})
	}
	count := 0
	for _, kind := range allKinds {
		for _, m := range allMeasures {
			for _, scope := range allScopes {
				p := pair{kind, m, scope}
				if count++; laid[p] == refused[p] {
					t.Errorf("%s: laid: %v, refused: %v; it should be one of them", p, laid[p], refused[p])
				}
			}
		}
	}
	t.Logf("%d pairs of measure and scope", count)
}

// TestMeasuresDecide takes each line of a case's measure out of its file: either the rest can't be used without it,
// or an expectation fails, so that no line stands there in vain.
func TestMeasuresDecide(t *testing.T) {
	const dir = "../testdata/measures"
	for _, m := range allMeasures {
		name := m.String() + ".rules"
		src, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		parts, err := os.ReadFile(filepath.Join(dir, "parts/base.rules"))
		require.NoError(t, err)
		job, err := os.ReadFile(filepath.Join(dir, "ridge.json"))
		require.NoError(t, err)
		files := fstest.MapFS{name: {Data: src}, "parts/base.rules": {Data: parts}, "ridge.json": {Data: job}}
		book, found, err := rules.Load(files, name)
		require.NoError(t, err)
		require.NoError(t, found.Err())
		for _, d := range book.Details {
			for _, e := range d.Elements {
				for _, r := range e.Rules {
					switch {
					case r.Measure != m || r.File != name:
						continue
					case d.Name == "clear_at_kept": // shows only that these lines are not broken
						continue
					case m == rules.Offset && e.Kind == rules.Bead: // no example can speak of a bead's station: TestBeadOffsets
						continue
					}
					files[name] = &fstest.MapFile{Data: without(src, r.Span)}
					if lesser, found, err := rules.Load(files, name); assert.NoError(t, err) && !found.HasErrors() {
						assert.True(t, slices.ContainsFunc(detail.Examples(context.Background(), files, lesser), func(x detail.ExampleResult) bool { return !x.OK() }),
							"%s:%d: without this line every example still holds", name, r.Start.Line)
					}
				}
			}
		}
	}
}

// without is a source with blanks in place of a stretch.
func without(src []byte, s rules.Span) []byte {
	out := bytes.Clone(src)
	for i := s.Start.Offset; i < s.End.Offset; i++ {
		out[i] = ' '
	}
	return out
}

// TestBeadOffsets holds that the beads of the offset's cases start at the stations of the rows beside them, which the
// examples check.
func TestBeadOffsets(t *testing.T) {
	_, results := runExamples(t, os.DirFS("../testdata/measures"), "offset.rules")
	for _, r := range results {
		rows, beads := map[string][]string{}, map[string][]string{}
		name := func(scope int32) string {
			e := r.Report.Placements[r.Report.Scopes[scope].Placement].Element
			_, name, _ := strings.Cut(e.Name, "_")
			return name
		}
		for _, m := range r.Report.Marks {
			if n := name(m.Scope); n != "" {
				rows[n] = append(rows[n], m.At.String())
			}
		}
		for _, b := range r.Report.Beads {
			beads[name(b.Scope)] = append(beads[name(b.Scope)], b.At.String())
		}
		assert.Len(t, beads, 7)
		assert.Equal(t, rows, beads, r.Example.Name)
	}
}
