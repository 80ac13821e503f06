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

// BenchmarkPace logs how fast the page is there and how fast a take is drawn, by the page's own
// counters: the figures of game/BENCHMARKS.md.
func BenchmarkPace(b *testing.B) {
	address := served(b)
	d, err := drill.Build(drill.Spec{ID: practised})
	if err != nil {
		b.Fatal(err)
	}
	sound := synth.Render(48000, d.Seconds, player.Notes(d, player.Faults{}), 3)
	for size, at := range map[string]chromedp.Action[chromedp.Void]{"phone": portrait(2), "laptop": laptop()} {
		// Each in turn, so that the browser of one is gone before the other's is measured.
		b.Run(size, func(b *testing.B) {
			page := start(b, fakeMicrophone(b, 48000, sound))
			run1(page, at)
			run1(page, chromedp.Navigate(address))
			page.there("start")
			b.ReportMetric(ask[float64](page, "performance.now()")/1000, "s-to-first-screen")
			b.ReportMetric(stillCost(), "processors-still")
			page.firstRun()
			page.press("level-" + practised)
			page.press("play")
			page.there("again")
			page.press("back")
			page.press("settings")
			b.Log(page.words("drawing"))
			b.ReportMetric(0, "ns/op") // that of one whole run tells nothing
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
