//go:build !js

package write

import (
	"errors"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/harp"
)

// Where nothing was played, nothing is written: neither with a tempo nor free, on a high, a
// middle and a low harp. The sounds are those of package audiotest: none of them is a reed.
func TestNothingInvented(t *testing.T) {
	const rate, seconds = 48000, 6.0
	clicks := make([]float32, rate*seconds)
	for i := range 8 {
		synth.Mix(clicks, synth.Click(rate, i%4 == 0), i*rate/2, 0)
	}
	for name, x := range map[string][]float32{
		"empty": {}, "silence": make([]float32, rate*seconds), "white noise": audiotest.White(rate, seconds, -30, 1),
		"pink noise": audiotest.Pink(rate, seconds, -25, 2), "fan": audiotest.Fan(rate, seconds, -30, 3), "hum": audiotest.Hum(rate, seconds, 50, -30),
		"count-in alone": clicks,
		"speech 1":       audiotest.Babble(rate, seconds, -22, 4), "speech 2": audiotest.Babble(rate, seconds, -22, 5), "speech 3": audiotest.Babble(rate, seconds, -22, 6),
		"speech in a fan": audiotest.Sum(audiotest.Babble(rate, seconds, -22, 7), audiotest.Fan(rate, seconds, -35, 8)),
	} {
		for _, key := range []string{"low F", "A", "F#"} {
			h := harp.New(keyOf(t, key))
			take := hear(t, h, x, rate)
			for _, tempo := range []float64{0, 80} {
				k, _, _, err := Lick(take, Options{Harp: h, Tempo: tempo, Beat0: 3})
				if !errors.Is(err, ErrNothing) || len(k.Notes) > 0 {
					t.Errorf("%s, harp in %s, tempo %g: %v, %s; want %v", name, key, tempo, err, show(k.Notes), ErrNothing)
				}
			}
		}
	}
	if _, _, _, err := Lick(listen.Take{Rate: rate}, Options{}); !errors.Is(err, ErrNothing) {
		t.Errorf("no frames: %v, want %v", err, ErrNothing)
	}
}
