package screen_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
	"reedwell/levels/drill"
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
				if a.Foot != b.Foot { // see TestFootHidesNothing
					continue
				}
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
			case screen.Button, screen.Choice, screen.Toggle, screen.Slider, screen.Select, screen.Field, screen.Area, screen.File:
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
			if it.Role != screen.CombView && it.Role != screen.ChartView && it.Role != screen.Image && it.Role != screen.Columns && words == 0 {
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
		at := func(s screen.Screen, id string) screen.Rect { return item(s, id).Rect }
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

// What belongs to a picture stands under it where the picture has a column of its own, and in its order where it has none.
func TestUnderAPicture(t *testing.T) {
	m := paint.NewFonts()
	for _, s := range screentest.All(screen.Look{}) {
		if s.Name != "result" {
			continue
		}
		wide, _ := screen.Place(s, 1280, 800, m)
		chart, hear, mark := item(wide, "chart").Rect, item(wide, "hear-own").Rect, item(wide, "mark-1").Rect
		if hear.X < chart.X || hear.X+hear.W > chart.X+chart.W || hear.Y < chart.Y+chart.H || mark.X < chart.X+chart.W {
			t.Errorf("at 1280 px the chart is at %v, what belongs to it at %v and a mark at %v", chart, hear, mark)
		}
		high, _ := screen.Place(s, 360, 640, m)
		if hear, mark := item(high, "hear-own").Rect, item(high, "mark-1").Rect; hear.Y < mark.Y+mark.H {
			t.Errorf("at 360 px what comes last, %v, is not under the marks, %v", hear, mark)
		}
	}
}

// A narrow item is as wide as its words and stands beside the other wherever that has room
// for its own; a page of paper keeps its shape; a text stands beside what is said of it where
// the window is wide.
func TestLessonsArePlaced(t *testing.T) {
	m := paint.NewFonts()
	for _, s := range screentest.All(screen.Look{}) {
		for _, w := range windows {
			placed, _ := screen.Place(s, w[0], w[1], m)
			at := func(id string) screen.Rect { return item(placed, id).Rect }
			switch s.Name {
			case "lesson":
				if play, hear := at("play-1"), at("hear-1"); hear.Y != play.Y || hear.W > 110 || play.W < 2*hear.W {
					t.Errorf("%gx%g: play at %v, hear at %v", w[0], w[1], play, hear)
				}
			case "sheet":
				if r := at("page-1"); math.Abs(r.H/r.W-842.0/595) > 0.01 {
					t.Errorf("%gx%g: the page is %g x %g", w[0], w[1], r.W, r.H)
				}
			case "write-12":
				text, state := at("text"), at("state")
				if beside := state.X > text.X+text.W; beside != (w[0] >= 900 || w[0] > w[1]) {
					t.Errorf("%gx%g: text at %v, what is said of it at %v", w[0], w[1], text, state)
				}
			}
		}
	}
}

// takeOf is the screen of a take of a drill, as the session makes it.
func takeOf(d drill.Drill, width float64) screen.Screen {
	c := &screen.Chart{Bars: d.Bars, BeatsPerBar: d.BeatsPerBar, PerRow: 4, CountIn: 4}
	if width < 600 {
		c.PerRow = 2
	}
	for _, h := range d.Chords {
		c.Chords = append(c.Chords, screen.ChartChord{Beat: h.Beat, Name: h.Name})
	}
	for _, called := range d.Called() {
		c.Chords = append(c.Chords, screen.ChartChord{Beat: called.From, Name: "Listen"})
	}
	for _, g := range d.Targets {
		if d.ByEar { // what is asked is not shown
			break
		}
		if words := g.Wave.Words(); words != "" {
			c.Chords = append(c.Chords, screen.ChartChord{Beat: g.Beat, Name: words})
		}
		cents := 1200 * math.Log2(g.Hz/261.63) // over 1 blow of a C harp
		c.Pickup = max(c.Pickup, -g.Beat)
		c.HighCents = max(c.HighCents, cents+200)
		c.Notes = append(c.Notes, screen.ChartNote{Beat: g.Beat, Beats: g.Beats, Cents: cents, Tab: g.Tab(), Join: int(g.Join), Zone: g.Zone})
	}
	s := screen.Screen{Name: "take", Title: d.Title, Comb: screentest.Comb(), Chart: c, Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: d.Title},
		{ID: "count", Role: screen.Text, Label: "Count-in: 4"},
		{ID: "chart", Role: screen.ChartView, Label: "Bars"},
		{ID: "comb", Role: screen.CombView, Label: "Comb"},
		{ID: "stop", Role: screen.Button, Style: screen.Primary, Label: "Stop"},
	}}
	if d.Unseen {
		s.Comb = nil
		s.Items = slices.DeleteFunc(s.Items, func(i screen.Item) bool { return i.ID == "comb" })
	}
	return s
}

