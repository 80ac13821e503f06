package paint_test

import (
	"bytes"
	"image/color"
	"math"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
)

// Known ratios: black on white is 21 by WCAG 2.2's definition; #767676 on white is 4.54, as
// WebAIM's contrast checker and W3C's technique G18 examples have it (from memory).
func TestContrastFormula(t *testing.T) {
	white := color.RGBA{255, 255, 255, 255}
	for _, tt := range []struct {
		c    color.RGBA
		want float64
	}{{color.RGBA{0, 0, 0, 255}, 21}, {color.RGBA{0x76, 0x76, 0x76, 255}, 4.54}, {white, 1}} {
		if got := paint.Contrast(tt.c, white); math.Abs(got-tt.want) > 0.005 {
			t.Errorf("Contrast(%v, white) = %.3f, want %.2f", tt.c, got, tt.want)
		}
	}
}

// WCAG 2.2: 1.4.3 asks 4.5 of text, 1.4.11 asks 3 of what shows a control or a state.
func TestPaletteContrast(t *testing.T) {
	for _, look := range []screen.Look{{}, {Dark: true}} {
		p := paint.PaletteOf(look)
		check := func(name string, a, b color.RGBA, least float64) {
			if got := paint.Contrast(a, b); got < least {
				t.Errorf("dark=%v: %s has contrast %.2f, want %g", look.Dark, name, got, least)
			}
		}
		for name, paper := range map[string]color.RGBA{"paper": p.Paper, "card": p.Card, "shade": p.Shade} {
			check("ink on "+name, p.Ink, paper, 4.5)
		}
		for name, paper := range map[string]color.RGBA{"paper": p.Paper, "card": p.Card} {
			check("small print on "+name, p.Faint, paper, 4.5)
			check("edge on "+name, p.Edge, paper, 3)
			check("brass on "+name, p.Brass, paper, 3)
			check("red words on "+name, p.Red, paper, 4.5)
			check("blue words on "+name, p.Blue, paper, 4.5)
			check("ring on "+name, p.Ring, paper, 3)
			check("groove on "+name, p.Groove, paper, 3)
		}
		check("small print on shade", p.Faint, p.Shade, 4.5)
		check("words on brass", p.OnBrass, p.Brass, 4.5)
		check("numbers on the plate", p.OnPlate, p.Plate, 4.5)
		check("asked line on card", p.Asked, p.Card, 3)
		check("played line on the asked one", p.Blue, p.Asked, 1.5)
	}
}

func TestFontsHaveWhatIsWritten(t *testing.T) {
	f := paint.NewFonts()
	for _, text := range []string{"+4 \u22123''", "40 %", "\u2013 \u201cyes\u201d \u00b7 \u00b1 \u2026 \u00d7"} {
		if !f.Has(text) {
			t.Errorf("the fonts can not write %q", text)
		}
	}
	if f.Has("\U0001F600") {
		t.Error("Has reports a letter that the fonts lack")
	}
}

func takeScreen(t *testing.T, p *paint.Painter, f *paint.Fonts) screen.Screen {
	for _, s := range screentest.All(screen.Look{}) {
		if s.Name == "take" {
			placed, _ := screen.Place(s, 390, 844, f)
			return placed
		}
	}
	t.Fatal("no take among the samples")
	return screen.Screen{}
}

// Ink added little by little is the ink added at once.
func TestInkGrows(t *testing.T) {
	f := paint.NewFonts()
	p := paint.New(f, screen.Look{}, 2)
	s := takeScreen(t, p, f)
	var r screen.Rect
	for _, it := range s.Items {
		if it.Role == screen.ChartView {
			r = it.Rect
		}
	}
	whole, slow := p.NewInk(), p.NewInk()
	whole.Add(s.Chart, r)
	some := *s.Chart
	for n := 0; n <= len(s.Chart.Trace); n += 7 {
		some.Trace = s.Chart.Trace[:n]
		dirty := slow.Add(&some, r)
		if n > 7 && (dirty.Dx() > 700 || dirty.Dy() > 700) {
			t.Fatalf("seven points changed %v", dirty)
		}
	}
	slow.Add(s.Chart, r)
	if !bytes.Equal(whole.Image().Pix, slow.Image().Pix) {
		t.Error("ink added in pieces differs from ink added at once")
	}
	if got := slow.Add(s.Chart, r); !got.Empty() {
		t.Errorf("nothing new changed %v", got)
	}
	// Another take begins: the old line is gone.
	some.Trace = nil
	slow.Add(&some, r)
	for _, b := range slow.Image().Pix {
		if b != 0 {
			t.Fatal("ink of the last take is left")
		}
	}
}

