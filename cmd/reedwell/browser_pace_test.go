//go:build browser

package main

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// TestPace logs how fast the page is there and how fast a take is drawn, by the page's own
// counters: the figures of game/BENCHMARKS.md. Nothing is asserted by the clock.
func TestPace(t *testing.T) {
	address := served(t)
	d, err := drill.Build(drill.Spec{ID: practised})
	if err != nil {
		t.Fatal(err)
	}
	sound := synth.Render(48000, d.Seconds, player.Notes(d, player.Faults{}), 3)
	for _, size := range []string{"phone", "laptop"} {
		b := start(t, fakeMicrophone(t, 48000, sound))
		if size == "phone" {
			run1(b, phone())
		} else {
			run1(b, laptop())
		}
		run1(b, chromedp.Navigate(address))
		b.there("start")
		t.Logf("%s: the first screen is there %.1f s after the page was asked for; it weighs %.2f MB", size,
			ask[float64](b, "performance.now()")/1000,
			ask[float64](b, "[...performance.getEntriesByType('resource'), ...performance.getEntriesByType('navigation')].reduce((n, e) => n + e.encodedBodySize, 0)")/1e6)
		b.firstRun()
		b.press("level-" + practised)
		b.press("play")
		b.there("again")
		b.press("back")
		b.press("settings")
		b.there("drawing")
		words := b.words("drawing")
		t.Logf("%s: %s", size, words)
		if !strings.Contains(words, "In your last take it drew") || !strings.Contains(words, "Your last press was seen after") {
			t.Errorf("it says %q, want the figures of a take and of a press", words)
		}
	}
}
