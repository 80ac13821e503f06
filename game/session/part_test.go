package session

import (
	"slices"
	"strconv"
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/grade"
	"reedwell/levels/lesson"
	"reedwell/levels/lesson/lessontest"
)

// Bars of a drill: they are chosen, played, told apart from the drill itself, and go round by
// themselves until somebody touches the result.
func TestWordsOfAPart(t *testing.T) {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("level-single-1")
	bars := w.state.drill.Bars
	if bars < 4 {
		t.Fatalf("single-1 has %d bars", bars)
	}
	w.golden("drill-bars")
	w.step(screen.Action{ID: "from-bar", Value: "2"})
	w.step(screen.Action{ID: "to-bar", Value: "3"})
	if w.state.drill.Bars != 2 {
		t.Fatalf("%d bars, want 2", w.state.drill.Bars)
	}
	w.step(screen.Action{ID: "round", On: true})
	w.golden("drill-part")
	w.step(screen.Action{ID: "tempo", Now: 80}) // another tempo, the same bars
	if w.state.drill.Bars != 2 {
		t.Errorf("at another tempo %d bars, want 2", w.state.drill.Bars)
	}
	w.step(screen.Action{ID: "hear"})
	if e := w.out.Effects; len(e) != 1 || e[0].Drill.Bars != 2 {
		t.Errorf("effects %+v, want a demonstration of two bars", e)
	}
	w.step()
	take := func(problem string) {
		w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Result: grade.Result{Share: 1, Passed: true, Problem: problem,
			Notes: []grade.Note{{Tab: "-4", Heard: "-4", Good: true, Sure: true}}}}
		w.step()
	}
	w.step(screen.Action{ID: "play"})
	if e := w.out.Effects; len(e) != 1 || !e[0].Part || e[0].Drill.Bars != 2 {
		t.Errorf("effects %+v, want a take of a part", e)
	}
	take("")
	w.golden("result-part")
	again := func(seconds int64) bool {
		w.in.Now += seconds * 48000
		w.effect = nil
		w.step()
		return slices.Contains(w.effect, StartTake)
	}
	if again(5) {
		t.Error("the next round begins before the result could be heard")
	}
	if !again(1) || w.out.Screen.Name != "take" {
		t.Error("no next round after six seconds")
	}
	take("")
	w.press("stay")
	if again(60) {
		t.Error("the next round begins though somebody has touched the result")
	}
	w.press("again")
	take("Nothing was heard.")
	if again(60) {
		t.Error("the next round begins after nothing was heard")
	}
	w.press("whole-drill")
	if w.state.drill.Bars != bars || w.out.Screen.Name != "drill" {
		t.Errorf("%d bars on screen %s, want all %d on the drill", w.state.drill.Bars, w.out.Screen.Name, bars)
	}
	// All bars are the drill, which counts; a first bar behind the last takes it along.
	w.step(screen.Action{ID: "to-bar", Value: "2"})
	w.step(screen.Action{ID: "from-bar", Value: "4"})
	if p := w.state.part; p.first != 4 || p.last != 4 {
		t.Errorf("bars %d to %d, want 4 to 4", p.first, p.last)
	}
	w.step(screen.Action{ID: "from-bar", Value: "1"})
	w.step(screen.Action{ID: "to-bar", Value: w.out.Screen.Items[slices.IndexFunc(w.out.Screen.Items, func(i screen.Item) bool { return i.ID == "to-bar" })].Options[bars-1]})
	w.step(screen.Action{ID: "play"})
	if e := w.out.Effects; len(e) != 1 || e[0].Part {
		t.Errorf("effects %+v, want a take that counts", e)
	}
}

// Bars in which nothing is asked, as in a chorus with gaps, are refused; the ones before stay.
func TestEmptyBarsAreRefused(t *testing.T) {
	w := newWalk(t, known())
	w.in.Sound, w.in.Shelf = on(), demos(nil)
	w.step()
	w.state.view = lessons
	refused, played := 0, 0
	for _, name := range []string{"kettle", "shoes", "landing"} {
		only, err := lesson.Only(lessontest.Demo(t, name), 0) // its first lick, and the rest of the form empty
		if err != nil {
			t.Fatal(err)
		}
		s := &stepper{State: w.state}
		s.book = read("", lesson.Format(only), true)
		s.openLick(chorus)
		w.state = s.State
		w.step()
		for bar := 1; bar <= w.state.part.of; bar++ {
			before := w.state.part
			w.step(screen.Action{ID: "all-bars"})
			w.step(screen.Action{ID: "to-bar", Value: strconv.Itoa(bar)})
			w.step(screen.Action{ID: "from-bar", Value: strconv.Itoa(bar)})
			switch p := w.state.part; {
			case p.first == bar && p.last == bar:
				played++
			case len(w.state.drill.Targets) == 0:
				t.Errorf("%s, bar %d: a drill that asks nothing", name, bar)
			case w.out.Screen.Alert == "Nothing is asked in these bars. Choose others.":
				refused++
			default:
				t.Errorf("%s, bar %d: bars %d to %d are open, before %d to %d, and nothing is said", name, bar, p.first, p.last, before.first, before.last)
			}
		}
	}
	if refused == 0 || played == 0 {
		t.Errorf("%d bars were refused and %d played; the choruses have both", refused, played)
	}
}
