//go:build browser

package device_test

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"reedwell/audio/audiotest"
	"reedwell/audio/device"
	"reedwell/audio/wav"
)

// policy is what the page is served with: nothing inline, nothing evaluated.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"

// site serves the probe page.
func site(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	build := exec.Command("go", "build", "-o", filepath.Join(dir, "probe.wasm"), "./internal/probe")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", build, err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{
		"/":             "internal/probe/index.html",
		"/hold.js":      "internal/probe/hold.js",
		"/start.js":     "internal/probe/start.js",
		"/duplex.js":    "../../web/duplex.js",
		"/wasm_exec.js": filepath.Join(strings.TrimSpace(string(root)), "lib/wasm/wasm_exec.js"),
		"/probe.wasm":   filepath.Join(dir, "probe.wasm"),
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name, ok := files[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Security-Policy", policy)
		http.ServeFile(w, r, name)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

// browser starts Chromium with the flags and opens the probe page.
func browser(t *testing.T, url string, flags map[string]any, environment ...string) context.Context {
	t.Helper()
	audiotest.Need(t, "chromium")
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"),
		chromedp.Env(environment...),
		// The driver hides what throttling does and mutes; a player's browser does neither.
		chromedp.Flag("disable-background-timer-throttling", false),
		chromedp.Flag("disable-renderer-backgrounding", false),
		chromedp.Flag("disable-backgrounding-occluded-windows", false),
		chromedp.Flag("mute-audio", false),
		chromedp.Flag("use-angle", "swiftshader"),
		chromedp.Flag("enable-unsafe-swiftshader", true),
	)
	if os.Getuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	for name, value := range flags {
		options = append(options, chromedp.Flag(name, value))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	run(t, ctx, chromedp.Navigate(url))
	run(t, ctx, chromedp.Poll[bool]("window.probe !== undefined"))
	return ctx
}

func run[T any](t *testing.T, ctx context.Context, a chromedp.Action[T]) T {
	t.Helper()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func do(t *testing.T, ctx context.Context, script string) {
	t.Helper()
	run(t, ctx, chromedp.Evaluate[chromedp.Void]("void "+script))
}

// ask evaluates a call of the probe and decodes its JSON.
func ask[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	text := run(t, ctx, chromedp.Evaluate[string](script))
	var v T
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatalf("%s = %q: %v", script, text, err)
	}
	return v
}

type status struct {
	State, Err     string
	Fault          device.Fault
	Info           device.Info
	First, Now     int64
	Frames, Late   int64
	Slip           int64
	Gaps           []int64
	Hidden         bool
	Blocks, Inputs int
}

// until asks for the status until it is as wanted.
func until(t *testing.T, ctx context.Context, what string, ok func(status) bool) status {
	t.Helper()
	var s status
	for range 200 {
		if s = ask[status](t, ctx, "probe.status()"); ok(s) {
			return s
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("not %s after 10 s: %+v", what, s)
	return s
}

func running(s status) bool { return s.State == "running" }

func faultIs(f device.Fault) func(status) bool {
	return func(s status) bool { return s.State == "failed" && s.Fault == f }
}

// fakeMicrophone is Chromium's device that plays a file, heard once from when it is opened.
func fakeMicrophone(t *testing.T, rate int, samples []float32) map[string]any {
	t.Helper()
	name := filepath.Join(t.TempDir(), "microphone.wav")
	if err := os.WriteFile(name, wav.Bytes(rate, samples), 0o666); err != nil {
		t.Fatal(err)
	}
	return map[string]any{
		"use-fake-device-for-media-stream": true,
		"use-fake-ui-for-media-stream":     true,
		"use-file-for-fake-audio-capture":  name + "%noloop",
	}
}

func TestBrowserCapture(t *testing.T) {
	// 2 s of silence, since the start of the file is lost while the graph starts, then ten
	// clicks half a second apart.
	const rate = 44100
	file := make([]float32, 8*rate)
	for k := range 10 {
		for i := range 4 { // four samples, so that resampling leaves it loud
			file[2*rate+k*rate/2+i] = 0.9
		}
	}
	ctx := browser(t, site(t), fakeMicrophone(t, rate, file))
	run(t, ctx, chromedp.Click("#open"))
	s := until(t, ctx, "running", running)
	if s.Info.Rate < 16000 || s.Info.InputLabel == "" || s.Info.InputID == "" || s.Info.Key == "" {
		t.Errorf("Info = %+v, want rate, label, ID and key", s.Info)
	}
	if s.Info.EchoCancellation || s.Info.NoiseSuppression || s.Info.AutoGain {
		t.Errorf("Info = %+v, want all processing off", s.Info)
	}
	if s.First <= 0 {
		t.Errorf("first frame = %d, want one after the start of the context", s.First)
	}
	s = until(t, ctx, "heard to the end", func(s status) bool { return s.Frames > int64(7*s.Info.Rate) })
	if len(s.Gaps) != 0 {
		t.Errorf("gaps = %v in %d blocks, want none", s.Gaps, s.Blocks)
	}
	if s.First+s.Frames != s.Now {
		t.Errorf("first %d + frames %d = %d, want Now = %d", s.First, s.Frames, s.First+s.Frames, s.Now)
	}
	clicks := ask[[]int64](t, ctx, "probe.clicks()")
	if len(clicks) != 10 {
		t.Fatalf("heard clicks at %v, want 10", clicks)
	}
	// Exact where the context runs at the file's rate; a frame of rounding where it is resampled.
	allow := int64(1)
	if s.Info.Rate == rate {
		allow = 0
	}
	for i := 1; i < len(clicks); i++ {
		inPlace(t, clicks[i-1], clicks[i], s.Info.Rate, allow)
	}
	t.Logf("rate %d, input %d, clicks %v, output latency %.3f s", s.Info.Rate, s.Info.InputRate, clicks, s.Info.OutputLatency)
	if bad := ask[[]string](t, ctx, "JSON.stringify(violations)"); len(bad) != 0 {
		t.Errorf("violations of the content security policy: %v", bad)
	}
	if s.Inputs == 0 {
		t.Error("no inputs are listed")
	}
	do(t, ctx, "probe.close()")
	if s := ask[status](t, ctx, "probe.status()"); s.State != "closed" || s.Err != "" {
		t.Errorf("after Close: %+v, want closed without error", s)
	}
}

// TestBrowserBusyPage stops the page for longer than the worklet has buffers: what is lost
// must be counted to the frame, and the clicks after it keep their places.
func TestBrowserBusyPage(t *testing.T) {
	const rate = 44100
	file := make([]float32, 9*rate)
	for k := range 14 {
		for i := range 4 {
			file[rate+k*rate/2+i] = 0.9
		}
	}
	ctx := browser(t, site(t), fakeMicrophone(t, rate, file))
	do(t, ctx, `probe.open("", 0)`)
	until(t, ctx, "three seconds in", func(s status) bool { return s.Frames > int64(3*s.Info.Rate) })
	do(t, ctx, "(() => { const t = performance.now(); while (performance.now() - t < 1000); })()")
	s := until(t, ctx, "heard to the end", func(s status) bool { return s.Frames > int64(15*s.Info.Rate/2) })
	lost := int64(0)
	for _, g := range s.Gaps {
		lost += g
	}
	if most := int64(s.Info.Rate); lost < most/4 || lost > most {
		t.Errorf("lost %d frames in a second's pause, want between %d and %d: a third of a second is buffered", lost, most/4, most)
	}
	if s.First+s.Frames != s.Now {
		t.Errorf("first %d + frames with gaps %d = %d, want Now = %d", s.First, s.Frames, s.First+s.Frames, s.Now)
	}
	if s.State != "running" {
		t.Errorf("state = %s (%s), want running: the page paused, not the device", s.State, s.Err)
	}
	clicks := ask[[]int64](t, ctx, "probe.clicks()")
	if len(clicks) < 8 {
		t.Fatalf("heard clicks at %v, want 8 or more of 14", clicks)
	}
	allow := int64(1) // of resampling
	if s.Info.Rate == rate {
		allow = 0
	}
	for _, c := range clicks {
		inPlace(t, clicks[0], c, s.Info.Rate, allow)
	}
}

// inPlace wants a click to lie a multiple of half a second after another, give or take some frames of resampling. On a busy computer Chromium's
// microphone leaves out or puts in whole buffers of 10 ms before the page is reached: with a ramp for its file and the processors kept busy it did in
// 4 of 16 runs, always by a multiple of 441 frames at 44.1 kHz. That is not what is tested here: frames that the page lost and did not count, or counted and did not
// lose, come in quanta of 128, 441 of which, 1.28 s, are the least that whole buffers make up.
func inPlace(t *testing.T, from, click int64, rate int, allow int64) {
	t.Helper()
	half, buffer := int64(rate/2), int64(rate/100)
	off := (click-from+half/2)%half - half/2
	rest := (off + half) % buffer // half a second is whole buffers
	switch {
	case off >= -allow && off <= allow:
	case rest <= allow || rest >= buffer-allow:
		t.Logf("click at %d: the microphone stumbled by %d frames", click, off)
	default:
		t.Errorf("click at %d, %d frames after the one at %d, want a multiple of %d +-%d", click, click-from, from, half, allow)
	}
}

func TestBrowserLate(t *testing.T) {
	ctx := browser(t, site(t), fakeMicrophone(t, 48000, make([]float32, 48000)))
	do(t, ctx, `probe.open("", 0)`)
	until(t, ctx, "running", running)
	do(t, ctx, "probe.play(-48000)")
	until(t, ctx, "one frame late", func(s status) bool { return s.Late == 1 })
	do(t, ctx, "probe.play(48000)")
	do(t, ctx, "probe.quiet()")
	s := until(t, ctx, "going on", func(s status) bool { return s.Frames > int64(s.Info.Rate) })
	if s.Late != 1 {
		t.Errorf("late = %d frames, want still 1", s.Late)
	}
	if s.Hidden {
		t.Error("the page in front is said to be hidden")
	}
	do(t, ctx, `Object.defineProperty(document, "visibilityState", {value: "hidden"})`)
	if s := ask[status](t, ctx, "probe.status()"); !s.Hidden {
		t.Error("the hidden page is not said to be hidden")
	}
	do(t, ctx, `dispatchEvent(new Event("pagehide"))`)
	if s := ask[status](t, ctx, "probe.status()"); s.State != "closed" {
		t.Errorf("state after pagehide = %s, want closed", s.State)
	}
	if got := ask[string](t, ctx, "JSON.stringify(tracks[0].readyState)"); got != "ended" {
		t.Errorf("microphone's track after pagehide is %s, want ended", got)
	}
}

func TestBrowserFaults(t *testing.T) {
	url := site(t)
	t.Run("refused", func(t *testing.T) {
		ctx := browser(t, url, map[string]any{"use-fake-device-for-media-stream": true, "deny-permission-prompts": true})
		do(t, ctx, `probe.open("", 0)`)
		until(t, ctx, "refused", faultIs(device.Refused))
	})
	t.Run("missing", func(t *testing.T) {
		// A sound system without a card: no server, and an empty configuration of ALSA.
		ctx := browser(t, url, map[string]any{"use-fake-ui-for-media-stream": true},
			"PULSE_SERVER=none", "ALSA_CONFIG_PATH=/dev/null")
		do(t, ctx, `probe.open("", 0)`)
		s := until(t, ctx, "missing", faultIs(device.Missing))
		if !strings.HasPrefix(s.Err, device.Missing.Error()) {
			t.Errorf("Err = %q, want it to begin %q", s.Err, device.Missing)
		}
	})
	fake := fakeMicrophone(t, 48000, make([]float32, 48000))
	t.Run("a device that is gone", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `probe.open("no such device", 0)`)
		until(t, ctx, "running on another", running)
	})
	t.Run("insecure", func(t *testing.T) {
		ctx := browser(t, strings.Replace(url, "127.0.0.1", "reedwell.test", 1), map[string]any{
			"host-resolver-rules": "MAP reedwell.test 127.0.0.1"})
		do(t, ctx, `probe.open("", 0)`)
		until(t, ctx, "insecure", faultIs(device.Insecure))
	})
	t.Run("by name", func(t *testing.T) {
		ctx := browser(t, url, fake)
		// The names are those of the getUserMedia algorithm of Media Capture and Streams (W3C).
		for name, want := range map[string]device.Fault{
			"NotAllowedError": device.Refused, "SecurityError": device.Refused, "NotFoundError": device.Missing,
			"NotReadableError": device.Busy, "AbortError": device.Other, "InvalidStateError": device.Other,
		} {
			do(t, ctx, `(refuseWith = "`+name+`")`)
			do(t, ctx, `probe.open("", 0)`)
			until(t, ctx, name, faultIs(want))
		}
	})
	t.Run("microphone of its own rate", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `(sameRate = true)`)
		do(t, ctx, `probe.open("", 0)`)
		s := until(t, ctx, "running", running)
		if s.Info.Rate != s.Info.InputRate {
			t.Errorf("Info = %+v, want the context at the microphone's rate", s.Info)
		}
	})
	t.Run("suspended and resumed", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `probe.open("", 0)`)
		until(t, ctx, "running", running)
		do(t, ctx, "contexts[0].suspend()")
		s := until(t, ctx, "suspended", func(s status) bool { return s.State == "suspended" })
		if s.Fault != device.Interrupted {
			t.Errorf("fault = %v, want Interrupted", s.Fault)
		}
		time.Sleep(time.Second) // longer than a stall may last: being suspended is none
		do(t, ctx, "probe.resume()")
		until(t, ctx, "running again", running)
	})
	t.Run("unplugged", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `probe.open("", 0)`)
		before := until(t, ctx, "running", running)
		// A track ended by its source tells so by the event; stop() would not.
		do(t, ctx, `tracks[0].dispatchEvent(new Event("ended"))`)
		if s := until(t, ctx, "unplugged", faultIs(device.Unplugged)); s.Info.Rate != before.Info.Rate || s.Info.Key != before.Info.Key {
			t.Errorf("Info of a stream that is over = %+v, want what it was, %+v", s.Info, before.Info)
		}
	})
	t.Run("muted", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `probe.open("", 0)`)
		until(t, ctx, "running", running)
		do(t, ctx, `tracks[0].dispatchEvent(new Event("mute"))`)
		until(t, ctx, "suspended", func(s status) bool { return s.State == "suspended" && s.Fault == device.Interrupted })
		do(t, ctx, `tracks[0].dispatchEvent(new Event("unmute"))`)
		until(t, ctx, "running again", running)
	})
	t.Run("stalled", func(t *testing.T) {
		ctx := browser(t, url, fake)
		do(t, ctx, `probe.open("", 0)`)
		until(t, ctx, "running", running)
		// A context that says it runs and does not is what some telephones leave after a call.
		do(t, ctx, `Object.defineProperty(contexts[0], "state", {value: "running"})`)
		do(t, ctx, "contexts[0].suspend()")
		until(t, ctx, "stalled", faultIs(device.Stalled))
	})
}

