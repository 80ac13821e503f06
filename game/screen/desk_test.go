package screen_test

import (
	"reflect"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/screen/screentest"
)

// desk is a placed settings screen with a Desk that acts on it.
type desk struct {
	t       *testing.T
	s       screen.Screen
	content float64
	d       screen.Desk
}

const windowHeight = 860 // the sample is higher, and what the tests press is not under the foot

func newDesk(t *testing.T) *desk {
	s, content := screen.Place(screentest.All(screen.Look{})[0], 360, windowHeight, paint.NewFonts())
	return &desk{t: t, s: s, content: content}
}

func (d *desk) step(h screen.Hand) []screen.Action {
	var out []screen.Action
	d.d, out = d.d.Step(d.s, d.content, windowHeight, h)
	return out
}

func (d *desk) keys(k ...screen.Key) []screen.Action { return d.step(screen.Hand{Keys: k}) }

func (d *desk) item(id string) *screen.Item {
	for i := range d.s.Items {
		if d.s.Items[i].ID == id {
			return &d.s.Items[i]
		}
	}
	d.t.Fatalf("no item %s", id)
	return nil
}

func want(t *testing.T, got []screen.Action, actions ...screen.Action) {
	t.Helper()
	if len(got) == 0 && len(actions) == 0 {
		return
	}
	if !reflect.DeepEqual(got, actions) {
		t.Errorf("actions %+v, want %+v", got, actions)
	}
}

func TestTabReachesEverythingAndComesRound(t *testing.T) {
	d := newDesk(t)
	d.step(screen.Hand{})
	if d.d.Focus != "key" {
		t.Fatalf("the first focus is %q, want the screen's, key", d.d.Focus)
	}
	// Of the two choices Tab stops at the chosen one.
	for _, id := range []string{"tuning", "a4", "out-phones", "large", "still", "name", "import", "mic", "back", "key"} {
		d.keys(screen.NextKey)
		if d.d.Focus != id {
			t.Fatalf("Tab came to %q, want %s", d.d.Focus, id)
		}
		r := d.item(id).Rect
		if r.Y < d.d.Scroll || r.Y+r.H > d.d.Scroll+windowHeight {
			t.Errorf("%s at %v is out of sight, scrolled to %g", id, r, d.d.Scroll)
		}
	}
	d.keys(screen.BeforeKey)
	if d.d.Focus != "back" {
		t.Errorf("Shift-Tab came to %q, want back", d.d.Focus)
	}
}

func TestKeysWorkEachControl(t *testing.T) {
	for _, tt := range []struct {
		on   string
		key  screen.Key
		want []screen.Action
	}{
		{"mic", screen.EnterKey, []screen.Action{{ID: "mic"}}},
		{"mic", screen.SpaceKey, []screen.Action{{ID: "mic"}}},
		{"mic", screen.EscapeKey, []screen.Action{{ID: "back"}}},
		{"large", screen.SpaceKey, []screen.Action{{ID: "large", On: false}}},
		{"still", screen.SpaceKey, []screen.Action{{ID: "still", On: true}}},
		{"out-phones", screen.DownKey, []screen.Action{{ID: "out-speaker", On: true}}},
		{"out-phones", screen.UpKey, []screen.Action{{ID: "out-speaker", On: true}}}, // round
		{"key", screen.DownKey, []screen.Action{{ID: "key", Value: "A"}}},
		{"key", screen.UpKey, nil},
		{"key", screen.EndKey, []screen.Action{{ID: "key", Value: "C"}}},
		{"a4", screen.RightKey, []screen.Action{{ID: "a4", Now: 443}}},
		{"a4", screen.HomeKey, []screen.Action{{ID: "a4", Now: 430}}},
		{"a4", screen.PageUpKey, []screen.Action{{ID: "a4", Now: 444}}},
		{"name", screen.RuboutKey, []screen.Action{{ID: "name", Value: "Tuesday's lic"}}},
	} {
		d := newDesk(t)
		d.step(screen.Hand{})
		d.d.Focus = tt.on
		want(t, d.keys(tt.key), tt.want...)
	}
	d := newDesk(t)
	d.step(screen.Hand{})
	d.d.Focus = "name"
	want(t, d.step(screen.Hand{Text: "!"}), screen.Action{ID: "name", Value: "Tuesday's lick!"})
}

