//go:build browser

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/path"
	"reedwell/levels/player"
	"reedwell/levels/week"
)

// beside opens another tab of the same browser at an address.
func (b tab) beside(address string) tab {
	b.Helper()
	ctx, cancel := chromedp.NewContext(b.ctx)
	b.Cleanup(cancel)
	other := tab{b.TB, ctx}
	other.before(watched)
	run1(other, window())
	run1(other, chromedp.Navigate(address))
	return other
}

// write writes into a field as if it were typed.
func (b tab) write(id, text string) {
	b.Helper()
	b.there(id)
	ask[bool](b, fmt.Sprintf(`(() => { const e = document.getElementById("item-%s"); e.focus(); e.value = %q; e.dispatchEvent(new Event("input")); return true; })()`, id, text))
}

// practisedToday is a script that stores, once, four good takes of today, one of them without the
// display, which pass a drill, and a journal with one take.
func practisedToday(t *testing.T, today path.Day) string {
	t.Helper()
	p := path.New()
	for i := range 4 {
		p = p.Record(today, practised, path.Take{Graded: true, Share: 1, Passed: true, Display: i < 3, AtTempo: true, Tempo: 60})
	}
	j := week.New("00000000000000a1").Add(today, week.Take{Drill: practised, Seconds: 90, Share: 1, Good: true})
	script := ""
	for name, data := range map[string][]byte{"progress-a": p.Encode(), "journal-a": j.Encode()} {
		text := must(json.Marshal(data)) // base64, as the page stores bytes
		script += fmt.Sprintf(`if (location.protocol !== "about:" && !localStorage.getItem("reedwell/%s")) localStorage.setItem("reedwell/%s", %s);`, name, name, text)
	}
	return script
}

