package paint_test

import (
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
)

var pictures = flag.String("pictures", "", "write pictures of the sample screens into this `folder`, to be looked at")

// The smallest phone and a laptop show both layouts; for looking there are also a usual
// phone, upright and on its side, and a tablet.
var (
	testSizes = [][2]float64{{320, 568}, {1280, 800}}
	lookSizes = [][2]float64{{320, 568}, {360, 640}, {390, 844}, {768, 1024}, {1280, 800}, {844, 390}}
)

func TestPicturesShowEveryItem(t *testing.T) {
	fonts := paint.NewFonts()
	sizes := testSizes
	if *pictures != "" {
		sizes = lookSizes
	}
	for _, look := range []screen.Look{{}, {Dark: true}, {Large: true}} {
		p := paint.New(fonts, look, 1)
		for _, s := range screentest.All(look) {
			for _, size := range sizes {
				placed, height := screen.Place(s, size[0], size[1], fonts)
				name := fmt.Sprintf("%s-%gx%g-dark%v-large%v", s.Name, size[0], size[1], look.Dark, look.Large)
				pic := p.Whole(placed, size[0], height, 0, s.Focus)
				for _, it := range placed.Items {
					if it.Foot { // at the lower end of the picture, not of the window
						it.Rect.Y += height - size[1]
					}
					if n := inked(pic, p, it.Rect); n < 20 {
						t.Errorf("%s: item %s shows %d pixels of ink, want 20 at least", name, it.ID, n)
					}
				}
				if *pictures != "" {
					f, err := os.Create(filepath.Join(*pictures, name+".png"))
					if err != nil {
						t.Fatal(err)
					}
					if err := png.Encode(f, pic); err != nil {
						t.Fatal(err)
					}
					f.Close()
				}
			}
		}
	}
}

// inked counts pixels that stand out from the paper, until there are enough.
func inked(pic *image.RGBA, p *paint.Painter, r screen.Rect) int {
	n := 0
	for y := int(r.Y); y < int(r.Y+r.H); y++ {
		for x := int(r.X); x < int(r.X+r.W) && n < 20; x++ {
			if paint.Contrast(pic.RGBAAt(x, y), p.Paper) >= 3 {
				n++
			}
		}
	}
	return n
}
