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

// The text of an area is sent with each version of it and not with every letter typed; a page
// of paper is sent when it is new, and again when it comes back.
func TestWhatIsLargeIsSentOnce(t *testing.T) {
	var r Mirror
	seconds := 0.0
	next := func(s screen.Screen) []item {
		t.Helper()
		seconds++
		text, changed := r.Next(s, 500, even{}, seconds)
		if !changed {
			return nil
		}
		var got page
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatal(err)
		}
		return got.Items
	}
	write := func(text string, version int) screen.Screen {
		return screen.Screen{Name: "write", Items: []screen.Item{{ID: "text", Role: screen.Area, Label: "The lesson", Value: text,
			Writing: &screen.Writing{Version: version, Lines: 10, Line: 3, Column: 4, Sent: version}}}}
	}
	first := next(write("one", 0))
	if first[0].Value != "one" || first[0].Fixed || first[0].Box <= 0 {
		t.Fatalf("a new area = %+v", first[0])
	}
	if got := next(write("one typed", 0)); got != nil {
		t.Errorf("what was typed comes back: %+v", got)
	}
	if got := next(write("two", 1)); got == nil || got[0].Value != "two" || got[0].Version == first[0].Version || got[0].Sent != 1 || got[0].Line != 3 {
		t.Errorf("another version = %+v", got)
	}
	paper := func(name, svg string) screen.Screen {
		return screen.Screen{Name: name, Items: []screen.Item{{ID: "page-1", Role: screen.Image, Label: "Page 1", Picture: &screen.Picture{Width: 1, Height: 1, SVG: []byte(svg)}}}}
	}
	a := paper("sheet", "<svg>a</svg>")
	if got := next(a); got == nil || got[0].SVG != "<svg>a</svg>" {
		t.Errorf("a new page = %+v", got)
	}
	b := a
	b.Title = "another title"
	if got := next(b); got == nil || got[0].SVG != "" {
		t.Errorf("a page that is there already = %+v", got)
	}
	if got := next(paper("sheet", "<svg>b</svg>")); got == nil || got[0].SVG != "<svg>b</svg>" {
		t.Errorf("another page = %+v", got)
	}
	if got := next(write("two", 1)); got == nil || got[0].Value != "two" {
		t.Errorf("an area that comes back = %+v", got)
	}
	if got := next(a); got == nil || got[0].SVG != "<svg>a</svg>" {
		t.Errorf("a page that comes back = %+v", got)
	}
}
