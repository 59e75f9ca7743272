package detail_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/lapwright/lapwright/geom"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/stretchr/testify/require"
)

// rowDetails are details whose rows come to the same in each scope, and some whose don't.
const rowDetails = `
	book "Rows (invented)" { %s }
	detail screws for edge peak {
		row closures in each panel { spacing <= 5 in  count >= 4  clear >= 1 1/2 in from rib }
		row cleats along run { spacing <= 10 in  end <= 3 in }
		row rivets at each panel { clear >= 2 in from rib }
	}
	detail far for edge peak {
		input off: length = 3 in
		row wide in each panel { spacing <= 9 in  clear >= off * 3 from rib  clear >= 1 in from rib  end >= 1/2 in }
	}
	detail ends for edge peak { row both in each panel { spacing <= 6 in  end <= 2 in  count <= 9 } }
	detail narrow for edge peak { row by_width in each panel when panel.width > 6 in { spacing <= panel.width / 3 } }
	detail cap for edge peak {
		row screws in each panel { spacing <= 5 in  should clear >= 4 in from rib }
		pieces cap along run { lap >= 6 in  length <= 10 ft  clear >= 2 in from rib }
	}
	detail low for edge peak { require slope >= 1:12  row cleats along run { spacing <= 10 in } }`

// A layout is what a report says, on runs of all kinds.
func TestLayouterLaysWhatReportsSay(t *testing.T) {
	t.Parallel()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	rounds := 300
	if testing.Short() {
		rounds = 25
	}
	kept, broken := 0, 0
	for _, mark := range []string{"", "mark 1/16 in"} {
		book := loadRules(t, fmt.Sprintf(rowDetails, mark))
		var layouters []*detail.Layouter
		for _, d := range book.Details {
			l, err := detail.Options{}.Layouter(book, detail.Use{Detail: d.Name})
			require.NoError(t, err)
			layouters = append(layouters, l)
		}
		layout := &detail.Layout{}
		for range rounds {
			run := randomRun(t, rng)
			for i, d := range book.Details {
				job := &detail.Job{Runs: []*geom.Run{run}, Uses: []detail.Use{{Detail: d.Name}}}
				rep, err := detail.Lay(context.Background(), book, job)
				require.NoError(t, err)
				require.Empty(t, verify.Report(rep, job))
				require.NoError(t, layouters[i].Lay(context.Background(), run, layout))
				requireLayout(t, rep, layout, "%s on ribs %v of %s", d.Name, run.Sides[0].Ribs, run.Length)
				if layout.Kept {
					kept++
				} else {
					broken++
				}
			}
		}
	}
	require.Greater(t, kept, 100)
	require.Greater(t, broken, 100)
}

func requireLayout(t *testing.T, rep *detail.Report, layout *detail.Layout, format string, args ...any) {
	t.Helper()
	var marks []detail.Mark
	for _, m := range rep.Marks {
		marks = append(marks, detail.Mark{At: m.At, Scope: int32(rep.Scopes[m.Scope].N)})
	}
	require.Truef(t, slices.Equal(marks, layout.Marks), format, args...)
	require.Len(t, layout.Pieces, len(rep.Pieces))
	for i, p := range rep.Pieces {
		p.Scope = int32(rep.Scopes[p.Scope].N)
		require.Equal(t, p, layout.Pieces[i])
	}
	must := slices.ContainsFunc(rep.Violations, func(v detail.Violation) bool { return v.Severity == "must" })
	require.Equalf(t, !must, layout.Kept, format, args...)
}

// randomRun is a run of panels, some of one width, some not, with ribs at its ends or not, and now and then an obstacle.
func randomRun(t *testing.T, rng *rand.Rand) *geom.Run {
	width, most := 3+rng.Int64N(22), 1+rng.IntN(14)
	ribs := []units.Length{}
	at := rng.Int64N(3) * rng.Int64N(width*16)
	sixteenths := func(n int64) units.Length {
		l, err := units.FromTicks(n * units.TicksPerInch / 16)
		require.NoError(t, err)
		return l
	}
	for range most {
		ribs = append(ribs, sixteenths(at))
		if at += width * 16; rng.IntN(5) == 0 {
			at += rng.Int64N(64)
		}
	}
	length := at - rng.Int64N(2)*width*8
	if rng.IntN(3) == 0 {
		length = at - width*16 + 16
	}
	spec := geom.Spec{ID: "a", Edge: "peak", Length: sixteenths(max(length, 16))}
	for len(ribs) > 0 && ribs[len(ribs)-1].Cmp(spec.Length) > 0 {
		ribs = ribs[:len(ribs)-1]
	}
	profile := geom.Profile{Cover: units.MustParse("40 in"), RibWidth: units.MustParse("3/4 in"), RibHeight: units.MustParse("1 in")}
	spec.Sides = []geom.SideSpec{{Panels: &geom.Panels{Ribs: ribs, Profile: profile}}}
	if rng.IntN(6) == 0 {
		middle := length / 2
		spec.Obstacles = []geom.Obstacle{{ID: "pipe", Kind: "penetration", From: sixteenths(middle / 2), To: sixteenths(max(middle, 8))}}
	}
	run, err := geom.NewRun(spec, 0)
	require.NoError(t, err)
	return run
}

func loadRules(t *testing.T, text string) *rules.Book {
	t.Helper()
	book, findings, err := rules.Load(fstest.MapFS{"a.rules": {Data: []byte(text)}}, "a.rules")
	require.NoError(t, err)
	require.NoError(t, findings.Err())
	return book
}

// What a use or a run has wrong is said as Lay says it, and leaves nothing behind.
func TestLayouterRefuses(t *testing.T) {
	book := loadRules(t, fmt.Sprintf(rowDetails, ""))
	_, err := detail.Options{}.Layouter(book, detail.Use{Detail: "screw"})
	require.ErrorContains(t, err, `no detail "screw"`)
	_, err = detail.Options{}.Layouter(book, detail.Use{Detail: "far", Inputs: []detail.Input{{Name: "off", Value: "3"}}})
	require.ErrorContains(t, err, "off")

	run, err := geom.NewRun(geom.Spec{ID: "a", Edge: "eave", Length: units.MustParse("20 ft")}, 0)
	require.NoError(t, err)
	l, err := detail.Options{Limits: detail.Limits{Marks: 10}}.Layouter(book, detail.Use{Detail: "screws"})
	require.NoError(t, err)
	layout := &detail.Layout{Marks: make([]detail.Mark, 3)}
	require.ErrorContains(t, l.Lay(context.Background(), run, layout), `run "a" is of kind eave`)
	require.Empty(t, layout.Marks)
	run.Edge = "peak"
	require.ErrorIs(t, l.Lay(context.Background(), run, layout), detail.ErrLimit)
	ended, end := context.WithCancel(context.Background())
	end()
	require.ErrorIs(t, l.Lay(ended, run, layout), context.Canceled)
	require.False(t, layout.Kept)
	run.Length = units.Length{}
	require.ErrorContains(t, l.Lay(context.Background(), run, layout), "must be above 0")
}
