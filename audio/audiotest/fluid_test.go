//go:build !js

package audiotest

import (
	"math"
	"testing"
)

// The offsets of the fonts as their own documents' users know them: one of the two is
// 29 to 36 cents flat around middle A, both are within 5 cents elsewhere.
func TestOffsetOfTheFonts(t *testing.T) {
	for _, f := range Fonts() {
		for _, key := range []int{50, 60, 69, 72, 79, 91} {
			c := Offset(t, f, key)
			t.Logf("%s key %d: %+.1f cents", f.Name, key, c)
			flat := f.Name == "TimGM6mb" && key >= 65 && key <= 73
			if flat != (c < -20) || !flat && math.Abs(c) > 5 {
				t.Errorf("%s key %d is %+.1f cents off: not the font these tests were written for", f.Name, key, c)
			}
		}
	}
}

// The pitch wheel must give what Played.Pitch says, within the half cent that is lost to whole
// cents and half a cent for the sample itself.
func TestBendIsWhatWasAsked(t *testing.T) {
	f := Fonts()[1]
	var notes []Played
	bends := []float64{0, -0.5, -1, -1.5, -2, -3, 0.25}
	for i, b := range bends {
		at := float64(i) * 1.5
		n := Played{Start: at, End: at + 1.2, Key: 76}
		if b != 0 {
			n.Bend = []Point{{At: at, Pitch: 76 + b}}
		}
		notes = append(notes, n)
	}
	x := Play(t, f, notes)
	var first float64
	for i, b := range bends {
		at := int(float64(i) * 1.5 * Rate)
		hz := Period(x[at+Rate*3/10:at+Rate*11/10], Rate, Hz(76+b))
		got := 1200 * math.Log2(hz/Hz(76))
		if i == 0 {
			first = got
		}
		if math.Abs(got-first-100*b) > 1 {
			t.Errorf("bend of %.2f semitones sounds %.2f cents off its note", b, got-first)
		}
	}
}

func TestMissingNames(t *testing.T) {
	if got := debianPackage("aubioonset"); got != "aubio-tools" {
		t.Errorf("aubioonset is in %q", got)
	}
	Need(t, "fluidsynth")
}
