//go:build browser

package main

import (
	"context"
	"encoding/binary"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"reedwell/audio/audiotest"
	"reedwell/audio/wav"
)

// served builds the page once for a test and serves it as the command does.
func served(t testing.TB) string {
	t.Helper()
	server := httptest.NewServer(built(t))
	t.Cleanup(server.Close)
	return server.URL + "/"
}

func built(t testing.TB) site {
	t.Helper()
	s, err := build()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// build builds the page once for all tests of this process; what it gives is shared: clone it before changing it.
var build = sync.OnceValues(func() (site, error) {
	here, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	root, err := moduleRoot(here)
	if err != nil {
		return nil, err
	}
	cache := os.Getenv("REEDWELL_PAGE_CACHE")
	if cache == "" {
		if cache, err = os.MkdirTemp("", "reedwell-page"); err != nil {
			return nil, err
		}
		defer os.RemoveAll(cache)
	}
	return buildSite(root, cache, true, os.Stderr)
})

// A tab is a page in a browser of its own.
type tab struct {
	testing.TB
	ctx context.Context
}

// watched runs before the page's own scripts: it keeps what the content security policy
// refused and when something was last pressed.
const watched = `
window.violations = [];
document.addEventListener("securitypolicyviolation", (e) => violations.push(e.violatedDirective + " " + e.blockedURI));
for (const kind of ["keydown", "click"]) window.addEventListener(kind, () => { window.pressedAt = performance.now(); }, true);
`

func laptop() chromedp.Action[chromedp.Void] { return chromedp.EmulateViewport(1280, 800) }

// portrait is a phone, so many times as dense as a laptop.
func portrait(density float64) chromedp.Action[chromedp.Void] {
	return chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(density), chromedp.EmulateMobile, chromedp.EmulateTouch)
}

// kept is the folder that pictures are kept in, "" where they are not: then windows are small and phones not dense, since
// without a graphics card the processors draw, which have the sound to hear too.
func kept() string { return os.Getenv("REEDWELL_SHOTS") }

// window is the window's size unless a test wants another.
func window() chromedp.Action[chromedp.Void] {
	if kept() != "" {
		return laptop()
	}
	return chromedp.EmulateViewport(480, 640)
}

func phone() chromedp.Action[chromedp.Void] {
	if kept() != "" {
		return portrait(2)
	}
	return portrait(1)
}

// browse starts Chromium with the flags and opens an address.
func browse(t testing.TB, address string, flags map[string]any, environment ...string) tab {
	t.Helper()
	b := start(t, flags, environment...)
	run1(b, window())
	run1(b, chromedp.Navigate(address))
	return b
}

