package stage_test

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/device"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// sings has somebody sing a pitch in the room, so many seconds after the microphone was opened.
func (r *rig) sings(after, hz, seconds float64) {
	voice := audiotest.Glide(48000, seconds, func(t float64) float64 { return hz * math.Exp2(40*math.Sin(2*math.Pi*5.5*t)/1200) },
		func(float64) float64 { return -20 }, audiotest.Reed())
	r.options.Room = append(make([]float32, int(after*48000)), voice...)
}

// A man sings the note of a bend, an octave under it and 20 cents flat. It is named, and the bend is played by ear; the take is judged by
// the bend, counts for nothing, and what was earned is as it was.
func TestABendIsSungAndPlayed(t *testing.T) {
	note := harp.Note{Hole: 3, Breath: harp.Draw, Bend: 1}
	spec := drill.Spec{ID: drill.SungID(note), Key: reedKey(t, "A")}
	d, err := drill.Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	r := newRig(t, "v=1&drill=aim-1&harp=A")
	r.spec, r.perform = spec, well(player.Faults{})
	const after = 5.0
	r.sings(after, d.Targets[0].Hz/2*math.Exp2(-20.0/1200), 2.5)
	begun := r.seconds
	r.press("start")
	r.wait(0.3)
	r.on("drill")
	r.press("sing")
	r.on("sing")
	r.wait(begun + after - 1.2 - r.seconds)
	r.press("sing")
	r.wait(0.3)
	r.says("Breathe in.")
	r.wait(0.6)
	r.says("Sing now")
	r.wait(3)
	r.says("20 cents flat")
	r.says("An octave over your note.")
	r.press("bend-1")
	r.on("drill")
	r.take()
	r.says("A good take")
	r.says("opens nothing and costs nothing")
	for name, data := range r.store.data {
		if strings.HasPrefix(name, "progress") && strings.Contains(string(data), "sung-") {
			t.Errorf("%s holds the take", name)
		}
	}
}

// What is no held note is said, and the microphone that goes away while somebody sings.
func TestNothingIsSung(t *testing.T) {
	r := newRig(t, "v=1&drill=aim-1&harp=A")
	r.sings(6, 220, 0.6)
	begun := r.seconds
	r.press("start")
	r.wait(0.3)
	r.press("sing")
	r.wait(begun + 4.5 - r.seconds)
	r.press("sing")
	r.wait(9)
	r.says("too short")
	r.press("sing")
	r.wait(9)
	r.says("Nothing was heard")
	r.press("sing")
	r.wait(1)
	r.press("stop")
	r.wait(0.2)
	if i, ok := r.item("sing"); !ok || i.Disabled {
		t.Error("there is no way to sing again")
	}
	r.press("sing")
	r.wait(1)
	r.fake.Fail(device.Unplugged)
	r.wait(0.2)
	r.says("microphone")
}
