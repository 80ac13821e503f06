package session

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/levels/drill"
)

// A walk through a drill note by note, with somebody playing.
type strolling struct {
	*walk
	at int64 // frame of the ear
}

// stroll opens a drill note by note.
func stroll(t *testing.T, id string) *strolling {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	s := &stepper{State: w.state}
	s.open(drill.Spec{ID: id}, "")
	w.state = s.State
	w.step()
	w.press("step")
	return &strolling{walk: w}
}

// sound sounds a note for some seconds, off by some cents; an empty tab is silence.
func (w *strolling) sound(tab string, cents, seconds float64) {
	const every = 256 // frames at 48 kHz
	for n := int(seconds*48000/every + 0.5); n > 0; n-- {
		f := listen.Frame{Level: -90}
		if tab != "" {
			f = note(tab)
			f.F0 *= math.Exp2(cents / 1200)
		}
		w.at += every
		f.At = w.at
		w.in.Now += every
		w.in.Frames = []listen.Frame{f}
		w.step()
	}
}

func (w *strolling) label(id string) string {
	for _, i := range w.out.Screen.Items {
		if i.ID == id {
			return i.Label
		}
	}
	return ""
}

func (w *strolling) shows(id, words string) {
	w.t.Helper()
	if got := w.label(id); got != words {
		w.t.Errorf("%s says %q, want %q", id, got, words)
	}
}

func TestWordsOfOneNoteAtATime(t *testing.T) {
	w := stroll(t, "turnaround-1") // -3 -4 +4 -2 -1 -2
	w.golden("steps")
	w.sound("-4", 0, 0.2)
	w.shows("hint", "Take your time. I wait for it.")
	w.sound("-4", 0, 0.1)
	w.shows("hint", "You are on 4 draw.")
	if strings.Contains(w.out.Screen.Live, "You are") {
		t.Error("read out before it has settled")
	}
	w.sound("-4", 0, 1)
	w.golden("steps-wrong-hole")
	w.sound("", 0, 1) // the words stay for a while
	w.shows("hint", "You are on 4 draw.")
	w.sound("", 0, 1)
	w.shows("hint", "Take your time. I wait for it.")
	w.sound("-3", 0, 0.15) // too short
	w.sound("", 0, 0.1)
	w.sound("-3", 0, 0.15)
	w.shows("ask", "Note 1 of 6: play 3 draw.")
	w.sound("-3", 0, 0.1)
	w.shows("ask", "Note 2 of 6: play 4 draw.")
	w.sound("-3", 0, 0.5) // the breath of the note before goes on
	w.shows("hint", "Yes. And now this one.")
	for _, tab := range []string{"-4", "+4", "-2", "-1"} {
		w.sound(tab, 0, 0.3)
	}
	w.press("one-back")
	w.shows("ask", "Note 5 of 6: play 1 draw.")
	w.press("skip")
	w.sound("-2", 0, 0.3)
	w.golden("steps-over")
	w.press("from-first")
	w.shows("ask", "Note 1 of 6: play 3 draw.")
	w.press("back")
	if w.out.Screen.Name != "drill" {
		t.Errorf("back leads to %s", w.out.Screen.Name)
	}
}

// A bend is too deep, or not deep enough; near it the words follow, and at the border they
// do not flicker.
func TestStepsOnABend(t *testing.T) {
	w := stroll(t, "ladder-4d-1")
	for tries := 0; !strings.Contains(w.label("ask"), "bend"); tries++ {
		if tries == 10 {
			t.Fatalf("no bend is asked: %q", w.label("ask"))
		}
		w.press("skip")
	}
	window := w.state.drill.Windows.Pitch
	if window >= 45 {
		t.Fatalf("the window of %g cents leaves no room in this test", window)
	}
	ask := w.label("ask")
	w.sound("-4'", window+4, 0.6)
	w.shows("hint", "Not deep enough yet.")
	changes, last := 0, w.label("hint")
	for range 60 { // on the edge, half a tenth of a second in and out
		w.sound("-4'", window+2, 0.05)
		w.sound("-4'", window-2, 0.05)
		if got := w.label("hint"); got != last {
			changes, last = changes+1, got
		}
	}
	if changes > 1 {
		t.Errorf("the words changed %d times in six seconds on the edge of the window", changes)
	}
	w.sound("-4'", -window-4, 0.6)
	w.shows("hint", "A bit too deep.")
	w.shows("ask", ask)
	w.sound("-4", 0, 0.6)
	w.shows("hint", "You are on 4 draw.")
	w.sound("-4'", -window+2, 0.3)
	if w.label("ask") == ask {
		t.Error("a bend inside the window is not taken")
	}
	// What can not be heard well is no note.
	ask = w.label("ask")
	for range 100 {
		f := note("-4")
		f.Confidence = listen.MinConfidence - 0.01
		w.at += 256
		f.At = w.at
		w.in.Frames = []listen.Frame{f}
		w.step()
	}
	w.shows("ask", ask)
}

// The same note twice has to be played twice.
func TestStepsRepeat(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "single-1"})
	if err != nil {
		t.Fatal(err)
	}
	d.Targets[1].Note, d.Targets[1].Hz = d.Targets[0].Note, d.Targets[0].Hz
	w, at := newWalker(d), int64(0)
	play := func(hz float64, frames int) {
		for range frames {
			w.hear(d, 48000, listen.Frame{At: at, F0: hz, Confidence: 0.9})
			at += 256
		}
	}
	play(d.Targets[0].Hz, 400) // two seconds of it
	if w.at != 1 || w.said != anew || w.off[1] {
		t.Errorf("at note %d, said %q, off %v; want to be asked to play it anew", w.at+1, w.said, w.off)
	}
	play(0, 10)
	play(d.Targets[0].Hz, 45)
	if w.at != 2 {
		t.Errorf("at note %d after it was played anew, want the third", w.at+1)
	}
}

// Every drill but the warbles, and those by ear, can be gone through, played as asked, and enters nothing.
func TestStepsThroughEveryDrill(t *testing.T) {
	for _, e := range drill.List() {
		d, err := drill.Build(drill.Spec{ID: e.ID})
		if err != nil {
			t.Fatal(err)
		}
		if !steppable(d) {
			if e.Family != drill.Warble && !d.ByEar {
				t.Errorf("%s can not be gone through", e.ID)
			}
			continue
		}
		w := newWalker(d)
		at := int64(0)
		for _, g := range d.Targets {
			for k := range 90 { // half a second, of which the first tenth is silence
				f := listen.Frame{At: at, F0: g.Hz, Confidence: 0.9, Level: -20}
				if k < 19 {
					f = listen.Frame{At: at}
				}
				w.hear(d, 48000, f)
				at += 256
			}
		}
		if !w.done() {
			t.Errorf("%s: stuck on note %d", e.ID, w.at+1)
		}
		for k, off := range w.off {
			if off {
				t.Errorf("%s: note %d was played as asked and is told as wrong", e.ID, k+1)
			}
		}
	}
}
