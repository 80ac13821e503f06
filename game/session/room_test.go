package session

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/game/screen"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/room"
)

// sat is what a player may have played in a room: in each chorus two bars of our own, the second of them late.
func sat(t testing.TB, set room.Setting) Roomed {
	t.Helper()
	r := Roomed{Setting: set, Rate: 48000}
	d := set.Drill()
	r.Report = room.Report{Until: float64(d.Bars * lesson.BeatsPerBar), Bias: 0.012, Scatter: 0.021, Stressed: 4, OnChord: 3, OnBlue: 1, Sounding: 0.42, Rest: 40}
	add := func(at lesson.Ticks, beats float64, tab string, of room.Relation, blue, late float64) {
		n, err := harp.ParseNote(tab)
		if err != nil {
			t.Fatal(err)
		}
		hz, err := set.Harp.Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		sounds := set.Feel.Beat(at)
		beat := sounds + late*d.Tempo/60
		r.Report.Notes = append(r.Report.Notes, room.Note{Note: n, Hz: hz, Place: at, Sounds: sounds, Late: late, Beat: beat, Beats: beats,
			Start: d.Time(beat), End: d.Time(beat + beats), Relation: of, Blue: blue, Glide: tab == "-3'" && beats < 0.4})
		r.Report.Holes[n.Hole]++
		for at := d.Time(beat) * 48000; at < d.Time(beat+beats)*48000; at += 240 {
			r.Frames = append(r.Frames, listen.Frame{At: int64(at), F0: hz, Confidence: 0.95, Level: -20})
		}
	}
	for k := range set.Choruses {
		from := lesson.Ticks(k*set.Beats()) * lesson.Beat
		add(from, 0.9, "-2", room.Root, 0, 0.004)
		add(from+lesson.Beat, 0.3, "-3'", room.BlueThird, 40, 0)
		add(from+lesson.Beat*3/2, 0.3, "-3", room.Third, 0, 0.010)
		add(from+2*lesson.Beat, 1.5, "-4", room.Fifth, 0, -0.035)
		add(from+lesson.Bar, 0.9, "+4", room.Outside, 0, 0.055)
		add(from+lesson.Bar+lesson.Beat, 0.6, "-5", room.Seventh, 0, 0.031)
		add(from+lesson.Bar+lesson.Beat*5/2, 0.4, "+5", room.Passing, 0, 0.02)
		add(from+lesson.Bar+3*lesson.Beat, 0.9, "-4'", room.BlueFifth, 10, 0.015)
	}
	for _, n := range r.Report.Notes {
		if !n.Glide {
			r.Report.Timed++
		}
	}
	return r
}

// roomed brings a walk into the room.
func roomed(t *testing.T) *walk {
	w := newWalk(t, known())
	w.press("start")
	w.in.Sound = on()
	w.step()
	w.press("room")
	return w
}

