//go:build browser

package main

import (
	"maps"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// offline visits once, cuts the network and loads again: the page comes up, a take can be played and
// graded and what was earned is there. Then a new version is on the server: it is offered,
// taken when the player says so, and progress is kept.
func offline(t *testing.T, s site) {
	var up atomic.Bool
	var now atomic.Pointer[site]
	up.Store(true)
	now.Store(&s)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !up.Load() {
			// The connection breaks, as without a network.
			c, _, err := w.(http.Hijacker).Hijack()
			if err == nil {
				c.Close()
			}
			return
		}
		now.Load().ServeHTTP(w, r)
	}))
	defer server.Close()
	// The drill over and over: wherever a take falls, notes are heard and it counts.
	d, err := drill.Build(drill.Spec{ID: practised})
	if err != nil {
		t.Fatal(err)
	}
	const rate = 48000
	once := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 1)
	var file []float32
	for range 6 {
		file = append(file, once...)
	}
	b := browse(t, server.URL, fakeMicrophone(t, rate, file))
	b.there("start")
	b.until("the page is kept", `navigator.serviceWorker.controller !== null`)
	b.firstRun()

	up.Store(false)
	run1(b, chromedp.Reload())
	b.there("start")
	b.press("start")
	b.press("next")
	b.press("play")
	b.until("graded", `document.getElementById("item-again") !== null`)
	const kept = `["a", "b"].map((n) => localStorage.getItem("reedwell/progress-" + n)).join()`
	earned := ask[string](b, kept)
	if len(earned) < 20 {
		t.Errorf("the take was not kept: %q", earned)
	}

	changed := maps.Clone(s)
	page := strings.Replace(string(s["style.css"].plain), "html", "html, .another", 1)
	changed["style.css"] = compressed([]byte(page))
	unbuilt, _, err := gather("../../web", nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	changed[worker] = unbuilt[worker]
	if err := changed.seal(); err != nil {
		t.Fatal(err)
	}
	now.Store(&changed)
	up.Store(true)
	run1(b, chromedp.Reload())
	b.until("the newer version is offered", `!document.getElementById("notice").hidden && document.getElementById("notice-text").textContent.startsWith("A newer version")`)
	// Asked for once and not over and over: a worker that is busy is not replaced.
	used := func() string {
		t.Helper()
		ask[bool](b, `(fetch("style.css").then((a) => a.text()).then((t) => { window.had = t.includes(".another") ? "new" : "old"; }), true)`)
		b.until("a style sheet", `window.had !== undefined`)
		return ask[string](b, `window.had`)
	}
	if got := used(); got != "old" {
		t.Error("the newer version was used before the player took it")
	}
	ask[bool](b, `(document.getElementById("notice-reload").click(), true)`)
	b.until("the page loaded again", `window.had === undefined && document.getElementById("item-start")`)
	if got := used(); got != "new" {
		t.Errorf("after the player took the newer version the %s one is used", got)
	}
	b.there("start")
	if got := ask[string](b, kept); got != earned {
		t.Errorf("after the update the progress is %.80q, before it was %.80q", got, earned)
	}
	b.clean()
}
