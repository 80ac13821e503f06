package session

import (
	"slices"
	"strings"
	"testing"

	"reedwell/game/screen"
	"reedwell/game/shelf"
	"reedwell/levels/lesson/lessontest"
	way "reedwell/levels/path"
	"reedwell/levels/week"
)

const source = "00000000000000aa"

// wednesday is the day of these tests, in the middle of a week.
func wednesday() way.Day { return way.Date(2026, 11, 25) }

// months is a made-up player: three weeks of bends on 3 draw with one left out, a drill passed
// and grown rusty, one that is due, a lick, and a part of a drill played round and round.
func months(t *testing.T) (Practice, []Entry) {
	t.Helper()
	today := wednesday()
	j, p := week.New(source), way.New()
	good := way.Take{Graded: true, Share: 0.9, Passed: true, AtTempo: true, Tempo: 60}
	take := func(day way.Day, id string, cents float64) {
		j = j.Add(day, week.Take{Drill: id, Seconds: 40, Share: 0.6, Measured: map[week.Skill]float64{"bend-3d": cents, week.Late: cents - 25, week.Leak: -cents}})
	}
	for i := range 4 {
		take(today-21-way.Day(i), "ladder-3d-1", 34+float64(i))
		take(today-7-way.Day(i%2), "ladder-3d-1", 24+float64(i))
	}
	for i := range 16 {
		take(today-way.Day(i%3), "ladder-3d-1", 16+float64(i%5))
	}
	for range 4 {
		p = p.Record(today-90, "single-1", good)
		p = p.Record(today-2, "warble-1", good)
	}
	p = p.Record(today-89, "single-1", good)
	j = j.Add(today-2, week.Take{Drill: "warble-1", Seconds: 30, Share: 0.9, Good: true})
	shoes := lessontest.Demo(t, "shoes")
	j = j.Add(today, week.Take{Drill: shelf.JournalID(shelf.LickKey(shoes, 1)), Seconds: 20, Share: 1, Good: true})
	j = j.Add(today, week.Take{Seconds: 600}) // of a part
	list := entries(func(e *Entry) {
		if last := p.Upkeep(e.ID, today); last.Last != 0 {
			e.Standing, e.Well = Passed, last.Last.Words()
			e.Rusty, e.Due = last.Fresh == way.Rusty, last.Fresh == way.Due
		}
		if p.Mastered(e.ID) != 0 {
			e.Standing = Confirmed
		}
	})
	return Practice{Today: today, Journal: j, Progress: p, Plan: []way.Turn{
		{ID: "single-1", Takes: 3, Why: way.Rusty}, {ID: "ladder-4d-1", Takes: 5}, {ID: "single-1", Takes: 3, Why: way.Rusty}}}, list
}

func practised(t *testing.T) *walk {
	p, list := months(t)
	w := newWalk(t, known())
	w.press("look")
	shoes := lessontest.Demo(t, "shoes")
	w.in.Shelf = demos(map[string]shelf.Record{shelf.LickKey(shoes, 1): {Takes: 1, Best: shelf.Mark{Share: 1, Tempo: 96, Passed: true}, Last: shelf.Mark{Share: 1, Tempo: 96, Passed: true}}})
	w.in.Practice, w.in.Path = &p, list
	w.step()
	return w
}

func TestWordsOfTheMap(t *testing.T) {
	w := newWalk(t, known())
	w.press("look")
	w.press("map")
	w.golden("map-nothing")
	w = practised(t)
	w.golden("path-due")
	w.press("map")
	w.golden("map")
	w.press("due-warble-1")
	if w.out.Screen.Name != "drill" || w.state.drill.ID != "warble-1" {
		t.Fatalf("what is due leads to %s, %s; want warble-1", w.out.Screen.Name, w.state.drill.ID)
	}
	w.press("back")
	if w.out.Screen.Name != "map" {
		t.Errorf("the way back leads to %s, want the map", w.out.Screen.Name)
	}
	w.press("turn-ladder-4d-1")
	w.press("back")
	w.press("stop-single-6") // shut, and may be tried
	if w.state.drill.ID != "single-6" {
		t.Errorf("a stop leads to %s, want single-6", w.state.drill.ID)
	}
	w.press("back")
	w.press("back")
	w.press("level-single-1")
	w.press("back")
	if w.out.Screen.Name != "path" {
		t.Errorf("a drill of the path leads back to %s", w.out.Screen.Name)
	}
}