func TestWordsOfTheRoom(t *testing.T) {
	w := roomed(t)
	w.golden("room")
	w.step(screen.Action{ID: "form", Value: "Quick change"})
	w.step(screen.Action{ID: "feel", Value: "12/8"})
	w.step(screen.Action{ID: "key", Value: "A"})
	w.step(screen.Action{ID: "tempo", Now: 60.2})
	w.step(screen.Action{ID: "choruses", Now: 2})
	w.step()
	w.golden("room-set")
	w.effect = nil
	w.press("play")
	if !slices.Equal(w.effect, []EffectKind{StartTake}) {
		t.Fatalf("effects %v, want a take", w.effect)
	}
	w.in.Run = Run{Kind: Preparing, Seconds: math.Inf(-1)}
	w.step()
	w.in.Run = Run{Kind: Recording, Seconds: 1.5, Length: 110}
	w.step()
	w.golden("room-count-in")
	w.in.Now = 480000
	w.in.Run.Seconds = 4 + 48 + 5.5 // the second bar of the second chorus, at a beat a second
	w.in.Frames = []listen.Frame{{At: int64(w.in.Run.Seconds * 48000), F0: 294, Confidence: 0.9, Level: -20}}
	w.step()
	w.golden("room-take")
	if c := w.out.Screen.Chart; c.Bars != 12 || math.Abs(c.Cursor-5.5) > 1e-9 || len(c.Trace) != 1 || math.Abs(c.Trace[0].Beat-5.5) > 1e-3 {
		t.Errorf("%d bars, cursor on %g, trace %v; want the second chorus, beat 5.5", c.Bars, c.Cursor, c.Trace)
	}
	if len(w.out.Screen.Comb.Beads) != 1 {
		t.Error("no bead for what sounds")
	}
	w.effect = nil
	w.press("stop")
	if !slices.Equal(w.effect, []EffectKind{EndTake}) {
		t.Fatalf("effects %v, want the end of the take", w.effect)
	}
	w.in.Run.Kind = Writing
	w.step()
	w.golden("room-looking")
	r := sat(t, w.state.setting0())
	w.in.Run, w.in.Roomed = Run{}, &r
	w.step()
	w.golden("room-picture")
	if c := w.out.Screen.Chart; len(c.Notes) != 8 || len(c.Trace) == 0 {
		t.Errorf("%d notes and %d points of one chorus, want 8 and some", len(c.Notes), len(c.Trace))
	}
	w.effect = nil
	w.step(screen.Action{ID: "chorus", Value: "Chorus 2"})
	w.press("hear-chorus")
	if !slices.Equal(w.effect, []EffectKind{PlayBack}) {
		t.Errorf("effects %v, want to hear it", w.effect)
	}
	w.in.Run = Run{Kind: Replaying, Seconds: 4 + 48 + 2, Own: true}
	w.step()
	w.golden("room-replay")
	if c := w.out.Screen.Chart; math.Abs(c.Cursor-2) > 1e-9 {
		t.Errorf("cursor on %g, it sounds beat 2 of the chorus", c.Cursor)
	}
	if w.item("overdriven") != nil {
		t.Error("the picture says that the microphone was overdriven, and it was not")
	}
	w.press("save-take")
	w.press("change")
	if want := []EffectKind{PlayBack, SaveTake, StopSound}; !slices.Equal(slices.Compact(w.effect), want) {
		t.Errorf("effects %v, want %v", w.effect, want)
	}
	w.in.Run = Run{}
	w.press("back")
	if w.out.Screen.Name != "path" {
		t.Errorf("screen %s, want the drills", w.out.Screen.Name)
	}
}

// A picture of what overdrove the microphone says so.
func TestRoomOverdriven(t *testing.T) {
	w := roomed(t)
	w.press("play")
	w.in.Run = Run{Kind: Recording, Seconds: 20, Length: 40}
	w.step()
	r := sat(t, w.state.setting0())
	for i := range r.Frames {
		r.Frames[i].Clipped = 0.05
	}
	w.in.Run, w.in.Roomed = Run{}, &r
	w.step()
	if w.item("overdriven") == nil {
		t.Error("nothing is said of it")
	}
}

// setting0 is the setting of the room as the state has it.
func (s State) setting0() room.Setting {
	st := stepper{State: s}
	return st.setting(st.jammed())
}

