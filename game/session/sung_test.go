package session

import (
	"strings"
	"testing"

	"reedwell/audio/voice"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// singIn brings a walk to where a note is sung for a bend by ear on a C harp.
func singIn(t *testing.T) *walk {
	w := openDrill(t, "aim-1")
	w.press("sing")
	return w
}

// heardSung has so many Hz heard, or a problem.
func (w *walk) heardSung(hz float64, problem string) {
	w.in.Run = Run{}
	w.in.Sung = &Sung{Held: voice.Held{Hz: hz, Seconds: 1.6, Spread: 20}, Problem: problem}
	w.step()
	w.in.Sung = nil
}

func TestWordsOfASungNote(t *testing.T) {
	w := singIn(t)
	w.golden("sing")
	w.press("sing")
	if w.effect[len(w.effect)-1] != Sing {
		t.Fatalf("effects %v: nothing listens", w.effect)
	}
	w.in.Run = Run{Kind: Singing, Seconds: 1, Length: SungLength}
	w.step()
	w.golden("sing-now")
	w.heardSung(0, "That was too short. Hold one note for two seconds.")
	w.golden("sing-problem")
	w.press("sing")
	w.heardSung(130.8, "") // C3
	w.golden("sing-no-bend")
	w.press("sing")
	w.heardSung(222, "") // A3 and 16 cents
	w.golden("sing-heard")
	w.press("bend-1")
	if d := w.state.drill; d.ID != "sung-3d2" || !d.Unseen || !d.Free() {
		t.Errorf("the drill is %s", d.ID)
	}
	w.golden("drill-sung")
	w.step(screen.Action{ID: "play"})
	for _, e := range w.out.Effects {
		if e.Kind == StartTake && !e.Part {
			t.Error("a note of one's own would count")
		}
	}
}

// From what is sung to the bend: an octave away, the nearer first, and both where two are as near.
func TestSungLeadsToBends(t *testing.T) {
	for _, c := range []struct {
		hz   float64
		says string
		ids  []string
	}{
		{110, "You sang A, in tune.", []string{"sung-3d2"}},
		{233.08 * 0.99, "You sang Bb, 17 cents flat.", []string{"sung-3d1", "sung-10b2"}},
		{1244.5, "You sang Eb, in tune.", []string{"sung-8b1"}},
	} {
		for k, id := range c.ids {
			w := singIn(t)
			w.press("sing")
			w.heardSung(c.hz, "")
			if got := w.label("heard"); got != c.says {
				t.Errorf("%g Hz: %q, want %q", c.hz, got, c.says)
			}
			w.press("bend-" + string(rune('1'+k)))
			if got := w.state.drill.ID; got != id {
				t.Errorf("%g Hz, bend %d: %s, want %s", c.hz, k+1, got, id)
			}
		}
	}
}

func (w *walk) label(id string) string {
	for _, i := range w.out.Screen.Items {
		if i.ID == id {
			return i.Label
		}
	}
	return ""
}

// Whoever leaves, hides the page or has no microphone does not go on being listened to.
func TestSingingEnds(t *testing.T) {
	w := singIn(t)
	w.in.Run = Run{Kind: Singing, Seconds: 1}
	w.in.Hidden = true
	w.step()
	if len(w.out.Effects) == 0 || w.out.Effects[0].Kind != StopSound {
		t.Error("a hidden page listens")
	}
	w.in.Run, w.in.Hidden = Run{}, false
	w.step()
	w.press("back")
	w.in.Run = Run{Kind: Singing}
	w.step()
	if len(w.out.Effects) == 0 || w.out.Effects[0].Kind != StopSound {
		t.Error("it is listened on another screen")
	}
}

// A link to a sung note names it without a level that it does not have.
func TestLinkToASungNote(t *testing.T) {
	w := newWalk(t, known())
	w.in.Link = &Link{Spec: drill.Spec{ID: drill.SungID(harp.Note{Hole: 4, Breath: harp.Draw, Bend: 1})}}
	w.step()
	w.in.Link = nil
	if got := w.label("link-what"); !strings.Contains(got, "bend by ear, for a C harp") {
		t.Errorf("the link says %q", got)
	}
}
