package stage_test

import (
	"bytes"
	"math"
	"testing"

	"reedwell/audio/device"
	"reedwell/audio/listen"
	"reedwell/audio/wav"
	"reedwell/game/screen"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/player"
)

// replayed is a rig on the result of a take of single-1, its drill, the sound of the take as
// it is saved, and where what sounds next is put.
func replayed(t *testing.T) (r *rig, d drill.Drill, own []float32, sounded *[]float32) {
	r = newRig(t, "")
	r.ready()
	r.loose = true
	r.spec = drill.Spec{ID: "single-1"}
	r.perform = well(player.Faults{Late: 0.03})
	r.press("level-single-1")
	r.take()
	r.press("save-take")
	sound, err := wav.Read(bytes.NewReader(r.outside.file))
	if err != nil {
		t.Fatal(err)
	}
	if d, err = drill.Build(r.spec); err != nil {
		t.Fatal(err)
	}
	sounded = new([]float32)
	r.played = func(samples []float32) { *sounded = samples }
	r.perform = nil
	return r, d, sound.Samples, sounded
}

// Hear yourself sounds what was recorded, on its place in the drill, and the model what the
// drill asks: graded as a take it is right in every note.
func TestReplayOfATake(t *testing.T) {
	r, d, own, sounded := replayed(t)
	from := d.Time(-1)
	r.press("hear-own")
	r.wait(2)
	r.says("Listen: this is you.")
	if want := int(math.Round((d.Seconds - from) * 48000)); len(*sounded) != want {
		t.Fatalf("%d frames sounded, want %d", len(*sounded), want)
	}
	if a := alike(*sounded, own[int(from*48000):]); a < 0.999 {
		t.Errorf("what sounded is like the take by %.4f", a)
	}
	// The cursor stands where the sound is: 2 s less the lead and the Polls before it.
	before := r.screen.Chart.Cursor
	if before < -1 || before > d.BeatAt(from+2) {
		t.Errorf("cursor on beat %g after 2 s from beat -1", before)
	}
	r.wait(1)
	if moved := (r.screen.Chart.Cursor - before) * 60 / d.Tempo; math.Abs(moved-1) > 0.05 {
		t.Errorf("the cursor moved by %.3f s in a second", moved)
	}
	r.press("hear-stop")
	r.says("Only the harp sounds.")
	if i, _ := r.item("hear-stop"); !i.Disabled {
		t.Error("stop can be pressed with nothing sounding")
	}

	r.press("hear-model")
	r.wait(1)
	r.says("Listen: this is the model.")
	whole := append(make([]float32, int(math.Round(from*48000))), *sounded...)
	heard, err := listen.Hear(grade.Ear(d, 48000), whole)
	if err != nil {
		t.Fatal(err)
	}
	if res := grade.Take(d, heard); res.Share != 1 || math.Abs(res.Bias) > 0.01 {
		t.Errorf("the model gets %.2f and is %.0f ms late", res.Share, res.Bias*1000)
	}
	r.wait(d.Seconds)
	r.says("Only the harp sounds.") // over by itself
	r.on("result")
}

// One note is heard as it was played and then as it is asked, from the same place of the drill.
func TestReplayOfANote(t *testing.T) {
	r, d, own, sounded := replayed(t)
	for range 2 {
		r.press("note-after")
	}
	r.press("hear-note")
	r.wait(1)
	r.says("Listen: this is you.")
	if c := r.screen.Chart.Cursor; c < d.Targets[2].Beat-1 || c > d.Targets[2].Beat+d.Targets[2].Beats+1 {
		t.Errorf("cursor on beat %g, the note is on %g", c, d.Targets[2].Beat)
	}
	first := *sounded
	// The player's half, found in the recording by where it must begin.
	from := int(math.Round((d.Targets[2].Start - 0.15) * 48000))
	n := int((d.Targets[2].End - d.Targets[2].Start) * 48000)
	if a := alike(first[:n], own[from:from+n]); a < 0.999 {
		t.Errorf("the note is like the recording by %.4f", a)
	}
	half := (len(first) - int(0.4*48000)) / 2
	for i, x := range first[half : half+int(0.4*48000)] {
		if x != 0 {
			t.Fatalf("frame %d of the pause sounds", i)
		}
	}
	r.wait(float64(half)/48000 + 0.5)
	r.says("Listen: this is the model.")
	r.wait(8)
	r.says("Only the harp sounds.")
}

// Starting something else stops what sounds, and another press of a button begins anew.
func TestReplayIsStopped(t *testing.T) {
	for _, id := range []string{"back", "change", "again"} {
		r, _, _, sounded := replayed(t)
		r.press("hear-own")
		r.wait(1)
		r.press("hear-model")
		r.wait(1)
		r.says("Listen: this is the model.")
		*sounded = nil
		r.press(id)
		r.wait(0.2)
		if r.screen.Name == "result" {
			t.Errorf("after %s the screen is still the result", id)
		}
		r.wait(1)
		if again := id == "again"; again != (*sounded != nil) {
			t.Errorf("after %s something sounded: %v", id, *sounded != nil)
		}
	}
}

// A device that is opened anew at another rate plays the take at its pitch and place.
func TestReplayAtAnotherRate(t *testing.T) {
	r, d, _, sounded := replayed(t)
	r.fake.Fail(device.Unplugged)
	r.wait(0.2)
	r.options.Rate = 44100
	r.press("retry")
	r.wait(0.3)
	r.on("result")
	r.press("hear-own")
	r.wait(2)
	from := d.Time(-1)
	whole := append(make([]float32, int(math.Round(from*44100))), *sounded...)
	heard, err := listen.Hear(grade.Ear(d, 44100), whole)
	if err != nil {
		t.Fatal(err)
	}
	if res := grade.Take(d, heard); res.Share < 0.9 || math.Abs(res.Bias-0.03) > 0.01 {
		t.Errorf("at 44.1 kHz the take gets %.2f and is %.0f ms late, it was played 30 ms late", res.Share, res.Bias*1000)
	}
}

// Without a stream nothing can be heard again, and the screen says why.
func TestReplayNeedsTheSound(t *testing.T) {
	r, _, _, _ := replayed(t)
	r.fake.Fail(device.Unplugged)
	r.wait(0.2)
	r.press("look")
	r.on("result")
	r.says("you need the microphone")
	for _, id := range []string{"hear-own", "hear-model", "hear-note", "hear-stop"} {
		if _, ok := r.item(id); ok {
			t.Errorf("%s is there without a stream", id)
		}
	}
	r.poll(screen.Action{ID: "hear-own"}) // a press that was on its way
	r.on("result")
}