// Nothing heard, cut off, hidden: each has its words and a way on, and nothing is kept of it.
func TestRoomWithoutPlaying(t *testing.T) {
	start := func() *walk {
		w := roomed(t)
		w.press("play")
		w.in.Run = Run{Kind: Recording, Seconds: 20, Length: 40}
		w.step()
		return w
	}
	w := start()
	w.in.Run = Run{}
	w.in.Roomed = &Roomed{Setting: w.state.setting0(), Rate: 48000, Problem: "I could not hear any playing."}
	w.step()
	w.golden("room-nothing")
	w.press("again")
	if w.out.Screen.Name != "room-take" {
		t.Errorf("again leads to %s", w.out.Screen.Name)
	}
	w = start()
	w.in.Run, w.in.Roomed = Run{}, &Roomed{Cut: "The sound stopped."}
	w.step()
	if w.out.Screen.Name != "room" || !strings.Contains(inWords(w.out.Screen), "The sound stopped.") {
		t.Errorf("cut off:\n%s", inWords(w.out.Screen))
	}
	w = start()
	w.effect = nil
	w.in.Hidden = true
	w.step()
	if w.out.Screen.Name != "room" || !slices.Contains(w.effect, StopSound) {
		t.Errorf("hidden: screen %s, effects %v", w.out.Screen.Name, w.effect)
	}
	w = start()
	w.effect = nil
	w.press("leave")
	if w.out.Screen.Name != "room" || !slices.Equal(w.effect, []EffectKind{StopSound}) {
		t.Errorf("left: screen %s, effects %v", w.out.Screen.Name, w.effect)
	}
	w = start() // stopped in the count-in there is nothing to look at
	w.in.Run.Seconds = 1
	w.step()
	w.effect = nil
	w.press("stop")
	if w.out.Screen.Name != "room" || !slices.Equal(w.effect, []EffectKind{StopSound}) {
		t.Errorf("stopped in the count-in: screen %s, effects %v", w.out.Screen.Name, w.effect)
	}
}

// The room is open to whoever has never passed anything, and without a microphone it can be looked at.
func TestRoomIsNeverLocked(t *testing.T) {
	w := newWalk(t, DefaultSettings())
	w.in.Path = entries(func(e *Entry) { e.Standing = Locked })
	w.step()
	w.press("look")
	w.press("room")
	w.golden("room-no-microphone")
	w.press("mic")
	if !slices.Contains(w.effect, OpenMic) {
		t.Error("the microphone is not opened")
	}
}

// Whatever is chosen can be played: a slow tempo takes choruses away before it is too long.
func TestRoomSettingsCanBePlayed(t *testing.T) {
	w := roomed(t)
	for _, tempo := range []float64{-1, 0, 44, 50, 80, 180, 1e9, math.NaN()} {
		for choruses := -1.0; choruses <= 6; choruses++ {
			for _, form := range formNames() {
				w.step(screen.Action{ID: "form", Value: form}, screen.Action{ID: "choruses", Now: choruses}, screen.Action{ID: "tempo", Now: tempo})
				if err := w.state.setting0().Validate(); err != nil {
					t.Fatalf("tempo %g, %g choruses, %s: %v", tempo, choruses, form, err)
				}
			}
		}
	}
}

// Every relation has its own sign, blue notes one together, and each sign is told in words.
func TestSigns(t *testing.T) {
	seen := map[screen.Sign]bool{}
	for of := room.Outside; of <= room.Passing; of++ {
		seen[signOf(of)] = true
	}
	if len(seen) != len(screen.Signs()) || seen[screen.Unsigned] {
		t.Errorf("signs %v, want all of %v", seen, screen.Signs())
	}
	if n := strings.Count(signWords, ": "); n != len(screen.Signs()) {
		t.Errorf("%d signs are explained, want %d", n, len(screen.Signs()))
	}
}

// The picture's text alternative has every note that the picture has.
func TestThePictureInWords(t *testing.T) {
	w := roomed(t)
	w.step(screen.Action{ID: "choruses", Now: 3})
	w.press("play")
	r := sat(t, w.state.setting0())
	w.in.Roomed = &r
	w.step()
	for k := range 3 {
		w.step(screen.Action{ID: "chorus", Value: fmt.Sprintf("Chorus %d", k+1)})
		words := inWords(w.out.Screen)
		for _, n := range w.out.Screen.Chart.Notes {
			if !strings.Contains(words, " "+n.Tab+" ") {
				t.Errorf("chorus %d: the words have no %s", k+1, n.Tab)
			}
		}
		for _, i := range w.out.Screen.Items {
			if i.Role == screen.Columns && (i.Counted == nil || !strings.Contains(i.Label, "on the beat")) {
				t.Errorf("the columns are %q", i.Label)
			}
		}
	}
}
