package stage_test

import (
	"archive/zip"
	"bytes"
	"io"
	"math"
	"path"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/game/stage"
	"reedwell/levels/band"
	"reedwell/levels/clip"
	"reedwell/levels/drill"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/link"
	"reedwell/levels/player"
	"reedwell/testdata/lessons"
)

func linked(t testing.TB, a lesson.Address) string {
	t.Helper()
	fragment, err := lesson.Link(a)
	if err != nil {
		t.Fatal(err)
	}
	return fragment
}

// shown plays a lick as its demonstration sounds.
func shown(l lesson.Lesson, i int) func(drill.Drill) []float32 {
	return func(d drill.Drill) []float32 {
		return synth.Render(48000, d.Seconds, player.Perform(d, clip.LickTouches(l, d, i), player.Faults{}), 7)
	}
}

// learn goes from a lesson link to the microphone with the round trip measured.
func (r *rig) learn() {
	r.Helper()
	r.press("start")
	r.wait(0.2)
	r.press("calibrate")
	r.press("measure")
	r.wait(6)
	r.press("go-on")
	r.on("drill")
}

// A link leads to a lick; a take that sounds like its demonstration is good, is kept under
// the lick, unlocks nothing, and leads on to the next lick. After the page is loaded again
// it is still there.
func TestLinkToALick(t *testing.T) {
	for name, i := range map[string]int{"kettle": 0, "shoes": 1} {
		l := lessontest.Demo(t, name)
		r := newRig(t, linked(t, lesson.Address{Lesson: l, Lick: i + 1}))
		r.on("welcome")
		r.says(l.Licks[i].Title)
		r.learn()
		d, err := l.Drill(i, lesson.Play{})
		if err != nil {
			t.Fatal(err)
		}
		r.lick, r.perform = &d, shown(l, i)
		progress := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"])
		r.take()
		r.says("A good take")
		r.says("Next lick: " + l.Licks[i+1].Title)
		if now := string(r.store.data["progress-a"]) + string(r.store.data["progress-b"]); now != progress {
			t.Errorf("%s: the take of a lick was entered in the progress of the drills", name)
		}
		have, err := shelf.Decode(r.store.data["lessons"])
		if err != nil {
			t.Fatal(err)
		}
		if rec := have.Licks[shelf.LickKey(l, i)]; rec.Takes != 1 || !rec.Best.Passed || rec.Best.Tempo != l.Tempo || rec.Best.Share < 0.8 {
			t.Errorf("%s: kept %+v, want one good take at %g", name, rec, l.Tempo)
		}
		r.press("next")
		r.on("drill")
		r.says(l.Licks[i+1].Title)
		r.start(linked(t, lesson.Address{Lesson: l, Lick: i + 1}))
		r.press("start")
		r.says("Played once: ")
		r.press("back")
		r.on("lesson")
	}
}

// A lick that is not played is no good take, and nothing is said of one.
func TestLickNotPlayed(t *testing.T) {
	l := lessontest.Demo(t, "kettle")
	r := newRig(t, linked(t, lesson.Address{Lesson: l, Lick: 1}))
	r.learn()
	r.take()
	if i, ok := r.item("next"); ok && i.Style == screen.Primary {
		t.Error("silence leads on")
	}
	if have, err := shelf.Decode(r.store.data["lessons"]); err == nil && len(have.Licks) > 0 {
		t.Errorf("kept %+v of a take that could not be judged", have.Licks)
	}
}