func eachDrill(t *testing.T, f func(d drill.Drill)) {
	for _, e := range drill.List() {
		d, err := drill.Build(drill.Spec{ID: e.ID})
		if err != nil {
			t.Fatal(err)
		}
		f(d)
	}
}

func item(s screen.Screen, id string) screen.Item {
	return s.Items[slices.IndexFunc(s.Items, func(it screen.Item) bool { return it.ID == id })]
}

// In a take everything is in sight at once: nobody scrolls with a harp in the hands. With
// large text and on the lowest windows that goes for the button to stop at least.
func TestTakeFitsTheWindow(t *testing.T) {
	m := paint.NewFonts()
	eachDrill(t, func(d drill.Drill) {
		for _, w := range [][2]float64{{360, 640}, {390, 844}, {768, 1024}, {1280, 800}, {844, 390}, {667, 375}, {320, 568}} {
			for _, large := range []bool{false, true} {
				s := takeOf(d, w[0])
				s.Look.Large = large
				placed, content := screen.Place(s, w[0], w[1], m)
				stop := item(placed, "stop").Rect
				if stop.Y+stop.H > w[1] {
					t.Errorf("%s at %g x %g, large %v: the button to stop ends at %g", d.ID, w[0], w[1], large, stop.Y+stop.H)
				}
				if whole := w[1] >= 640 || w[0] == 844; whole && !large && content > w[1] {
					t.Errorf("%s at %g x %g: the take is %g px high", d.ID, w[0], w[1], content)
				}
			}
		}
	})
}

// A place for the count-in lies in the bars and off the asked lines.
func TestFreePlaceHidesNoNote(t *testing.T) {
	m := paint.NewFonts()
	found, all := 0, 0
	eachDrill(t, func(d drill.Drill) {
		for _, width := range []float64{390, 1280} {
			placed, _ := screen.Place(takeOf(d, width), width, 844, m)
			p := screen.PlanChart(placed.Chart, item(placed, "chart").Rect, placed.Look, m)
			all++
			const w, h = 120, 30
			x, y, ok := p.Free(w, h)
			if !ok {
				continue
			}
			found++
			if x < p.Left || x+w > p.Right {
				t.Errorf("%s: a place at %g..%g, want it in the bars, %g..%g", d.ID, x, x+w, p.Left, p.Right)
			}
			for i, n := range placed.Chart.Notes {
				for b := n.Beat; b < n.Beat+n.Beats; b += 0.05 {
					row := p.Row(b)
					if nx, ny := p.X(b, row), p.Y(n.Cents, row); nx > x && nx < x+w && ny > y && ny < y+h {
						t.Errorf("%s: the place at %g, %g hides note %d", d.ID, x, y, i)
						break
					}
				}
			}
		}
	})
	if found < all*9/10 {
		t.Errorf("a place in %d of %d charts, want it in most", found, all)
	}
}

// An item narrower than its edges has its letters one under the other, and an end.
func TestNarrowItemsEnd(t *testing.T) {
	m := paint.NewFonts()
	for _, look := range []screen.Look{{}, {Large: true}} {
		for _, s := range screentest.All(look) {
			for _, it := range s.Items {
				for _, width := range []float64{0, 5, 30} {
					it.Rect = screen.Rect{W: width}
					letters := 0
					for _, l := range screen.Lines(it, look, m) {
						if l.Part == screen.LabelPart {
							letters += len(strings.ReplaceAll(l.Text, " ", ""))
						}
					}
					if want := len(strings.ReplaceAll(it.Label, " ", "")); it.Role != screen.CombView && it.Role != screen.ChartView && it.Role != screen.Image && it.Role != screen.Columns && letters != want {
						t.Errorf("%s, %g px wide, shows %d letters of its label, want %d", it.ID, width, letters, want)
					}
					screen.BoxTop(it, look, m)
				}
			}
			screen.Place(s, 10, 10, m)
			screen.Place(s, 0, 0, m)
		}
	}
}

