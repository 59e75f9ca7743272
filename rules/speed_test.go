package rules

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// largeBook writes a book of at least so many bytes: the same detail under other names.
func largeBook(size int) []byte {
	var b strings.Builder
	b.WriteString("book \"Large (invented)\" {\n  mark  1/16 in\n  zones corner\n}\nitem screw \"screw\" { pack 250  waste 5% }\nitem cap_trim \"cap\" { stock 10 ft  kerf 1/8 in }\n")
	for i := 0; b.Len() < size; i++ {
		fmt.Fprintf(&b, `
# The cap over the high side, variant %[1]d.
detail cap_%[1]d "Cap over the high side, variant %[1]d" for edge peak {
  input keep_off: length = 2 1/2 in where keep_off >= 1 in "distance kept from a rib's face"
  let widest = max(keep_off * 2, 24 in)

  require slope >= 1:12 and panel.width <= widest because "water stands on a flatter roof"

  row cleat_screws of screw along run {
    spacing <= 10 in
    spacing <= 6 in when zone is corner
    end     <= 3 in
  }
  row closure_screws of screw in each panel when panel.width > 6 in {
    spacing <= 5 in               because "the tape seals only where it is squeezed"
    count   >= 4
    clear   >= 1 1/2 in from rib
  }
  pieces cap of cap_trim along run {
    lap    >= 6 in
    length >= 30 in
    clear  >= keep_off from rib
    extend =  1 in
  }
  step "Fix the cleat along the face"          sets cleat_screws
  step "Bed and fix a closure in each panel"   sets closure_screws
  step "Hook the cap over cleat and closures"  sets cap
}
`, i)
	}
	return []byte(b.String())
}

var raised = Limits{FileBytes: 8 << 20, TotalBytes: 8 << 20, Words: 4_000_000, Declarations: 100_000}

// BenchmarkLoad parses and checks books of 2 KB to 2 MB: the rate and the memory per byte should stay about the same.
func BenchmarkLoad(b *testing.B) {
	for _, size := range []int{2 << 10, 27_600, 200 << 10, 2 << 20} {
		src := largeBook(size)
		b.Run(fmt.Sprintf("%d lines", strings.Count(string(src), "\n")), func(b *testing.B) {
			files := fstest.MapFS{"large.rules": {Data: src}}
			b.SetBytes(int64(len(src)))
			b.ReportAllocs()
			for b.Loop() {
				book, ds, err := Options{raised}.Load(files, "large.rules")
				require.NoError(b, err)
				require.NotNil(b, book, "%v", ds)
			}
		})
	}
}

// BenchmarkFormat formats them.
func BenchmarkFormat(b *testing.B) {
	for _, size := range []int{2 << 10, 200 << 10} {
		src := largeBook(size)
		b.Run(fmt.Sprintf("%d lines", strings.Count(string(src), "\n")), func(b *testing.B) {
			b.SetBytes(int64(len(src)))
			for b.Loop() {
				out, ds := formatFile("large.rules", src, raised)
				require.NotNil(b, out, "%v", ds)
			}
		})
	}
}
