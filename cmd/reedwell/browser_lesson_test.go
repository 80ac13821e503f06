//go:build browser

package main

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"reedwell/testdata/lessons"
)

// TestBrowserLessons is the lessons' side of the page.
func TestBrowserLessons(t *testing.T) {
	s := built(t)
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	address := server.URL + "/"
	beside(t, "look", func(t *testing.T) { lessonLook(t, address) })
	beside(t, "write", func(t *testing.T) { lessonWritten(t, address) })
	beside(t, "files", func(t *testing.T) { lessonFiles(t, s) })
	beside(t, "accessible", func(t *testing.T) { lessonAccessible(t, address) })
}

// type1 replaces a part of the text in the field as if it were typed.
func (b tab) type1(from, to string) {
	b.Helper()
	b.there("text")
	if !ask[bool](b, fmt.Sprintf(`(() => {
		const e = document.getElementById("item-text"), before = e.value;
		e.value = before.replace(%q, %q);
		e.dispatchEvent(new Event("input"));
		return e.value !== before;
	})()`, from, to)) {
		b.Fatalf("there is no %q in the text", from)
	}
}

// lessonWritten goes from a demo lesson to one of one's own: what is typed is read while it is
// typed and not taken away, problems lead to their place, and the text is there again after
// the page was loaded anew.
func lessonWritten(t *testing.T, address string) {
	b := browse(t, address, silence(t))
	b.firstRun()
	b.press("lessons")
	b.press("lesson-demo-shoes")
	b.press("change")
	b.there("text")
	b.reach("write")
	b.type1("/-3:2", "/-5':2")
	b.there("problem-1")
	b.press("problem-1")
	b.until("at the mistake", `(() => { const e = document.getElementById("item-text");
		return document.activeElement === e && e.value.slice(e.selectionStart, e.selectionEnd) === "/-5':2" || e.value.slice(e.selectionStart).startsWith("-5'"); })()`)
	b.type1("/-5':2", "/-3:2")
	b.until("right again", `document.getElementById("item-state")?.textContent.startsWith("No mistakes")`)
	// Letter by letter: the program's answers take nothing away.
	ask[bool](b, `(() => { const e = document.getElementById("item-text"); e.focus(); e.setSelectionRange(0, 0); return true; })()`)
	run1(b, chromedp.KeyEvent("% typed by hand, letter by letter, as quick as it goes"))
	b.key(kb.Enter)
	b.until("all there", `document.getElementById("item-text").value.startsWith("% typed by hand, letter by letter, as quick as it goes\n")`)
	b.until("kept", `atob(localStorage.getItem("reedwell/draft") || "").startsWith("% typed by hand, letter by letter, as quick as it goes\n")`)
	run1(b, chromedp.Navigate("about:blank"))
	run1(b, chromedp.Navigate(address))
	b.press("look")
	b.press("lessons")
	b.press("write")
	b.until("the text again", `document.getElementById("item-text")?.value.startsWith("% typed by hand")`)
	ask[bool](b, `(() => { const e = document.getElementById("item-key"); e.value = "D"; e.dispatchEvent(new Event("change")); return true; })()`)
	b.until("moved", `document.getElementById("item-text").value.includes("harp: D\n")`)
	b.press("sheet")
	b.until("the sheet", `document.getElementById("item-page-1")?.naturalWidth > 100`)
	ask[bool](b, `(window.print = () => { window.printed = document.querySelectorAll("#paper img").length; }, true)`)
	b.press("print")
	b.until("printed", `window.printed >= 1`)
	b.clean()
}