// A demonstration of a lick sounds with its touches, as its clip does.
func TestDemonstrationOfALick(t *testing.T) {
	l := lessontest.Demo(t, "landing")
	r := newRig(t, linked(t, lesson.Address{Lesson: l}))
	r.press("start")
	r.wait(0.2)
	r.on("lesson")
	var sounded []float32
	d, err := l.Drill(0, lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	r.lick = &d
	r.perform = func(drill.Drill) []float32 { return nil }
	r.played = func(samples []float32) { sounded = samples }
	r.press("hear-1")
	r.on("drill")
	r.wait(2)
	if len(sounded) != int(math.Round(d.Seconds*48000)) {
		t.Fatalf("%d frames sounded, want the lick's %g s", len(sounded), d.Seconds)
	}
	over := func(notes []synth.Note) []float32 {
		sound := band.Render(d, 48000)
		synth.Mix(sound, synth.Render(48000, d.Seconds, notes, 1), 0, 0)
		return sound
	}
	like, plain := over(player.Perform(d, clip.LickTouches(l, d, 0), player.Faults{})), over(player.Notes(d, player.Faults{}))
	if a, b := alike(sounded, like), alike(sounded, plain); a < 0.99 || b > 0.95 {
		t.Errorf("what sounded is like the coloured lick by %.3f, like the plain one by %.3f", a, b)
	}
}

// alike is the correlation of two sounds.
func alike(a, b []float32) float64 {
	ab, aa, bb := 0.0, 0.0, 0.0
	for i := range min(len(a), len(b)) {
		ab += float64(a[i]) * float64(b[i])
		aa += float64(a[i]) * float64(a[i])
		bb += float64(b[i]) * float64(b[i])
	}
	return ab / math.Sqrt(aa*bb)
}

// A link that names a file has it fetched; what comes is checked like any link.
func TestLinkToAFile(t *testing.T) {
	link := linked(t, lesson.Address{File: "songs/shoes.txt", Lick: 2})
	fetch := func(f stage.Fetched) *rig {
		r := newRig(t, link)
		if r.outside.asks != "songs/shoes.txt" {
			t.Fatalf("asked for %q", r.outside.asks)
		}
		r.says("is being loaded")
		r.tick.Fetched = &f
		r.poll()
		r.tick.Fetched = nil
		r.poll()
		return r
	}
	r := fetch(stage.Fetched{File: "songs/shoes.txt", Text: []byte(lessons.Text("shoes"))})
	r.says("Shake the umbrella")
	r.press("start")
	r.on("drill")
	for _, c := range []struct {
		name  string
		f     stage.Fetched
		words string
	}{
		{"not there", stage.Fetched{Problem: "the server answered 404"}, "the server answered 404"},
		{"too long", stage.Fetched{Text: bytes.Repeat([]byte("x\n"), lesson.MaxBytes)}, "at most 65536 bytes"},
		{"no lesson", stage.Fetched{Text: []byte("<!doctype html>")}, "mistake"},
		{"no such lick", stage.Fetched{Text: []byte("title: t\nharp: C\ntempo: 60\nlick: a\nbars: 1\n-4:8 |\n")}, "no such lick"},
	} {
		c.f.File = "songs/shoes.txt"
		r := fetch(c.f)
		r.on("welcome")
		r.says("can not be opened")
		r.says(c.words)
		if strings.Contains(describe(r.screen), "is being loaded") {
			t.Errorf("%s: still being loaded", c.name)
		}
	}
	// What nobody asked for is left alone.
	r = newRig(t, "")
	r.tick.Fetched = &stage.Fetched{File: "x.txt", Text: []byte(lessons.Text("shoes"))}
	r.poll()
	if strings.Contains(describe(r.screen), "umbrella") {
		t.Error("a file that nobody asked for was opened")
	}
}

func TestRefusedLessonLinks(t *testing.T) {
	for _, fragment := range []string{
		"v=1&text=AAAA", "v=1&text=" + strings.Repeat("A", 10000), "v=2&text=x", "v=1&lesson=../secret.txt", "v=1&lesson=https://example.com/x.txt",
		"v=1&lesson=x.txt&lick=0", "v=1&lesson=x.txt&text=y", "v=1&lesson=x.txt&tempo=1e9",
	} {
		r := newRig(t, fragment)
		r.on("welcome")
		r.says("The link can not be opened: ")
		if r.outside.asks != "" {
			t.Errorf("%.40q: %q was asked for", fragment, r.outside.asks)
		}
	}
}

// Text is kept as it is written and is there again; a kept lesson can be opened, changed and
// deleted, and deleting takes two presses.
func TestKeptLessons(t *testing.T) {
	r := newRig(t, "")
	r.ready()
	r.press("lessons")
	r.press("write")
	r.act(screen.Action{ID: "text", Value: "title: Half a less"})
	r.start("") // the page dies
	r.press("start")
	r.press("lessons")
	r.says("Go on writing")
	r.press("write")
	if i, _ := r.item("text"); i.Value != "title: Half a less" {
		t.Fatalf("after the page died the text is %q", i.Value)
	}
	r.act(screen.Action{ID: "text", Value: lessons.Text("shoes") + "\n% mine\n"})
	r.press("keep")
	r.poll()
	if i, _ := r.item("keep"); !i.Disabled {
		t.Error("a text that is kept can be kept again")
	}
	r.press("back")
	r.start("")
	r.press("start")
	r.press("lessons")
	id := ""
	for _, i := range r.screen.Items {
		if strings.HasPrefix(i.ID, "lesson-") && !strings.HasPrefix(i.ID, "lesson-demo-") {
			id = i.ID
		}
	}
	r.press(id)
	r.on("lesson")
	r.press("drop")
	r.press("keep-it")
	r.press("drop")
	r.press("really-drop")
	r.poll()
	r.on("lessons")
	if _, there := r.item(id); there {
		t.Error("a deleted lesson is still there")
	}
}

func TestDamagedShelfIsKeptAside(t *testing.T) {
	for name, data := range map[string]string{"damaged": "{", "newer": `{"reedwell-lessons":9}`} {
		r := newRig(t, "")
		r.store.data["lessons"] = []byte(data)
		r.start("")
		r.says("put aside")
		aside := false
		for name, kept := range r.store.data {
			aside = aside || strings.HasPrefix(name, "lessons-aside-") && string(kept) == data
		}
		if !aside {
			t.Errorf("%s lessons are not kept aside: %v", name, r.store.data)
		}
	}
}

// writes goes to the writing desk with a text.
func (r *rig) writes(text string) {
	r.Helper()
	r.ready()
	r.press("lessons")
	r.press("write")
	r.act(screen.Action{ID: "text", Value: text})
}

// What is played after the count-in stands at the end of the lesson, note for note.
func TestRecordALick(t *testing.T) {
	r := newRig(t, "")
	l := lessontest.Demo(t, "kettle")
	r.writes(lessons.Text("kettle"))
	only, err := lesson.Only(l, 0)
	if err != nil {
		t.Fatal(err)
	}
	r.press("record")
	r.on("record")
	blank := 0
	r.perform = func(d drill.Drill) []float32 { return shown(only, 0)(d) }
	d, err := l.Drill(0, lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	r.lick = &d
	r.loose = true
	r.played = func(samples []float32) { blank = len(samples) }
	r.press("start")
	r.on("record")
	r.until("write", 40)
	if blank == 0 {
		t.Fatal("no count-in sounded")
	}
	i, _ := r.item("text")
	got, problems := lesson.Parse(i.Value)
	if lesson.Failed(problems) || len(got.Licks) != len(l.Licks)+1 {
		t.Fatalf("%v in\n%s", problems, i.Value)
	}
	played := got.Licks[len(got.Licks)-1]
	if played.Bar != 14 { // the last one sounds to the end of bar 12, and this one has a pickup
		t.Errorf("the played lick stands in bar %d, want after the last one, in 14", played.Bar)
	}
	asked := l.Licks[0].Notes
	if len(played.Notes) != len(asked) {
		t.Fatalf("%d notes are written down, want %d:\n%s", len(played.Notes), len(asked), i.Value)
	}
	for k, n := range played.Notes {
		if n.Start != asked[k].Start || n.Holes[0] != asked[k].Holes[0] {
			t.Errorf("note %d: %v at %d, want %v at %d", k+1, n.Holes, n.Start, asked[k].Holes, asked[k].Start)
		}
	}
	r.press("undo")
	if i, _ := r.item("text"); i.Value != lessons.Text("kettle") {
		t.Error("the text before can not be brought back")
	}
}

func TestRecordSilence(t *testing.T) {
	r := newRig(t, "")
	r.writes(lessons.Text("kettle"))
	r.press("record")
	r.press("start")
	for range 1000 {
		r.wait(0.04)
		if _, ok := r.item("start"); ok {
			break
		}
	}
	r.says("No lick was heard")
	r.press("back")
	if i, _ := r.item("text"); i.Value != lessons.Text("kettle") {
		t.Error("silence was written down")
	}
}

// A recording in a file is written down too.
func TestReadSound(t *testing.T) {
	r := newRig(t, "")
	l := lessontest.Demo(t, "kettle")
	r.writes(lessons.Text("kettle"))
	sound, err := clip.Lick(l, 0, clip.Options{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	r.act(screen.Action{ID: "read", Name: "lick.wav", Bytes: wav.Bytes(48000, sound)})
	before := len(l.Licks)
	for range 400 {
		r.wait(0.04)
		i, _ := r.item("text")
		if got, problems := lesson.Parse(i.Value); !lesson.Failed(problems) && len(got.Licks) > before {
			if n := len(got.Licks[before].Notes); n != len(l.Licks[0].Notes) {
				t.Errorf("%d notes, want %d:\n%s", n, len(l.Licks[0].Notes), i.Value)
			}
			return
		}
	}
	t.Fatalf("nothing was written down:\n%s", describe(r.screen))
}

// What is saved as everything has all parts, and they are what they say.
func TestSaveEverything(t *testing.T) {
	r := newRig(t, "")
	r.writes(lessons.Text("kettle"))
	r.press("save")
	for range 200 {
		r.wait(0.04)
		if r.outside.file != nil {
			break
		}
	}
	if r.outside.name != "kettle-before-daylight.zip" {
		t.Fatalf("saved as %q:\n%s", r.outside.name, describe(r.screen))
	}
	z, err := zip.NewReader(bytes.NewReader(r.outside.file), int64(len(r.outside.file)))
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		ext := path.Ext(f.Name)
		kinds[ext]++
		begins := map[string]string{".txt": "% An easy one", ".pdf": "%PDF-", ".svg": "<svg", ".mid": "MThd", ".musicxml": "<?xml", ".abc": "%abc", ".wav": "RIFF"}[ext]
		if begins == "" || !bytes.HasPrefix(data, []byte(begins)) {
			t.Errorf("%s begins %.20q", f.Name, data)
		}
	}
	if kinds[".wav"] != 26 || kinds[".txt"] != 1 || kinds[".pdf"] != 1 || kinds[".svg"] == 0 || kinds[".mid"] != 1 || kinds[".musicxml"] != 1 || kinds[".abc"] != 1 {
		t.Errorf("parts %v", kinds)
	}
}

// Each notation that is saved can be read again as the same tab.
func TestSaveAndReadNotations(t *testing.T) {
	for _, format := range []string{"The notes, for a sequencer (MIDI)", "The notes, for a score (MusicXML)", "The notes, as ABC"} {
		r := newRig(t, "")
		r.writes(lessons.Text("shoes"))
		r.act(screen.Action{ID: "format", Value: format})
		r.press("save")
		r.wait(0.5)
		name, data := r.outside.name, r.outside.file
		r.act(screen.Action{ID: "text", Value: "% nothing yet"})
		r.act(screen.Action{ID: "read", Name: name, Bytes: data})
		r.wait(0.5)
		i, _ := r.item("text")
		got, problems := lesson.Parse(i.Value)
		want := lessontest.Demo(t, "shoes")
		if lesson.Failed(problems) || lesson.Format(got) != lesson.Format(want) {
			t.Errorf("%s: read back as %v\n%s", name, problems, i.Value)
		}
	}
}

func TestLinksAndFrames(t *testing.T) {
	r := newRig(t, "")
	r.outside.address = "https://example.org/reeds/"
	r.tick.Width = 1200
	r.page = true
	r.start("")
	r.writes(lessons.Text("shoes"))
	r.press("link")
	if a, err := lesson.FromLink(r.outside.link); err != nil || lesson.Format(a.Lesson) != lesson.Format(lessontest.Demo(t, "shoes")) {
		t.Errorf("the link leads to %+v, %v", a, err)
	}
	r.act(screen.Action{ID: "part", Value: "2. Shake the umbrella"})
	r.press("frame")
	before, rest, _ := strings.Cut(r.outside.text, `src="https://example.org/reeds/#`)
	fragment, after, _ := strings.Cut(rest, `"`)
	if before != "<iframe " || !strings.Contains(after, `allow="microphone; autoplay"`) {
		t.Errorf("frame code %q", r.outside.text)
	}
	if a, err := lesson.FromLink(strings.ReplaceAll(fragment, "&amp;", "&")); err != nil || a.Lesson.Licks[a.Lick-1].Title != "Shake the umbrella" {
		t.Errorf("the frame leads to %+v, %v", a, err)
	}
	r.press("sheet")
	r.wait(0.5)
	i, ok := r.item("page-1")
	if !ok || !bytes.HasPrefix(i.Picture.SVG, []byte("<svg")) || !bytes.Contains(i.Picture.SVG, []byte("https://example.org/reeds/#")) {
		t.Errorf("no sheet with links:\n%s", describe(r.screen))
	}
	r.press("print")
	if r.outside.printed != 1 {
		t.Error("nothing was printed")
	}
	if code := link.Frame("https://x/", "a", `"><script>`); strings.Contains(code, "<script>") {
		t.Errorf("a title breaks out of the frame code: %s", code)
	}
}
