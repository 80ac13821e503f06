package session

import (
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
)

// openDrill brings a walk to a drill of the path.
func openDrill(t *testing.T, id string) *walk {
	t.Helper()
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	w.family(d.Family)
	w.press("level-" + id)
	return w
}

// tells reports whether a screen gives away what is to be found by ear: a note on the chart, a place
// on the comb, or its tab or name in words.
func tells(s screen.Screen, d drill.Drill) string {
	if s.Chart != nil && len(s.Chart.Notes) > 0 {
		return "the chart has notes"
	}
	if s.Comb != nil && (s.Comb.Asked.Hole > 0 || s.Comb.Next.Hole > 0) {
		return "the comb has a place"
	}
	for _, i := range s.Items {
		if i.ID == "words" || strings.HasPrefix(i.ID, "title") { // what a teacher says of it beforehand
			continue
		}
		for _, target := range d.Targets {
			if target.Note.Bend > 0 && strings.Contains(i.Label, target.Note.Words()) || strings.Contains(i.Label, target.Note.Tab()) {
				return i.ID + " says " + target.Note.Tab()
			}
		}
	}
	return ""
}

// Nothing shows what is to be found by ear before the take is over: not before it, not in its
// demonstration, not in the call and not in the answer. Then it is shown.
func TestByEarIsHidden(t *testing.T) {
	for _, s := range drill.List() {
		if s.Family != drill.Aim && s.Family != drill.Answer {
			continue
		}
		w := openDrill(t, s.ID)
		d := w.state.drill
		check := func(when string) {
			t.Helper()
			if why := tells(w.out.Screen, d); why != "" {
				t.Errorf("%s, %s: %s", s.ID, when, why)
			}
		}
		check("before")
		for _, i := range w.out.Screen.Items {
			if i.ID == "step" || i.ID == "from-bar" {
				t.Errorf("%s: %s is offered", s.ID, i.ID)
			}
		}
		w.step(screen.Action{ID: "from-bar", Value: "2"})
		if w.state.part.only() {
			t.Errorf("%s: a part is played", s.ID)
		}
		w.press("hear")
		w.in.Run = Run{Kind: Demo, Seconds: d.Targets[0].Start + 0.1, Length: d.Seconds}
		w.step()
		check("in the demonstration")
		w.in.Run = Run{}
		w.step()
		w.press("play")
		for _, at := range []float64{1, d.Calls[0].Start + 0.1, d.Targets[0].Start + 0.1, d.Targets[len(d.Targets)-1].End - 0.1} {
			w.in.Run = Run{Kind: Recording, Seconds: at, Length: d.Seconds}
			w.in.Now += 4800
			w.in.Frames = []listen.Frame{note("-4")}
			w.in.Frames[0].At = int64(at * 48000)
			w.step()
			check("in the take")
			if s.Family == drill.Aim && (w.out.Screen.Comb != nil || len(w.out.Screen.Chart.Trace) > 0) {
				t.Errorf("%s shows what is played", s.ID)
			}
			want := map[bool]string{true: "Your turn.", false: "Listen."}[at >= d.Targets[0].Start]
			if at > d.CountIn && count(w.out.Screen) != want {
				t.Errorf("%s at %.1f s says %q, want %q", s.ID, at, count(w.out.Screen), want)
			}
		}
		r := grade.Result{Drill: s.ID, Passed: true, Share: 1, Notes: make([]grade.Note, len(d.Targets))}
		for i, target := range d.Targets {
			r.Notes[i] = grade.Note{Target: i, Tab: target.Tab(), Heard: target.Tab(), Good: true, Sure: true}
		}
		w.in.Run = Run{}
		w.in.Take = &Take{Drill: d, Rate: 48000, Result: r, Counted: true}
		w.step()
		w.step()
		if c := w.out.Screen.Chart; c == nil || len(c.Notes) != len(d.Targets) {
			t.Errorf("%s: the result does not show the notes", s.ID)
		}
	}
}

