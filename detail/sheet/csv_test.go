package sheet

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// records are those of a CSV by their first column, each by its column's name.
func records(t *testing.T, o Options, r *detail.Report) map[string][]map[string]string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, o.CSV(&b, r))
	for line := range strings.Lines(b.String()) {
		require.True(t, strings.HasSuffix(line, "\r\n"), line)
	}
	all, err := csv.NewReader(&b).ReadAll() // as many fields in each
	require.NoError(t, err)
	byTable := map[string][]map[string]string{}
	for _, record := range all[1:] {
		named := map[string]string{}
		for i, cell := range record {
			named[all[0][i]] = cell
		}
		byTable[record[0]] = append(byTable[record[0]], named)
	}
	return byTable
}

func TestACSVHoldsEveryStationExactly(t *testing.T) {
	r := report(t, same)
	r.Marks[1].At = at("33.334 in") // no finite decimal in feet
	for _, unit := range []units.Unit{units.In, units.MM, units.Ft} {
		got := records(t, Options{Unit: unit}, r)
		empty := 0
		same := func(want units.Length, record map[string]string, column string) {
			for _, in := range []units.Unit{unit, units.MM} {
				cell := record[column+"_"+in.String()]
				if _, finite := want.Decimal(in); !finite {
					assert.Empty(t, cell)
					empty++
					continue
				}
				l, err := units.FromDecimal(decimal.RequireFromString(cell), in)
				require.NoError(t, err)
				assert.Equal(t, want, l)
			}
		}
		require.Len(t, got["mark"], len(r.Marks))
		for i, m := range got["mark"] {
			same(r.Marks[i].At, m, "at")
		}
		require.Len(t, got["piece"], len(r.Pieces))
		for i, m := range got["piece"] {
			same(r.Pieces[i].From, m, "from")
			same(r.Pieces[i].To, m, "to")
			same(r.Pieces[i].Lap, m, "lap")
		}
		assert.Len(t, got["strip"], len(r.Strips))
		assert.Len(t, got["bead"], len(r.Beads))
		if unit != units.Ft {
			assert.Zero(t, empty)
			assert.Empty(t, got["note"])
			continue
		}
		assert.NotZero(t, empty)
		assert.Empty(t, got["mark"][1]["at_ft"])
		require.Len(t, got["note"], 1)
		cells := 0
		for _, list := range got {
			for _, record := range list {
				for _, c := range lengths {
					if record[c+"_ft"] == "" && record[c+"_mm"] != "" {
						cells++
					}
				}
			}
		}
		assert.Equal(t, strconv.Itoa(cells), got["note"][0]["times"])
		assert.Contains(t, got["note"][0]["text"], "no finite decimal in feet")
	}
	got := records(t, Options{}, r)
	assert.Equal(t, "-1", got["piece"][0]["from_in"])
	assert.Equal(t, "4", got["cut"][0]["times"]) // two 40 in from each of two
	assert.Equal(t, "0.25", got["cut"][0]["kerf_in"])
	assert.Equal(t, "10.5", got["takeoff"][0]["gross"])
	assert.Len(t, got["violation"], 2)
	assert.Contains(t, got["violation"][0]["text"], "must cap.cap.length: cap in run high side: length is 20 in, required >= 30 in")
	assert.Len(t, got["caution"], 1)
}

func TestNoCellIsAFormula(t *testing.T) {
	for _, start := range []string{"=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "＝", "\u00a0=", "\ufeff="} {
		got := records(t, Options{}, report(t, func(s string) string { return start + `cmd|'/c x'!A1,"` + s }))
		for _, table := range got {
			for _, record := range table {
				for column, cell := range record {
					cell := strings.TrimLeft(cell, " ")
					if _, err := decimal.NewFromString(cell); cell != "" && err != nil {
						assert.NotContains(t, "=+-@＝＋－＠\t\r\n", string([]rune(cell)[0]), column)
					}
				}
			}
		}
	}
}

func TestACSVsWriterThatFailsIsAnError(t *testing.T) {
	assert.ErrorIs(t, Options{}.CSV(broken{}, report(t, same)), errBroken)
}