// before has a script run before those of every page opened after it.
func (b tab) before(script string) {
	b.Helper()
	run1(b, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// start starts Chromium with the flags.
func start(t testing.TB, flags map[string]any, environment ...string) tab {
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
	b := tab{t, ctx}
	b.before(watched)
	return b
}

func run1[V any](b tab, a chromedp.Action[V]) V {
	b.Helper()
	v, err := chromedp.Run(b.ctx, a)
	if err != nil {
		b.Fatal(err)
	}
	return v
}

// ask evaluates an expression of the page.
func ask[V any](b tab, expression string) V {
	b.Helper()
	return run1(b, chromedp.Evaluate[V](expression))
}

// until waits for an expression to be true.
func (b tab) until(what, expression string) {
	b.Helper()
	for range 900 {
		if ask[bool](b, "!!("+expression+")") {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.shot("failed")
	b.Fatalf("not %s after 45 seconds; the page says:\n%s", what, ask[string](b, "document.body.innerText"))
}

// there waits for an item of the screen.
func (b tab) there(id string) {
	b.Helper()
	b.until("on screen: "+id, `document.getElementById("item-`+id+`")`)
}

// press clicks an item as a player does, once it is there.
func (b tab) press(id string) {
	b.Helper()
	b.there(id)
	run1(b, chromedp.Click("#item-"+id))
}

// family goes from home to a family of drills.
func (b tab) family(name string) {
	b.Helper()
	b.press("families")
	b.press("family-" + name)
}

// fits wants nothing of this screen to be wider than the window.
func (b tab) fits(name string) {
	b.Helper()
	if wide := ask[[]string](b, `[...document.querySelectorAll("#content [data-item]")].filter((e) => e.getBoundingClientRect().right > innerWidth).map((e) => e.id)`); len(wide) != 0 {
		b.Errorf("%s: wider than the window: %v", name, wide)
	}
}

// shot keeps a picture where REEDWELL_SHOTS names a folder for it.
func (b tab) shot(name string) {
	b.Helper()
	if kept() != "" {
		b.picture(name)
	}
}

// picture is the window once it has settled; it is kept as well where REEDWELL_SHOTS names a folder.
func (b tab) picture(name string) []byte {
	b.Helper()
	time.Sleep(300 * time.Millisecond)
	png := run1(b, chromedp.CaptureScreenshot())
	if dir := kept(); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, strings.ReplaceAll(b.Name(), "/", "-")+"-"+name+".png"), png, 0o666); err != nil {
			b.Fatal(err)
		}
	}
	return png
}

// words is what an item says.
func (b tab) words(id string) string {
	b.Helper()
	b.there(id)
	return ask[string](b, `document.getElementById("item-`+id+`").textContent`)
}

// key presses a key on what has the keyboard.
func (b tab) key(k string) {
	b.Helper()
	run1(b, chromedp.KeyEvent(k))
}

// fakeMicrophone is Chromium's device that plays a file once from when it is opened.
func fakeMicrophone(t testing.TB, rate int, samples []float32) map[string]any {
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

// silence feeds the microphone nothing.
func silence(t testing.TB) map[string]any {
	return fakeMicrophone(t, 48000, make([]float32, 48000))
}

// firstRun goes from the welcome to the choice of drills, as a beginner does who skips the
// measuring.
func (b tab) firstRun() {
	b.Helper()
	b.press("start")
	b.press("mic")
	b.press("go-on")
	b.press("skip")
	b.there("next")
}

// clean wants a page that broke none of its own rules.
func (b tab) clean() {
	b.Helper()
	if bad := ask[[]string](b, "violations"); len(bad) != 0 {
		b.Errorf("violations of the content security policy: %v", bad)
	}
	if loaded := ask[[]string](b, "performance.getEntriesByType('resource').map((e) => e.name).filter((n) => !n.startsWith(location.origin + '/'))"); len(loaded) != 0 {
		b.Errorf("loaded from elsewhere: %v", loaded)
	}
}

// beside runs a test beside others that are run so, each in a browser of its own: -parallel says how many at a time.
func beside(t *testing.T, name string, run func(t *testing.T)) {
	t.Run(name, func(t *testing.T) {
		t.Parallel()
		run(t)
	})
}

func TestBrowser(t *testing.T) {
	s := built(t)
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	address := server.URL + "/"
	t.Run("weight", func(t *testing.T) { weight(t, address) })
	t.Run("take", func(t *testing.T) { playedTake(t, address) })
	t.Run("offline", func(t *testing.T) { offline(t, s) })
	// What follows waits more than it works and marks no playing.
	beside(t, "keyboard", func(t *testing.T) { keyboardOnly(t, address) })
	beside(t, "faults", func(t *testing.T) { faults(t, address) })
	beside(t, "faults in a take", func(t *testing.T) { takeFaults(t, address) })
	beside(t, "permission withdrawn", func(t *testing.T) { withdrawn(t, address) })
	beside(t, "page killed", func(t *testing.T) { killed(t, address) })
	beside(t, "another page", func(t *testing.T) { otherPage(t, address) })
	beside(t, "take to its end", func(t *testing.T) { fullOrBlind(t, address) })
	beside(t, "busy", func(t *testing.T) { busy(t, address) })
	beside(t, "headset", func(t *testing.T) { headset(t, address) })
	beside(t, "network lost", func(t *testing.T) { networkLost(t, s) })
	beside(t, "accessible", func(t *testing.T) { accessible(t, address) })
	beside(t, "week", func(t *testing.T) { givenWeek(t, address) })
	beside(t, "week accessible", func(t *testing.T) { weekAccessible(t, address) })
	beside(t, "lacking", func(t *testing.T) { lacking(t, address) })
	beside(t, "host without the type", func(t *testing.T) { untyped(t, s) })
	beside(t, "incomplete", func(t *testing.T) { incomplete(t, s) })
	beside(t, "picture lost", func(t *testing.T) { pictureLost(t, address) })
	beside(t, "storage refused", func(t *testing.T) { storageRefused(t, address) })
	beside(t, "links", func(t *testing.T) { links(t, address) })
	beside(t, "lesson", func(t *testing.T) { examplePage(t, address) })
	beside(t, "frame without microphone", func(t *testing.T) { framed(t, address) })
	beside(t, "touch", func(t *testing.T) { byTouch(t, address) })
	beside(t, "sung", func(t *testing.T) { sungIn(t, address) })
	beside(t, "phone", func(t *testing.T) { onPhone(t, address) })
}

// weight is what a first visit costs: all files of the page together.
func weight(t *testing.T, address string) {
	b := browse(t, address, silence(t))
	b.there("start")
	const sum = "[...performance.getEntriesByType('resource'), ...performance.getEntriesByType('navigation')].reduce((n, e) => n + e.encodedBodySize, 0)"
	bytes := ask[float64](b, sum)
	t.Logf("the page weighs %.2f MB", bytes/1e6)
	if bytes > 4e6 || bytes < 1e6 {
		t.Errorf("the page weighs %.0f bytes, want at most 4 MB, the design's limit, and a program in it", bytes)
	}
	b.shot("welcome")
	b.clean()
}

// operable are the items a keyboard must reach, in order: of a set of choices the one
// that is chosen, as the arrow keys reach the others.
const operable = `[...document.querySelectorAll("#content :is(button, input, select, textarea)")]
	.filter((e) => !e.disabled && (e.type !== "radio" || e.checked)).map((e) => e.id)`

// tabbed presses Tab through the page and returns what had the keyboard.
func (b tab) tabbed() []string {
	b.Helper()
	ask[bool](b, `(document.activeElement.blur(), document.getElementById("view").focus(), true)`)
	var ids []string
	for range 1000 { // the map of drills has some 130
		b.key(kb.Tab)
		id := ask[string](b, "document.activeElement.id || document.activeElement.tagName")
		if !strings.HasPrefix(id, "item-") {
			if id == "CANVAS" {
				b.Error("the picture takes the keyboard")
			}
			return ids
		}
		if slices.Contains(ids, id) { // round again, past the browser's own controls if it has any
			return ids
		}
		ids = append(ids, id)
	}
	b.Errorf("Tab does not come to an end: %v", ids)
	return ids
}

// reach wants every control of this screen within reach of Tab, in order, with a ring and
// large enough to touch.
func (b tab) reach(name string) {
	b.Helper()
	want := ask[[]string](b, operable)
	got := b.tabbed()
	if !slices.Equal(got, want) {
		b.Errorf("%s: Tab reaches %v, want %v", name, got, want)
	}
	// 44 CSS pixels: WCAG 2.2, 2.5.5.
	if small := ask[[]string](b, `[...document.querySelectorAll("#content :is(button, input, select, textarea)")]
		.filter((e) => { const r = e.getBoundingClientRect(); return r.width < 44 || r.height < 44; }).map((e) => e.id)`); len(small) != 0 {
		b.Errorf("%s: smaller than 44 pixels: %v", name, small)
	}
	if unnamed := ask[[]string](b, `[...document.querySelectorAll("#content :is(button, input, select, textarea, meter, [role=img])")]
		.filter((e) => !e.textContent.trim() && !e.getAttribute("aria-label")).map((e) => e.id)`); len(unnamed) != 0 {
		b.Errorf("%s: without a name: %v", name, unnamed)
	}
	if n := ask[int](b, `document.querySelectorAll("h1:not(#cover h1)").length`); n != 1 {
		b.Errorf("%s: %d main headings, want 1", name, n)
	}
}

// to gives an item the keyboard by Tab alone.
func (b tab) to(id string) {
	b.Helper()
	b.there(id)
	for range 100 {
		if ask[bool](b, `document.activeElement.id === "item-`+id+`"`) {
			return
		}
		b.key(kb.Tab)
	}
	b.shot("failed")
	b.Fatalf("Tab does not reach %s; the page says:\n%s", id, ask[string](b, "document.body.innerText"))
}

// keyboardOnly goes from the first screen to a running take without a pointer.
func keyboardOnly(t *testing.T, address string) {
	b := browse(t, address, silence(t))
	b.there("start")
	b.reach("welcome")
	b.to("start")
	if ring := ask[string](b, "getComputedStyle(document.activeElement).outlineStyle"); ring != "solid" {
		b.Errorf("the ring of what has the keyboard is %q, want one", ring)
	}
	b.key(kb.Enter)
	b.there("mic")
	b.reach("harp")
	b.to("key")
	b.key(kb.ArrowUp)
	b.until("a B harp", `document.getElementById("item-key").value === "B"`)
	b.to("out-phones")
	b.key(kb.ArrowRight)
	b.until("the speaker chosen", `document.getElementById("item-out-speaker").checked && document.activeElement.id === "item-out-speaker"`)
	b.to("mic")
	b.key(kb.Enter)
	b.there("go-on")
	b.reach("sound")
	b.to("go-on")
	b.key(kb.Enter)
	b.there("skip")
	b.reach("calibrate")
	b.to("skip")
	b.key(kb.Enter)
	b.there("next")
	b.reach("path")
	b.to("settings")
	b.key(" ")
	b.there("import")
	b.reach("settings")
	b.shot("settings")
	if ask[bool](b, `document.querySelector("canvas").width === 0`) {
		b.Error("there is no picture")
	}
	b.to("large")
	before := ask[float64](b, `document.getElementById("item-back").getBoundingClientRect().height`)
	b.key(" ")
	b.until("large text", `document.getElementById("item-back").getBoundingClientRect().height > `+fmt.Sprint(before))
	b.shot("settings-large")
	b.key(" ")
	b.to("back")
	b.key(kb.Enter)
	b.to("next")
	b.key(kb.Enter)
	b.there("play")
	b.reach("drill")
	b.to("tempo")
	b.key(kb.ArrowLeft)
	b.until("a slower tempo", `document.getElementById("item-tempo").value === "95"`)
	b.to("live")
	b.key(" ")
	b.until("the live display off", `!document.getElementById("item-live").checked`)
	b.to("play")
	b.key(kb.Enter)
	b.until("playing", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
	if said := ask[string](b, `document.getElementById("status").textContent`); said != "" {
		b.Errorf("%q is said in a take, where the microphone hears it", said)
	}
	b.reach("take")
	b.shot("take")
	b.to("stop")
	b.key(kb.Enter)
	b.there("play")
	b.clean()
}

// faults are what can be wrong with the microphone; each has its words and a way on.
func faults(t *testing.T, address string) {
	for _, c := range []struct {
		name, heading string
		flags         map[string]any
		environment   []string
	}{
		{"refused", "not allowed", map[string]any{"use-fake-device-for-media-stream": true, "deny-permission-prompts": true}, nil},
		// A sound system without a card: no server, and an empty configuration of ALSA.
		{"missing", "No microphone", map[string]any{"use-fake-ui-for-media-stream": true}, []string{"PULSE_SERVER=none", "ALSA_CONFIG_PATH=/dev/null"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := browse(t, address, c.flags, c.environment...)
			b.press("start")
			b.press("mic")
			b.there("retry")
			if got := b.words("title"); !strings.Contains(got, c.heading) {
				b.Errorf("the heading is %q, want it to contain %q", got, c.heading)
			}
			if got := ask[string](b, `document.getElementById("alert").textContent`); !strings.Contains(got, c.heading) {
				b.Errorf("%q is said at once, want it to contain %q", got, c.heading)
			}
			b.reach(c.name)
			b.shot(c.name)
			b.press("look")
			b.there("next")
		})
	}
}

// lacking are browsers in which the page can not run; it says so and loads nothing.
func lacking(t *testing.T, address string) {
	for _, c := range []struct {
		name, without, says string
		flags               map[string]any
	}{
		{"WebGL 2", "", "WebGL 2", map[string]any{"use-angle": false, "enable-unsafe-swiftshader": false, "disable-software-rasterizer": true, "disable-gpu": true}},
		{"WebAssembly", "delete window.WebAssembly", "WebAssembly", nil},
		{"AudioWorklet", "delete window.AudioWorkletNode", "AudioWorklet", nil},
		{"secure context", "", "https", map[string]any{"host-resolver-rules": "MAP reedwell.test 127.0.0.1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := start(t, c.flags)
			if c.without != "" {
				b.before(c.without)
			}
			run1(b, window())
			to := address
			if c.name == "secure context" {
				to = strings.Replace(to, "127.0.0.1", "reedwell.test", 1)
			}
			run1(b, chromedp.Navigate(to))
			b.until("said", `document.getElementById("cover-text").textContent.includes("`+c.says+`")`)
			if n := ask[int](b, `performance.getEntriesByType("resource").filter((e) => e.name.endsWith(".wasm")).length`); n != 0 {
				b.Error("the program was loaded all the same")
			}
			b.shot(c.name)
		})
	}
}

// untyped is a host that does not know what WebAssembly is; the page starts all the same.
func untyped(t *testing.T, s site) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer := httptest.NewRecorder()
		s.ServeHTTP(answer, r)
		maps.Copy(w.Header(), answer.Header())
		if strings.HasSuffix(r.URL.Path, ".wasm") {
			w.Header().Set("Content-Type", "application/octet-stream")
		}
		w.WriteHeader(answer.Code)
		w.Write(answer.Body.Bytes())
	}))
	t.Cleanup(server.Close)
	b := browse(t, server.URL+"/", silence(t))
	b.there("start")
	b.clean()
}