// lessonFiles opens lessons that lie beside the page, and refuses what is none.
func lessonFiles(t *testing.T, s site) {
	var asked []string
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/songs/shoes.txt":
			io.WriteString(w, lessons.Text("shoes"))
		case "/endless.txt":
			asked = append(asked, r.URL.Path)
			for range 100 {
				if _, err := w.Write(bytes.Repeat([]byte("endless "), 10000)); err != nil {
					return
				}
			}
		case "/elsewhere.txt":
			http.Redirect(w, r, "/songs/shoes.txt", http.StatusFound)
		default:
			s.ServeHTTP(w, r)
		}
	}))
	t.Cleanup(server.Close)
	b := browse(t, server.URL+"/#v=1&lesson=songs/shoes.txt&lick=2", silence(t))
	b.until("the lick", `document.getElementById("item-link-what")?.textContent.includes("Shake the umbrella")`)
	b.press("start")
	b.there("play")
	for file, says := range map[string]string{"endless.txt": "at most 65536 bytes", "elsewhere.txt": "can not be loaded", "missing.txt": "404"} {
		run1(b, chromedp.Navigate("about:blank"))
		run1(b, chromedp.Navigate(server.URL+"/#v=1&lesson="+file))
		b.until(file+" refused", `document.getElementById("item-notice-link")?.textContent.includes(`+fmt.Sprintf("%q", says)+`)`)
	}
	if len(asked) == 0 {
		t.Error("the endless file was never asked for")
	}
	b.clean()
}

// lessonAccessible has the new screens checked.
func lessonAccessible(t *testing.T, address string) {
	source := axeSource(t)
	b := browse(t, address, silence(t))
	b.firstRun()
	b.press("lessons")
	b.there("write")
	b.axe(source, "lessons")
	b.reach("lessons")
	b.press("lesson-demo-landing")
	b.there("play-1")
	b.axe(source, "lesson")
	b.reach("lesson")
	b.press("sheet")
	b.until("the sheet", `document.getElementById("item-page-1")?.complete`)
	b.axe(source, "sheet")
	b.reach("sheet")
	b.press("back")
	b.press("change")
	b.there("text")
	b.axe(source, "write")
	b.type1("tempo: 84", "tempo: fast")
	b.there("problem-1")
	b.axe(source, "write with mistakes")
	b.press("record")
	b.there("start")
	b.axe(source, "record")
	b.reach("record")
	b.press("start")
	b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
	b.axe(source, "recording")
	b.until("over", `document.getElementById("item-start")`)
	b.press("back")
	ask[bool](b, `(document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext(), true)`)
	b.until("said", `!document.getElementById("notice").hidden`)
	b.axe(source, "write without the picture")
	b.shot("plain-write")
}

func lessonLook(t *testing.T, address string) {
	for _, size := range []string{"laptop", "phone", "large"} {
		beside(t, size, func(t *testing.T) {
			b := start(t, silence(t))
			run1(b, laptop())
			if size == "phone" {
				run1(b, phone())
			}
			run1(b, chromedp.Navigate(address))
			b.firstRun()
			if size == "large" {
				b.press("settings")
				b.press("large")
				b.press("back")
			}
			b.press("lessons")
			b.there("lesson-demo-shoes")
			b.shot("1-lessons")
			b.press("lesson-demo-shoes")
			b.there("play-1")
			b.shot("2-lesson")
			ask[bool](b, `(document.getElementById("view").scrollTop = 700, true)`)
			b.shot("2-lesson-more")
			b.press("play-2")
			b.there("play")
			b.shot("3-lick")
			b.press("play")
			b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
			b.shot("4-take")
			b.press("stop")
			b.press("back")
			b.press("play-chorus")
			b.there("play")
			b.shot("3-chorus")
			b.press("back")
			b.press("sheet")
			b.until("the sheet", `document.getElementById("item-page-1")?.complete`)
			b.shot("5-sheet")
			b.press("back")
			b.there("play-1")
			b.press("back")
			b.press("write")
			b.there("text")
			b.shot("6-write-empty")
			b.press("back")
			b.press("lesson-demo-shoes")
			b.press("change")
			b.there("text")
			b.shot("7-write")
			ask[bool](b, `(document.getElementById("view").scrollTop = 600, true)`)
			b.shot("7-write-more")
			ask[bool](b, `(document.getElementById("view").scrollTop = 0, true)`)
			ask[bool](b, `(() => { const e = document.getElementById("item-text"); e.value = e.value.replace("/-3:2", "/-5':2").replace("tempo: 96", "tempo: fast"); e.dispatchEvent(new Event("input")); return true; })()`)
			b.there("problem-1")
			b.press("problem-1")
			b.shot("8-problems")
			b.press("record")
			b.there("start")
			b.shot("9-record")
			b.press("start")
			b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
			b.shot("9-record-running")
			b.press("stop")
			b.clean()
		})
	}
}
