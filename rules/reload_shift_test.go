package rules

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
)

// kinds are what may stand where the tree has an interface.
var kinds = map[reflect.Type][]any{
	reflect.TypeFor[Expr](): {&Literal{}, &Ref{}, &Unary{}, &Binary{}, &Call{}, &Is{}},
	reflect.TypeFor[clauseNode](): {
		&dropNode{}, &Input{}, &Let{}, &Require{}, &elementNode{}, &relaxNode{}, &Step{}, &remarkNode{},
	},
}

// filled is a value of a type with one of everything in it, each place on line 1: what an interface holds is of each
// kind in turn, down to a depth.
func filled(t reflect.Type, turn, depth int) reflect.Value {
	v := reflect.New(t).Elem()
	switch {
	case t == reflect.TypeFor[Span]():
		v.Set(reflect.ValueOf(Span{File: "a.rules", Start: Place{Line: 1}, End: Place{Line: 1}}))
	case t == reflect.TypeFor[Value]():
	case kinds[t] != nil:
		kind := kinds[t][turn%len(kinds[t])]
		if depth <= 2 {
			kind, depth = kinds[t][0], 2 // which holds no more of them
		}
		v.Set(filled(reflect.TypeOf(kind), turn+1, depth-1))
	case t.Kind() == reflect.Pointer && t.Elem().Kind() == reflect.Struct && t.Elem().PkgPath() == reflect.TypeFor[Span]().PkgPath():
		if depth > 0 {
			v.Set(reflect.New(t.Elem()))
			v.Elem().Set(filled(t.Elem(), turn, depth-1))
		}
	case t.Kind() == reflect.Slice:
		if depth > 0 {
			v.Set(reflect.Append(v, filled(t.Elem(), turn, depth-1)))
		}
	case t.Kind() == reflect.Struct && t.PkgPath() == reflect.TypeFor[Span]().PkgPath():
		for i := range t.NumField() {
			if t.Field(i).IsExported() {
				v.Field(i).Set(filled(t.Field(i).Type, turn, depth))
			}
		}
	}
	return v
}

// linesOf calls see with the path and the line of each place in a value.
func linesOf(v reflect.Value, path string, see func(string, int)) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			linesOf(v.Elem(), path, see)
		}
	case reflect.Slice:
		for i := range v.Len() {
			linesOf(v.Index(i), path+"[]", see)
		}
	case reflect.Struct:
		if at, ok := v.Interface().(Span); ok {
			see(path, at.Start.Line)
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				linesOf(v.Field(i), path+"."+v.Type().Field(i).Name, see)
			}
		}
	}
}

// TestShiftMovesEveryPlace: whatever a declaration holds moves with it, also what is added to the tree later.
func TestShiftMovesEveryPlace(t *testing.T) {
	seen := 0
	for _, d := range []declNode{&bookNode{}, &includeNode{}, &itemNode{}, &detailNode{}, &ExampleDecl{}} {
		for turn := range 8 {
			made := filled(reflect.TypeOf(d), turn, 9)
			moved := shift{100, 10}.decl(made.Interface().(declNode))
			linesOf(reflect.ValueOf(moved), reflect.TypeOf(d).Elem().Name(), func(path string, line int) {
				seen++
				require.Equal(t, 11, line, path)
			})
			linesOf(made, "", func(path string, line int) { require.Equal(t, 1, line, "the original moved: %s", path) })
		}
	}
	require.Greater(t, seen, 300)
}