// givenWeek plays a take and sees what comes of it: the map, the week, and what a teacher is given
// by link and by file. That the take could be judged is enough here, see playedTake.
func givenWeek(t *testing.T, address string) {
	d, err := drill.Build(drill.Spec{ID: practised})
	if err != nil {
		t.Fatal(err)
	}
	const rate, turns = 48000, 16
	once := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Seed: 3}), 3)
	b := browse(t, address, fakeMicrophone(t, rate, slices.Repeat(once, turns)))
	b.there("start")
	today, err := path.ParseDay(ask[string](b, "page.today()"))
	if err != nil {
		t.Fatal(err)
	}
	b.before(practisedToday(t, today)) // for the pages loaded from here on
	run1(b, chromedp.Navigate(address))
	downloads := b.downloads()
	b.firstRun()
	b.press("level-" + practised)
	// A take in which the sound delay moved, as on a busy machine, is not judged and counts nowhere.
	for try := 1; ; try++ {
		b.press("play")
		b.until("playing", `document.getElementById("item-count")?.textContent === "Play."`)
		b.until("the result", `document.getElementById("item-save-take")`)
		if !ask[bool](b, `!!document.getElementById("item-problem")`) {
			break
		}
		t.Logf("try %d: %s", try, b.words("problem"))
		if try == 4 {
			t.Fatal("no take could be judged")
		}
		b.press("change")
	}
	b.press("back")

	b.press("map")
	b.until("the drill on the map", `document.getElementById("item-stop-`+practised+`")?.textContent.includes("passed")`)
	b.reach("map")
	b.shot("map")
	b.press("stop-" + after)
	b.there("play")
	b.press("back")
	b.there("stop-" + after)
	b.press("week")
	if got := b.words("sum"); !strings.Contains(got, "on 1 day, 2 takes") {
		b.Errorf("the week says %q, want the take of before and the one that was played", got)
	}
	if got := b.words("drill-1"); !strings.Contains(got, "Single notes 1: Two holes, held") || !strings.Contains(got, "passed") {
		b.Errorf("what was played is %q, want the drill, passed", got)
	}
	if got := b.words("days"); !strings.Contains(got, "Monday") {
		b.Errorf("the drawing is read out as %q, want the numbers of the days", got)
	}
	b.reach("week")
	b.shot("week")
	b.write("your-name", "Ana")
	b.write("note", "It was <b>easy</b>.")
	// What the clipboard gets is kept, since a browser without a window may refuse to show it.
	ask[bool](b, `(navigator.clipboard.writeText = (t) => { window.copied = t; return Promise.resolve(); }, true)`)
	b.press("give-link")
	b.until("a link copied", `window.copied?.includes("#v=1&week=") && document.getElementById("item-copied")`)
	link := ask[string](b, "window.copied")
	b.press("give-file")
	file := filepath.Join(downloads, "reedwell-week-"+week.Monday(today).String()+"-ana.json")
	saved(file)
	data, err := os.ReadFile(file)
	if err != nil {
		b.Fatal(err)
	}
	if s, err := week.Decode(data); err != nil || s.Takes[today-s.Week] != 2 || s.Name != "Ana" || s.Note != "It was <b>easy</b>." || len(s.Passed) != 1 || s.Passed[0] != practised {
		b.Errorf("the file is %+v, %v; want Ana's week, in which %s was passed", s, err, practised)
	}
	b.clean()

	// The teacher: the link in a tab of its own, and then two students' files at once.
	j := week.New("00000000000000b2")
	for range 20 {
		j = j.Add(today, week.Take{Drill: "ladder-4d-1", Seconds: 30, Share: 0.5})
	}
	ben := week.Summarise(j, path.New(), today)
	ben.Name = "Ben"
	other, err := ben.Encode()
	if err != nil {
		b.Fatal(err)
	}
	second, bad := filepath.Join(downloads, "ben.json"), filepath.Join(downloads, "bad.json")
	for name, data := range map[string][]byte{second: other, bad: data[:len(data)/2]} {
		if err := os.WriteFile(name, data, 0o666); err != nil {
			b.Fatal(err)
		}
	}
	teacher := b.beside(link)
	teacher.until("Ana's week", `document.getElementById("item-title")?.textContent === "Ana"`)
	teacher.until("Ana's words, as she wrote them", `document.getElementById("content").textContent.includes("It was <b>easy</b>.")`)
	if ask[bool](teacher, `document.querySelector("#content b") !== null`) {
		b.Error("what a student wrote was taken for HTML")
	}
	teacher.reach("student")
	teacher.shot("student")
	teacher.press("class")
	teacher.there("open-weeks")
	if !ask[bool](teacher, `document.getElementById("item-open-weeks").multiple`) {
		b.Error("only one file can be chosen at once")
	}
	run1(teacher, chromedp.SetUploadFiles("#item-open-weeks", []string{file, second, bad}))
	teacher.until("both students", `[...document.querySelectorAll("[id^=item-student-]")].length === 2 && document.getElementById("item-refused-1")`)
	first := ask[string](teacher, `document.querySelector("[id^=item-student-]").textContent`)
	if !strings.HasPrefix(first, "Ben") || !strings.Contains(first, "Stuck on: Bend ladder 1: 4 draw, glide and land (20 takes, 0 good)") {
		b.Errorf("first comes %q, want Ben, who is stuck", first)
	}
	if got := teacher.words("refused-1"); !strings.Contains(got, "bad.json") {
		b.Errorf("what was cut in half is told as %q", got)
	}
	teacher.reach("class")
	teacher.shot("class")
	teacher.clean()
}

// weekAccessible has the screens of map, week and students checked.
func weekAccessible(t *testing.T, address string) {
	source := axeSource(t)
	b := browse(t, address, silence(t))
	b.press("look")
	b.press("map")
	b.there("stop-single-1")
	b.axe(source, "map")
	b.press("week")
	b.there("give-link")
	b.axe(source, "week")
	b.press("class")
	b.there("open-weeks")
	b.axe(source, "class")
	b.press("back")
	b.there("give-link")
	// Without the picture the drawings are words.
	ask[bool](b, `(document.querySelector("canvas").getContext("webgl2").getExtension("WEBGL_lose_context").loseContext(), true)`)
	b.until("said", `!document.getElementById("notice").hidden`)
	if got := ask[string](b, `getComputedStyle(document.getElementById("item-days")).color`); strings.HasSuffix(got, ", 0)") {
		b.Errorf("without the picture the days are invisible: %s", got)
	}
	b.axe(source, "week without the picture")
}
