//go:build !js

package listen

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/audiotest/corpus"
)

// The tests of this file hold the ear to the goals on a small part of the corpus's figures half, on which
// no constant was chosen: sampled harmonicas of two General MIDI sound fonts (Debian: fluid-soundfont-gm,
// timgm6mb-soundfont), a voice with a weak fundamental, and what is true of them measured by package corpus
// without this ear. Command earbench measures all of it.

// part renders some kinds of one harp of a voice.
func part(t *testing.T, voice string, harp int, kinds ...corpus.Kind) corpus.File {
	t.Helper()
	audiotest.NeedFonts(t)
	files, err := corpus.Files(corpus.Figures, corpus.Pick{Voice: voice, Harps: []int{harp}, Kinds: kinds})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != 1 {
		t.Fatalf("%d files of %s, harp %d, want 1", len(files), voice, harp)
	}
	return files[0]
}

func hearFile(t *testing.T, f corpus.File, c corpus.Condition) Take {
	t.Helper()
	config := Config{Rate: corpus.Rate}
	for _, s := range corpus.Spans(f.Harp, false) {
		config.Spans = append(config.Spans, Span(s))
	}
	return hear(t, config, f.In(c))
}

func TestCorpusPitch(t *testing.T) {
	// Cents: the goals are medians of 0.1 clean and 0.2 in noise, there with a 95th percentile of 0.9. In a room and
	// hum none is set; what is reached.
	limits := map[corpus.Condition][2]float64{corpus.Clean: {0.1, 0.5}, corpus.Hum: {0.1, 0.5}, corpus.Room: {0.2, 1}, corpus.Pink: {0.2, 0.9}}
	for voice, harp := range map[string]int{"FluidR3": 62, "TimGM6mb": 57} {
		f := part(t, voice, harp, corpus.Natural)
		for c, limit := range limits {
			take := hearFile(t, f, c)
			var errs []float64
			for _, s := range f.Sounds {
				for _, fr := range between(take, s.Start+0.1, s.Off-0.01) {
					off := math.Abs(cents(fr.F0, s.Hz(float64(fr.At)/corpus.Rate)))
					errs = append(errs, off)
					if !(off < 50) {
						t.Errorf("%s, %s: key %d is heard as %.1f Hz at %.3f s", voice, c, s.Key, fr.F0, float64(fr.At)/corpus.Rate)
					}
				}
			}
			if m, h := quantile(errs, 0.5), quantile(errs, 0.95); len(errs) < 500 || !(m <= limit[0]) || !(h <= limit[1]) {
				t.Errorf("%s, %s: %d frames, error %.3f cents at the median, %.2f at 95 in 100, want %g and %g", voice, c, len(errs), m, h, limit[0], limit[1])
			}
		}
	}
}

// A fundamental 13 dB under the fifth harmonic, and 60 cents of scoop in each attack: no wrong octave, and
// the scoop within the goal's 5 cents.
func TestCorpusWeakFundamental(t *testing.T) {
	f := part(t, corpus.Weak, 50)
	for _, c := range []corpus.Condition{corpus.Clean, corpus.Hum, corpus.Room, corpus.Pink} {
		take := hearFile(t, f, c)
		for _, s := range f.Sounds {
			for _, fr := range between(take, s.Start+0.025, s.Off-0.01) {
				if off := math.Abs(cents(fr.F0, s.Hz(float64(fr.At)/corpus.Rate))); !(off < 50) && fr.Confidence >= MinConfidence {
					t.Errorf("%s: key %d is heard as %.1f Hz at %.3f s", c, s.Key, fr.F0, float64(fr.At)/corpus.Rate)
				}
			}
			for _, n := range take.Notes {
				if c != corpus.Clean || math.Abs(float64(n.Start)/corpus.Rate-s.Start) > 0.04 {
					continue
				}
				if d := take.Scoop(n) - s.Scooped(); math.Abs(d) > 5 {
					t.Errorf("key %d: scoop is %.1f cents off", s.Key, d)
				}
			}
		}
	}
}

func TestCorpusTwoHoles(t *testing.T) {
	files := []corpus.File{part(t, "FluidR3", 62, corpus.Pair), part(t, "TimGM6mb", 57, corpus.Pair)}
	for _, c := range []corpus.Condition{corpus.Clean, corpus.Room, corpus.Pink} {
		all, named, wrong, near, louder := map[float64]int{}, map[float64]int{}, map[float64]int{}, 0, 0
		total := 0
		for _, f := range files {
			take := hearFile(t, f, c)
			for _, s := range f.Sounds {
				under := f.Under(s, c)
				for _, fr := range between(take, s.Start+0.1, s.Off-0.03) {
					all[s.Under]++
					if math.Abs(cents(fr.F0, s.Hz(s.Off))) < 50 {
						louder++
					}
					switch o := fr.Others[0]; {
					case o.F0 == 0:
					case math.Abs(cents(o.F0, s.SecondHz())) < 60:
						named[s.Under]++
						total++
						if math.Abs(o.Level+under) <= 3 {
							near++
						}
					default:
						wrong[s.Under]++
					}
				}
			}
		}
		frames := 0
		// The goals. In noise they are met at 6 and 12 dB by the whole half and missed by one point at 20; of the few pairs here two
		// fourths are missed, and the limits are what is reached with them.
		goals := map[float64]float64{6: 95, 12: 95, 20: 85}
		if c == corpus.Pink {
			goals = map[float64]float64{6: 95, 12: 82, 20: 79}
		}
		for under, want := range goals {
			frames += all[under]
			if got := percent(named[under], all[under]); got < want || percent(wrong[under], all[under]) > 1 {
				t.Errorf("%s, %g dB under: named in %.1f %% of %d frames, wrongly in %.1f, want %g and under 1", c, under, got, all[under], percent(wrong[under], all[under]), want)
			}
		}
		if got := percent(louder, frames); got < 99 {
			t.Errorf("%s: the louder one is right in %.1f %% of %d frames, want 99", c, got, frames)
		}
		// The goal is all; fourths, whose lines coincide, miss it where the two samples sound unlike.
		if got := percent(near, total); got < 90 {
			t.Errorf("%s: the level is within 3 dB in %.1f %% of %d frames, want 90", c, got, total)
		}
	}
}

