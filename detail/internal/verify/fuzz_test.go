package verify_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/detail/internal/verify"
	"github.com/stretchr/testify/require"
)

// FuzzLayout holds the reports of random details on random runs, or on random planes and roofs, against their rules.
func FuzzLayout(f *testing.F) {
	f.Add(uint64(1), uint64(2), false)
	f.Fuzz(func(t *testing.T, a, b uint64, planes bool) {
		g := &generator{rand.New(rand.NewPCG(a, b))}
		if planes {
			hold(t, g.planeBook(), g.planeJob())
		} else {
			hold(t, g.book(), g.job())
		}
	})
}

// FuzzOutline: a plane of any corners is refused, or laid by the rules.
func FuzzOutline(f *testing.F) {
	f.Add([]byte{0, 0, 40, 0, 40, 20, 0, 20}, uint8(9), uint8(0))
	f.Add([]byte{0, 0, 40, 0, 20, 20}, uint8(3), uint8(1))
	f.Add([]byte{0, 0, 40, 0, 40, 20, 20, 10, 0, 20}, uint8(16), uint8(2))
	edges := []string{"eave", "rake", "ridge", "hip", "valley"}
	f.Fuzz(func(t *testing.T, corners []byte, first, kind uint8) {
		var points []string
		for i := 0; i+1 < len(corners) && i < 24; i += 2 {
			edge := edges[(i/2+int(kind))%len(edges)]
			points = append(points, fmt.Sprintf(`{"x": "%d in", "y": "%d in", "edge": %q}`, corners[i], corners[i+1], edge))
		}
		hold(t, `item screw "screw" { pack 100 }
detail edges "" for edge eave, rake, ridge, hip, valley { row r of screw along run { spacing <= 8 in  clear >= 1 in from rib } }
detail field "" for field { row c of screw along each rib { spacing <= 2 ft } }`,
			fmt.Sprintf(`{"profile": {"cover": "16 in", "rib_width": "1 in", "rib_height": "1 in"}, "planes": [{"id": "p",
 "slope": "6:12", "panels": {"first": "%d/16 in"}, "outline": [%s]}]}`, int(first)+1, strings.Join(points, ", ")))
	})
}

// hold lays a job and holds the report against its rules; a job may be refused with a list of its mistakes.
func hold(t *testing.T, source, job string) {
	t.Helper()
	_, j, r, err := laid(t, source, job)
	var refused *detail.JobErrors
	if errors.Is(err, detail.ErrLimit) || errors.As(err, &refused) {
		return
	}
	require.NoError(t, err, "%s\n%s", source, job)
	require.Empty(t, verify.Report(r, j), "%s\n%s", source, job)
}
