//go:build !js

package reeds

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/levels/harp"
)

// Sampled harmonicas of two General MIDI sound fonts (Debian: fluid-soundfont-gm,
// timgm6mb-soundfont), whose tuning package audiotest measures by autocorrelation. The smaller has a sample that is
// 29 to 36 cents flat.
func TestSampledHarps(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		keys := []string{"low F", "A", "C"}
		if testing.Short() {
			keys = keys[2:]
		}
		for _, key := range keys {
			k := mustKey(t, key)
			for _, place := range []string{"clean", "room"} {
				var notes []audiotest.Played
				at := 0.3
				for _, n := range Plan() {
					for range Times {
						notes = append(notes, audiotest.Played{Start: at, End: at + 1.9, Key: k.MIDI() + n.Semitones()})
						at += 2.6
					}
				}
				p := run(t, k, heardIn(place, audiotest.Play(t, font, notes)))
				r := p.Report()
				if r.Heard != 20 || !p.State().Done {
					t.Errorf("%s, %s, %s: %d reeds heard, want 20", font.Name, key, place, r.Heard)
					continue
				}
				worst, flat := 0.0, 0
				// The font's own middle; equal temperament, but for the reeds that are off.
				var offsets []float64
				for _, d := range r.Reeds {
					offsets = append(offsets, audiotest.Offset(t, font, k.MIDI()+d.Note.Semitones()))
				}
				for i, d := range r.Reeds {
					worst = max(worst, math.Abs(d.Cents-nominal(k, i)-offsets[i]))
					var want []Fault
					if math.Abs(offsets[i]-median(offsets)) > 2*OffCents {
						want, flat = append(want, Off), flat+1
					}
					if !slices.Equal(d.Faults, want) {
						t.Errorf("%s, %s, %s: %s has faults %v, want %v (font %.1f, from tuning %.1f, speak %.3f, flutter %.4f)", font.Name, key, place, d.Note.Tab(), d.Faults, want, offsets[i], d.FromTuning, d.Speak, d.Flutter)
					}
				}
				t.Logf("%s, %s, %s: worst reed %.2f cents, %d of 20 flat and named; %s", font.Name, key, place, worst, flat, r.Fit.Words())
				if worst > 2 || r.Fit.Tuning != harp.Equal {
					t.Errorf("%s, %s, %s: worst reed %.2f cents, want 2; tuned %s, want equal", font.Name, key, place, worst, r.Fit.Tuning)
				}
				if font.Name == "TimGM6mb" && flat < 4 {
					t.Errorf("%s, %s: %d reeds of the flat sample, want 4 and more", font.Name, key, flat)
				}
			}
		}
	}
}

// A few notes on a sampled harp name it among those kept.
func TestSampledGuess(t *testing.T) {
	var c Case
	for _, key := range []string{"C", "D", "A", "low F", "G"} {
		if err := c.Add(Kept{Name: key, Harp: harp.New(mustKey(t, key))}); err != nil {
			t.Fatal(err)
		}
	}
	for _, font := range audiotest.Fonts() {
		for _, kept := range c.Harps() {
			var notes []audiotest.Played
			at := 0.3
			for _, n := range []harp.Note{draw(2), draw(3), blow(4), draw(4), draw(5), blow(6), draw(1), blow(2), draw(6)} {
				notes = append(notes, audiotest.Played{Start: at, End: at + 0.3, Key: kept.Harp.Key.MIDI() + n.Semitones()})
				at += 0.4
			}
			take, err := listen.Hear(listen.Config{Rate: audiotest.Rate}, audiotest.Play(t, font, notes))
			if err != nil {
				t.Fatal(err)
			}
			found := Guess(Pitches(take.Notes, take.Rate), &c)
			best, ok := Sure(found)
			t.Logf("%s, %s: %s with %.3f", font.Name, kept.Name, found[0].Key, found[0].Confidence)
			if ok && best.Key != kept.Harp.Key {
				t.Errorf("%s, %s: sure of %s", font.Name, kept.Name, best.Key)
			}
			if font.Name == "FluidR3" && !ok {
				t.Errorf("%s, %s: not sure, %.2f", font.Name, kept.Name, found[0].Confidence)
			}
		}
	}
}

// All holes of a sampled harp, held as every other of the case: it is offered, and nothing when it is held as what it is.
func TestSampledOffer(t *testing.T) {
	var c Case
	for _, key := range []string{"C", "Db", "D", "A", "low F", "G"} {
		if err := c.Add(Kept{Name: key, Harp: harp.New(mustKey(t, key))}); err != nil {
			t.Fatal(err)
		}
	}
	for _, font := range audiotest.Fonts() {
		for _, played := range c.Harps() {
			var notes []audiotest.Played
			at := 0.3
			for _, n := range Plan() {
				notes = append(notes, audiotest.Played{Start: at, End: at + 0.4, Key: played.Harp.Key.MIDI() + n.Semitones()})
				at += 0.5
			}
			take, err := listen.Hear(listen.Config{Rate: audiotest.Rate}, audiotest.Play(t, font, notes))
			if err != nil {
				t.Fatal(err)
			}
			pitches := Pitches(take.Notes, take.Rate)
			for _, held := range c.Harps() {
				got, ok := Offer(pitches, &c, held.Harp)
				if ok != (held.Name != played.Name) || ok && got.Key != played.Harp.Key {
					t.Errorf("%s: %s held as %s: offered %s, %v", font.Name, played.Name, held.Name, got.Key, ok)
				}
			}
		}
	}
}
