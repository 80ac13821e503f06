//go:build !js

package grade

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
)

// Blue thirds on sampled harmonicas, in tune with their own reeds, pass, and lie where they were
// put within 4 cents, as bends do there.
func TestSampledBlueThirds(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct{ id, key string }{{"blue-1", "C"}, {"blue-2", "A"}, {"blue-3", "C"}, {"blue-6", "A"}} {
			d := owned(t, font, c.id, c.key)
			for _, deep := range []float64{-45, 0, 15, 45} {
				r := gradeSound(t, d, sampled(t, font, d, 0, deep))
				if want := math.Abs(deep) < 40; r.Passed != want {
					t.Errorf("%s, %s, %g too deep: passed %v with %.2f: %v", font.Name, c.id, deep, r.Passed, r.Share, r.Summary)
				}
				for i, target := range d.Targets {
					if target.Zone == 0 {
						continue
					}
					for _, m := range r.Marks {
						if m.Target == i && m.Quantity == Third && math.Abs(m.Heard-(overRoot(d, i)-deep)) > 4 {
							t.Errorf("%s, %s: %.1f cents over the root, want %.1f", font.Name, c.id, m.Heard, overRoot(d, i)-deep)
						}
					}
				}
			}
		}
	}
}
