//go:build !js

package listen

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
)

// The tests of this file listen to sampled harmonicas of two General MIDI sound fonts
// (Debian: fluid-soundfont-gm, timgm6mb-soundfont) through fluidsynth: real reeds that
// nobody here made. Each font's own tuning is measured first by other means. Limits stand
// where the goals of the project stand, or at what is reached where that is beyond them.

// keys of the fonts that lie on the harps; the larger font has no sound over 97.
var keys = []int{48, 50, 52, 55, 57, 60, 62, 64, 67, 69, 71, 72, 74, 76, 79, 81, 84, 86, 88, 91, 93, 96}

func TestSampledNaturals(t *testing.T) {
	for _, c := range []struct {
		name         string
		noise        float64 // dB under the note; 0 for none
		hum, room    bool
		median, high float64 // cents: median and 95th percentile
	}{
		// The larger font's low samples scoop by 20 cents in their first 0.2 s, which is
		// in its 95th percentile.
		{"clean", 0, false, false, 0.1, 2},
		{"pink noise 10 dB under", 10, false, false, 0.2, 2},
		{"hum 20 dB under", 0, true, false, 0.1, 2},
		{"room", 0, false, true, 0.1, 2},
	} {
		for _, font := range audiotest.Fonts() {
			var errs []float64
			var starts score
			frames, right, sure, sureRight := 0, 0, 0, 0
			for _, key := range keys {
				want := hz(float64(key)) * math.Exp2(audiotest.Offset(t, font, key)/1200)
				x := audiotest.Held(t, font, key)
				level := audiotest.Level(x[audiotest.Rate*3/10 : audiotest.Rate])
				switch {
				case c.noise > 0:
					x = audiotest.Sum(x, audiotest.Pink(audiotest.Rate, 1.5, level-c.noise, uint64(key)))
				case c.hum:
					x = audiotest.Sum(x, audiotest.Hum(audiotest.Rate, 1.5, 50, level-20))
				case c.room:
					x = audiotest.Room(audiotest.Rate, x, 0.5, -8, 5)
				}
				take := hear(t, Config{Rate: audiotest.Rate}, x)
				for _, f := range take.Frames {
					s := float64(f.At)/audiotest.Rate - audiotest.HeldAt
					if s < 0.1 || s > audiotest.HeldFor-0.01 {
						continue
					}
					frames++
					off := math.Abs(cents(f.F0, want))
					ok := off < 50
					if ok {
						right++
						errs = append(errs, off)
					}
					if f.Confidence >= MinConfidence {
						sure++
						if ok {
							sureRight++
						}
					}
				}
				starts.add(match(take.starts(), []float64{audiotest.HeldAt + speaks(t, font, key)}, 0.025))
			}
			t.Logf("%s, %s: %.2f %% of %d frames within 50 cents; error median %.3f, 95th %.2f, 99th %.2f cents; %.1f %% sure, %.2f %% of them right; starts F %.1f",
				font.Name, c.name, percent(right, frames), frames, quantile(errs, 0.5), quantile(errs, 0.95), quantile(errs, 0.99), percent(sure, frames), percent(sureRight, sure), starts.f())
			if right != frames || sureRight != sure {
				t.Errorf("%s, %s: %d of %d frames are over 50 cents off", font.Name, c.name, frames-right, frames)
			}
			if m := quantile(errs, 0.5); m > c.median {
				t.Errorf("%s, %s: median error %.3f cents, want %g", font.Name, c.name, m, c.median)
			}
			if m := quantile(errs, 0.95); m > c.high {
				t.Errorf("%s, %s: 95th percentile %.2f cents, want %g", font.Name, c.name, m, c.high)
			}
			if percent(sure, frames) < 95 {
				t.Errorf("%s, %s: sure of %.1f %% of frames, want 95", font.Name, c.name, percent(sure, frames))
			}
			if starts.f() < 95 {
				t.Errorf("%s, %s: starts F %.1f, want 95", font.Name, c.name, starts.f())
			}
		}
	}
}

