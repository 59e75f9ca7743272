package browser

import (
	"bytes"
	"image/color"
	"image/png"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// The drawing by itself, as a picture: white paper, the tape's yellow, ink.
func TestTheDrawingIsAPicture(t *testing.T) {
	ctx, _ := open(t)
	file, err := filepath.Abs(sheets + "boathouse.svg")
	if err != nil {
		t.Fatal(err)
	}
	run(t, ctx, chromedp.Navigate("file://"+file))
	img, err := png.Decode(bytes.NewReader(run(t, ctx, chromedp.FullScreenshot(100))))
	if err != nil {
		t.Fatal(err)
	}
	count := map[color.RGBA]int{}
	box := img.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			count[color.RGBAModel.Convert(img.At(x, y)).(color.RGBA)]++
		}
	}
	white, tape, ink := count[color.RGBA{255, 255, 255, 255}], count[color.RGBA{0xff, 0xe9, 0xa3, 255}], count[color.RGBA{0x1b, 0x1b, 0x1b, 255}]
	if white < 100_000 || tape < 10_000 || ink < 2_000 {
		t.Errorf("%d white, %d of the tape, %d of ink", white, tape, ink)
	}
	t.Logf("%v: %d white, %d of the tape, %d of ink", box, white, tape, ink)
}