// plotsOf reads out every plot of a screen.
func plotsOf(s screen.Screen) string {
	var b strings.Builder
	for _, it := range s.Items {
		if it.Plot != nil {
			b.WriteString(it.ID + ": " + it.Plot.Words() + "\n")
		}
	}
	return b.String()
}

func TestWordsOfTheWeek(t *testing.T) {
	w := newWalk(t, known())
	w.press("look")
	w.press("week")
	w.golden("week-no-day")

	w = newWalk(t, known())
	w.press("look")
	w.in.Practice = &Practice{Today: wednesday(), Journal: week.New(source)}
	w.step()
	w.press("week")
	w.golden("week-nothing")

	w = practised(t)
	w.press("week")
	w.golden("week")
	// A week without takes is a gap and no zero, a day to come has no number, and the numbers are
	// those of months: on the Wednesday six takes of 40 s, a lick of 20 s and ten minutes of a part.
	plots := plotsOf(w.out.Screen)
	for _, want := range []string{"days: Monday", "; Wednesday 14 minutes, 8 takes\n", "week from 9 November nothing", "week from 23 November 18 cents off, 16 takes"} {
		if !strings.Contains(plots, want) {
			t.Errorf("%q is not in\n%s", want, plots)
		}
	}
	if strings.Contains(plots, "Thursday") {
		t.Errorf("a number of a day to come:\n%s", plots)
	}
	w.step(screen.Action{ID: "which-week", Value: "From Monday 16 November"})
	w.golden("week-before")
	if want := "Wednesday 1 minute, 2 takes; Thursday 0 minutes, 0 takes"; !strings.Contains(plotsOf(w.out.Screen), want) {
		t.Errorf("%q is not in\n%s", want, plotsOf(w.out.Screen))
	}
}

// given is the effect of the last step that hands a week over.
func (w *walk) given(kind EffectKind) Effect {
	w.t.Helper()
	for _, e := range w.out.Effects {
		if e.Kind == kind {
			return e
		}
	}
	w.t.Fatalf("effects %+v, want one of kind %d", w.out.Effects, kind)
	return Effect{}
}

func TestGiveToATeacher(t *testing.T) {
	w := practised(t)
	w.press("week")
	w.step(screen.Action{ID: "give-link"})
	sum, err := week.FromLink(w.given(CopyWeek).Text)
	if err != nil || sum.Name != "" || sum.Note != "" {
		t.Errorf("%+v, %v; want a week without a name", sum, err)
	}
	w.step(screen.Action{ID: "your-name", Value: " Ana "})
	w.step(screen.Action{ID: "note", Value: "Thursday was hard."})
	w.step(screen.Action{ID: "give-file"})
	e := w.given(SaveFile)
	sum, err = week.Decode(e.Bytes)
	if err != nil || sum.Name != "Ana" || sum.Note != "Thursday was hard." || e.Name != "reedwell-week-2026-11-23-ana.json" {
		t.Errorf("%q: %+v, %v", e.Name, sum, err)
	}
	// The lick is passed by the lessons' own record.
	if i := slices.IndexFunc(sum.Drills, func(d week.Item) bool { return strings.HasPrefix(d.Drill, "lick-") }); i < 0 || !sum.Drills[i].Passed {
		t.Errorf("drills %+v, want the lick among them, passed", sum.Drills)
	}
	w.step(screen.Action{ID: "your-name", Value: strings.Repeat("n", week.MaxName+1)})
	w.step(screen.Action{ID: "give-link"})
	w.step()
	w.says("A name is at most 40 letters")
	w.step(screen.Action{ID: "your-name", Value: "\u202e"})
	w.step(screen.Action{ID: "give-file"})
	if len(w.out.Effects) != 0 {
		t.Errorf("effects %+v for a name that can not be shown", w.out.Effects)
	}
}

