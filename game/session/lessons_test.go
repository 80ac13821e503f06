package session

import (
	"slices"
	"strings"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/grade"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
	"reedwell/levels/write"
	demotexts "reedwell/testdata/lessons"
)

// demos are the lessons that come with the program, and how their licks went.
func demos(licks map[string]shelf.Record, more ...Lesson) *Shelf {
	s := &Shelf{Lessons: more, Licks: licks}
	for _, name := range demotexts.Names() {
		s.Lessons = append(s.Lessons, Lesson{ID: "demo-" + name, Text: demotexts.Text(name), Demo: true})
	}
	return s
}

// student is a walk at the path, with lessons, in a page.
func student(t *testing.T, have *Shelf) *walk {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound, w.in.Shelf, w.in.Page = on(), have, true
	w.step()
	w.page = true
	return w
}

func TestWordsOfLessons(t *testing.T) {
	l := lessontest.Demo(t, "shoes")
	licks := map[string]shelf.Record{
		shelf.LickKey(l, 0): {Takes: 3, Best: shelf.Mark{Share: 0.95, Tempo: 96, Passed: true}, Last: shelf.Mark{Share: 0.7, Tempo: 96}},
		shelf.LickKey(l, 1): {Takes: 1, Best: shelf.Mark{Share: 0.799, Tempo: 72}, Last: shelf.Mark{Share: 0.799, Tempo: 72}},
	}
	w := student(t, demos(licks, Lesson{ID: "a", Text: "title: Half a lesson\nharp: C"}))
	w.press("lessons")
	w.golden("lessons")
	w.press("lesson-demo-shoes")
	w.golden("lesson")
	w.press("my-harp")
	w.golden("lesson-my-harp")
	w.press("as-written")
	w.press("play-2")
	w.golden("lick")
	if w.out.Screen.Chart.Notes[0].Tab != "-4~-5" || w.out.Screen.Chart.Notes[1].Tab != "" {
		t.Errorf("a warble is written as %q, %q", w.out.Screen.Chart.Notes[0].Tab, w.out.Screen.Chart.Notes[1].Tab)
	}
	w.press("play")
	r := grade.Result{Share: 1, Passed: true}
	for i, g := range w.state.drill.Targets {
		r.Notes = append(r.Notes, grade.Note{Target: i, Tab: g.Note.Tab(), Heard: g.Note.Tab(), Good: true, Sure: true})
	}
	w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Result: r, Counted: true}
	w.step()
	w.golden("result-lick")
	w.press("next")
	if got := w.out.Screen.Items[0].Label; got != "Puddle" {
		t.Errorf("the next lick is %q, want Puddle", got)
	}
	w.press("back")
	w.press("play-6")
	w.press("play")
	w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Result: grade.Result{Share: 0.5, Notes: []grade.Note{{Tab: "-2", Good: false, Sure: true}}}, Counted: true}
	w.step()
	w.golden("result-last-lick")
	w.press("next")
	w.golden("chorus")
	w.press("back")
	w.press("sheet")
	w.golden("sheet-waiting")
	w.in.Sheet = &Sheet{Pages: []*screen.Picture{{Width: 595, Height: 842, SVG: []byte("<svg/>")}}}
	w.step()
	w.golden("sheet")
	w.press("back")
	w.in.Work = Work{What: "Making the files", Done: 3, Of: 26}
	w.step()
	if !slices.ContainsFunc(w.out.Screen.Items, func(i screen.Item) bool { return i.ID == "work" && i.Now == 3 }) {
		t.Error("nothing tells how far the work is")
	}
	w.press("back")
	w.press("lesson-a")
	w.golden("write-half-a-lesson")
}

