//go:build !js

package grade

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// sampled plays a drill on a sound font's harmonica: reeds that nobody here made. Bends
// are pitch wheel on the natural reed's sample, deep cents too deep; late is in seconds.
func sampled(t *testing.T, font audiotest.Font, d drill.Drill, late, deep float64) []float32 {
	t.Helper()
	pitch := func(target drill.Target) float64 {
		natural := target.Note
		natural.Bend = 0
		hz, err := d.Harp.Hz(natural)
		if err != nil {
			t.Fatal(err)
		}
		p := float64(d.Harp.MIDI(natural)) + harp.Cents(target.Hz, hz)/100
		if target.Note.Bend > 0 {
			p -= deep / 100
		}
		return p
	}
	var notes []audiotest.Played
	for _, h := range headsOf(d) {
		first, last := d.Targets[h.first], d.Targets[h.last-1]
		natural := first.Note
		natural.Bend = 0
		p := audiotest.Played{Start: first.Start + late, End: last.End + late, Key: d.Harp.MIDI(natural)}
		if h.last < len(d.Targets) && d.Targets[h.last].Join == drill.Tongued &&
			d.Targets[h.last].Note.Hole == last.Note.Hole && d.Targets[h.last].Note.Breath == last.Note.Breath {
			p.End -= 0.050 // a tongued repeat: a short gap, and the sample's own release
		}
		at := pitch(first)
		p.Bend = []audiotest.Point{{At: p.Start, Pitch: at}}
		if s := first.Scoop / 100; s > 0 {
			p.Bend = []audiotest.Point{{At: p.Start, Pitch: at - s}, {At: p.Start + 0.08, Pitch: at - s}, {At: p.Start + 0.18, Pitch: at}}
		}
		for i := h.first + 1; i < h.last; i++ {
			target := d.Targets[i]
			p.Bend = append(p.Bend, audiotest.Point{At: target.Start + late, Pitch: at})
			at = pitch(target)
			p.Bend = append(p.Bend, audiotest.Point{At: target.Start + late + 0.12, Pitch: at})
		}
		notes = append(notes, p)
	}
	return audiotest.Play(t, font, notes)
}

// owned is the drill on a harp whose reeds are the font's: their own tuning, up to 36
// cents off, is measured first and is the player's profile.
func owned(t *testing.T, font audiotest.Font, id, key string) drill.Drill {
	t.Helper()
	d := build(t, id, key, 0)
	spec := drill.Spec{ID: id, Key: d.Harp.Key}
	for _, target := range d.Targets {
		reed := target.Note
		reed.Bend = 0
		cents := audiotest.Offset(t, font, d.Harp.MIDI(reed))
		if reed.Breath == harp.Draw {
			spec.Profile.Draw[reed.Hole-1] = cents
		} else {
			spec.Profile.Blow[reed.Hole-1] = cents
		}
	}
	own, err := drill.Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	return own
}

// Drills played right on sampled harmonicas pass.
func TestSampledDrillsPass(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, c := range []struct{ id, key string }{
			{"single-2", "C"}, {"single-3", "A"}, {"single-4", "C"}, {"single-6", "G"},
			{"long-1", "C"}, {"long-2", "A"}, {"long-3", "C"}, {"long-4", "A"}, {"long-5", "C"}, {"long-6", "A"},
			{"scoop-1", "C"}, {"scoop-2", "A"}, {"scoop-3", "C"}, {"scoop-4", "A"}, {"scoop-5", "C"}, {"scoop-6", "A"},
			{"repeats-1", "C"}, {"repeats-2", "A"}, {"repeats-3", "C"}, {"repeats-4", "A"}, {"repeats-5", "C"}, {"repeats-6", "A"},
			{"ladder-4d-1", "C"}, {"ladder-3d-3", "C"}, {"ladder-2d-4", "A"}, {"ladder-6d-2", "A"}, {"ladder-1d-1", "G"},
			{"ladder-8b-1", "C"}, {"ladder-9b-2", "A"}, {"ladder-10b-3", "A"},
			{"warble-1", "C"}, {"warble-3", "A"}, {"warble-5", "C"},
			{"turnaround-1", "C"}, {"turnaround-2", "A"}, {"turnaround-3", "C"}, {"turnaround-5", "A"},
		} {
			d := owned(t, font, c.id, c.key)
			r := gradeSound(t, d, sampled(t, font, d, 0, 0))
			t.Logf("%s, %s on %s: %.0f %% right, bias %.1f ms, scatter %.1f ms", font.Name, c.id, c.key, 100*r.Share, 1000*r.Bias, 1000*r.Scatter)
			if !r.Passed {
				t.Errorf("%s, %s on %s: %.0f %% right, %d missing, %d extra: %v", font.Name, c.id, c.key, 100*r.Share, r.Missing, r.Extra, r.Summary)
			}
		}
	}
}