// A line that begins before the form or goes on after it ends at the form's edge, with a
// sign of that and not cut off by the picture.
func TestInkEndsWithTheForm(t *testing.T) {
	f := paint.NewFonts()
	p := paint.New(f, screen.Look{}, 1)
	ch := &screen.Chart{Bars: 4, BeatsPerBar: 4, PerRow: 4, LowCents: 0, HighCents: 1000}
	r := screen.Rect{W: 400, H: 150}
	span := func(from, to float64) (left, right int) {
		ch.Trace = nil
		for b := from; b < to; b += 0.1 {
			ch.Trace = append(ch.Trace, screen.TracePoint{Beat: b, Cents: 500, Level: 1})
		}
		ink := p.NewInk()
		ink.Add(ch, r)
		left, right = 400, -1
		pic := ink.Image()
		for y := range 150 {
			for x := range 400 {
				if pic.RGBAAt(x, y).A > 60 {
					left, right = min(left, x), max(right, x)
				}
			}
		}
		return left, right
	}
	plan := screen.PlanChart(ch, r, screen.Look{}, f)
	if left, right := span(-2, 2); left < 1 || left > int(plan.Left)-2 || math.Abs(float64(right)-plan.X(2, 0)) > 6 {
		t.Errorf("a line from before bar 1 spans %d..%d px, want from a sign just before %g", left, right, plan.Left)
	}
	if left, right := span(0.5, 2); math.Abs(float64(left)-plan.X(0.5, 0)) > 3 || math.Abs(float64(right)-plan.X(2, 0)) > 6 {
		t.Errorf("a line within the form spans %d..%d px, want %g..%g", left, right, plan.X(0.5, 0), plan.X(2, 0))
	}
	if _, right := span(14, 20); right > 398 || right < int(plan.Right)+2 {
		t.Errorf("a line that goes on after the form ends at %d px, want at a sign just after %g", right, plan.Right)
	}
	if left, _ := span(-3, -1); left != 400 {
		t.Error("a line wholly before the form is drawn")
	}
}

// State is told by shape: in shades of grey a tick, a cross and a ring differ, and a leak
// differs from a note, and a note from what is not sure to be one.
func TestShapesDiffer(t *testing.T) {
	f := paint.NewFonts()
	p := paint.New(f, screen.Look{}, 1)
	s := takeScreen(t, p, f)
	keys := map[string]bool{}
	beads := s.Comb.Beads
	for _, b := range []screen.Bead{
		{Spot: beads[0].Spot, OffCents: 0}, {Spot: beads[0].Spot, OffCents: 30}, {Spot: beads[0].Spot, OffCents: -30}, {Spot: beads[0].Spot, Leak: true},
		{Spot: beads[0].Spot, Unsure: true, OffCents: math.NaN()},
	} {
		comb := *s.Comb
		comb.Asked, comb.Next = screen.Spot{}, screen.Spot{}
		comb.Beads = []screen.Bead{b}
		s.Comb = &comb
		picture := p.Sprites(s)
		for _, sp := range picture {
			if len(sp.Key) > 4 && sp.Key[:4] == "bead" {
				img := sp.Image()
				grey := make([]byte, 0, len(img.Pix)/4)
				for i := 0; i < len(img.Pix); i += 4 {
					grey = append(grey, img.Pix[i+3]/2+img.Pix[i+1]/2)
				}
				keys[string(grey)] = true
			}
		}
	}
	if len(keys) != 5 {
		t.Errorf("on it, sharp, flat, a second hole and not sure give %d shapes, want 5", len(keys))
	}
}

func BenchmarkItem(b *testing.B) {
	f := paint.NewFonts()
	p := paint.New(f, screen.Look{}, 2)
	for _, s := range screentest.All(screen.Look{})[:3] {
		placed, _ := screen.Place(s, 390, 844, f)
		b.Run(s.Name, func(b *testing.B) {
			for b.Loop() {
				for i := range placed.Items {
					p.Item(placed, i, paint.Touch{})
				}
			}
		})
		b.Run(s.Name+"/place", func(b *testing.B) {
			for b.Loop() {
				screen.Place(s, 390, 844, f)
			}
		})
	}
}
