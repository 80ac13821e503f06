//go:build !js

package grade

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
)

// Answers and bends to a tone on sampled harmonicas pass; bends lie where they were put within 4 cents,
// lateness within 3 ms of what the samples take to speak, as elsewhere.
func TestSampledAnswers(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct{ id, key string }{
			{"aim-1", "C"}, {"aim-2", "A"}, {"aim-3", "C"}, {"aim-4", "C"}, {"aim-5", "A"}, {"aim-6", "C"},
			{"answer-1", "C"}, {"answer-2", "A"}, {"answer-3", "C"}, {"answer-4", "A"}, {"answer-5", "C"}, {"answer-6", "A"},
		} {
			d := owned(t, font, c.id, c.key)
			r := gradeSound(t, d, sampled(t, font, d, 0, 0))
			t.Logf("%s, %s on %s: %.0f %% right, bias %.1f ms, scatter %.1f ms", font.Name, c.id, c.key, 100*r.Share, 1000*r.Bias, 1000*r.Scatter)
			if !r.Passed {
				t.Errorf("%s, %s on %s: %.0f %% right, %d missing, %d extra: %v", font.Name, c.id, c.key, 100*r.Share, r.Missing, r.Extra, r.Summary)
			}
		}
		d := owned(t, font, "aim-4", "C")
		for _, deep := range []float64{-30, 15, 45} {
			r := gradeSound(t, d, sampled(t, font, d, 0, deep))
			for _, v := range values(d, r, Pitch, bent) {
				if math.Abs(v+deep) > 4 {
					t.Errorf("%s, tones passed by %g cents: %.1f", font.Name, deep, v)
				}
			}
			if want := math.Abs(deep) < d.Windows.Pitch; r.Passed != want {
				t.Errorf("%s, tones passed by %g cents: passed %v", font.Name, deep, r.Passed)
			}
		}
		d = owned(t, font, "answer-2", "A")
		speaks := gradeSound(t, d, sampled(t, font, d, 0, 0)).Bias
		for _, late := range []float64{-0.060, 0.080} {
			r := gradeSound(t, d, sampled(t, font, d, late, 0))
			if math.Abs(r.Bias-speaks-late) > 0.003 {
				t.Errorf("%s, %.0f ms late: bias %.1f ms over %.1f", font.Name, 1000*late, 1000*(r.Bias-speaks), 1000*speaks)
			}
		}
	}
}