// Octaves and chords of two and three holes, asked for: the goals are 90 in 100 clean and 80 in a room with all voices
// named and no other. The lower limits here are what a small part of the corpus with an octave in tune to the
// cent, which nothing tells from a single note, leaves room for. On single notes no more than 1 in 100 may be claimed.
func TestCorpusChords(t *testing.T) {
	files := []corpus.File{part(t, "FluidR3", 62, corpus.Chord, corpus.Natural), part(t, "TimGM6mb", 57, corpus.Chord, corpus.Natural)}
	for c, want := range map[corpus.Condition]float64{corpus.Clean: 85, corpus.Room: 70} {
		all, whole, alone, crowded := 0, 0, 0, 0
		for _, f := range files {
			config := Config{Rate: corpus.Rate}
			for _, s := range corpus.Spans(f.Harp, true) {
				config.Spans = append(config.Spans, Span(s))
			}
			take := hear(t, config, f.In(c))
			for _, s := range f.Sounds {
				if s.Kind == corpus.Natural {
					for _, fr := range between(take, s.Start+0.025, s.Off) {
						if fr.Confidence >= MinConfidence {
							alone++
							if fr.Others[0].F0 > 0 {
								crowded++
							}
						}
					}
					continue
				}
				voices := []float64{s.Hz(s.On), s.SecondHz()}
				if s.Third > 0 {
					voices = append(voices, s.ThirdHz())
				}
				for _, fr := range between(take, s.Start+0.1, s.Off-0.03) {
					all++
					right, count := 0, 0
					for _, hz := range []float64{fr.F0, fr.Others[0].F0, fr.Others[1].F0} {
						if hz == 0 {
							continue
						}
						count++
						for _, v := range voices {
							if math.Abs(cents(hz, v)) < 60 {
								right++
							}
						}
					}
					if right == len(voices) && count == right {
						whole++
					}
				}
			}
		}
		if got := percent(whole, all); got < want {
			t.Errorf("%s: chords whole in %.1f %% of %d frames, want %g", c, got, all, want)
		}
		if got := percent(crowded, alone); alone < 500 || got > 1 {
			t.Errorf("%s: another voice claimed in %.2f %% of %d frames of single notes, want 1 at most", c, got, alone)
		}
	}
}

func TestCorpusVibrato(t *testing.T) {
	for voice, harp := range map[string]int{"FluidR3": 62, "TimGM6mb": 57} {
		f := part(t, voice, harp, corpus.Vibrato)
		for _, c := range []corpus.Condition{corpus.Clean, corpus.Room} {
			take := hearFile(t, f, c)
			for i, s := range f.Sounds {
				if len(take.Notes) != len(f.Sounds) {
					t.Fatalf("%s, %s: %d notes, want %d", voice, c, len(take.Notes), len(f.Sounds))
				}
				w, ok := take.Vibrato(take.Notes[i])
				// The goals: 3 % and 10 %. A room smears the extent: what is reached.
				extent := 0.1
				if c == corpus.Room {
					extent = 0.15
				}
				if !ok || math.Abs(w.Rate/s.Rate-1) > 0.03 || math.Abs(w.Extent/s.Depth-1) > extent {
					t.Errorf("%s, %s: %.2f Hz, %.1f cents is heard as %.2f Hz, %.1f cents", voice, c, s.Rate, s.Depth, w.Rate, w.Extent)
				}
			}
		}
	}
}

// The pitch of a new note is known two periods after its -12 dB point at the earliest; the goal is to give it with confidence 25 ms later.
// Limits in seconds at the median and at eight tenths: what is reached. The first note of a file has no phrase before it.
func TestCorpusFirstPitch(t *testing.T) {
	files := []corpus.File{part(t, "FluidR3", 62, corpus.Natural), part(t, "TimGM6mb", 57, corpus.Natural), part(t, "FluidR3", 48, corpus.Natural)}
	for c, limit := range map[corpus.Condition][2]float64{corpus.Clean: {0.030, 0.040}, corpus.Room: {0.035, 0.045}, corpus.Pink: {0.045, 0.055}} {
		var late []float64
		for _, f := range files {
			e, err := New(Config{Rate: corpus.Rate})
			if err != nil {
				t.Fatal(err)
			}
			take := hearFile(t, f, c)
			for _, s := range f.Sounds {
				first := 1.0
				for _, fr := range between(take, s.On-0.03, s.Off) {
					at := float64(fr.At) / corpus.Rate
					if fr.Confidence >= MinConfidence && math.Abs(cents(fr.F0, s.Hz(at))) <= 50 {
						first = at + float64(e.Delay())/corpus.Rate - s.Start - 2/s.Hz(s.Off)
						break
					}
				}
				late = append(late, first)
			}
		}
		if m, h := quantile(late, 0.5), quantile(late, 0.8); len(late) < 20 || m > limit[0] || h > limit[1] {
			t.Errorf("%s: %d notes, first pitch after %.3f s at the median, %.3f at eight tenths, want %g and %g", c, len(late), m, h, limit[0], limit[1])
		}
	}
}