func TestWordsOfWriting(t *testing.T) {
	w := student(t, demos(nil))
	w.press("lessons")
	w.press("write")
	w.golden("write-nothing")
	w.step(screen.Action{ID: "begin-2"})
	w.golden("write")
	text := func() string { return w.out.Screen.Items[1].Value }
	version := func() int { return w.out.Screen.Items[1].Writing.Version }
	first := version()
	w.step(screen.Action{ID: "key", Value: "D"})
	if text() != strings.Replace(demotexts.Text("kettle"), "harp: A", "harp: D", 1) || version() == first {
		t.Errorf("moved to another harp, version %d after %d:\n%s", version(), first, text())
	}
	w.step(screen.Action{ID: "tempo", Now: 72.4})
	if !strings.Contains(text(), "tempo: 72\n") || !strings.Contains(text(), "% An easy one") {
		t.Errorf("at another tempo:\n%s", text())
	}
	first = version()
	w.step(screen.Action{ID: "text", Value: strings.Replace(text(), "-4:3 -4:2", "-4:3 -5':2", 1) + "what?\n"})
	if version() != first {
		t.Error("what was typed is written back into the field")
	}
	w.golden("write-mistakes")
	w.press("problem-1")
	if c := w.out.Screen.Items[1].Writing; c.Sent != 1 || c.Line != 14 || c.Column != 14 {
		t.Errorf("the cursor is sent to line %d, column %d (%d times), want 14, 14", c.Line, c.Column, c.Sent)
	}
	w.press("undo")
	w.press("try")
	if w.out.Screen.Name != "drill" {
		t.Fatalf("a student's try is screen %q", w.out.Screen.Name)
	}
	w.press("back")
	if w.out.Screen.Name != "write" {
		t.Errorf("back from a try leads to %q", w.out.Screen.Name)
	}
	w.step(screen.Action{ID: "hear"})
	w.in.Run = Run{Kind: Demo, Seconds: 6, Length: 20}
	w.step()
	w.golden("write-hearing")
	w.press("stop")
}

// Chords by name belong to a key: the line of the harp alone would make another form.
func TestMovedWithChordsByName(t *testing.T) {
	w := student(t, demos(nil))
	w.press("lessons")
	w.press("write")
	w.step(screen.Action{ID: "text", Value: "title: Own\nharp: A\ntempo: 80\nform: E7 | A7 | B7 | E7 |\nlick: One\nbars: 1\n-2:8 |\n"})
	w.step(screen.Action{ID: "key", Value: "C"})
	got, problems := lesson.Parse(w.out.Screen.Items[1].Value)
	if lesson.Failed(problems) || got.Key.String() != "C" || got.ChordName(got.Form.Bars[1][0]) != "C7" {
		t.Errorf("%v: on a C harp the second bar is %s, want C7:\n%s", problems, got.ChordName(got.Form.Bars[1][0]), w.out.Screen.Items[1].Value)
	}
}

