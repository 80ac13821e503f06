//go:build !js

package stage_test

import (
	"strings"
	"testing"

	"reedwell/game/stage"
	"reedwell/levels/drill"
	"reedwell/levels/grade/gradetest"
	"reedwell/levels/player"
)

// dies ends the program where it is and begins another on what is kept.
func (r *rig) dies() {
	r.safe.slow = 3
	r.start("")
	for range 5 {
		r.poll()
	}
}

// inTake plays a drill up to so many seconds.
func (r *rig) inTake(id string, seconds float64) {
	r.to(id)
	r.press("play")
	r.wait(seconds)
	r.on("take")
}

func keeping(t *testing.T) *rig {
	r := newRig(t, "")
	r.safe = &safe{}
	r.start("")
	r.ready()
	return r
}

// A take that was whole when the program died is graded by the next one, with the marks it would
// have had, and counts.
func TestWholeTakeSurvives(t *testing.T) {
	r := keeping(t)
	d, err := drill.Build(drill.Spec{ID: "turnaround-1"})
	if err != nil {
		t.Fatal(err)
	}
	r.inTake(d.ID, 0)
	for r.screen.Name == "take" {
		if i, _ := r.item("stop"); i.Disabled { // it is being graded
			break
		}
		r.wait(0.04)
	}
	r.dies()
	r.on("welcome")
	r.says("was not heard to its end")
	r.press("left-hear")
	r.until("result", 60)
	r.says("A good take")
	r.says("1 take of 1 good")
	r.never("missing")
	if r.safe.head != nil {
		t.Error("the take is still kept after it was graded")
	}
	r.spec = drill.Spec{ID: d.ID}
	want := marksOf(t, d, 48000, well(player.Faults{})(d))
	if got := gradetest.Between(want, r.saved()); got.Cents > 1 || got.MS > 1 || got.Verdicts > 0 {
		t.Errorf("marks moved by %v", got)
	}
	r.press("again") // no microphone: the drill comes back
	r.on("drill")
	r.dies()
	if _, ok := r.item("left"); ok {
		t.Error("the take is offered again")
	}
}

// Of one that was cut off what there is is graded, and it costs nothing.
func TestCutTakeSurvives(t *testing.T) {
	r := keeping(t)
	r.inTake("turnaround-1", 9)
	r.dies()
	r.never("is not counted")
	r.says("8 seconds of")
	r.press("left-hear")
	r.says("Listening to your take")
	r.until("result", 60)
	r.says("so it is not counted")
	if strings.Contains(describe(r.screen), "1 take of 1") {
		t.Errorf("it was counted:\n%s", describe(r.screen))
	}
	if _, ok := r.item("again"); !ok {
		t.Error("there is no way to play it again")
	}
}

// It can be thrown away, and a take that is stopped is not kept.
func TestTakeIsThrownAway(t *testing.T) {
	r := keeping(t)
	r.inTake("single-1", 9)
	r.dies()
	r.press("left-drop")
	if _, ok := r.item("left"); ok || r.safe.head != nil {
		t.Error("the take is still there")
	}
	r.press("start")
	r.wait(0.2)
	r.to("single-1")
	r.press("play")
	r.wait(9)
	r.press("stop")
	if r.safe.head != nil {
		t.Error("a take that was stopped is kept")
	}
}

// Of a take that can not be kept nothing is left but a word; it goes on all the same.
func TestTakeIsPlayedWithoutRoomForIt(t *testing.T) {
	r := keeping(t)
	r.safe.full = true
	r.store.full = true
	r.to("turnaround-1")
	r.take()
	r.says("A good take")
	r.store.full = false
	r.press("again")
	r.wait(8)
	r.dies()
	r.says("is not counted")
	if _, ok := r.item("left-hear"); ok {
		t.Error("a take of which there is nothing is offered")
	}
	r.says("Your last take")
}

// What is kept is bounded, and what is damaged or another version's is left alone: no bytes
// make a take of themselves, but those that were kept.
func FuzzLeftTake(f *testing.F) {
	f.Add([]byte(`{"version":1}`), []byte{1, 0, 0, 0, 0, 0, 0, 0, 1, 2})
	f.Add([]byte(`{`), []byte{255, 255, 255, 255, 0, 0, 0, 0})
	f.Fuzz(func(t *testing.T, head, sound []byte) {
		s := &safe{head: head, sound: sound}
		g := stage.New(stage.Options{Store: &memory{data: map[string][]byte{}}, Outside: &around{today: "2026-11-25"}, Vault: s})
		g.Poll(stage.Tick{Width: 360, Height: 640})
		for _, i := range g.Poll(stage.Tick{Width: 360, Height: 640}).Items {
			if i.ID == "left" {
				t.Errorf("a take came of %q", head)
			}
		}
	})
}

// Free playing is asked for nothing: it is not kept to be graded by the next program.
func TestFreePlayingIsNotLeft(t *testing.T) {
	r := keeping(t)
	r.press("room")
	r.press("play")
	r.wait(9)
	r.on("room-take")
	if r.safe.head != nil {
		t.Error("free playing is kept like a take")
	}
	r.dies()
	if _, ok := r.item("left-hear"); ok {
		t.Error("free playing is offered for grading")
	}
}
