package mirror

import (
	"encoding/json"
	"strings"
	"testing"

	"reedwell/game/screen"
)

// even measures every letter as half its size.
type even struct{}

func (even) Width(text string, size float64, bold bool) float64 {
	return float64(len(text)) * size / 2
}

func sample() screen.Screen {
	return screen.Screen{Name: "drill", Title: "A drill", Focus: "go", Items: []screen.Item{
		{ID: "title", Role: screen.Heading, Style: screen.Title, Label: "A drill"},
		{ID: "key", Role: screen.Select, Label: "Key", Options: []string{"C", "A"}, Value: "A", Rect: screen.Rect{X: 1, Y: 2, W: 300, H: 80}},
		{ID: "level", Role: screen.Meter, Label: "Level", Min: -60, Now: -20, Unit: "dB", Rect: screen.Rect{X: 1, Y: 90, W: 300, H: 40}},
		{ID: "comb", Role: screen.CombView, Label: "Holes"},
		{ID: "go", Role: screen.Button, Style: screen.Primary, Label: "Go"},
	}, Comb: &screen.Comb{}}
}

func TestEveryItemIsDescribed(t *testing.T) {
	text, changed := new(Mirror).Next(sample(), 500.2, even{}, 0)
	if !changed {
		t.Fatal("the first screen is not shown")
	}
	var got page
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if got.Name != "drill" || got.Title != "A drill" || got.Focus != "go" || got.Height != 501 || len(got.Items) != 5 {
		t.Fatalf("got %+v", got)
	}
	key := got.Items[1]
	if key.Role != screen.Select || key.Value != "A" || len(key.Options) != 2 || key.Rect.W != 300 {
		t.Errorf("select = %+v", key)
	}
	if key.Box <= 0 || key.Box >= key.Rect.H {
		t.Errorf("the box of the select begins %g below its top, want within its %g", key.Box, key.Rect.H)
	}
	if got.Items[3].Role != screen.CombView || got.Items[3].Label != "Holes" {
		t.Errorf("picture = %+v", got.Items[3])
	}
}

func TestOnlyChangesAreSent(t *testing.T) {
	var r Mirror
	s := sample()
	send := func(what string, seconds float64, want bool) {
		t.Helper()
		text, changed := r.Next(s, 500, even{}, seconds)
		if changed != want || changed != strings.HasPrefix(text, "{") {
			t.Errorf("%s at %g s: sent %v, want %v", what, seconds, changed, want)
		}
	}
	send("the first", 0, true)
	send("the same", 1, false)
	s.Comb.Beads = []screen.Bead{{Strength: 1}}
	s.Chart = &screen.Chart{Trace: []screen.TracePoint{{Beat: 1}}}
	send("a bead and a trace", 2, false)
	s.Items[2].Now = -10
	send("a level", 3, true)
	s.Items[2].Now = -11
	send("a level at once after another", 3.01, false)
	send("what was held back", 3.1, true)
	s.Name = "result"
	send("another screen at once", 3.11, true)
}
