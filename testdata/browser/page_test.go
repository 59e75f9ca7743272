package browser

import (
	"context"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

const sheets = "../../examples/lapwright/testdata/"

// need skips a test without a tool; CI takes no skip.
func need(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skipf("none of %v is installed", names)
	return ""
}

// open opens the demonstration's page.
func open(t *testing.T) (context.Context, func() []string) {
	t.Helper()
	file, err := filepath.Abs(sheets + "boathouse.html")
	if err != nil {
		t.Fatal(err)
	}
	return openAt(t, "file://"+file)
}

// openAt opens a page and notes what goes wrong, and what is asked for that is not under its address.
func openAt(t *testing.T, address string) (context.Context, func() []string) {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(need(t, "chromium", "chromium-browser")),
		chromedp.NoSandbox, chromedp.WindowSize(1000, 900))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(alloc)
	ctx, timeout := context.WithTimeout(ctx, 100*time.Second)
	t.Cleanup(func() { timeout(); cancel(); stop() })
	var mu sync.Mutex
	var noted []string
	note := func(format string, args ...any) {
		mu.Lock()
		defer mu.Unlock()
		noted = append(noted, fmt.Sprintf(format, args...))
	}
	if err := chromedp.Listen(ctx, func(ev any) {
		switch ev := ev.(type) {
		case *runtime.EventExceptionThrown:
			note("script error: %s", ev.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			note("on the console: %s", ev.Type)
		case *network.EventRequestWillBeSent:
			if url := ev.Request.URL; !strings.HasPrefix(url, address) && !strings.HasPrefix(url, "data:") {
				note("a request for %.80s", url)
			}
		}
	}); err != nil {
		t.Fatal(err)
	}
	run(t, ctx, func(ctx context.Context, target *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, target, network.Enable, network.EnableParams{})
		if err == nil {
			_, err = cdp.Call(ctx, target, runtime.Enable, cdp.Empty{})
		}
		return chromedp.Void{}, err
	})
	run(t, ctx, chromedp.Navigate(address))
	return ctx, func() []string { mu.Lock(); defer mu.Unlock(); return noted }
}