// says wants a text on the screen.
func (w *walk) says(text string) {
	w.t.Helper()
	if got := inWords(w.out.Screen); !strings.Contains(got, text) {
		w.t.Errorf("%q is not on the screen:\n%s", text, got)
	}
}

// sent is the file of a made-up student: so many takes of a drill that is not passed.
func sent(t *testing.T, from, name string, takes int) Sent {
	t.Helper()
	j := week.New(from)
	for i := range takes {
		j = j.Add(wednesday()-way.Day(i%3), week.Take{Drill: "ladder-3d-1", Seconds: 40, Share: 0.5})
	}
	s := week.Summarise(j, way.New(), wednesday())
	s.Name = name
	data, err := s.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return Sent{name + ".json", data}
}

func TestWordsOfTheClass(t *testing.T) {
	w := newWalk(t, known())
	w.press("look")
	w.press("lessons")
	w.press("class")
	w.golden("class-nothing")
	ana, ben := sent(t, "00000000000000a1", "Ana", 4), sent(t, "00000000000000b2", "Ben", 30)
	for _, f := range []Sent{ana, ben, ana, {"empty.json", nil}, {strings.Repeat("long", 40), []byte(`{"reedwell-week":9}`)}, {"big.json", make([]byte, 20000)}} {
		w.step(screen.Action{ID: "open-weeks", Name: f.Name, Bytes: f.Bytes})
	}
	w.step()
	w.golden("class")
	w.press("student-00000000000000b2")
	w.golden("student")
	if plots := plotsOf(w.out.Screen); !strings.Contains(plots, "Wednesday 7 minutes, 10 takes") || strings.Contains(plots, "Thursday") {
		t.Errorf("the file was made on a Wednesday, and its week is drawn as %s", plots)
	}
	w.press("back")
	w.press("close-weeks")
	w.says("Nothing of them is kept")
	w.press("back")
	if w.out.Screen.Name != "lessons" {
		t.Errorf("back leads to %s, want the lessons", w.out.Screen.Name)
	}

	// From a link it needs no microphone and asks for none.
	w = newWalk(t, DefaultSettings())
	sum, err := week.Decode(ben.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	w.in.Link = &Link{Week: &sum}
	w.step()
	if w.out.Screen.Name != "student" || len(w.effect) != 0 {
		t.Errorf("the link leads to %s with effects %v, want the student and none", w.out.Screen.Name, w.effect)
	}
	w.press("class")
	w.press("back")
	if w.out.Screen.Name != "welcome" {
		t.Errorf("back leads to %s, want the welcome", w.out.Screen.Name)
	}
	w.in.Sent = []Sent{ana, ben}
	w.step()
	w.says("2 students")
}

// More files than are compared are refused, one by one and bounded.
func TestTooManyWeeks(t *testing.T) {
	w := newWalk(t, known())
	for i := range week.MaxFiles + 3 {
		w.in.Sent = append(w.in.Sent, sent(t, source[:8]+"000000"+string("0123456789abcdef"[i/16])+string("0123456789abcdef"[i%16]), "S", 1))
	}
	w.step()
	if n := len(w.state.students.all); n != week.MaxFiles {
		t.Errorf("%d are open, want %d", n, week.MaxFiles)
	}
	w.says("At most 200 weekly summaries are opened at once")
}

// Whatever a file or link brings, each screen keeps what holds for all.
func FuzzClass(f *testing.F) {
	f.Add([]byte(`{"reedwell-week":1}`), "v=1&week=AA")
	f.Add(sent(&testing.T{}, source, "Ana", 3).Bytes, "")
	f.Fuzz(func(t *testing.T, data []byte, name string) {
		w := newWalk(t, known())
		w.in.Sent = []Sent{{name, data}, {name, data}}
		w.step()
		if n := len(w.state.students.all) + len(w.state.students.refused); n != 1 {
			t.Errorf("%d things came of one file, want 1", n)
		}
		if sum, err := week.FromLink(name); err == nil {
			w.in.Link = &Link{Week: &sum}
			w.step()
		}
		for _, i := range w.out.Screen.Items {
			if len(i.Label)+len(i.Detail) > 20000 {
				t.Errorf("item %s has %d bytes of words", i.ID, len(i.Label)+len(i.Detail))
			}
		}
	})
}
