package session

import (
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/grade"
)

// Two poor takes of a lick suggest a slower tempo and two good ones there the way back; one press
// sets it. Nothing is locked by it: the slider goes where it likes.
func TestLickSuggestsATempo(t *testing.T) {
	w := student(t, demos(nil))
	w.press("lessons")
	w.press("lesson-demo-shoes")
	w.press("play-1")
	home := w.state.drill.Tempo
	take := func(share float64) {
		t.Helper()
		w.press("play")
		w.in.Take = &Take{Drill: w.state.drill, Rate: 48000, Counted: true,
			Result: grade.Result{Share: share, Passed: share >= grade.PassShare, Notes: []grade.Note{{Tab: "-2", Sure: true}}}}
		w.step()
		w.step()
	}
	advice := func() string {
		for _, i := range w.out.Screen.Items {
			if i.ID == "advised" {
				return i.Label
			}
		}
		return ""
	}
	take(0.4)
	if got := advice(); got != "" {
		t.Errorf("after one poor take: %q", got)
	}
	w.press("change")
	take(0.5)
	if got := advice(); got != "Try it slower, at 84" {
		t.Errorf("after two poor takes at %g: %q, want a tempo 12.5 %% slower", home, got)
	}
	w.press("advised")
	if got := w.state.drill.Tempo; got != 84 {
		t.Errorf("the drill is set to %g, want 84", got)
	}
	take(0.9)
	w.press("change")
	take(0.95)
	if got := advice(); got != "Try it quicker, at 96" {
		t.Errorf("after two good takes at 84: %q, want the lesson's tempo", got)
	}
	w.press("change")
	w.step(screen.Action{ID: "tempo", Now: 110})
	if got := w.state.drill.Tempo; got < 1.09*home {
		t.Errorf("110 %% is %g of %g", got, home)
	}
}
