package session

import (
	"math"
	"slices"
	"testing"

	"reedwell/levels/grade"
)

// The words while a take is heard again, and what is asked of the program for it.
func TestWordsOfAReplay(t *testing.T) {
	tabs := []string{"-3", "-4", "+4", "-2", "-1", "-2"} // turnaround-1
	r := grade.Result{Share: 5.0 / 6}
	for i, tab := range tabs {
		r.Notes = append(r.Notes, grade.Note{Target: i, Tab: tab, Heard: tab, Good: i != 2, Sure: true})
	}
	w := play(t, "turnaround-1", r, nil)
	d := w.state.take.Drill
	asked := d.Targets[2]
	w.state.take.Result.Notes[2].Start, w.state.take.Result.Notes[2].End = asked.Start+0.1, asked.End+0.2
	said := w.out.Screen.Live
	w.step()
	w.effect = nil
	w.press("hear-note")
	if !slices.Equal(w.effect, []EffectKind{PlayBack}) {
		t.Fatalf("effects %v, want to play back", w.effect)
	}
	// The span of the note holds what was asked and what was played, for both the same.
	from, to, ok := spanOf(w.state)
	if !ok || from > asked.Start || to < asked.End+0.2 || to > asked.End+1 || from < asked.Start-1 {
		t.Errorf("heard from %g to %g; asked from %g to %g", from, to, asked.Start, asked.End)
	}
	w.in.Run = Run{Kind: Preparing, Seconds: math.Inf(-1)}
	w.step()
	w.in.Run = Run{Kind: Replaying, Seconds: asked.Start, Own: true}
	w.step()
	w.golden("result-replay")
	if c := w.out.Screen.Chart.Cursor; math.Abs(c-asked.Beat) > 1e-9 {
		t.Errorf("the cursor stands on %g, the note on %g", c, asked.Beat)
	}
	if w.out.Screen.Live != said {
		t.Errorf("said %q while it sounds, before it %q", w.out.Screen.Live, said)
	}
	w.effect = nil
	w.press("note-after") // goes on sounding
	if len(w.effect) != 0 {
		t.Errorf("looking at another note does %v", w.effect)
	}
	w.press("back")
	if !slices.Contains(w.effect, StopSound) {
		t.Errorf("effects %v, want the sound to stop", w.effect)
	}
}

func spanOf(s State) (from, to float64, ok bool) { return (&stepper{State: s}).chosenSpan() }