func (d *desk) at(id string, part float64) screen.Hand {
	r := d.item(id).Rect
	return screen.Hand{X: r.X + part*r.W, Y: r.Y + r.H/2 - d.d.Scroll}
}

func TestPointerPressesWhereItLetsGo(t *testing.T) {
	d := newDesk(t)
	d.step(screen.Hand{})
	press := func(h screen.Hand) screen.Hand { h.Down = true; return h }
	want(t, d.step(press(d.at("still", 0.5))))
	if d.d.Pressed != "still" || d.d.Ring {
		t.Errorf("pressed %q, ring %v; want still, no ring", d.d.Pressed, d.d.Ring)
	}
	want(t, d.step(d.at("still", 0.5)), screen.Action{ID: "still", On: true})
	// Let go elsewhere: nothing.
	want(t, d.step(press(d.at("still", 0.5))))
	want(t, d.step(d.at("large", 0.5)))
	// The halves of a select.
	want(t, d.step(press(d.at("key", 0.9))))
	want(t, d.step(d.at("key", 0.9)), screen.Action{ID: "key", Value: "A"})
	// A slider follows the pointer.
	r := d.item("a4").Rect
	h := press(d.at("a4", 0))
	h.X = r.X + screen.SliderEdge + 0.75*(r.W-2*screen.SliderEdge)
	want(t, d.step(h), screen.Action{ID: "a4", Now: 445})
}

func TestFingerScrolls(t *testing.T) {
	d := newDesk(t)
	d.step(screen.Hand{})
	h := d.at("still", 0.5)
	h.Down, h.Finger = true, true
	d.step(h)
	h.Y -= 8
	d.step(h) // a trembling finger
	if d.d.Scroll != 0 || d.d.Pressed != "still" {
		t.Errorf("scrolled to %g, pressed %q; want 0, still", d.d.Scroll, d.d.Pressed)
	}
	h.Y -= 92
	d.step(h)
	if d.d.Scroll != 100 {
		t.Errorf("scrolled to %g after a drag of 100 px", d.d.Scroll)
	}
	h.Down = false
	want(t, d.step(h)) // and presses nothing
	d.step(screen.Hand{Wheel: 1e6})
	if d.d.Scroll != d.content-windowHeight {
		t.Errorf("scrolled to %g, want the end, %g", d.d.Scroll, d.content-windowHeight)
	}
	d.step(screen.Hand{Wheel: -1e6})
	if d.d.Scroll != 0 {
		t.Errorf("scrolled to %g, want 0", d.d.Scroll)
	}
}

func TestNothingDisabledActs(t *testing.T) {
	d := newDesk(t)
	d.item("mic").Disabled = true
	d.step(screen.Hand{})
	d.d.Focus = "mic"
	want(t, d.keys(screen.EnterKey))
	h := d.at("mic", 0.5)
	h.Down = true
	d.step(h)
	h.Down = false
	want(t, d.step(h))
}

func TestDroppedFileGoesToItsItem(t *testing.T) {
	d := newDesk(t)
	want(t, d.step(screen.Hand{Files: []screen.Dropped{{Name: "progress", Bytes: []byte("x")}}}),
		screen.Action{ID: "import", Name: "progress", Bytes: []byte("x")})
}

// A File item that is pressed, by key or pointer, asks for a file once and acts on nothing.
func TestFileAsksForAFile(t *testing.T) {
	d := newDesk(t)
	d.step(screen.Hand{})
	d.d.Focus = "import"
	for _, k := range []screen.Key{screen.EnterKey, screen.SpaceKey} {
		want(t, d.keys(k))
		if d.d.Asked != "import" {
			t.Errorf("key %v asks for %q, want import", k, d.d.Asked)
		}
		d.step(screen.Hand{})
		if d.d.Asked != "" {
			t.Errorf("asked again for %q", d.d.Asked)
		}
	}
	d.step(screen.Hand{Wheel: 1e6})
	h := d.at("import", 0.5)
	h.Down = true
	d.step(h)
	h.Down = false
	want(t, d.step(h))
	if d.d.Asked != "import" {
		t.Errorf("a click asks for %q, want import", d.d.Asked)
	}
}
