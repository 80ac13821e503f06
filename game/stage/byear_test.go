package stage_test

import (
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// A link leads to a drill by ear. What sounds has the calls in it, they come back into the microphone,
// and the answers are graded all the same; nothing of what is asked or played is on the screen until the
// take is over. Four good takes open the next level: none of them was seen.
func TestByEarFromALinkToTheNextLevel(t *testing.T) {
	a, err := harp.ParseKey("A")
	if err != nil {
		t.Fatal(err)
	}
	spec := drill.Spec{ID: "aim-1", Key: a}
	d, err := drill.Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	r := newRig(t, "v=1&drill=aim-1&harp=A")
	r.spec = spec
	r.perform = func(d drill.Drill) []float32 {
		x := well(player.Faults{})(d)
		synth.Mix(x, band.Render(d, 48000), 0, -15)
		return x
	}
	called := 0
	r.played = func(played []float32) {
		at := int(48000 * (d.Calls[0].Start + 0.5))
		power := 0.0
		for _, v := range played[at : at+4800] {
			power += float64(v) * float64(v)
		}
		if power/4800 > 1e-3 { // -30 dBFS
			called++
		}
	}
	r.press("start")
	r.wait(0.3)
	r.on("drill")
	for k := range 4 {
		r.press("play")
		r.on("take")
		for r.screen.Name == "take" {
			if c := r.screen.Chart; c != nil && (len(c.Notes) > 0 || len(c.Trace) > 0) || r.screen.Comb != nil {
				t.Fatal("the take shows what is asked or what is played")
			}
			r.wait(1)
		}
		r.until("result", 10)
		r.says("A good take")
		if len(r.screen.Chart.Notes) != len(d.Targets) {
			t.Error("the result does not show what was asked")
		}
		if k < 3 {
			r.press("change")
		}
	}
	r.says("Open now: Bend by ear 2")
	if called != 4 {
		t.Errorf("the first call sounded in %d of 4 takes", called)
	}
}
