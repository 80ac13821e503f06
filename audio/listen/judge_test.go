package listen

import (
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

// What is surer is given no less confidence, what has glided for longer no more, and a tone that has not settled is never believed.
func TestConfidenceRisesWithSureness(t *testing.T) {
	before := 0.0
	for i := range 1001 {
		sure := float64(i) / 1000
		c := confidence(sure)
		if c < before || c > 1 {
			t.Errorf("sure %.3f: confidence %.4f after %.4f", sure, c, before)
		}
		before = c
		last := MinConfidence
		for gliding := range glidesPer*standMost + 1 {
			d := doubted(sure, gliding)
			if d <= 0 || d >= MinConfidence || d > last || d > c {
				t.Errorf("sure %.3f, %d frames of glides: confidence %.4f after %.4f, settled %.4f", sure, gliding, d, last, c)
			}
			last = d
		}
		if i > 0 && doubted(sure, 0) < doubted(sure-0.001, 0) {
			t.Errorf("sure %.3f, no glides: less confidence than with less", sure)
		}
	}
}

// After somebody has spoken for a while a reed is believed again, a low one as well as one where a voice has its first formant,
// and the speech before is not.
func TestReedAfterSpeech(t *testing.T) {
	const rate = 48000
	speech := audiotest.Babble(rate, 30, -20, 7)
	for _, hz := range []float64{247, 523, 988} {
		at := float64(len(speech))/rate + 0.2 // faded leaves that much silence before
		reed := faded(rate, audiotest.Glide(rate, 0.5, func(float64) float64 { return hz }, func(float64) float64 { return -20 }, audiotest.Reed()))
		x := slices.Concat(speech, reed)
		if late := firstSure(t, rate, x, at, hz); !(late < 0.2) {
			t.Errorf("%g Hz is believed after %.0f ms, want 200 at most", hz, 1000*late)
		}
	}
	sure := 0
	for _, f := range hear(t, Config{Rate: rate, Spans: spans(55)}, speech).Frames {
		if f.Confidence >= MinConfidence {
			sure++
		}
	}
	if sure > 0 {
		t.Errorf("%d frames of the speech are believed", sure)
	}
}
