//go:build browser

package main

import (
	"bytes"
	"context"
	"fmt"
	"image/color"
	"image/png"
	"slices"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// fingers notes with what was pressed, and on which item.
const fingers = `window.pointers = new Set(); window.touched = "";
	window.addEventListener("pointerup", (e) => pointers.add(e.pointerType), true);
	window.addEventListener("click", (e) => { touched = e.target.closest?.("[id^=item-]")?.id ?? "nothing"; }, true);`

// tap touches an item in its middle with a finger, lets go, and waits until the page has drawn what came of it. Where the layout
// moves away under the finger, as when a notice comes up, it is touched again.
func (b tab) tap(id string) {
	b.Helper()
	b.there(id)
	for range 3 {
		at := ask[[]float64](b, `(() => { touched = ""; const e = document.getElementById("item-`+id+`"); e.scrollIntoView({block: "center"});
			const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
		run1(b, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: at[0], Y: at[1]}}})
			if err == nil {
				_, err = chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}})
			}
			return err
		}))
		b.until("touched: "+id, `touched !== ""`)
		run1(b, chromedp.Evaluate[bool]("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))", chromedp.EvalAwaitPromise))
		if ask[string](b, "touched") == "item-"+id {
			return
		}
	}
	b.Fatalf("a finger on %s comes down on %s", id, ask[string](b, "touched"))
}

// white is the share of a picture that is pure white: the look has no such colour, only the pages of a sheet have.
func white(t *testing.T, picture []byte) float64 {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		t.Fatal(err)
	}
	size, n := img.Bounds().Size(), 0
	for y := range size.Y {
		for x := range size.X {
			if img.At(x, y) == (color.RGBA{255, 255, 255, 255}) {
				n++
			}
		}
	}
	return float64(n) / float64(size.X*size.Y)
}

// byTouch goes to every screen on a phone with fingers alone. On each the controls are large enough, the keyboard reaches them in
// order, nothing is wider than the window, axe-core finds nothing and no sheet stays on it; while a take runs it is left to run.
func byTouch(t *testing.T, address string) {
	source := axeSource(t)
	b := start(t, silence(t))
	run1(b, phone())
	b.before(fingers)
	run1(b, chromedp.Navigate(address))
	for _, way := range []struct {
		screen string
		taps   []string // from the screen before
		has    string   // an item that only this screen has
		then   string   // what is waited for before it is left; "" nothing
	}{
		{"welcome", nil, "start", ""},
		{"harp", []string{"start"}, "key", ""},
		{"sound", []string{"mic"}, "level", ""},
		{"calibrate", []string{"go-on"}, "measure", ""},
		{"path", []string{"skip"}, "families", ""},
		{"families", []string{"families"}, "family-aim", ""},
		{"drill", []string{"family-aim", "next"}, "tempo", ""},
		{"sing", []string{"sing"}, "how", ""},
		{"steps", []string{"back", "back", "families", "family-single", "next", "step"}, "skip", ""},
		{"take", []string{"back", "play"}, "count", ""},
		{"result", nil, "save-take", ""},
		{"map", []string{"back", "map"}, "stop-single-1", ""},
		{"week", []string{"week"}, "give-link", ""},
		{"class", []string{"class"}, "open-weeks", ""},
		{"harps", []string{"back", "back", "harps"}, "read-harps", ""},
		{"harp-new", []string{"add"}, "add-measure", ""},
		{"pass", []string{"add-measure"}, "begin", ""},
		{"reeds", append([]string{"begin"}, slices.Repeat([]string{"skip"}, 20)...), "done", ""},
		{"settings", []string{"done", "back", "settings"}, "export", ""},
		{"lessons", []string{"back", "lessons"}, "lesson-demo-shoes", ""},
		{"lesson", []string{"lesson-demo-shoes"}, "play-chorus", ""},
		{"sheet", []string{"sheet"}, "save-sheet", ""},
		{"lick", []string{"back", "play-2"}, "tempo", ""},
		{"write", []string{"back", "change"}, "text", ""},
		{"record", []string{"record"}, "start", ""},
		{"room", []string{"back", "back", "back", "room"}, "form", ""},
		{"room-take", []string{"play"}, "leave", `document.getElementById("item-count")?.textContent.startsWith("Bar 2")`},
		{"room-picture", []string{"stop"}, "change", ""},
	} {
		for _, id := range way.taps {
			b.tap(id)
		}
		b.until(way.screen, fmt.Sprintf(`document.getElementById("item-%s") !== null`, way.has))
		b.fits(way.screen)
		if way.screen != "take" && way.screen != "room-take" { // Tab and the checker take longer than these last
			b.reach(way.screen)
			b.axe(source, way.screen)
		}
		if paper := white(t, b.picture(way.screen)); (paper > 0.1) != (way.screen == "sheet") {
			b.Errorf("%s: %.0f %% of the picture is as white as a printed page", way.screen, 100*paper)
		}
		if way.then != "" {
			b.until(way.screen+", gone on", way.then)
		}
	}
	if got := ask[[]string](b, `[...pointers]`); !slices.Equal(got, []string{"touch"}) {
		b.Errorf("pressed with %v, want fingers alone", got)
	}
	b.clean()
}