// On a phone a chorus is shown in parts while it is played; the row that comes next is always
// in sight, and nothing of the form is left out.
func TestNear(t *testing.T) {
	d, err := lessontest.Demo(t, "shoes").Chorus(lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	whole := chart(d, 360)
	if whole.PerRow != 2 || near(chart(d, 1200), 1200).Bars != 12 {
		t.Fatalf("%d bars in a row, %d bars on a laptop", whole.PerRow, near(chart(d, 1200), 1200).Bars)
	}
	seen := map[float64]bool{}
	for beat := -4.0; beat < 48; beat += 0.5 {
		c := chart(d, 360)
		c.Cursor = beat
		c.Trace = []screen.TracePoint{{Beat: beat}}
		n := near(c, 360)
		if n.Bars != 4 || beat < 40 && n.Cursor >= 8 || n.Cursor >= 16 {
			t.Fatalf("at beat %g: %d bars, the cursor on beat %g of them", beat, n.Bars, n.Cursor)
		}
		shift := beat - n.Cursor
		for _, note := range n.Notes {
			seen[note.Beat+shift] = true
		}
		if beat >= 0 && (len(n.Trace) != 1 || n.Trace[0].Beat != n.Cursor) {
			t.Errorf("at beat %g the played line is %v", beat, n.Trace)
		}
	}
	if len(seen) != len(whole.Notes) {
		t.Errorf("%d of %d notes were in sight", len(seen), len(whole.Notes))
	}
}

// A take of a chorus is in sight as a whole, on a phone and on a laptop: chart, comb and the
// way to stop it.
func TestChorusTakeIsInSight(t *testing.T) {
	fonts := paint.NewFonts()
	for _, size := range [][2]float64{{360, 640}, {390, 844}, {844, 390}, {1280, 800}} {
		w := student(t, demos(nil))
		w.in.Width, w.in.Height = size[0], size[1]
		w.step()
		w.press("lessons")
		w.press("lesson-demo-shoes")
		w.press("play-chorus")
		w.press("play")
		w.in.Run = Run{Kind: Recording, Seconds: 12, Length: 40}
		w.step()
		if _, content := screen.Place(w.out.Screen, size[0], size[1], fonts); content > size[1] {
			t.Errorf("%gx%g: the take is %g px high", size[0], size[1], content)
		}
	}
}

// On a phone the families to choose from leave room for what to play next.
func TestNextDrillIsInSight(t *testing.T) {
	fonts := paint.NewFonts()
	for _, size := range [][2]float64{{320, 568}, {360, 640}, {390, 844}, {844, 390}, {1280, 800}} {
		w := student(t, demos(nil))
		w.in.Width, w.in.Height = size[0], size[1]
		w.step()
		placed, _ := screen.Place(w.out.Screen, size[0], size[1], fonts)
		next := slices.IndexFunc(placed.Items, func(it screen.Item) bool { return it.ID == "next" })
		if next < 0 {
			t.Fatalf("nothing is next on %s", placed.Name)
		}
		if end := placed.Items[next].Rect.Y + placed.Items[next].Rect.H; end > size[1] {
			t.Errorf("%gx%g: what is next ends at %g px", size[0], size[1], end)
		}
	}
}

// A hostile lesson can be read, and its endless chorus is not played.
func TestEndlessLesson(t *testing.T) {
	l := lessontest.Demo(t, "kettle")
	l.Tempo = 40
	for k := range 7 { // eight choruses
		for _, lick := range l.Licks[:6] {
			if lick.Pickup > 0 {
				continue // it would fall into the lick before
			}
			lick.Bar += 12 * (k + 1)
			l.Licks = append(l.Licks, lick)
		}
	}
	w := student(t, demos(nil))
	w.in.Link = &Link{Lesson: &lesson.Address{Lesson: l}}
	w.step()
	w.press("play-chorus")
	if w.out.Screen.Name != "lesson" || !strings.Contains(inWords(w.out.Screen), "a take at most 240") {
		t.Errorf("screen %q:\n%s", w.out.Screen.Name, inWords(w.out.Screen))
	}
	w.press("play-3")
	if w.out.Screen.Name != "drill" {
		t.Errorf("a lick of it leads to %q", w.out.Screen.Name)
	}
}

func TestWordsOfRecording(t *testing.T) {
	w := student(t, demos(nil))
	w.press("lessons")
	w.press("write")
	w.press("record")
	w.golden("record")
	w.step(screen.Action{ID: "feel", Value: "12/8"})
	w.step(screen.Action{ID: "tempo", Now: 66})
	w.effect = nil
	w.step(screen.Action{ID: "start"})
	e := w.out.Effects
	if len(e) != 1 || e[0].Write == nil || e[0].Write.Tempo != 66 || e[0].Write.Feel.Kind != lesson.Triplet || e[0].Write.Beat0 != e[0].Drill.Time(0) {
		t.Fatalf("effects %+v", e)
	}
	w.in.Run = Run{Kind: Recording, Seconds: 1, Length: 9}
	w.step()
	w.golden("record-count-in")
	if w.out.Screen.Live != "" {
		t.Errorf("%q is said into the microphone", w.out.Screen.Live)
	}
	w.in.Run = Run{Kind: Writing}
	w.step()
	w.golden("record-writing")
	w.in.Run = Run{}
	k := lessontest.Demo(t, "kettle").Licks[0]
	w.in.Written = &Written{Lick: k, Report: write.Report{Tempo: 66, Feel: lesson.Feel{Kind: lesson.Triplet}},
		Doubts: []write.Doubt{{Note: -1, Words: "where bar one begins is a guess"}, {Note: 3, Words: "2 draw or 3 blow?"}}}
	w.step()
	w.golden("write-played")
	w.press("doubt-2")
	if c := w.out.Screen.Items[1].Writing; c.Line == 0 || c.Sent == 0 {
		t.Errorf("a doubt does not lead to its note: %+v", c)
	}
}

func TestWordsOfALessonLink(t *testing.T) {
	l := lessontest.Demo(t, "shoes")
	w := newWalk(t, DefaultSettings())
	w.in.Link = &Link{Lesson: &lesson.Address{Lesson: l, Lick: 2}}
	w.step()
	w.golden("link-lick")
	w.press("start")
	if w.out.Screen.Name != "drill" || w.state.Settings().Key != l.Key {
		t.Errorf("screen %q on %s harp, want the lick on the lesson's", w.out.Screen.Name, w.state.Settings().Key)
	}
	w = newWalk(t, known())
	w.in.Shelf = demos(nil)
	key, err := harp.ParseKey("G")
	if err != nil {
		t.Fatal(err)
	}
	w.in.Link = &Link{Lesson: &lesson.Address{Lesson: l, Key: &key, Tempo: 70}}
	w.step()
	w.golden("link-lesson")
	w.press("look")
	w.golden("lesson-from-a-link")
	w.press("play-1")
	if w.state.drill.Harp.Key != key || w.state.drill.Tempo != 70 {
		t.Errorf("played on %s at %g, want G at 70", w.state.drill.Harp.Key, w.state.drill.Tempo)
	}
}
