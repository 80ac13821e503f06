//go:build !js

package voice_test

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/voice"
)

// A sampled voice, General MIDI's program 54 ("Synth Voice" in the standard's list; one voice in both fonts), against the period that
// audiotest measures in the font's own sound. A choir, program 53, has no one pitch: two ways to measure it differ by up to 38 cents.
func TestSampledVoices(t *testing.T) {
	audiotest.NeedFonts(t)
	for _, font := range audiotest.Fonts() {
		for _, key := range []int{48, 55, 60, 67, 72} {
			x := audiotest.Play(t, font, []audiotest.Played{{Start: voice.Lead + 0.2, End: voice.Lead + 3, Key: key, Program: 54}})
			got, err := measure(x)
			if err != nil {
				t.Errorf("%s, key %d: %v", font.Name, key, err)
				continue
			}
			from := int(got.Start * rate)
			want := audiotest.Period(x[from:from+int(got.Seconds*rate)], rate, audiotest.Hz(float64(key)))
			if off := cents(got.Hz, want); math.Abs(off) > 4 {
				t.Errorf("%s, key %d: %.2f cents off", font.Name, key, off)
			}
		}
	}
}