func TestNumbersStayWithTheirUnits(t *testing.T) {
	m := paint.NewFonts()
	text := "4 of 4 notes right (100 %). Good within 45 cents, from 12 dB and up to 800 ms. A good take needs 80 %."
	for width := 60.0; width < 700; width += 3 {
		it := screen.Item{ID: "words", Role: screen.Text, Label: text, Rect: screen.Rect{W: width}}
		whole := ""
		for _, l := range screen.Lines(it, screen.Look{}, m) {
			whole += " " + l.Text
			if first := strings.Fields(l.Text)[0]; width > 100 && slices.Contains([]string{"%).", "cents,", "dB", "ms.", "%."}, first) {
				t.Errorf("%g px: a line begins with %q", width, first)
			}
		}
		if whole != " "+text {
			t.Fatalf("%g px: the lines together are %q", width, whole)
		}
	}
}

// The question of a set of choices is written over the first of them, once.
func TestQuestionsStandOverTheirChoices(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		n := 0
		for i, it := range s.Items {
			if it.Role != screen.Choice || i > 0 && s.Items[i-1].Group == it.Group {
				continue
			}
			if n >= len(s.Questions) {
				t.Fatalf("%q is not written", it.Group)
			}
			q := s.Questions[n]
			n++
			text := ""
			for _, l := range q.Lines {
				text += " " + l.Text
				if l.X < 0 || l.X+l.Width > q.Rect.W || l.Y+0.25*l.Size > q.Rect.H || l.Y < 0.8*l.Size {
					t.Errorf("%q leaves its %g x %g px", l.Text, q.Rect.W, q.Rect.H)
				}
			}
			if text != " "+it.Group {
				t.Errorf("question %d is %q, want %q", n, text, it.Group)
			}
			if q.Rect.X != it.Rect.X || q.Rect.Y+q.Rect.H > it.Rect.Y || q.Rect.Y+q.Rect.H < it.Rect.Y-12 {
				t.Errorf("%q at %v does not stand over %s at %v", it.Group, q.Rect, it.ID, it.Rect)
			}
			for _, o := range s.Items {
				r := o.Rect
				if o.Foot { // see TestFootHidesNothing
					continue
				}
				if r.X < q.Rect.X+q.Rect.W && q.Rect.X < r.X+r.W && r.Y < q.Rect.Y+q.Rect.H && q.Rect.Y < r.Y+r.H {
					t.Errorf("%q at %v overlaps %s at %v", it.Group, q.Rect, o.ID, r)
				}
			}
		}
		if n != len(s.Questions) {
			t.Errorf("%d questions are written, want %d", len(s.Questions), n)
		}
	})
}

// Names of reeds are clear of what lies under them and wholly inside the outline of their
// reed, and no outline crosses a name; with large text the names are larger.
func TestNamesOnTheCombStayClear(t *testing.T) {
	m := paint.NewFonts()
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		if s.Comb == nil {
			return
		}
		p := screen.PlanComb(item(s, "comb").Rect, s.Look)
		const letters = 0.8 // of the size: height over the baseline, a little more than a capital's
		for i, slot := range s.Comb.Slots {
			hole := p.Slot(i + 1)
			places := []float64{slot.Blow, slot.Draw}
			for _, r := range slot.Rungs {
				places = append(places, r.Cents)
			}
			for k, c := range places {
				out := p.Outline(i+1, c, k < 2)
				if out.Y < hole.Y-1 || out.Y+out.H > hole.Y+hole.H+1 {
					t.Errorf("hole %d: the outline at %g cents spans %g..%g, want it in %g..%g", i+1, c, out.Y, out.Y+out.H, hole.Y, hole.Y+hole.H)
				}
				for n, reed := range places[:2] {
					bottom := p.NameY(reed)
					top := bottom - letters*p.NameSize
					if n == k {
						if bottom > out.Y+out.H-3 || top < p.Y(reed)+3.5 {
							t.Errorf("hole %d: the name at %g..%g px is not inside the outline %g..%g under its reed", i+1, top, bottom, out.Y, out.Y+out.H)
						}
					} else if top < out.Y+out.H && bottom > out.Y {
						t.Errorf("hole %d: the outline at %g cents, %g..%g px, crosses the name at %g..%g", i+1, c, out.Y, out.Y+out.H, top, bottom)
					}
				}
			}
		}
	})
	size := func(large bool) float64 {
		s := screentest.All(screen.Look{Large: large})[2]
		placed, _ := screen.Place(s, 390, 844, m)
		return screen.PlanComb(item(placed, "comb").Rect, placed.Look).NameSize
	}
	if usual, large := size(false), size(true); usual < 12 || large < usual*1.39 {
		t.Errorf("names are %.1f px, with large text %.1f; want 1.4 times as much", usual, large)
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