// incomplete is a host that lacks a file: the page says so, and goes on saying so while the program still comes in.
func incomplete(t *testing.T, s site) {
	const pieces, size = 40, 1 << 14
	sent := make(chan struct{})
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case r.URL.Path == "/duplex.js":
			http.NotFound(w, r)
		case strings.HasSuffix(r.URL.Path, ".wasm"): // by the specification's binary format: magic, version, a custom section that goes on and on
			defer close(sent)
			w.Header().Set("Content-Type", "application/wasm")
			w.Write(binary.AppendUvarint([]byte("\x00asm\x01\x00\x00\x00\x00"), pieces*size))
			for range pieces {
				if _, err := w.Write(make([]byte, size)); err != nil {
					return
				}
				w.(http.Flusher).Flush()
				time.Sleep(50 * time.Millisecond)
			}
		default:
			s.ServeHTTP(w, r)
		}
	}))
	t.Cleanup(server.Close)
	b := browse(t, server.URL+"/", silence(t))
	const text = `document.getElementById("cover-text").textContent`
	b.until("said", text+`.includes("404 for duplex.js")`)
	<-sent
	time.Sleep(200 * time.Millisecond)
	if got := ask[string](b, text); !strings.Contains(got, "404 for duplex.js") {
		t.Errorf("later the page says %q", got)
	}
	b.shot("said")
}

