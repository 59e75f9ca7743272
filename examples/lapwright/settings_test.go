package main

import (
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever a host makes of the settings of package decimal, which are its whole program's, every form has the bytes of
// the golden files.
func TestNoSettingOfDecimalChangesAByte(t *testing.T) {
	commands := [][]string{
		{"layout"},
		{"layout", "-format", "json"},
		{"layout", "-format", "svg"},
		{"layout", "-format", "html"},
		{"layout", "-format", "csv"},
		{"takeoff", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json"},
		{"takeoff", "-rules", "demo/boathouse.rules", "-job", "demo/boathouse.json", "-format", "json"},
		{"check", "demo/boathouse.rules"},
	}
	if testing.Short() { // the forms in which all numbers are decimals
		commands = slices.DeleteFunc(commands, func(args []string) bool { return !slices.Contains(args, "json") })
	} else {
		commands = append(commands, []string{"examples", "demo/boathouse.rules"})
	}
	written := func() (list []string) {
		for _, args := range commands {
			status, out, errors := lapwright(t, "", args...)
			require.LessOrEqual(t, status, failed, "%q: %s", args, errors)
			list = append(list, out)
		}
		return list
	}
	want := written()
	if !testing.Short() {
		golden(t, "boathouse.txt", want[0])
		golden(t, "boathouse.svg", want[2])
	}
	for name, flip := range map[string]func() (undo func()){
		"DivisionPrecision":            func() func() { return set(&decimal.DivisionPrecision, 1) },
		"PowPrecisionNegativeExponent": func() func() { return set(&decimal.PowPrecisionNegativeExponent, 1) },
		"MarshalJSONWithoutQuotes":     func() func() { return set(&decimal.MarshalJSONWithoutQuotes, true) },
		"TrimTrailingZeros":            func() func() { return set(&decimal.TrimTrailingZeros, false) },
		"UseScientificNotation":        func() func() { return set(&decimal.UseScientificNotation, true) },
		"ExpMaxIterations":             func() func() { return set(&decimal.ExpMaxIterations, 1) },
		"MaxDecodeExponent":            func() func() { return set(&decimal.MaxDecodeExponent, 1) },
	} {
		t.Run(name, func(t *testing.T) {
			defer flip()()
			for i, got := range written() {
				assert.Equal(t, want[i], got, "%q", commands[i])
			}
		})
	}
}

// set gives a setting another value, and returns what puts the old one back.
func set[T comparable](setting *T, value T) (undo func()) {
	old := *setting
	*setting = value
	return func() { *setting = old }
}
