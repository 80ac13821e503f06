//go:build browser

package main

import (
	"encoding/base64"
	"encoding/json"
	"math"
	"testing"
	"time"

	"reedwell/audio/audiotest"
)

// TestBrowserRoundTrip measures the delay twice in a room where the microphone hears the
// loudspeaker. A slip of the output on a busy computer changes the delay for real; a run
// with one proves nothing and is done again.
func TestBrowserRoundTrip(t *testing.T) {
	if !inRoom(t, "chromium") {
		return
	}
	b := browse(t, served(t), map[string]any{"use-fake-ui-for-media-stream": true})
	b.press("start")
	b.press("out-speaker")
	b.press("mic")
	b.press("go-on")
	for range 3 {
		first := b.measured()
		b.shot("measured")
		second := b.measured()
		t.Logf("round trips %.2f and %.2f ms", 1000*first, 1000*second)
		if first <= 0 || first > 0.6 {
			t.Errorf("round trip %.1f ms, want one between 0 and 600", 1000*first)
		}
		if math.Abs(first-second) <= 0.002 {
			return
		}
	}
	t.Error("in three runs the second round trip was never within 2 ms of the first")
}

// measured presses Measure and returns the round trip that is stored, in seconds.
func (b tab) measured() float64 {
	b.Helper()
	b.press("measure")
	b.there("hush")
	b.until("measured", `document.getElementById("item-measure")`)
	b.there("delay")
	text := ask[string](b, `localStorage.getItem("reedwell/settings")`)
	data, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		b.Fatal(err)
	}
	var settings struct {
		Delays map[string]struct{ Seconds float64 }
	}
	if err := json.Unmarshal(data, &settings); err != nil || len(settings.Delays) != 1 {
		b.Fatalf("stored settings %s, error %v; want one delay", data, err)
	}
	for _, d := range settings.Delays {
		return d.Seconds
	}
	return 0
}

// inRoom reports true inside a sound server whose input hears its output, and else runs the test there.
func inRoom(t *testing.T, programs ...string) bool {
	t.Helper()
	return audiotest.InRoom(t, "../../audio/device/testdata/looped-sound", 8*time.Minute, programs...)
}
