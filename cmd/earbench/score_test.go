//go:build !js

package main

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/audiotest/corpus"
)

// Two naturals, worked by hand: starts matched within 25 ms one to one, F = 2 hits / (truth + heard).
func TestStartsAreMatchedOneToOne(t *testing.T) {
	sounds := []corpus.Sound{
		{Kind: corpus.Natural, On: 1, Off: 1.5, Start: 1, End: 1.5, Key: 69},
		{Kind: corpus.Natural, On: 2, Off: 2.5, Start: 2, End: 2.5, Key: 71},
	}
	for _, c := range []struct {
		name   string
		starts []float64
		f      float64
	}{
		{"both", []float64{1.01, 1.98}, 100},
		{"one twice", []float64{0.99, 1.01, 2}, 80},
		{"one late", []float64{1, 2.03}, 50},
		{"none", nil, 0},
	} {
		s := newSums()
		var notes []note
		for _, x := range c.starts {
			notes = append(notes, note{start: x, end: x + 0.5})
		}
		s.group(sounds, notes, nil)
		if got := s.starts[corpus.Natural].f(); math.Abs(got-c.f) > 1e-9 {
			t.Errorf("%s: F %.1f, want %.1f", c.name, got, c.f)
		}
	}
}

// Raw pitch within 50, 25 and 10 cents, and chroma, which forgives the octave.
func TestPitchIsScoredAtThreeLimits(t *testing.T) {
	f := corpus.File{Sounds: []corpus.Sound{{Kind: corpus.Natural, On: 1, Off: 2, Start: 1, End: 2, Key: 69}}}
	var h heard
	for i, off := range []float64{5, 20, 40, 80, 1200, -1195} {
		h.points = append(h.points, point{at: 1.2 + 0.1*float64(i), hz: audiotest.Hz(69 + off/100), confidence: 1})
	}
	s := newSums()
	s.pitches(f, corpus.Clean, h)
	if s.frames != 6 || s.right50 != 3 || s.right25 != 2 || s.right10 != 1 || s.chroma-s.right50 != 2 {
		t.Errorf("%d frames, %d, %d, %d right, %d an octave off, want 6, 3, 2, 1, 2", s.frames, s.right50, s.right25, s.right10, s.chroma-s.right50)
	}
}

// Gaps of 0.1 and 0.2 s in turn: 6.67 notes a second, a third of the time on the first, no scatter.
func TestAlternatingByHand(t *testing.T) {
	var notes []note
	at := 0.0
	for i := range 12 {
		hz, gap := 440.0, 0.1
		if i%2 == 1 {
			hz, gap = 523.25, 0.2
		}
		notes = append(notes, note{start: at, hz: hz})
		at += gap
	}
	for name, measure := range map[string]func([]note, float64, float64) (warbleError, bool){"pitches": alternating, "this ear": warble} {
		w, ok := measure(notes, 440, 523.25)
		if !ok || math.Abs(w.rate-1/0.15) > 1e-3 || w.evenness > 1e-3 || math.Abs(w.share-1.0/3) > 1e-3 {
			t.Errorf("%s: %+v, %v", name, w, ok)
		}
	}
}

// Notes made of pitches alone: a step of 70 cents that stays starts one, a glide does not; a stray frame breaks the note
// it stands in.
func TestStepsFromPitches(t *testing.T) {
	var points []point
	add := func(n int, hz func(i int) float64) {
		for i := range n {
			points = append(points, point{at: float64(len(points)) * 0.01, hz: hz(i)})
		}
	}
	steady := func(hz float64) func(int) float64 { return func(int) float64 { return hz } }
	add(5, steady(0))
	add(20, steady(440))
	add(1, steady(880))
	add(20, steady(440))
	add(20, func(i int) float64 { return 440 * math.Exp2(-float64(i)*20/1200) })
	add(20, steady(587))
	add(5, steady(0))
	notes := steps(points)
	if len(notes) != 3 {
		t.Fatalf("%d notes, want 3: %v", len(notes), notes)
	}
}
