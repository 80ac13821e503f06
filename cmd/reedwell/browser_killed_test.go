//go:build browser

package main

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// killed kills the page in the middle of a take. A new page of the same browser offers the take,
// grades what there is of it, and what was earned before is still there.
func killed(t *testing.T, address string) {
	b := hooked(t, address)
	b.firstRun()
	before := b.earned()
	b.press("level-" + practised)
	b.press("play")
	b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
	time.Sleep(4 * time.Second)
	// The renderer dies without an answer.
	dying, cancel := context.WithTimeout(b.ctx, 3*time.Second)
	_, _ = chromedp.Run(dying, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, page.Crash, cdp.Empty{})
		return err
	}))
	cancel()

	again := b.another(address)
	if got := again.words("left"); !strings.Contains(got, "not heard to its end") || !strings.Contains(got, "seconds") {
		t.Errorf("the take is offered as %q", got)
	}
	again.reach("left")
	again.shot("offered")
	again.press("left-hear")
	// Nobody has played: that is what it comes to.
	again.until("graded", `document.getElementById("item-title")?.textContent === "This take could not be judged"`)
	again.shot("graded")
	again.press("back")
	if after := again.earned(); after != before {
		t.Errorf("after the death of the page the player has\n%s\nand before\n%s", after, before)
	}
	again.clean()

	third := again.another(address)
	third.there("start")
	time.Sleep(time.Second)
	if third.has("left") {
		t.Error("the take is offered once more after it was graded")
	}
}

// another is a new page in the same browser.
func (b tab) another(address string) tab {
	b.Helper()
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.Cleanup(cancel)
	other := tab{b.TB, ctx}
	other.before(watched)
	run1(other, window())
	run1(other, chromedp.Navigate(address))
	other.there("start")
	return other
}

// has reports an item of the screen.
func (b tab) has(id string) bool {
	b.Helper()
	return ask[bool](b, `document.getElementById("item-`+id+`") !== null`)
}

// otherPage looks that a take which goes on in one page is not offered by another.
func otherPage(t *testing.T, address string) {
	b := hooked(t, address)
	b.firstRun()
	b.press("level-" + practised)
	b.press("play")
	b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
	time.Sleep(3 * time.Second)
	other := b.another(address)
	time.Sleep(time.Second)
	if other.has("left") {
		t.Error("a take that goes on is offered by another page")
	}
}

// withdrawn takes the permission away in a take: the microphone is gone, and asking again is
// refused until it is allowed anew.
func withdrawn(t *testing.T, address string) {
	b := hooked(t, address)
	b.firstRun()
	before := b.earned()
	b.press("level-" + practised)
	b.press("play")
	b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
	ask[bool](b, `((() => { refuse = "NotAllowedError"; const track = streams.at(-1).getAudioTracks()[0]; track.stop(); track.dispatchEvent(new Event("ended")); })(), true)`)
	b.until("told", `document.getElementById("item-title")?.textContent === "The microphone went away"`)
	b.press("retry")
	b.until("refused", `document.getElementById("item-title")?.textContent === "The microphone is not allowed"`)
	b.reach("withdrawn")
	b.shot("told")
	ask[bool](b, `(refuse = "", true)`)
	b.press("retry")
	b.playsOn(before)
}

// fullOrBlind lets a take go to its end while the storage is full, or while the picture is lost.
func fullOrBlind(t *testing.T, address string) {
	for _, c := range []struct{ name, cause, says string }{
		{"storage full", `for (const [kind, name] of [[Storage, "setItem"], [IDBObjectStore, "put"]]) kind.prototype[name] = () => { throw new DOMException("by the test", "QuotaExceededError"); };`, "storage is full"},
		{"picture lost", `document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext();`, "took the picture away"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := hooked(t, address)
			b.firstRun()
			before := b.earned()
			b.family("turnaround")
			b.press("next")
			b.press("play")
			b.until("in a take", `document.getElementById("item-count")?.textContent === "Play."`)
			ask[bool](b, "((() => {"+c.cause+"})(), true)")
			b.until("the result", `document.getElementById("item-save-take")`)
			b.until("told", `document.body.innerText.includes("`+c.says+`")`)
			b.shot("result")
			b.press("again")
			b.until("in the next take", `document.getElementById("item-count")?.textContent.startsWith("Count-in")`)
			b.press("stop")
			b.press("back")
			b.family("single")
			if after := b.earned(); after != before {
				t.Errorf("after the fault the player has\n%s\nand before\n%s", after, before)
			}
		})
	}
}
