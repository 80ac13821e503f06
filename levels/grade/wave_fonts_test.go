//go:build !js

package grade

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/drill"
)

// swung plays a drill on a sound font's harmonica with a throat, by the pitch wheel, or with a hand over
// the rendered sound, as package corpus has it: the level goes down by db, what lies over 1500 Hz by
// twice as much. The waves have so many times the asked speed.
func swung(t *testing.T, font audiotest.Font, d drill.Drill, by drill.Means, pace, cents, db float64) []float32 {
	t.Helper()
	free := func(w drill.Wave) float64 {
		if r := w.Rate(d.Tempo); r > 0 {
			return r * pace
		}
		return 4 * pace
	}
	var notes []audiotest.Played
	for _, target := range d.Targets {
		key := d.Harp.MIDI(target.Note)
		p := audiotest.Played{Start: target.Start, End: target.End, Key: key}
		if by == drill.Throat {
			rate := free(target.Wave)
			for at := target.Start; at < target.End; at += 0.008 {
				p.Bend = append(p.Bend, audiotest.Point{At: at, Pitch: float64(key) + cents/100*math.Sin(2*math.Pi*rate*(at-target.Start))})
			}
		}
		notes = append(notes, p)
	}
	x := slices.Clone(audiotest.Play(t, font, notes))
	if by != drill.Hand {
		return x
	}
	for _, target := range d.Targets {
		rate, s := free(target.Wave), 0.0
		for i := int(target.Start * audiotest.Rate); i < min(len(x), int(target.End*audiotest.Rate)); i++ {
			closed := 0.5 - 0.5*math.Cos(2*math.Pi*rate*(float64(i)/audiotest.Rate-target.Start))
			under := math.Pow(10, -db*closed/20)
			s += (1 - math.Exp(-2*math.Pi*1500/audiotest.Rate)) * (float64(x[i]) - s)
			x[i] = float32((s + (float64(x[i])-s)*under) * under)
		}
	}
	return x
}

// Vibratos and hands on sampled harmonicas pass, at their speed within 3 %, vibratos within a tenth and
// 1.5 cents, as the sample's own looped tone wavers; and neither passes for the other.
func TestSampledWaves(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct {
			id, key string
			by      drill.Means
		}{
			{"vibrato-1", "C", drill.Throat}, {"vibrato-4", "A", drill.Throat}, {"vibrato-6", "C", drill.Throat},
			{"wah-1", "A", drill.Hand}, {"wah-4", "C", drill.Hand}, {"wah-6", "A", drill.Hand},
		} {
			d := owned(t, font, c.id, c.key)
			other := drill.Throat + drill.Hand - c.by
			for _, cents := range []float64{12, 25} {
				r := gradeSound(t, d, swung(t, font, d, c.by, 1, cents, cents/2))
				t.Logf("%s, %s: passed %v, swing %.1f, cup %.1f, rate %.2f, uneven %.3f", font.Name, c.id, r.Passed,
					values(d, r, Swing, nil), values(d, r, Cup, nil), values(d, r, Rate, nil), values(d, r, Evenness, nil))
				if !r.Passed {
					t.Errorf("%s, %s: %.0f %% right: %v", font.Name, c.id, 100*r.Share, r.Summary)
				}
				for _, m := range r.Marks {
					if m.Quantity == Rate && d.Targets[m.Target].Wave.PerBeat > 0 && math.Abs(m.Heard/m.Asked-1) > 0.03 {
						t.Errorf("%s, %s: %.2f swings a second, %.2f asked", font.Name, c.id, m.Heard, m.Asked)
					}
					if m.Quantity == Swing && math.Abs(m.Heard-cents) > 0.1*cents+1.5 {
						t.Errorf("%s, %s: swings by %.1f cents, want %.0f", font.Name, c.id, m.Heard, cents)
					}
				}
			}
			if r := gradeSound(t, d, swung(t, font, d, other, 1, 25, 10)); r.Passed {
				t.Errorf("%s, %s: the other of the two passes", font.Name, c.id)
			}
			if r := gradeSound(t, d, swung(t, font, d, drill.Nothing, 1, 0, 0)); r.Passed {
				t.Errorf("%s, %s: a held note passes", font.Name, c.id)
			}
			if d.Targets[0].Wave.PerBeat > 0 {
				if r := gradeSound(t, d, swung(t, font, d, c.by, 1.4, 25, 10)); r.Passed {
					t.Errorf("%s, %s: two fifths too quick passes", font.Name, c.id)
				}
			}
		}
	}
}

// A breath that comes and goes moves the level of a sample and not its colour: it is no hand, and no
// throat either.
func TestSampledBreathIsNoWave(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		for _, id := range []string{"wah-2", "vibrato-1"} {
			d := owned(t, font, id, "C")
			x := slices.Clone(sampled(t, font, d, 0, 0))
			for i := range x {
				x[i] *= float32(math.Pow(10, -4*(1-math.Cos(2*math.Pi*2.2*float64(i)/audiotest.Rate))/20))
			}
			if r := gradeSound(t, d, x); r.Passed {
				t.Errorf("%s, %s: a swell of 8 dB passes with %.2f", font.Name, id, r.Share)
			}
		}
	}
}
