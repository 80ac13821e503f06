package screen_test

import (
	"fmt"
	"slices"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
)

// windows are the widths of WCAG 2.2's reflow criterion (1.4.10: 320), of usual phones
// upright and on their side, of a tablet and of laptops.
var windows = [][2]float64{{320, 568}, {360, 640}, {390, 844}, {768, 1024}, {844, 390}, {1280, 800}, {1920, 1080}}

func eachPlaced(t *testing.T, f func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure)) {
	m := paint.NewFonts()
	for _, look := range []screen.Look{{}, {Large: true}} {
		for _, w := range windows {
			for _, s := range screentest.All(look) {
				t.Run(fmt.Sprintf("%s/%gx%g/large=%v", s.Name, w[0], w[1], look.Large), func(t *testing.T) {
					placed, content := screen.Place(s, w[0], w[1], m)
					f(t, placed, w[0], w[1], content, m)
				})
			}
		}
	}
}

func TestItemsDoNotOverlap(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		for i, a := range s.Items {
			r := a.Rect
			if r.X < 16 || r.X+r.W > width-16 || r.Y < 16 || r.Y+r.H > content-16 {
				t.Errorf("%s at %v is not 16 px from the edges of %g x %g", a.ID, r, width, content)
			}
			for _, b := range s.Items[:i] {
				q := b.Rect
				if r.X < q.X+q.W && q.X < r.X+r.W && r.Y < q.Y+q.H && q.Y < r.Y+r.H {
					t.Errorf("%s at %v overlaps %s at %v", a.ID, r, b.ID, q)
				}
			}
		}
	})
}

// WCAG 2.2, success criterion 2.5.5: targets are 44 by 44 CSS pixels at least.
func TestTargetsAreLargeEnough(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		for _, it := range s.Items {
			switch it.Role {
			case screen.Button, screen.Choice, screen.Toggle, screen.Slider, screen.Select, screen.Field, screen.File:
				if it.Rect.W < 44 || it.Rect.H < 44 {
					t.Errorf("%s is %g x %g px, want 44 x 44 at least", it.ID, it.Rect.W, it.Rect.H)
				}
			}
		}
	})
}

func TestTextStaysInside(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		for _, it := range s.Items {
			lines := screen.Lines(it, s.Look, m)
			words := 0
			var lower float64
			for _, l := range lines {
				words += len(l.Text)
				top, bottom := l.Y-0.8*l.Size, l.Y+0.25*l.Size
				if w := m.Width(l.Text, l.Size, l.Bold); l.X < 0 || l.X+w > it.Rect.W+0.01 || top < 0 || bottom > it.Rect.H {
					t.Errorf("%s: %q at %.1f..%.1f, %.1f..%.1f px leaves its %g x %g px", it.ID, l.Text, l.X, l.X+w, top, bottom, it.Rect.W, it.Rect.H)
				}
				if l.Part != screen.ValuePart {
					if top < lower-0.3*l.Size {
						t.Errorf("%s: %q stands on the line above", it.ID, l.Text)
					}
					lower = bottom
				}
			}
			if it.Role != screen.CombView && it.Role != screen.ChartView && words == 0 {
				t.Errorf("%s has no words", it.ID)
			}
		}
	})
}

func TestPicturesStandBesideControlsWhenWide(t *testing.T) {
	m := paint.NewFonts()
	for _, s := range screentest.All(screen.Look{}) {
		if s.Name != "drill" {
			continue
		}
		at := func(s screen.Screen, id string) screen.Rect {
			return s.Items[slices.IndexFunc(s.Items, func(it screen.Item) bool { return it.ID == id })].Rect
		}
		wide, _ := screen.Place(s, 1280, 800, m)
		if chart, play := at(wide, "chart"), at(wide, "play"); play.X < chart.X+chart.W {
			t.Errorf("at 1280 px the button at %v is not beside the chart at %v", play, chart)
		}
		high, _ := screen.Place(s, 360, 640, m)
		if chart, play := at(high, "chart"), at(high, "play"); play.Y < chart.Y+chart.H {
			t.Errorf("at 360 px the button at %v is not under the chart at %v", play, chart)
		}
	}
}

// In a take everything is in sight at once: nobody scrolls with a harp in the hands.
func TestTakeFitsTheWindow(t *testing.T) {
	m := paint.NewFonts()
	for _, s := range screentest.All(screen.Look{}) {
		if s.Name != "take" {
			continue
		}
		for _, w := range [][2]float64{{360, 640}, {390, 844}, {768, 1024}, {1280, 800}, {844, 390}} {
			if _, content := screen.Place(s, w[0], w[1], m); content > w[1] {
				t.Errorf("%g x %g: the take is %g px high", w[0], w[1], content)
			}
		}
	}
}

func TestChartPlanKeepsOrder(t *testing.T) {
	c := screentest.Twelve(4)
	m := paint.NewFonts()
	p := screen.PlanChart(c, screen.Rect{W: 328, H: 330}, screen.Look{}, m)
	if p.PerRow != 4 || p.Rows != 3 {
		t.Fatalf("a twelve-bar has %d rows of %d bars, want 3 of 4", p.Rows, p.PerRow)
	}
	for _, tt := range []struct {
		beat float64
		row  int
	}{{-1, 0}, {0, 0}, {15.99, 0}, {16, 1}, {47.9, 2}, {60, 2}} {
		if got := p.Row(tt.beat); got != tt.row {
			t.Errorf("beat %g is in row %d, want %d", tt.beat, got, tt.row)
		}
	}
	if a, b := p.X(0, 0), p.X(16, 1); a != b {
		t.Errorf("bars 1 and 5 begin at %g and %g px, want the same", a, b)
	}
	top, bottom := p.Bar(1)
	if lo, hi := p.Y(c.LowCents, 1), p.Y(c.HighCents, 1); hi < top || lo > bottom || hi >= lo {
		t.Errorf("pitches span %g..%g px, want within %g..%g, high above low", hi, lo, top, bottom)
	}
}

// On the comb equal intervals are equal heights: bends stand at their true distance.
func TestCombIsTrueToCents(t *testing.T) {
	p := screen.PlanComb(screen.Rect{W: 328, H: 250}, screen.Look{})
	step := p.Y(0) - p.Y(100)
	for cents := 100.0; cents < 400; cents += 100 {
		if got := p.Y(cents) - p.Y(cents+100); got < step-1e-9 || got > step+1e-9 || got < 20 {
			t.Errorf("a half step at %g cents is %g px high, want %g and 20 at least", cents, got, step)
		}
	}
	if a, b := p.Slot(1), p.Slot(2); a.X+a.W > b.X {
		t.Errorf("slots 1 and 2 overlap: %v, %v", a, b)
	}
}