// The reed is bent with the pitch wheel: down by a half, a whole step, a step and a half, held,
// and released. One note, and its contour is the one asked for.
func TestSampledBends(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		var notes []audiotest.Played
		at := 0.2
		var keys []int
		for _, key := range []int{55, 62, 69, 76, 86} {
			for _, depth := range []float64{1, 2, 3} {
				k := float64(key)
				notes = append(notes, audiotest.Played{Start: at, End: at + 1, Key: key, Bend: []audiotest.Point{
					{At: at, Pitch: k}, {At: at + 0.3, Pitch: k}, {At: at + 0.4, Pitch: k - depth}, {At: at + 0.7, Pitch: k - depth}, {At: at + 0.78, Pitch: k}}})
				keys = append(keys, key)
				at += 1.5
			}
		}
		take := hear(t, Config{Rate: audiotest.Rate}, audiotest.Play(t, font, notes))
		if len(take.Notes) != len(notes) {
			t.Errorf("%s: %d notes, want %d:%s", font.Name, len(take.Notes), len(notes), take)
			continue
		}
		var held, moving []float64
		for i, n := range notes {
			off := audiotest.Offset(t, font, keys[i])
			for _, f := range take.Frames {
				s := float64(f.At) / audiotest.Rate
				if s < n.Start+0.1 || s > n.End-0.02 {
					continue
				}
				d := math.Abs(cents(f.F0, hz(n.Pitch(s)+off/100)))
				if u := s - n.Start; u > 0.43 && u < 0.67 || u < 0.27 {
					held = append(held, d)
				} else {
					moving = append(moving, d)
				}
			}
		}
		t.Logf("%s: held, error median %.2f, 95th %.2f, worst %.1f cents; moving by up to 37 cents in 10 ms, median %.1f, 95th %.1f, worst %.1f",
			font.Name, quantile(held, 0.5), quantile(held, 0.95), quantile(held, 1), quantile(moving, 0.5), quantile(moving, 0.95), quantile(moving, 1))
		// The wheel itself is right within a cent.
		if quantile(held, 0.5) > 1.2 || quantile(held, 0.95) > 3 || quantile(moving, 0.95) > 25 || quantile(moving, 1) > 50 {
			t.Errorf("%s: bends are off", font.Name)
		}
	}
}

// speaks is how long after note-on a key of the font is heard to start, at -12 dB: samples take
// 4 to 43 ms to speak.
func speaks(t *testing.T, font audiotest.Font, key int) float64 {
	start, _ := audiotest.Edges(audiotest.Held(t, font, key), audiotest.Rate, audiotest.HeldAt, audiotest.HeldAt+audiotest.HeldFor, hz(float64(key)))
	return start - audiotest.HeldAt
}

// alternate plays a warble of rate notes a second for 2 s from at on.
func alternate(t *testing.T, font audiotest.Font, notes []audiotest.Played, at, rate float64, a, b int) ([]audiotest.Played, []float64) {
	var truth []float64
	rise := map[int]float64{a: speaks(t, font, a), b: speaks(t, font, b)}
	for i, end := 0, at+2; at < end-0.5/rate; i++ {
		k := a
		if i%2 == 1 {
			k = b
		}
		notes = append(notes, audiotest.Played{Start: at, End: at + 1/rate, Key: k})
		truth = append(truth, at+rise[k])
		at += 1 / rate
	}
	return notes, truth
}

func TestSampledWarbles(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		var notes []audiotest.Played
		var truth []float64
		at := 0.3
		for _, pair := range [][2]int{{52, 57}, {62, 67}, {71, 74}, {74, 77}, {77, 81}, {79, 84}, {86, 89}} {
			for _, rate := range []float64{3, 5, 8, 11, 14} {
				var starts []float64
				notes, starts = alternate(t, font, notes, at, rate, pair[0], pair[1])
				truth = append(truth, starts...)
				at += 2.4
			}
		}
		dry := audiotest.Play(t, font, notes)
		for _, c := range []struct {
			room bool
			f    float64 // the goals are 99 and 95
		}{{false, 97}, {true, 85}} {
			x := dry
			if c.room {
				x = audiotest.Room(audiotest.Rate, dry, 0.5, -8, 5)
			}
			take := hear(t, Config{Rate: audiotest.Rate, Spans: spans(60)}, x)
			s := match(take.starts(), truth, 0.025)
			t.Logf("%s, room %v: 3 to 14 notes a second: %d of %d starts within 25 ms, %d heard, F %.1f; %s", font.Name, c.room, s.hit, s.truth, s.heard, s.f(), s.spread())
			if s.f() < c.f {
				t.Errorf("%s, room %v: F %.1f, want %g", font.Name, c.room, s.f(), c.f)
			}
			if b := 1000 * quantile(s.errs, 0.5); math.Abs(b) > 10 {
				t.Errorf("%s, room %v: starts are %.1f ms off on the whole, want under 10", font.Name, c.room, b)
			}
		}
	}
}