func run[T any](t *testing.T, ctx context.Context, a chromedp.Action[T]) T {
	t.Helper()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A mark as the browser draws it: its middle from the left end of the tape over it, in pixels.
type mark struct {
	Run         string
	From, Ratio float64
	X           float64
}

// inField matches runs that are drawn on their plane: rib lines and penetrations of the demonstration.
var inField = regexp.MustCompile(`/(rib \d+|stack|vent)( part \d+)?$`)

func TestEveryMarkStandsAtItsStation(t *testing.T) {
	ctx, noted := open(t)
	drawn := run(t, ctx, chromedp.Evaluate[[]mark](`[...document.querySelectorAll('section[id^=run]')].flatMap(s => [...s.querySelectorAll('[data-row] use[tabindex][href^="#lw-m"]')].map(u => {
		const row = u.closest('[data-row]'), box = u.getBoundingClientRect(), tape = row.querySelector('.tape').getBoundingClientRect();
		return {Run: s.querySelector('h2').textContent.slice(4).split(':')[0], From: parseFloat(row.dataset.from), Ratio: +row.dataset.ratio, X: box.left + box.width / 2 - tape.left};
	}))`))
	got := map[string][]float64{}
	ratio := map[string]float64{}
	for _, m := range drawn {
		got[m.Run] = append(got[m.Run], m.From+m.X*m.Ratio/96)
		ratio[m.Run] = m.Ratio
	}
	f, err := os.Open(sheets + "boathouse.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want, field := map[string][]float64{}, 0
	at := slices.Index(records[0], "at_mm") // the valleys have no finite decimal in inches
	for _, r := range records[1:] {
		if r[0] == "mark" && inField.MatchString(r[1]) {
			field++
		} else if r[0] == "mark" {
			x, err := strconv.ParseFloat(r[at], 64)
			if err != nil {
				t.Fatal(err)
			}
			want[r[1]] = append(want[r[1]], x/25.4)
		}
	}
	if len(want) < 10 || field < 50 {
		t.Fatalf("%d runs, %d marks in the field of planes", len(want), field)
	}
	if n := run(t, ctx, chromedp.Evaluate[int](`document.querySelectorAll('[data-plane] use[href^="#lw-m"]').length`)); n != field {
		t.Errorf("%d marks are drawn on planes, %d are in the report", n, field)
	}
	worst := 0.0
	for run, stations := range want {
		slices.Sort(stations)
		slices.Sort(got[run])
		if len(got[run]) != len(stations) {
			t.Fatalf("run %s: %d marks are drawn, %d are in the report", run, len(got[run]), len(stations))
		}
		for i := range stations {
			off := math.Abs(got[run][i]-stations[i]) * 96 / ratio[run]
			worst = max(worst, off)
			if off > 1 {
				t.Errorf("run %s: a mark at %v in is drawn %.2f px off", run, stations[i], off)
			}
		}
	}
	t.Logf("%d marks, at most %.3f px off", len(drawn), worst)
	for _, n := range noted() {
		t.Error(n)
	}
}

// Tabbing to a mark shows why it stands there.
func TestTabbingToAMarkShowsWhy(t *testing.T) {
	ctx, noted := open(t)
	before := run(t, ctx, chromedp.Evaluate[string](`u = document.querySelector('use[tabindex]'); w = u.parentNode.querySelector('.w'); getComputedStyle(w).visibility`))
	after := run(t, ctx, chromedp.Evaluate[string](`u.focus(); getComputedStyle(w).visibility + ': ' + w.textContent`))
	if before != "hidden" || after != "visible: cleat_screws, along the run, 37 marks" {
		t.Errorf("%q, then %q", before, after)
	}
	for _, n := range noted() {
		t.Error(n)
	}
}

func TestAxeFindsNothing(t *testing.T) {
	ctx, _ := open(t)
	axeFindsNothing(t, ctx)
}

// axeFindsNothing holds the page that is open against the rules of axe-core.
func axeFindsNothing(t *testing.T, ctx context.Context) {
	t.Helper()
	file := os.Getenv("AXE")
	if file == "" {
		t.Skip("AXE doesn't name axe.min.js of the npm package axe-core")
	}
	axe, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Evaluate[int](string(axe)+";0"))
	found := run(t, ctx, chromedp.Evaluate[[]string](`axe.run().then(r => (n = r.passes.length, r.violations.map(v => v.id + ': ' + v.help + ': ' + v.nodes.length + ' x ' + v.nodes[0].html.slice(0, 160))))`, chromedp.EvalAwaitPromise))
	passed := run(t, ctx, chromedp.Evaluate[int](`n`))
	for _, f := range found {
		t.Error(f)
	}
	if passed < 10 {
		t.Errorf("only %d rules passed", passed)
	}
}

// On a telephone the drawings and the cut bars scroll by themselves, never the page.
func TestThePageFitsATelephone(t *testing.T) {
	ctx, _ := open(t)
	run(t, ctx, chromedp.EmulateViewport(390, 800))
	if wide := run(t, ctx, chromedp.Evaluate[int](`document.documentElement.scrollWidth`)); wide > 390 {
		t.Errorf("the page is %d px wide", wide)
	}
}

// A word of a printed page, in points from its top left.
type word struct {
	X    float64 `xml:"xMin,attr"`
	Y    float64 `xml:"yMin,attr"`
	End  float64 `xml:"xMax,attr"`
	Down float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

type sheet struct {
	Width  float64 `xml:"width,attr"`
	Height float64 `xml:"height,attr"`
	Words  []word  `xml:"word"`
}

// A label is one of those on the left of a drawing, its base line in pixels from the drawing's top.
type label struct {
	Text string
	Y    float64
}

// tagged puts a tag into the first and the last line of all that a page break must not cut, without moving anything;
// it answers with how many there are. A drawing has them too, round its picture.
const tagged = `(list => {
	list.forEach((e, i) => {
		const at = e.matches('tr') ? e.cells[0] : e;
		at.style.position = 'relative';
		for (const [end, side] of [['a', 'top'], ['z', 'bottom']]) {
			const tag = document.createElement('span');
			tag.textContent = 'tag' + i + end;
			tag.style.cssText = 'position:absolute;left:0;font:3px/3px sans-serif;white-space:nowrap;' + side + ':0';
			at.append(tag);
		}
	});
	return list.length;
})([...document.querySelectorAll('figure,tbody tr,main > :not(nav) li,.cut')])`

// printed prints the page that is open, of a width and a height in inches.
func printed(t *testing.T, ctx context.Context, wide, high float64) []sheet {
	t.Helper()
	yes := true
	pdf := run(t, ctx, chromedp.Action[[]byte](func(ctx context.Context, target *chromedp.Target) ([]byte, error) {
		r, err := cdp.Call(ctx, target, page.PrintToPDF, page.PrintToPDFParams{
			PaperWidth: wide, PaperHeight: high, PrintBackground: &yes, PreferCSSPageSize: &yes})
		return r.Data, err
	}))
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(need(t, "pdftotext"), "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Pages []sheet `xml:"body>doc>page"`
	}
	if err := xml.Unmarshal(out, &doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// cut counts the tags whose ends are on two pages, and those that are found.
func cut(pages []sheet) (cut, found int) {
	first := map[string]int{}
	for n, p := range pages {
		for _, w := range p.Words {
			if tag, ok := strings.CutSuffix(w.Text, "a"); ok && strings.HasPrefix(tag, "tag") {
				first[tag] = n
			}
		}
	}
	for n, p := range pages {
		for _, w := range p.Words {
			tag, ok := strings.CutSuffix(w.Text, "z")
			if page, known := first[tag]; ok && known {
				if found++; page != n {
					cut++
				}
			}
		}
	}
	return cut, found
}

func TestNoPageBreakCutsARow(t *testing.T) {
	need(t, "pdftotext")
	for name, size := range map[string][2]float64{"Letter": {8.5, 11}, "A4": {8.27, 11.69}} {
		ctx, _ := open(t)
		figures := run(t, ctx, chromedp.Evaluate[[][]label](`[...document.querySelectorAll('figure svg')].filter(s => s.querySelector('.tape')).map(s => [...s.querySelectorAll('text.n')].map(l => ({Text: l.firstChild.textContent.split(' ')[0], Y: l.getScreenCTM().f + +l.getAttribute('y') - s.getBoundingClientRect().top})))`))
		pages := printed(t, ctx, size[0], size[1])
		for n, p := range pages {
			if math.Abs(p.Width-size[0]*72) > 2 || math.Abs(p.Height-size[1]*72) > 2 {
				t.Errorf("%s: page %d is %v by %v pt", name, n+1, p.Width, p.Height)
			}
			for _, w := range p.Words {
				if w.X < 20 || w.End > p.Width-20 || w.Y < 20 || w.Down > p.Height {
					t.Errorf("%s, page %d: %q stands in the margin", name, n+1, w.Text)
				}
			}
		}
		if len(figures) < 9 {
			t.Fatalf("%d rows", len(figures))
		}
		for i, f := range figures {
			if !whole(pages, f) {
				t.Errorf("%s: row %d (%v) is on no page as a whole", name, i+1, f)
			}
		}
		n := run(t, ctx, chromedp.Evaluate[int](tagged))
		inTwo, found := cut(printed(t, ctx, size[0], size[1]))
		if inTwo > 0 || found < n {
			t.Errorf("%s: of %d drawings, table rows and lines of lists %d are cut in two, %d are found", name, n, inTwo, found)
		}
		t.Logf("%s: %d pages, %d rows whole, %d tags", name, len(pages), len(figures), n)

		// Both checks see what they are there for: with the page's rule against it taken back, and on paper lower than a row.
		run(t, ctx, chromedp.Evaluate[int](`document.head.insertAdjacentHTML('beforeend', '<style>@media print{*{break-inside:auto!important}}</style>'), 0`))
		if inTwo, _ := cut(printed(t, ctx, size[0], size[1])); inTwo == 0 {
			t.Errorf("%s: without break-inside nothing is cut: the test can't tell", name)
		}
		if pages := printed(t, ctx, size[0], 2); !slices.ContainsFunc(figures, func(f []label) bool { return !whole(pages, f) }) {
			t.Errorf("%s: on a page 2 in high each row is whole: the test can't tell", name)
		}
	}
}

// whole tells whether all labels of a drawing stand on one page, as far from each other as they are drawn.
func whole(pages []sheet, labels []label) bool {
	const pt = 0.75 // of a pixel
	for _, p := range pages {
		for _, first := range p.Words {
			if first.Text != labels[0].Text {
				continue
			}
			found := 0
			for _, l := range labels {
				if slices.ContainsFunc(p.Words, func(w word) bool {
					return w.Text == l.Text && math.Abs(w.Down-first.Down-(l.Y-labels[0].Y)*pt) < 1.5
				}) {
					found++
				}
			}
			if found == len(labels) {
				return true
			}
		}
	}
	return false
}
