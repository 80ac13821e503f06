//go:build browser

package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

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
	for size, at := range map[string]chromedp.Action[chromedp.Void]{"phone": phone(), "laptop": laptop()} {
		// A test of its own, so that its browser is gone before the other's is measured.
		t.Run(size, func(t *testing.T) {
			b := start(t, fakeMicrophone(t, 48000, sound))
			run1(b, at)
			run1(b, chromedp.Navigate(address))
			b.there("start")
			shown := ask[float64](b, "performance.now()") / 1000
			t.Logf("a screen on which nothing moves costs %.2f s of processor time a second", stillCost())
			t.Logf("the first screen is there %.1f s after the page was asked for; it weighs %.2f MB", shown,
				ask[float64](b, "[...performance.getEntriesByType('resource'), ...performance.getEntriesByType('navigation')].reduce((n, e) => n + e.encodedBodySize, 0)")/1e6)
			b.firstRun()
			b.press("level-" + practised)
			b.press("play")
			b.there("again")
			b.press("back")
			b.press("settings")
			b.there("drawing")
			words := b.words("drawing")
			t.Log(words)
			if !strings.Contains(words, "In your last take it drew") || !strings.Contains(words, "Your last press was seen after") {
				t.Errorf("it says %q, want the figures of a take and of a press", words)
			}
		})
	}
}

// stillCost is the processor time a second, in seconds, of all programs that this one has started, the browser, as Linux counts it.
func stillCost() float64 {
	const settle, watched = 3 * time.Second, 5 * time.Second
	time.Sleep(settle)
	before := startedCost()
	time.Sleep(watched)
	return (startedCost() - before) / watched.Seconds()
}

// startedCost is the processor time, in seconds, of all programs that this one has started and that still run.
func startedCost() float64 {
	const ticks = 100 // a second: USER_HZ of proc(5), the same on every architecture that runs here
	started, cost := map[string][]string{}, map[string]float64{}
	files, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended meanwhile
		}
		text := string(data)
		f := strings.Fields(text[strings.LastIndex(text, ")")+1:]) // from its state on, the third of the file's
		user, _ := strconv.Atoi(f[11])
		system, _ := strconv.Atoi(f[12])
		id := filepath.Base(filepath.Dir(file))
		started[f[1]] = append(started[f[1]], id)
		cost[id] = float64(user+system) / ticks
	}
	sum := 0.0
	for queue := started[strconv.Itoa(os.Getpid())]; len(queue) > 0; queue = queue[1:] {
		sum += cost[queue[0]]
		queue = append(queue, started[queue[0]]...)
	}
	return sum
}
