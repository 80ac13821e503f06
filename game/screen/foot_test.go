package screen_test

import (
	"math"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
)

// The law of every screen: the one thing to do next is in sight when the screen comes up, on the
// smallest phone and in large text too. Where nothing is primary, what has the keyboard is it.
func TestNextIsInSight(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		id := screentest.Next(s)
		if id == "" {
			t.Fatalf("%s has nothing to do next", s.Name)
		}
		if r := item(s, id).Rect; r.Y < 0 || r.Y+r.H > height {
			t.Errorf("%s ends at %g px, want it in the %g px of the window", id, r.Y+r.H, height)
		}
	})
}

// The foot is at the lower end of the window, holds the one thing to do next and at most one
// more, and hides nothing: all content can be scrolled out from under it.
func TestFootHidesNothing(t *testing.T) {
	eachPlaced(t, func(t *testing.T, s screen.Screen, width, height, content float64, m screen.Measure) {
		in, primary := 0, false
		for _, it := range s.Items {
			r, f := it.Rect, s.Foot
			if !it.Foot {
				if end := r.Y + r.H; end > content-f.H-16 {
					t.Errorf("%s ends at %g px of %g, and the foot is %g high", it.ID, end, content, f.H)
				}
				continue
			}
			in++
			primary = primary || it.ID == screentest.Next(s)
			if r.X < 16 || r.X+r.W > width-16 || r.Y < f.Y+8 || r.Y+r.H > f.Y+f.H-8 {
				t.Errorf("%s at %v is not inside the foot, %v", it.ID, r, f)
			}
		}
		if f := s.Foot; f.H > 0 && (math.Abs(f.Y+f.H-height) > 1e-9 || f.W != width || f.H > height/3) {
			t.Errorf("the foot is %v in a window of %g by %g", f, width, height)
		}
		if (s.Foot.H > 0) != (in > 0) || in > 2 || in > 0 && !primary {
			t.Errorf("%d items in a foot %g px high, the one to do next among them: %v", in, s.Foot.H, primary)
		}
	})
}

// Of a drill on a phone playing and hearing stand in the foot, side by side; beside a chart on a
// laptop they have their place and there is no foot.
func TestPlayStandsInTheFootOfAPhone(t *testing.T) {
	m := paint.NewFonts()
	for _, look := range []screen.Look{{}, {Large: true}} {
		s := screentest.Drill()
		s.Look = look
		phone, _ := screen.Place(s, 360, 640, m)
		play, hear := item(phone, "play"), item(phone, "hear")
		if !play.Foot || !hear.Foot || play.Rect.Y != hear.Rect.Y || play.Rect.Y < 500 {
			t.Errorf("large %v: play at %v, hear at %v, want both in the foot", look.Large, play.Rect, hear.Rect)
		}
		if laptop, _ := screen.Place(s, 1280, 1600, m); laptop.Foot.H != 0 || item(laptop, "play").Foot {
			t.Errorf("large %v: there is a foot where everything has room: %v", look.Large, laptop.Foot)
		}
	}
}

// What is in the foot is pressed where it is seen, however far the content is scrolled; what is
// scrolled under it is not.
func TestFootIsPressedWhereItIsSeen(t *testing.T) {
	m := paint.NewFonts()
	s, content := screen.Place(screentest.Drill(), 360, 640, m)
	play := item(s, "play").Rect
	for _, scroll := range []float64{0, 77, content} {
		d := screen.Desk{}
		d, _ = d.Step(s, content, 640, screen.Hand{Wheel: scroll})
		press := func(x, y float64) []screen.Action {
			d, _ = d.Step(s, content, 640, screen.Hand{X: x, Y: y, Down: true})
			var out []screen.Action
			d, out = d.Step(s, content, 640, screen.Hand{X: x, Y: y})
			return out
		}
		want(t, press(play.X+play.W/2, play.Y+play.H/2), screen.Action{ID: "play"})
		want(t, press(4, play.Y+play.H/2))
	}
}

// An item that gets the keyboard is scrolled out from under the foot: WCAG 2.2, 2.4.11.
func TestKeyboardIsNotUnderTheFoot(t *testing.T) {
	m := paint.NewFonts()
	s, content := screen.Place(screentest.Drill(), 360, 640, m)
	d := screen.Desk{}
	for range len(s.Items) {
		d, _ = d.Step(s, content, 640, screen.Hand{Keys: []screen.Key{screen.NextKey}})
		it := item(s, d.Focus)
		if it.Foot {
			continue
		}
		if top, end := it.Rect.Y-d.Scroll, it.Rect.Y+it.Rect.H-d.Scroll; top < 0 || end > s.Foot.Y {
			t.Errorf("%s has the keyboard at %g to %g px, and the foot begins at %g", it.ID, top, end, s.Foot.Y)
		}
	}
}