func TestSampledRepeats(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		var notes []audiotest.Played
		var truth []float64
		at := 0.3
		for _, key := range []int{52, 57, 62, 67, 74, 79, 84, 91} {
			rise := speaks(t, font, key)
			for _, gap := range []float64{0.03, 0.045, 0.06} {
				for _, d := range []float64{0.3, 0.2, 0.2, 0.4, 0.15, 0.15, 0.3, 0.25} {
					notes = append(notes, audiotest.Played{Start: at, End: at + d - gap, Key: key})
					truth = append(truth, at+rise)
					at += d
				}
				at += 0.4
			}
		}
		dry := audiotest.Play(t, font, notes)
		for _, c := range []struct {
			room bool
			f    float64 // the goals are 97 and 90
		}{{false, 90}, {true, 80}} {
			x := dry
			if c.room {
				x = audiotest.Room(audiotest.Rate, dry, 0.5, -8, 5)
			}
			take := hear(t, Config{Rate: audiotest.Rate, Spans: spans(60)}, x)
			s := match(take.starts(), truth, 0.025)
			t.Logf("%s, room %v: gaps of 30 to 60 ms: %d of %d starts within 25 ms, %d heard, F %.1f; %s", font.Name, c.room, s.hit, s.truth, s.heard, s.f(), s.spread())
			if s.f() < c.f {
				t.Errorf("%s, room %v: F %.1f, want %g", font.Name, c.room, s.f(), c.f)
			}
			if b := 1000 * quantile(s.errs, 0.5); math.Abs(b) > 10 {
				t.Errorf("%s, room %v: starts are %.1f ms off on the whole, want under 10", font.Name, c.room, b)
			}
		}
	}
}

// Every pair of neighbouring holes of two harps, either louder.
func TestSampledTwoHoles(t *testing.T) {
	for _, c := range []struct{ under, main, named float64 }{
		{6, 99, 95}, {12, 99, 95}, {20, 99, 85}, {24, 99, 80},
	} {
		for _, font := range audiotest.Fonts() {
			frames, right, named, wrong := 0, 0, 0, 0
			var levels []float64
			for _, harp := range []int{50, 60} {
				for _, reeds := range [][10]int{blow, draw} {
					for h := range 9 {
						for _, swap := range []bool{false, true} {
							loud, soft := harp+reeds[h], harp+reeds[h+1]
							if soft > 96 {
								continue
							}
							if swap {
								loud, soft = soft, loud
							}
							const from, to = audiotest.Rate * 3 / 10, audiotest.Rate
							a := audiotest.Held(t, font, loud)[from:to]
							b := audiotest.Held(t, font, soft)[from:to]
							take := hear(t, Config{Rate: audiotest.Rate, Spans: spans(float64(harp))}, audiotest.Beside(a, b, c.under))
							for _, f := range take.Frames[12 : len(take.Frames)-12] {
								frames++
								if math.Abs(cents(f.F0, hz(float64(loud)))) < 50 {
									right++
								}
								switch o := f.Others[0]; {
								case o.F0 == 0:
								case math.Abs(cents(o.F0, hz(float64(soft)))) < 60:
									named++
									levels = append(levels, o.Level+c.under)
								default:
									wrong++
								}
							}
						}
					}
				}
			}
			low, high := quantile(levels, 0.025), quantile(levels, 0.975)
			t.Logf("%s, second hole %g dB under: louder right in %.2f %%, second named in %.2f %%, wrongly in %.2f %% of %d frames; its level is off by %.1f to %.1f dB (95 %%)",
				font.Name, c.under, percent(right, frames), percent(named, frames), percent(wrong, frames), frames, low, high)
			if percent(right, frames) < c.main || percent(named, frames) < c.named || percent(wrong, frames) > 1 || low < -3 || high > 3 {
				t.Errorf("%s, second hole %g dB under: want louder right in %g %%, named in %g %%, wrongly in under 1 %%, level within 3 dB", font.Name, c.under, c.main, c.named)
			}
		}
	}
}

// On single notes that follow each other no second one is claimed; in a room the note before
// rings on, and is not one.
func TestSampledSingleNotesAreSingle(t *testing.T) {
	for _, font := range audiotest.Fonts() {
		var notes []audiotest.Played
		at := 0.3
		for _, pair := range [][2]int{{62, 67}, {71, 74}, {74, 77}, {77, 81}, {79, 84}, {86, 89}} {
			for _, rate := range []float64{1.5, 3} {
				notes, _ = alternate(t, font, notes, at, rate, pair[0], pair[1])
				at += 2.4
			}
		}
		for _, room := range []bool{false, true} {
			x := audiotest.Play(t, font, notes)
			if room {
				x = audiotest.Room(audiotest.Rate, x, 0.5, -8, 5)
			}
			claimed, all := 0, 0
			for _, f := range hear(t, Config{Rate: audiotest.Rate, Spans: spans(60)}, x).Frames {
				if f.Confidence >= MinConfidence {
					all++
					if f.Others[0].F0 > 0 {
						claimed++
					}
				}
			}
			t.Logf("%s, room %v: a second voice in %.2f %% of %d frames of single notes", font.Name, room, percent(claimed, all), all)
			if percent(claimed, all) > 1 {
				t.Errorf("%s, room %v: a second voice in %.2f %% of frames, want under 1", font.Name, room, percent(claimed, all))
			}
		}
	}
}
