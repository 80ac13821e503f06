package harp

import (
	"math"
	"slices"
	"testing"
)

// Bends of a C harp by the note names of the tab tables (common practice, no source): Db on 1, F and F# on 2, Ab, A and Bb on 3, Db on
// 4, Ab on 6, Eb on 8, F# on 9, Bb and B on 10. Pitches are MIDI numbers as sung.
func TestFold(t *testing.T) {
	h := New(Key{})
	for _, c := range []struct {
		midi float64
		want []string // in order
	}{
		{53, []string{"-2''"}},                     // F3, as a man sings it
		{65, []string{"-2''"}},                     // F4
		{77.3, []string{"-2''"}},                   // F5 and 30 cents
		{54, []string{"-2'", "+9'"}},               // F#3
		{69, []string{"-3''"}},                     // A4
		{58.2, []string{"-3'", "+10''"}},           // Bb3
		{49, []string{"-1'", "-4'"}},               // Db3
		{73, []string{"-4'", "-1'"}},               // Db5
		{63, []string{"+8'"}},                      // Eb4
		{68, []string{"-3'''", "-6'"}},             // Ab4
		{60, nil}, {62, nil}, {64, nil}, {67, nil}, // C D E G need no bend
	} {
		var got []string
		for _, f := range h.Fold(440 * math.Exp2((c.midi-69)/12)) {
			got = append(got, f.Note.Tab())
			sung := c.midi + 12*float64(f.Octaves)
			if want := float64(h.MIDI(f.Note)) + f.Cents/100; math.Abs(sung-want) > 1e-6 {
				t.Errorf("%g: %s is said to be %d octaves and %g cents off", c.midi, f.Note.Tab(), f.Octaves, f.Cents)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%g: %v, want %v", c.midi, got, c.want)
		}
	}
	for _, hz := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if got := h.Fold(hz); got != nil {
			t.Errorf("%g Hz: %v", hz, got)
		}
	}
}
