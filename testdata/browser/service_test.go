package browser

import (
	"bufio"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// service starts examples/service and returns the address of its page.
func service(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "service")
	build := exec.Command("go", "build", "-o", program, "./examples/service")
	build.Dir = filepath.Join("..", "..")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	cmd := exec.Command(program, "-address", "localhost:0")
	log, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := cmd.Process.Signal(os.Interrupt); err == nil {
			err = cmd.Wait()
			if err != nil {
				t.Errorf("the service didn't stop well: %v", err)
			}
		}
	})
	lines := bufio.NewScanner(log)
	for lines.Scan() {
		if address := regexp.MustCompile(`http://\S+`).FindString(lines.Text()); address != "" {
			return address
		}
	}
	t.Fatal("the service doesn't say where it listens")
	return ""
}

const stations = `[...document.querySelectorAll('#sheet use[href^="#lw-m"]')].map(u => u.getBoundingClientRect().left)`

// until asks the page again and again until what it says is as it should be.
func until[T any](t *testing.T, ctx context.Context, ask string, good func(T) bool) (v T) {
	t.Helper()
	for range 200 {
		if v = run(t, ctx, chromedp.Evaluate[T](ask)); good(v) {
			return v
		}
		time.Sleep(25 * time.Millisecond)
	}
	t.Fatalf("%s stays %v", ask, v)
	return v
}

// over types a text over the first place in the rules where another stands.
func over(t *testing.T, ctx context.Context, old, new string) {
	t.Helper()
	run(t, ctx, chromedp.Evaluate[int](`rules.focus(); rules.setSelectionRange(rules.value.indexOf("`+old+`"), rules.value.indexOf("`+old+`") + `+"`"+old+"`"+`.length); 0`))
	run(t, ctx, chromedp.KeyEvent(new))
}

func TestTypingARuleMovesTheMarks(t *testing.T) {
	ctx, noted := openAt(t, service(t))
	before := until(t, ctx, stations, func(x []float64) bool { return len(x) > 0 })
	over(t, ctx, "spacing <= 5 in", "spacing <= 3 in")
	after := until(t, ctx, stations, func(x []float64) bool { return len(x) > len(before) })
	over(t, ctx, "spacing <= 3 in", "spacing <= 5 in")
	again := until(t, ctx, stations, func(x []float64) bool { return len(x) < len(after) })
	if !slices.EqualFunc(before, again, func(a, b float64) bool { return math.Abs(a-b) < 0.01 }) {
		t.Error("the rule as it was gives other marks than before")
	}

	over(t, ctx, "spacing", "spacng")
	type wavy struct {
		Text, Line, Said string
		Left, Right, Top float64
	}
	got := until(t, ctx, `(() => {
		const m = document.querySelector('#marks mark');
		if (!m) return {};
		const box = m.getBoundingClientRect(), origin = rules.getBoundingClientRect(), style = getComputedStyle(rules);
		const before = rules.value.slice(0, rules.value.indexOf("spacng")), column = before.length - before.lastIndexOf("\n") - 1;
		const line = before.split("\n").length - 1, wide = document.createElement("canvas").getContext("2d");
		wide.font = style.font;
		return {Text: m.textContent, Line: getComputedStyle(m).textDecorationLine + " " + getComputedStyle(m).textDecorationStyle, Said: said.textContent,
			Left: box.left - origin.left + rules.scrollLeft - parseFloat(style.paddingLeft) - 1 - column * wide.measureText("x").width,
			Right: box.width - 6 * wide.measureText("x").width,
			Top: box.top - origin.top + rules.scrollTop - parseFloat(style.paddingTop) - 1 - line * parseFloat(style.lineHeight)};
	})()`, func(w wavy) bool { return w.Text != "" })
	if got.Text != "spacng" || got.Line != "underline wavy" {
		t.Errorf("underlined: %+v", got)
	}
	if math.Abs(got.Left) > 1 || math.Abs(got.Right) > 1 || got.Top < -1 || got.Top > 6 {
		t.Errorf("the line isn't under the word: %+v", got)
	}
	if !regexp.MustCompile(`did you mean .*spacing`).MatchString(got.Said) {
		t.Errorf("said: %q", got.Said)
	}
	for _, n := range noted() {
		if !regexp.MustCompile(`^on the console: error`).MatchString(n) {
			t.Error(n)
		}
	}
}

func TestThePageOfTheServiceIsAccessible(t *testing.T) {
	ctx, noted := openAt(t, service(t))
	until(t, ctx, stations, func(x []float64) bool { return len(x) > 0 })
	axeFindsNothing(t, ctx)
	for _, n := range noted() {
		t.Error(n)
	}
}