func TestBrowserRoundTrip(t *testing.T) {
	if !inRoom(t, "chromium") {
		return
	}
	ctx := browser(t, site(t), map[string]any{"use-fake-ui-for-media-stream": true})
	holds(t, func() roundTrip {
		do(t, ctx, `probe.open("", 0)`)
		before := until(t, ctx, "settled", func(s status) bool { return running(s) && s.Frames > int64(3*s.Info.Rate) })
		r := roundTrip{trips: roundTrips(t, ctx)}
		s := ask[status](t, ctx, "probe.status()")
		// What moved the trip is told a second later, two for what came towards the end of one.
		s = until(t, ctx, "told", func(now status) bool { return now.Frames > s.Frames+int64(2*s.Info.Rate) })
		r.slip, r.late = s.Slip-before.Slip, s.Late
		for _, gap := range s.Gaps {
			r.lost += gap
		}
		return r
	})
}

// roundTrips measures five times over while the stream stays open.
func roundTrips(t *testing.T, ctx context.Context) (trips []float64) {
	t.Helper()
	type result struct {
		Done           bool
		Frames, Spread float64
		Bursts         int
		Err            string
	}
	for range 5 {
		do(t, ctx, "probe.calibrate()")
		var r result
		for range 200 {
			if r = ask[result](t, ctx, "probe.measure()"); r.Done {
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		if !r.Done || r.Err != "" {
			t.Logf("round trip = %+v", r)
			return nil
		}
		trips = append(trips, r.Frames)
	}
	return trips
}
