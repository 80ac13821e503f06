//go:build browser

package main

import (
	"fmt"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// choose sets a control to a value, as the player's hand does.
func (b tab) choose(id, value, event string) {
	b.Helper()
	b.there(id)
	ask[bool](b, fmt.Sprintf(`(() => { const e = document.getElementById("item-%s"); e.value = %q; e.dispatchEvent(new Event(%q)); return true; })()`, id, value, event))
}

// TestBrowserTwelveBarRoom plays half a chorus through the microphone and sees the picture. The file begins when the browser opens its device, so nobody knows where in the bar its notes fall;
// what they are is known.
func TestBrowserTwelveBarRoom(t *testing.T) {
	s := built(t)
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	address := server.URL + "/"
	bars := strolled(t)
	var file []float32
	for range 6 {
		file = append(file, bars...)
	}
	b := browse(t, address, fakeMicrophone(t, 48000, file))
	b.press("start")
	b.choose("key", "A", "change")
	b.press("mic")
	b.press("go-on")
	b.press("skip")
	b.there("next")
	b.press("room")
	b.there("play")
	b.reach("room")
	b.choose("form", "Quick change", "change")
	b.choose("feel", "Straight", "change")
	b.choose("tempo", "120", "input")
	b.until("the quick change", `document.getElementById("item-chart")?.getAttribute("aria-label").startsWith("12 bars: E7; A7; E7; E7; A7")`)
	b.axe(axeSource(t), "room")
	b.shot("room")
	b.press("play")
	b.until("playing", `document.getElementById("item-count")?.textContent.startsWith("Bar 3 of 12: E7, next A7")`)
	if said := ask[string](b, `document.getElementById("status").textContent`); said != "" {
		b.Errorf("%q is said in a take, where the microphone hears it", said)
	}
	b.reach("room-take")
	b.shot("room-take")
	b.until("half a chorus", `document.getElementById("item-count")?.textContent.startsWith("Bar 7 of 12")`)
	b.press("stop")
	b.there("said-1")
	heard := ask[string](b, `[...document.querySelectorAll("[id^=item-bar-]")].map((e) => e.textContent).join("\n")`)
	tabs := regexp.MustCompile(`[-+][0-9]+'*`).FindAllString(heard, -1)
	for _, tab := range tabs {
		if !slices.Contains([]string{"-2", "-3'", "-3", "-4", "+4", "-5"}, tab) {
			b.Errorf("%s was not played", tab)
		}
	}
	if !strings.HasPrefix(heard, "Bar 1, E7: ") || len(tabs) < 5 { // of one every 0.83 s, with a pause between the turns
		b.Errorf("of six bars of playing there are %d notes:\n%s", len(tabs), heard)
	}
	if got := ask[string](b, `document.getElementById("item-columns").getAttribute("aria-label")`); !strings.Contains(got, "note") {
		b.Errorf("the columns are called %q", got)
	}
	b.reach("room-picture")
	b.axe(axeSource(t), "room-picture")
	b.shot("room-picture")
	downloads := b.downloads()
	b.press("save-take")
	take := filepath.Join(downloads, "reedwell-room.wav")
	saved(take)
	sound, err := readWAV(take)
	if err != nil {
		t.Fatal(err)
	}
	if s := sound.Seconds(); s < 13 || s > 20 { // a bar of count-in and six bars at two seconds each, and what a press takes
		t.Errorf("the take lasts %.1f s", s)
	}
	b.press("hear-own")
	b.until("heard again", `document.getElementById("item-replay-what").textContent.startsWith("Listen")`)
	b.press("hear-stop")
	run1(b, chromedp.EmulateViewport(360, 640)) // as wide as a small phone, at the same zoom
	b.until("nothing wider than the window", `innerWidth < 400 && [...document.querySelectorAll("#content [data-item]")].every((e) => e.getBoundingClientRect().right <= innerWidth)`)
	b.shot("room-picture-phone")
	b.press("change")
	b.there("play")
	b.shot("room-phone")
	b.press("play")
	b.until("playing again", `document.getElementById("item-count")?.textContent.startsWith("Bar 2")`)
	b.shot("room-take-phone")
	b.press("leave")
	b.there("play")
	b.press("back")
	b.there("next")
	b.clean()
}
