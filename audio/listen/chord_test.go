package listen

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

func TestAsksChords(t *testing.T) {
	for _, c := range []struct {
		name   string
		beside []float64
		want   bool
	}{
		{"alone", nil, false},
		{"neighbours", []float64{330, 392 * 5 / 4}, false},
		{"a fourth, the widest neighbours", []float64{392 * 4.0 / 3}, false},
		{"a fifth", []float64{392 * 3.0 / 2}, true},
		{"an octave under", []float64{196}, true},
	} {
		if got := asksChords([]Span{{Low: 380, High: 400, Beside: c.beside}}); got != c.want {
			t.Errorf("%s: %t, want %t", c.name, got, c.want)
		}
	}
}

// chordSpans are spans(key) with all holes up to four away beside each.
func chordSpans(key float64) []Span {
	out := spans(key)
	for i := range out {
		s := &out[i]
		s.Beside = nil
		h, reeds := i%10, [2][10]int{blow, draw}[i/10]
		for n := max(0, h-4); n <= min(9, h+4); n++ {
			if n != h {
				s.Beside = append(s.Beside, hz(key+float64(reeds[n])))
			}
		}
	}
	return out
}

// voicesOf says which of the wanted pitches a frame names, within 15 cents, and how many others: an octave told by its beats
// is given as twice the note under it, and one 11 cents wide pulls at that.
func voicesOf(f Frame, want []float64) (named, wrong int) {
	for _, v := range []float64{f.F0, f.Others[0].F0, f.Others[1].F0} {
		switch {
		case v == 0:
		case slices.ContainsFunc(want, func(w float64) bool { return math.Abs(cents(v, w)) < 15 }):
			named++
		default:
			wrong++
		}
	}
	return named, wrong
}

// Holes of a C harp that sound together, as tones of one timbre with the loudest first: from 0.4 s after they begin
// every frame names all of them and nothing else. Octaves are told by their beats, so they take half a period of those
// to be named; one in tune to the cent beats too slowly.
func TestChordsOfTones(t *testing.T) {
	const rate = 48000
	for _, c := range []struct {
		name   string
		keys   []float64 // MIDI pitches, with their tuning
		levels []float64 // dB under the first
	}{
		{"2 and 3 blow", []float64{64, 67}, []float64{0, 2}},
		{"4 and 5 blow", []float64{72.02, 76}, []float64{0, 3}},
		{"1, 2, 3 blow", []float64{60, 64.03, 67}, []float64{0, 1, 2}},
		{"4, 5, 6 draw", []float64{74, 77, 81.04}, []float64{0, 2, 1}},
		{"1 and 4 blow, 6 cents wide", []float64{60, 72.06}, []float64{0, 1}},
		{"4 and 7 blow, 11 cents wide", []float64{72, 84.11}, []float64{0, 1}},
		{"3 and 6 blow, 4 cents narrow", []float64{67, 78.96}, []float64{0, 3}},
	} {
		var sounds [][]float32
		var want []float64
		for i, k := range c.keys {
			want = append(want, hz(k))
			sounds = append(sounds, audiotest.Tone(rate, 1.2, hz(k), -20-c.levels[i], audiotest.Reed()))
		}
		take := hear(t, Config{Rate: rate, Spans: chordSpans(60)}, faded(rate, audiotest.Sum(sounds...)))
		for _, f := range between(take, 0.2+0.4, 0.2+1.1) {
			if named, wrong := voicesOf(f, want); named != len(want) || wrong > 0 {
				t.Errorf("%s: %.1f Hz with %v at %.3f s, want %.1f", c.name, f.F0, f.Others, float64(f.At)/rate, want)
				break
			}
		}
	}
}

// What is one voice at a time stays one when chords are asked for: a held note of uneven lines, vibrato, a bend,
// a warble.
func TestNoChordInOneVoice(t *testing.T) {
	const rate = 48000
	flat := func(float64) float64 { return -20 }
	uneven := []float64{0.3, 1, 0.2, 0.7, 0.1, 0.5, 0.1, 0.3}
	var warble [][]float32
	for i := range 16 {
		warble = append(warble, audiotest.Tone(rate, 0.12, []float64{523.25, 659.26}[i%2], -20, audiotest.Reed()))
	}
	sounds := map[string][]float32{
		"even lines strong": audiotest.Tone(rate, 1.5, 261.63, -20, uneven),
		"vibrato":           audiotest.Glide(rate, 1.5, func(t float64) float64 { return 392 * math.Exp2(0.3*math.Sin(2*math.Pi*5*t)/12) }, flat, audiotest.Reed()),
		"bend":              audiotest.Glide(rate, 1.5, func(t float64) float64 { return 293.66 * math.Exp2(-math.Min(1, t)/12) }, flat, audiotest.Reed()),
		"warble":            slices.Concat(warble...),
	}
	for _, where := range []string{"dry", "in a room"} {
		all, claimed := 0, 0
		for name, x := range sounds {
			x := faded(rate, x)
			if where == "in a room" {
				if name == "warble" {
					continue // there its holes do sound together
				}
				x = audiotest.Room(rate, x, 0.4, -10, 3)
			}
			for _, f := range between(hear(t, Config{Rate: rate, Spans: chordSpans(60)}, x), 0.225, 1.7) {
				if f.Confidence >= MinConfidence {
					all++
					if f.Others[0].F0 > 0 {
						claimed++
					}
				}
			}
		}
		// The goal for single notes: under 1 in 100.
		if all < 600 || claimed*100 > all {
			t.Errorf("%s: another voice claimed in %d of %d frames, want 1 in 100 at most", where, claimed, all)
		}
	}
}

// An octave that has stopped is not told for long.
func TestOctaveStops(t *testing.T) {
	const rate = 48000
	low := audiotest.Tone(rate, 2.4, 261.63, -20, audiotest.Reed())
	high := audiotest.Tone(rate, 1, 523.25*1.004, -22, audiotest.Reed())
	take := hear(t, Config{Rate: rate, Spans: chordSpans(60)}, faded(rate, audiotest.Sum(low, high)))
	told := func(from, to float64) (with, all int) {
		for _, f := range between(take, 0.2+from, 0.2+to) {
			all++
			if f.Others[0].F0 > 0 {
				with++
			}
		}
		return with, all
	}
	if with, all := told(0.4, 0.9); with < all || all < 90 {
		t.Errorf("while it sounds: told in %d of %d frames, want all", with, all)
	}
	// Its beats are in what is compared for driftLong windows and the time of a window more.
	gone := 1 + 0.005*longEvery*float64(provenHold+driftLong) + 0.1
	if with, all := told(gone, 2.4); with > 0 || all < 80 {
		t.Errorf("after it: told in %d of %d frames, want none", with, all)
	}
}