// pictureLost takes the drawing away: the controls show themselves and everything goes on.
func pictureLost(t *testing.T, address string) {
	b := browse(t, address, silence(t))
	b.there("start")
	ask[bool](b, `(window.before = true, document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext(), true)`)
	b.until("said", `!document.getElementById("notice").hidden`)
	b.press("start")
	b.there("mic")
	if !ask[bool](b, "window.before === true") {
		b.Error("the page was loaded again, and a take would be lost")
	}
	if got := ask[string](b, `getComputedStyle(document.getElementById("item-mic")).color`); strings.HasSuffix(got, ", 0)") {
		b.Errorf("the controls are still invisible: %s", got)
	}
	b.shot("plain")
}

// storageRefused is a frame or a browser that keeps nothing.
func storageRefused(t *testing.T, address string) {
	b := start(t, silence(t))
	b.before(`for (const name of ["getItem", "setItem"]) Storage.prototype[name] = () => { throw new DOMException("no", "SecurityError"); };`)
	run1(b, window())
	run1(b, chromedp.Navigate(address))
	b.firstRun()
	if got := ask[string](b, `document.getElementById("notice-text").textContent`); !strings.Contains(got, "keeps nothing") {
		b.Errorf("the player is told %q, want that the browser keeps nothing", got)
	}
	b.shot("notice")
}