// Known faults on sampled harmonicas are reported at their size: bends within 4 cents (the
// sample's looped tone wavers and the synthesiser floors pitch to whole cents). Starts: the
// samples themselves need up to 20 ms to speak, which is measured first; against that
// the lateness is right to 3 ms, less than a frame.
func TestSampledFaultsAreMeasured(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, deep := range []float64{-30, 0, 30, 60} {
			d := owned(t, font, "ladder-3d-3", "C")
			for _, v := range values(d, gradeSound(t, d, sampled(t, font, d, 0, deep)), Pitch, bent) {
				if math.Abs(v+deep) > 4 {
					t.Errorf("%s, bends %g cents too deep: %.1f", font.Name, deep, v)
				}
			}
		}
		d := owned(t, font, "turnaround-1", "C")
		speaks := gradeSound(t, d, sampled(t, font, d, 0, 0)).Bias
		if speaks < 0 || speaks > 0.020 {
			t.Errorf("%s starts %.1f ms after note-on, want 0 to 20", font.Name, 1000*speaks)
		}
		for _, late := range []float64{-0.060, 0.080, 0.150} {
			r := gradeSound(t, d, sampled(t, font, d, late, 0))
			if math.Abs(r.Bias-speaks-late) > 0.003 {
				t.Errorf("%s, %.0f ms late: bias %.1f ms over %.1f", font.Name, 1000*late, 1000*(r.Bias-speaks), 1000*speaks)
			}
			if want := late < 0.1; r.Passed != want {
				t.Errorf("%s, %.0f ms late: passed %v, want %v", font.Name, 1000*late, r.Passed, want)
			}
		}
	}
}

// Long tones, repeats and scoops on sampled harmonicas are measured at their size. The samples'
// own doing comes on top: they speak within 20 ms, and start up to a few cents flat.
func TestSampledTonesAreMeasured(t *testing.T) {
	t.Parallel()
	for _, font := range audiotest.Fonts() {
		for _, share := range []float64{0.5, 0.75} {
			d := owned(t, font, "long-2", "C")
			short := d
			short.Targets = slices.Clone(d.Targets)
			for i := range short.Targets {
				short.Targets[i].End = short.Targets[i].Start + share*(short.Targets[i].End-short.Targets[i].Start)
			}
			r := gradeSound(t, d, sampled(t, font, short, 0, 0))
			for _, v := range values(d, r, Length, nil) {
				if math.Abs(v-share) > 0.02 {
					t.Errorf("%s, %.2f of a long tone: %.3f", font.Name, share, v)
				}
			}
			for _, v := range values(d, r, Attack, nil) {
				if v > 0.06 {
					t.Errorf("%s speaks in %.3f s, want 0.06 at the most", font.Name, v)
				}
			}
			t.Logf("%s, %.2f of it: lengths %.3f, attack %.3f s, fade %.1f dB, level %.1f dB, pitch %.1f cents", font.Name, share,
				values(d, r, Length, nil), values(d, r, Attack, nil), values(d, r, Fade, nil), values(d, r, Steady, nil), values(d, r, Spread, nil))
		}
		d := owned(t, font, "repeats-3", "C")
		speaks := gradeSound(t, d, sampled(t, font, d, 0, 0)).Bias
		for _, late := range []float64{-0.060, 0.080} {
			r := gradeSound(t, d, sampled(t, font, d, late, 0))
			if math.Abs(r.Bias-speaks-late) > 0.003 || r.Missing > 0 {
				t.Errorf("%s, repeats %.0f ms late: bias %.1f ms over %.1f, %d missing", font.Name, 1000*late, 1000*(r.Bias-speaks), 1000*speaks, r.Missing)
			}
			for _, v := range values(d, r, Evenness, nil) {
				if v > 0.04 { // 13 ms of a gap of 333, less than the samples differ in speaking
					t.Errorf("%s, even repeats: %.3f uneven", font.Name, v)
				}
			}
		}
		// The samples start up to 9 cents beside the pitch they come to, each at its own distance and
		// some of them above it. It is the same however deep the scoop, so it is measured on the one
		// of 100 cents, and the others must differ from that by what was asked.
		var plain []float64
		for _, depth := range []float64{100, 50, 75, 150} {
			d := owned(t, font, "scoop-5", "C")
			other := d
			other.Targets = slices.Clone(d.Targets)
			for i := range other.Targets {
				other.Targets[i].Scoop = depth
			}
			r := gradeSound(t, d, sampled(t, font, other, 0, 0))
			got := values(d, r, Depth, nil)
			t.Logf("%s, scoops of %.0f cents: %.1f, released after %.3f s", font.Name, depth, got, values(d, r, Release, nil))
			if plain == nil {
				plain = got
			}
			if len(got) != len(d.Targets) || len(plain) != len(got) {
				t.Fatalf("%s: %d of %d scoops heard", font.Name, len(got), len(d.Targets))
			}
			for i, v := range got {
				if math.Abs(v-depth) > 12 || math.Abs(v-plain[i]-(depth-100)) > 3 {
					t.Errorf("%s, scoop %d of %.0f cents: %.1f, and %.1f at 100", font.Name, i, depth, v, plain[i])
				}
			}
		}
	}
}
