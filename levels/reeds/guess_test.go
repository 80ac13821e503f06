package reeds

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/levels/harp"
)

// pitches plays notes on a harp, each within a few cents of where it is.
func pitches(h harp.Harp, r *rand.Rand, notes ...harp.Note) []float64 {
	var hz []float64
	for _, n := range notes {
		f, err := h.Hz(n)
		if err != nil {
			panic(err)
		}
		hz = append(hz, f*math.Exp2((-3+2*r.NormFloat64())/1200)) // played a little hard
	}
	return hz
}

// Notes of every key are offered the right harp: out of an empty case, and out of one that
// has two harps of the key which differ in their reeds.
func TestGuess(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, key := range harp.Keys() {
		lick := []harp.Note{draw(2), draw(3), blow(4), {Hole: 4, Breath: harp.Draw, Bend: 1}, draw(4), draw(5), blow(6), draw(1), draw(2), blow(2)}
		unknown := harp.Harp{Key: key, Tuning: harp.Compromise, A4: 442}
		var empty Case
		found := Guess(pitches(unknown, r, lick...), &empty)
		if best, ok := Sure(found); ok && best.Key != key {
			t.Errorf("%s: offered %s with %.2f", key, best.Key, best.Confidence)
		}
		all := pitches(unknown, r, Plan()...)
		if best, ok := Sure(Guess(all, &empty)); !ok || best.Key != key || best.Index != -1 {
			t.Errorf("%s, all its reeds: offered %s, sure %v", key, best.Key, ok)
		}
		var c Case
		first, second := unknown, unknown
		first.Profile.Draw = [10]float64{0, 6, -8, 5, 0, 3}
		second.Profile.Draw = [10]float64{5, -8, 7, -9, 12, 0}
		for i, h := range []harp.Harp{harp.New(mustKey(t, "C")), first, second} {
			if h.Key == mustKey(t, "C") && i > 0 {
				continue
			}
			if err := c.Add(Kept{Name: fmt.Sprint("harp ", i), Harp: h, Measured: 1}); err != nil {
				t.Fatal(err)
			}
		}
		if len(c.Harps()) < 3 {
			continue
		}
		for i, h := range []harp.Harp{first, second} {
			found := Guess(pitches(h, r, lick...), &c)
			if best, ok := Sure(found); !ok || best.Index != i+1 {
				t.Errorf("%s: harp %d played, offered %d (sure %v): %+v", key, i+1, best.Index, ok, found[:3])
			}
			if k, ok := KeySure(found); !ok || k != key {
				t.Errorf("%s: key %s, sure %v", key, k, ok)
			}
		}
	}
}

// Pitches that fit several keys are not offered any.
func TestGuessIsNotSure(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	h := harp.Harp{Key: mustKey(t, "C"), A4: 442}
	var two Case
	for _, key := range []string{"C", "F"} {
		if err := two.Add(Kept{Name: key, Harp: harp.Harp{Key: mustKey(t, key), A4: 442}}); err != nil {
			t.Fatal(err)
		}
	}
	var empty Case
	for _, c := range []struct {
		name  string
		notes []harp.Note
		kept  *Case
		none  bool // too few notes for any guess
	}{
		{"nothing", nil, &empty, true},
		{"three notes", []harp.Note{blow(4), blow(5), blow(6)}, &empty, true},
		{"one note many times", []harp.Note{blow(4), blow(4), blow(4), blow(4), blow(4)}, &empty, true},
		// C D E G A B D E G A: both in C and in G; of the latter no key is near, but low
		// and high ones share them.
		{"blow chord", []harp.Note{blow(4), blow(5), blow(6), blow(7)}, &empty, false},
		// E5 G5 A5 D5 are natural reeds of C and of F alike.
		{"notes of C and of F", []harp.Note{blow(5), blow(6), draw(6), draw(4), blow(4)}, &two, false},
	} {
		found := Guess(pitches(h, r, c.notes...), c.kept)
		if (found == nil) != c.none {
			t.Errorf("%s: %d candidates, want none: %v", c.name, len(found), c.none)
		}
		if best, ok := Sure(found); ok {
			t.Errorf("%s: sure of %s with %.2f", c.name, best.Key, best.Confidence)
		}
	}
	sum := 0.0
	for _, f := range Guess([]float64{math.NaN(), -1, 0, math.Inf(1), 1e-300, 1e300, 440, 500, 600, 700}, &two) {
		sum += f.Confidence
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("confidences sum to %g, want 1", sum)
	}
}