// links are read when the page is loaded and when one is opened in it.
func links(t *testing.T, address string) {
	b := browse(t, address+"#v=1&drill=ladder-4d-1&harp=A&title=First%20bend", silence(t))
	if got := b.words("link"); got != "First bend" {
		b.Errorf("the link's title is %q", got)
	}
	b.press("start")
	b.there("play")
	if got := b.words("which"); !strings.Contains(got, "A harp") {
		b.Errorf("the drill is %q, want an A harp", got)
	}
	b.until("the window's title", `document.title.startsWith("First bend")`)
	b.press("link")
	b.until("a link copied or shown", `document.getElementById("status").textContent === "Link copied." ||
		document.getElementById("notice-link").value.includes("#v=1&drill=ladder-4d-1&harp=A")`)
	ask[bool](b, `(location.hash = "#v=1&drill=ladder-4d-1&harp=Q", true)`)
	b.until("refused", `document.getElementById("alert").textContent.includes("link can not be opened")`)
	ask[bool](b, `(location.hash = "#v=1&drill=warble-1&harp=C&title=%3Cimg%20src%3Dx%3E", true)`)
	b.until("opened", `document.getElementById("item-title").textContent === "<img src=x>"`)
	if ask[bool](b, `document.querySelector("img") !== null`) {
		b.Error("a title was taken for HTML")
	}
	b.clean()
}

