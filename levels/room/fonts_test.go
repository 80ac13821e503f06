//go:build !js

package room

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// The twin of the closed loop, on harmonicas that nobody here made: the stroll on two sampled harmonicas. Their
// reeds are measured first and are the harp's profile. Places and relations are as played; a sample needs up to
// 20 ms to speak, which is measured with the player on the beat; against that the lateness is right to 10 ms.
func TestSampledHarmonicas(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct{ key, form, feel string }{{"C", "slow", "shuffle"}, {"A", "quick", "straight"}} {
			s := setting(t, c.key, c.form, c.feel, 76, 1)
			d := asked(t, s, stroll())
			for _, g := range d.Targets {
				reed := harp.Note{Hole: g.Note.Hole, Breath: g.Note.Breath}
				cents := audiotest.Offset(t, font, s.Harp.MIDI(reed))
				if reed.Breath == harp.Draw {
					s.Harp.Profile.Draw[reed.Hole-1] = cents
				} else {
					s.Harp.Profile.Blow[reed.Hole-1] = cents
				}
			}
			speaks := 0.0
			for _, late := range []float64{0, -0.05, 0.07} {
				var notes []audiotest.Played
				for _, g := range d.Targets {
					natural := harp.Note{Hole: g.Note.Hole, Breath: g.Note.Breath}
					p := audiotest.Played{Start: g.Start + late, End: g.End + late - 0.05, Key: s.Harp.MIDI(natural)}
					p.Bend = []audiotest.Point{{At: p.Start, Pitch: float64(s.Harp.MIDI(g.Note))}}
					notes = append(notes, p)
				}
				r, err := looked(t, s, audiotest.Play(t, font, notes))
				if err != nil {
					t.Errorf("%s, %s: %v", font.Name, s.Words(), err)
					continue
				}
				if late == 0 {
					speaks = r.Bias
					if speaks < -0.005 || speaks > 0.025 {
						t.Errorf("%s starts %.1f ms after note-on", font.Name, 1000*speaks)
					}
				}
				if math.Abs(r.Bias-speaks-late) > 0.010 || r.Scatter > 0.020 {
					t.Errorf("%s, %+.0f ms: bias %.1f over %.1f, scatter %.1f", font.Name, 1000*late, 1000*(r.Bias-speaks), 1000*speaks, 1000*r.Scatter)
				}
				if len(r.Notes) != len(stroll()) {
					t.Errorf("%s, %s: %d notes, %d were played", font.Name, s.Words(), len(r.Notes), len(stroll()))
					continue
				}
				want, err := looked(t, setting(t, c.key, c.form, c.feel, 76, 1), played(t, setting(t, c.key, c.form, c.feel, 76, 1), stroll(), player.Faults{}))
				if err != nil {
					t.Fatal(err)
				}
				for i, n := range r.Notes {
					if n.Note != want.Notes[i].Note || n.Place != want.Notes[i].Place || n.Relation != want.Notes[i].Relation || math.Abs(n.Cents) > 8 {
						t.Errorf("%s, %s, %+.0f ms: note %d is %s (%+.1f cents) on %d, %v; want %s on %d, %v", font.Name, c.key, 1000*late, i+1,
							n.Note.Tab(), n.Cents, n.Place, n.Relation, want.Notes[i].Note.Tab(), want.Notes[i].Place, want.Notes[i].Relation)
					}
				}
			}
		}
	}
}
