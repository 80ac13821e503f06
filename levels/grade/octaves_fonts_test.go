//go:build !js

package grade

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

// Octave jumps on sampled harmonicas pass. What is added to a landing there is measured within 40 ms of
// it: the samples speak and end within 20 ms, each at its own time. One font's reeds ring on for up to
// 0.15 s after their note-off, under which shorter gaps are filled.
func TestSampledOctaves(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct{ id, key string }{{"octaves-1", "C"}, {"octaves-2", "A"}, {"octaves-3", "C"}, {"octaves-4", "A"}, {"octaves-5", "C"}, {"octaves-6", "A"}} {
			d := owned(t, font, c.id, c.key)
			dry := sampled(t, font, d, 0, 0)
			for where, x := range map[string][]float32{"dry": dry, "in a room": audiotest.Room(rate, dry, 0.5, -8, 5)} {
				r := gradeSound(t, d, x)
				t.Logf("%s, %s on %s, %s: %.0f %% right, landings %.3f, bias %.1f ms, scatter %.1f ms", font.Name, c.id, c.key, where, 100*r.Share,
					values(d, r, Land, nil), 1000*r.Bias, 1000*r.Scatter)
				if !r.Passed {
					t.Errorf("%s, %s on %s, %s: %.0f %% right, %d missing, %d extra: %v", font.Name, c.id, c.key, where, 100*r.Share, r.Missing, r.Extra, r.Summary)
				}
			}
		}
		for _, late := range []float64{0.3, 0.5} {
			d := owned(t, font, "octaves-2", "A")
			other := d
			other.Targets = slices.Clone(d.Targets)
			for i := range other.Targets {
				if touches(d, i) {
					other.Targets[i].Start += late
				}
			}
			for _, v := range values(d, gradeSound(t, d, sampled(t, font, other, 0, 0)), Land, nil) {
				if math.Abs(v-late) > 0.040 {
					t.Errorf("%s, landing after %.0f ms: %.0f", font.Name, 1000*late, 1000*v)
				}
			}
		}
	}
}