// examplePage is a teacher's page with a drill in a frame.
func examplePage(t *testing.T, address string) {
	b := browse(t, address+"lesson.html", silence(t))
	b.until("the drill in the frame", `frames[0]?.document.getElementById("item-link")`)
	if ask[bool](b, `document.activeElement !== document.body`) {
		b.Error("the frame has taken the keyboard from the page around it")
	}
	b.shot("lesson")
	ask[bool](b, `(frames[0].document.getElementById("item-start").click(), true)`)
	b.until("the microphone open in the frame", `frames[0].document.getElementById("item-play")`)
	if n := ask[int](b, `document.querySelectorAll("a[href*='#v=1&drill=']").length`); n != 2 {
		b.Errorf("%d links to drills, want 2", n)
	}
	b.clean()
}

// framed is a frame that was given no microphone by the page around it.
func framed(t *testing.T, address string) {
	b := browse(t, address+"lesson.html", silence(t))
	ask[bool](b, `(document.querySelector("iframe").allow = "microphone 'none'", 
		document.querySelector("iframe").src = document.querySelector("iframe").src.replace(".html", ".html?again"), true)`)
	b.until("the drill in the frame", `frames[0]?.location.search === "?again" && frames[0].document.getElementById("item-link")`)
	ask[bool](b, `(frames[0].document.getElementById("item-start").click(), true)`)
	b.until("a way out of the frame", `frames[0].document.getElementById("item-retry") && !frames[0].document.getElementById("notice-tab").hidden`)
	if to := ask[string](b, `frames[0].document.getElementById("notice-tab").href`); !strings.Contains(to, "drill=ladder-4d-1") {
		t.Errorf("the way out leads to %s, want the same drill", to)
	}
}

// onPhone looks at each screen in portrait: nothing may be wider than the window.
func onPhone(t *testing.T, address string) {
	b := start(t, silence(t))
	run1(b, phone())
	run1(b, chromedp.Navigate(address))
	look := func(name, id string) {
		t.Helper()
		b.there(id)
		b.fits(name)
		if ask[float64](b, `document.getElementById("view").scrollTop`) != 0 {
			b.Errorf("%s does not begin at its top", name)
		}
		b.shot(name)
	}
	look("welcome", "start")
	b.press("start")
	look("harp", "mic")
	b.press("mic")
	look("sound", "go-on")
	b.press("go-on")
	look("calibrate", "skip")
	b.press("skip")
	look("path", "next")
	b.press("families")
	look("families", "family-turnaround")
	b.press("family-turnaround")
	b.press("next")
	look("drill", "play")
	b.press("play")
	b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
	look("take", "stop")
	b.until("over", `document.getElementById("item-again")`)
	look("result", "again")
	b.press("back") // home
	b.press("settings")
	if words := b.words("drawing"); !strings.Contains(words, "In your last take it drew") || !strings.Contains(words, "Your last press was seen after") {
		b.Errorf("the settings say %q, want the figures of a take and of a press", words)
	}
}
