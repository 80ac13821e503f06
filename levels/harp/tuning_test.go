package harp

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// Cents over equal temperament per hole: the ji_hca scale files and the 19-limit
// table of O. Hansson, Theory of harmonica tuning (2004), printed in whole cents.
func TestJustTunings(t *testing.T) {
	blow := []float64{0, -14, 2, 0, -14, 2, 0, -14, 2, 0}
	for tuning, draw := range map[Tuning][]float64{
		Just:            {4, 2, -12, 4, -2, -16, -12, 4, -2, -16},
		JustSecondThird: {4, 2, -12, 4, -2, 6, -12, 4, -2, 6},
		Just19:          {4, 2, -12, 4, 1, 6, -12, 4, 1, 6},
		Just7:           {4, 2, -12, 4, -29, 6, -12, 4, -29, 6},
		Just5:           {4, 2, -12, 4, 20, 6, -12, 4, 20, 6},
	} {
		for _, k := range Keys() {
			just, equal := Harp{Key: k, Tuning: tuning, A4: 440}, New(k)
			for hole := 1; hole <= Holes; hole++ {
				for b, want := range [][]float64{blow, draw} {
					n := Note{Hole: hole, Breath: Breath(b)}
					got := Cents(just.hz(n), equal.hz(n))
					if math.Abs(got-want[hole-1]) > 0.5 { // the table is rounded to whole cents
						t.Errorf("%s, %v, %s: %.3f cents over equal, want %g", k, tuning, n.Tab(), got, want[hole-1])
					}
				}
			}
		}
	}
}

// The chords each tuning is made to sound without beats, as whole-number ratios of
// their frequencies: just intonation itself.
func TestJustChordsDoNotBeat(t *testing.T) {
	for _, c := range []struct {
		tunings []Tuning
		tabs    string
		ratio   []float64
	}{
		{[]Tuning{Just, JustSecondThird, Just19, Just7, Just5}, "+1 +2 +3 +4", []float64{4, 5, 6, 8}},
		{[]Tuning{Just, JustSecondThird, Just19, Just7, Just5}, "+7 +8 +9 +10", []float64{4, 5, 6, 8}},
		{[]Tuning{Just, JustSecondThird, Just19, Just7, Just5}, "-2 -3 -4", []float64{4, 5, 6}},
		{[]Tuning{Just7}, "-2 -3 -4 -5", []float64{4, 5, 6, 7}},
		{[]Tuning{Just5}, "-4 -5 -6", []float64{10, 12, 15}},
		{[]Tuning{Just19}, "-4 -5 -6", []float64{16, 19, 24}},
		{[]Tuning{Just}, "+4 -5 -6", []float64{3, 4, 5}}, // the subdominant of first position
		{[]Tuning{JustSecondThird, Just19, Just7, Just5}, "-8 -10", []float64{2, 3}},
	} {
		for _, tuning := range c.tunings {
			h := Harp{Key: mustKey(t, "Bb"), Tuning: tuning, A4: 443}
			tabs := strings.Fields(c.tabs)
			root := h.hz(must(t, tabs[0]))
			for i, tab := range tabs {
				off := Cents(h.hz(must(t, tab)), root*c.ratio[i]/c.ratio[0])
				if math.Abs(off) > 0.0002 { // the tables hold four decimals of a cent
					t.Errorf("%v %s: %s is %.5f cents off %g:%g", tuning, c.tabs, tab, off, c.ratio[i], c.ratio[0])
				}
			}
		}
	}
}

// A chordal harp of today lies between just and equal, its thirds flat by less than 14
// cents and 5 draw near equal; 6 to 10 cents flat is common practice, no source.
func TestCompromiseLiesBetweenJustAndEqual(t *testing.T) {
	for hole := 1; hole <= Holes; hole++ {
		for b := Blow; b <= Draw; b++ {
			just, got := JustSecondThird.Deviation(hole, b), Compromise.Deviation(hole, b)
			if just != 0 && !(got/just > 0 && got/just < 1) {
				t.Errorf("%d %v: compromise %g is not between 0 and %g", hole, b, got, just)
			}
		}
	}
	for _, third := range []float64{Compromise.Deviation(2, Blow), Compromise.Deviation(5, Blow), Compromise.Deviation(8, Blow)} {
		if third < -10 || third > -6 {
			t.Errorf("a third at %g cents, want 6 to 10 flat", third)
		}
	}
	if five := Compromise.Deviation(5, Draw); math.Abs(five) > 2 {
		t.Errorf("5 draw at %g cents, want near equal", five)
	}
}

func TestTuningNames(t *testing.T) {
	for _, in := range Tunings() {
		for _, form := range []string{in.String(), strings.ToUpper(in.String()), strings.ReplaceAll(in.String(), " ", "-")} {
			if got, err := ParseTuning(form); err != nil || got != in {
				t.Errorf("ParseTuning(%q) = %v, %v, want %v", form, got, err, in)
			}
		}
		if !strings.Contains(ErrTuning.Error(), in.String()) {
			t.Errorf("the error does not offer %v", in)
		}
	}
	for _, in := range []string{"", "tempered", "just 3-limit", "tuning 99"} {
		if got, err := ParseTuning(in); !errors.Is(err, ErrTuning) {
			t.Errorf("ParseTuning(%q) = %v, %v, want %v", in, got, err, ErrTuning)
		}
	}
	if text, err := Tuning(99).MarshalText(); !errors.Is(err, ErrTuning) {
		t.Errorf("tuning 99 as text: %q, %v, want %v", text, err, ErrTuning)
	}
}

// Laws: a tuning that is read is one of Tunings, and its name reads back to it.
func FuzzParseTuning(f *testing.F) {
	for _, s := range []string{"equal", "just-19-limit", "JUST", "compromise", "limit", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := ParseTuning(s)
		if err != nil {
			return
		}
		if again, err := ParseTuning(got.String()); !got.Valid() || err != nil || again != got {
			t.Errorf("ParseTuning(%q) = %v, read back %v, %v", s, got, again, err)
		}
	})
}
