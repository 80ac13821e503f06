package stage_test

import (
	"math"
	"testing"

	"reedwell/game/screen"
	"reedwell/levels/band"
	"reedwell/levels/drill"
)

// The volume that is chosen in the settings is that of the count-in and band of a take, it is there on the
// next day, and what is heard again keeps under the ceiling.
func TestVolumeOfAllThatSounds(t *testing.T) {
	for _, c := range []struct {
		id   string
		gain float64 // dB
	}{{"volume-quiet", -12}, {"volume-normal", 0}, {"volume-loud", 6}} {
		r := newRig(t, "")
		r.ready()
		r.press("settings")
		r.press(c.id)
		if i, ok := r.item(c.id); !ok || !i.On || i.Role != screen.Choice {
			t.Fatalf("%s is not chosen: %+v", c.id, i)
		}
		r.press("back")
		r.start("")
		r.press("start")
		r.wait(0.2)
		r.to("single-1")
		d, err := drill.Build(r.spec)
		if err != nil {
			t.Fatal(err)
		}
		var got []float32
		r.played = func(samples []float32) { got = samples }
		by := math.Pow(10, c.gain/20)
		check := func(what string, want []float32) {
			t.Helper()
			if len(got) != len(want) {
				t.Fatalf("%s, %s: %d frames sounded, want %d", c.id, what, len(got), len(want))
			}
			ab, bb := 0.0, 0.0
			for i, v := range want {
				ab += float64(v) * float64(got[i])
				bb += float64(v) * float64(v)
			}
			// Limiting takes a little off the loudest places, of a model 6 dB louder most.
			if a := ab / bb; a > by*1.001 || a < by*0.8 {
				t.Errorf("%s, %s: sounded by a factor of %.4f, want %.4f", c.id, what, a, by)
			}
		}
		r.press("play")
		r.until("result", 120)
		r.says("A good take")
		check("a take", band.Render(d, 48000))
		r.perform = nil
		r.press("hear-own")
		r.wait(2)
		if len(got) == 0 {
			t.Fatal("nothing was heard again")
		}
		top := 0.0
		for _, v := range got {
			top = math.Max(top, math.Abs(float64(v)))
		}
		if top > math.Pow(10, -1.0/20)*1.0001 {
			t.Errorf("%s: what is heard again has a peak of %.3f", c.id, top)
		}
	}
}

// Over a loudspeaker at the loud volume, what was played is taken out of the take as it sounded: limited
// too. With the band at the player's level in the microphone the outcome is that without it.
func TestLoudBandOverALoudspeaker(t *testing.T) {
	r := speaker(t, 0.3, "turnaround-4")
	r.press("settings")
	r.press("volume-loud")
	r.press("back")
	r.take()
	r.says("A good take")
}
