//go:build browser

package main

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// hooks keep what the page opens, so that a test can take it away, and let a test refuse it.
const hooks = `
window.streams = [];
window.contexts = [];
window.refuse = "";
if (navigator.mediaDevices) {
	const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
	navigator.mediaDevices.getUserMedia = async (wanted) => {
		if (refuse) throw new DOMException("by the test", refuse);
		const stream = await open(wanted);
		streams.push(stream);
		return stream;
	};
}
window.AudioContext = class extends AudioContext {
	constructor(options) {
		super(options);
		contexts.push(this);
	}
};
`

// hooked opens the page with the hooks and a good take in the store, on a laptop.
func hooked(t *testing.T, address string) tab {
	t.Helper()
	b := browse(t, address, silence(t))
	b.before(hooks)
	b.before(stored(t, b, 1))
	run1(b, chromedp.Navigate(address))
	return b
}

// earned is what the screen and the store have of the take that was stored.
func (b tab) earned() string {
	b.Helper()
	return b.words("level-"+practised) + ask[string](b, `localStorage.getItem("reedwell/progress-a") + localStorage.getItem("reedwell/progress-b")`)
}

// takeFaults are what can happen in the middle of a take. Each says what it is and what to do,
// that way leads on, what was earned stays, and the next take begins.
func takeFaults(t *testing.T, address string) {
	for _, c := range []struct {
		name, cause         string
		screen, says, press string // press "" where the drill comes back by itself
		after               string
	}{
		{
			// A track that ends by itself says so; one that is stopped by a script does not.
			name: "unplugged", cause: `const track = streams.at(-1).getAudioTracks()[0]; track.stop(); track.dispatchEvent(new Event("ended"));`,
			screen: "The microphone went away", says: "Connect it again", press: "retry",
		},
		{
			name: "suspended", cause: `contexts.at(-1).suspend();`,
			screen: "The sound is paused", says: "Press to go on", press: "resume",
		},
		{
			name: "hidden", cause: `Object.defineProperty(document, "hidden", {get: () => window.away, configurable: true});
				Object.defineProperty(document, "visibilityState", {get: () => window.away ? "hidden" : "visible", configurable: true});
				window.away = true; document.dispatchEvent(new Event("visibilitychange"));`,
			after:  `window.away = false; document.dispatchEvent(new Event("visibilitychange"));`,
			screen: "Two holes, held", says: "hidden, so the take was stopped and not counted",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := hooked(t, address)
			b.firstRun()
			before := b.earned()
			b.press("level-" + practised)
			b.press("play")
			b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
			ask[bool](b, "((() => {"+c.cause+"})(), true)")
			b.until("told", `document.getElementById("alert").textContent.includes(`+string(must(json.Marshal(c.says)))+`)`)
			if c.after != "" {
				ask[bool](b, "((() => {"+c.after+"})(), true)")
			}
			b.until("on its screen", `document.getElementById("item-title")?.textContent === `+string(must(json.Marshal(c.screen))))
			if text := ask[string](b, `document.getElementById("content").innerText`); c.press != "" && !strings.Contains(text, "not counted") {
				t.Errorf("nothing says that the take is not counted: %s", text)
			}
			b.reach(c.name)
			b.shot("told")
			if c.press != "" {
				b.press(c.press)
			}
			b.playsOn(before)
		})
	}
}

// playsOn starts the next take after a fault, leaves it, and finds all that was earned before.
func (b tab) playsOn(before string) {
	b.Helper()
	b.there("play")
	b.press("play")
	b.until("in the next take", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
	b.press("stop")
	b.press("back")
	if after := b.earned(); after != before {
		b.Errorf("after the fault the player has\n%s\nand before\n%s", after, before)
	}
	b.clean()
}

// busy is a microphone that another program holds, and then lets go.
func busy(t *testing.T, address string) {
	b := hooked(t, address)
	b.press("start")
	b.there("mic")
	ask[bool](b, `(refuse = "NotReadableError", true)`)
	b.press("mic")
	b.there("retry")
	if got := b.words("title"); got != "The microphone is busy" {
		t.Errorf("the heading is %q", got)
	}
	if got := b.words("what"); !strings.Contains(got, "Close other programs") {
		t.Errorf("the way out is %q, want that other programs be closed", got)
	}
	b.reach("busy")
	b.shot("told")
	ask[bool](b, `(refuse = "", true)`)
	b.press("retry")
	b.there("go-on")
	b.clean()
}

// headset is a wireless headset in a call: 16 kHz in and out. It works, and the player is told
// what is worse for it.
func headset(t *testing.T, address string) {
	b := start(t, silence(t))
	b.before(hooks + `
		const settings = MediaStreamTrack.prototype.getSettings;
		MediaStreamTrack.prototype.getSettings = function () { return {...settings.call(this), sampleRate: 16000}; };
		const Slow = AudioContext;
		window.AudioContext = class extends Slow { constructor(options) { super({...options, sampleRate: 16000}); } };
	`)
	run1(b, window())
	run1(b, chromedp.Navigate(address))
	b.press("start")
	b.press("mic")
	if got := b.words("bluetooth"); !strings.Contains(got, "cable") || !strings.Contains(got, "go on") {
		t.Errorf("the player is told %q, want a cable advised and a way on", got)
	}
	if got := b.words("narrow"); !strings.Contains(got, "16 kHz") {
		t.Errorf("the player is told %q, want 16 kHz named", got)
	}
	b.shot("told")
	b.press("go-on")
	b.press("skip")
	b.press("level-" + practised)
	b.press("play")
	b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
	b.press("stop")
	b.there("play")
	b.clean()
}

// networkLost takes the server away when the page is loaded: everything still works, the first
// opening of the microphone too.
func networkLost(t *testing.T, s site) {
	server := httptest.NewServer(s)
	b := browse(t, server.URL, silence(t))
	b.there("start")
	server.CloseClientConnections()
	server.Close()
	b.firstRun()
	b.press("next")
	b.press("play")
	b.until("in a take", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
	b.clean()
}
