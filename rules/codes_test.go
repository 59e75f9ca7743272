package rules

import (
	"go/ast"
	goparser "go/parser"
	"go/token"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// codesInSource reads the codes from codes.go.
func codesInSource(t *testing.T) []string {
	t.Helper()
	f, err := goparser.ParseFile(token.NewFileSet(), "codes.go", nil, 0)
	require.NoError(t, err)
	var codes []string
	ast.Inspect(f, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok {
			for i, v := range spec.Values {
				code, err := strconv.Unquote(v.(*ast.BasicLit).Value)
				require.NoError(t, err)
				require.True(t, strings.HasPrefix(spec.Names[i].Name, "Code"), spec.Names[i].Name)
				codes = append(codes, code)
			}
		}
		return true
	})
	return codes
}

// withoutExample are the codes that no rule file can have: an evaluation's, and those that the parser's own
// findings come before. TestTreesByHand has the latter.
var withoutExample = []string{CodeNoValue, CodeUnknownProperty, CodeBadChoice, CodeFeatureUnfit}

// elsewhere are the codes that detail.Check finds; its tests run their examples and count them.
var elsewhere = []string{CodeContradiction, CodeNeverHolds, CodeNeverKept, CodeCoveredShould, CodeLaysNothing}

// TestCodes holds codes.go and CODES.md together, and runs each example.
func TestCodes(t *testing.T) {
	page, err := os.ReadFile("CODES.md")
	require.NoError(t, err)
	sections := map[string]string{}
	for _, s := range strings.Split(string(page), "\n### ")[1:] {
		code, text, _ := strings.Cut(s, "\n")
		require.NotContains(t, sections, code)
		sections[code] = text
	}
	codes := codesInSource(t)
	assert.ElementsMatch(t, codes, slices.Collect(maps.Keys(sections)))

	example := regexp.MustCompile("(?s)```rules ?([^\n]*)\n(.*?)```")
	for _, code := range codes {
		t.Run(code, func(t *testing.T) {
			part := example.FindStringSubmatch(sections[code])
			if slices.Contains(withoutExample, code) {
				require.Nil(t, part)
				return
			}
			require.NotNil(t, part, "no example")
			var options Options
			if name, value, ok := strings.Cut(part[1], "="); ok {
				n, err := strconv.Atoi(value)
				require.NoError(t, err)
				reflect.ValueOf(&options.Limits).Elem().FieldByName(name).SetInt(int64(n))
			}
			src := strings.ReplaceAll(part[2], "¿", "\xff")
			book, ds, err := options.Load(fstest.MapFS{"example.rules": {Data: []byte(src)}}, "example.rules")
			if err != nil { // a limit that ends the load; the file alone has the diagnostic
				require.ErrorIs(t, err, ErrLimit)
				_, ds = parseFile("example.rules", []byte(src), options.Limits)
			}
			if slices.Contains(elsewhere, code) {
				require.NotNil(t, book)
				return
			}
			found := slices.IndexFunc(ds, func(d Diagnostic) bool { return d.Code == code })
			require.GreaterOrEqual(t, found, 0, "found instead: %v", ds)
			if code != CodeMoreDiagnostics { // which is as grave as what it stands for
				warning := strings.Contains(sections[code], "\nA warning: ")
				assert.Equal(t, warning, ds[found].Severity == Warning)
			}
			assert.NotEmpty(t, ds[found].Summary)
		})
	}
}

// TestTreesByHand checks what the parser lets no source have.
func TestTreesByHand(t *testing.T) {
	name := func(s string) Name { return Name{Text: s} }
	scope := &ScopeDecl{How: "along", Of: "run"}
	length := lit(LengthDim, 1_000_000_000, 1)
	for code, decl := range map[string]declNode{
		CodeUnknownProperty: &itemNode{Name: name("i"), Props: []*propertyNode{{Key: "pak", Values: []*Literal{length}}}},
		CodeBadProperty:     &itemNode{Name: name("i"), Props: []*propertyNode{{Key: "stock"}}},
		CodeBadChoice:       &detailNode{Name: name("d"), For: []Name{name("eave")}, Body: []clauseNode{&Input{Name: name("i"), Type: name("choice")}}},
		CodeUnknownWord:     &detailNode{Name: name("d"), For: []Name{name("eave")}, Body: []clauseNode{&Input{Name: name("i"), Type: name("lenght")}}},
		CodeBadFor:          &detailNode{Name: name("d"), For: []Name{name("eave"), name("field")}},
		CodeFeatureUnfit: &detailNode{Name: name("d"), For: []Name{name("eave")}, Body: []clauseNode{
			&elementNode{Kind: Row, Name: name("r"), Scope: scope, Rules: []*Rule{{Measure: Clear, Op: AtLeast, Value: length}}},
		}},
		CodeMeasureUnfit: &detailNode{Name: name("d"), For: []Name{name("eave")}, Body: []clauseNode{
			&elementNode{Kind: Row, Name: name("r"), Scope: scope, Rules: []*Rule{{Measure: Spacing, Side: Left, Op: AtMost, Value: length}}},
		}},
	} {
		book, ds := check([]*File{{Name: "tree", decls: []declNode{decl}}})
		assert.Nil(t, book)
		assert.True(t, slices.ContainsFunc(ds, func(d Diagnostic) bool { return d.Code == code }), "%s: %v", code, ds)
	}
	_, ds := check([]*File{{Name: "tree", decls: []declNode{
		&detailNode{Name: name("d"), For: []Name{name("eave")}, Body: []clauseNode{
			&elementNode{Kind: Row, Name: name("r"), Scope: scope, Rules: []*Rule{
				{Measure: Spacing, Op: AtMost, Value: length, From: &Feature{Of: "rib"}},
			}},
			&Input{Name: name("i"), Type: name("length"), Choices: []Name{name("a")}},
		}},
		&itemNode{Name: name("i"), Props: []*propertyNode{{Key: "stocks", Values: []*Literal{length}}}},
	}}})
	var codes []string
	for _, d := range ds {
		codes = append(codes, d.Code)
	}
	assert.Subset(t, codes, []string{CodeFeatureUnfit, CodeBadChoice, CodeUnknownProperty})
}