func count(s screen.Screen) string {
	for _, i := range s.Items {
		if i.ID == "count" {
			return i.Label
		}
	}
	return ""
}

// A tone between two rungs is named as what it is.
func TestTonesBesideARung(t *testing.T) {
	d, err := drill.Build(drill.Spec{ID: "aim-4"})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"N, and 40 cents over it", "N, and 50 cents over it", "N, and 30 cents under it", "N, and 35 cents over it"} {
		if got := beside(d, d.Targets[i], "N"); got != want {
			t.Errorf("tone %d is %q, want %q", i, got, want)
		}
	}
	if d, err = drill.Build(drill.Spec{ID: "aim-2"}); err != nil || beside(d, d.Targets[0], "N") != "N" {
		t.Errorf("a rung is %q, %v", beside(d, d.Targets[0], "N"), err)
	}
}

// A take without the live display is one for the path, whatever the player had chosen.
func TestAimCountsAsUnseen(t *testing.T) {
	for id, want := range map[string]bool{"aim-1": false, "answer-1": true} {
		w := openDrill(t, id)
		w.step(screen.Action{ID: "play"})
		for _, e := range w.out.Effects {
			if e.Kind == StartTake && e.Display != want {
				t.Errorf("%s: display %v, want %v", id, e.Display, want)
			}
		}
	}
}

func TestWordsByEar(t *testing.T) {
	for _, id := range []string{"aim-4", "answer-2", "blue-1", "vibrato-4"} {
		w := openDrill(t, id)
		w.golden("drill-" + id)
		w.press("play")
		d := w.state.drill
		w.in.Run = Run{Kind: Recording, Seconds: d.Targets[0].Start + 0.2, Length: d.Seconds}
		w.step()
		w.golden("take-" + id)
	}
}

// The marks of the new quantities in words, right and wrong.
func TestSentencesMore(t *testing.T) {
	for _, c := range []struct {
		m    grade.Mark
		want string
	}{
		{grade.Mark{Quantity: grade.Third, Asked: 310, Window: 60, Heard: 341.2}, "Third: 341 cents over the root. Good from 310 to 370."},
		{grade.Mark{Quantity: grade.Inside, Asked: 1, Window: 0.8, Heard: 0.55}, "In its zone: 55 % of the time. Good from 80 %."},
		{grade.Mark{Quantity: grade.Land, Window: 0.25, Heard: 0.3}, "Landed after 300 ms. Good up to 250 ms."},
		{grade.Mark{Quantity: grade.Touched, Window: 1, Heard: 2}, "Wrong holes on the way: 2. Good up to 1."},
		{grade.Mark{Quantity: grade.Swing, Asked: 4, Window: 4, Heard: 12, Verdict: grade.Good}, "Swings by 12 cents to either side. Good from 4."},
		{grade.Mark{Quantity: grade.Swing, Asked: 4, Window: 50, Heard: 60, Verdict: grade.Off}, "Swings by 60 cents to either side. Good up to 50."},
		{grade.Mark{Quantity: grade.Cup, Asked: 3, Window: 3, Heard: 2.1, Verdict: grade.Off}, "The hands take 2.1 dB off. Good from 3 dB."},
		{grade.Mark{Quantity: grade.Means, Asked: 1, Heard: 0, Verdict: grade.Off}, "Something else swings."},
		{grade.Mark{Quantity: grade.Rate, Unit: "swings/s", Asked: 4, Window: 0.8, Heard: 5.1}, "Speed: 5.1 swings a second, asked 4.0. Good within 0.8."},
		{grade.Mark{Quantity: grade.Rate, Unit: "swings/s", Asked: 5.1, Heard: 5.1}, "Speed: 5.1 swings a second, as you like."},
	} {
		if got := sentence(c.m); got != c.want {
			t.Errorf("%s: %q, want %q", c.m.Quantity, got, c.want)
		}
	}
}
