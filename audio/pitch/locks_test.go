package pitch

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// The long window's transform against the sum it stands for.
func TestHalves(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	x := make([]float64, LongSize)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	got := make([]complex128, LongSize/2+1)
	newHalves().transform(got, x)
	for _, k := range []int{0, 1, 2, 100, LongSize/4 - 1, LongSize / 4, LongSize/4 + 1, 400, LongSize/2 - 1, LongSize / 2} {
		want := complex(0, 0)
		for n, v := range x {
			want += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*float64(k)*float64(n)/LongSize)
		}
		if cmplx.Abs(got[k]-want) > 1e-9 {
			t.Errorf("bin %d: %v, want %v", k, got[k], want)
		}
	}
}

// Two holes a minor third apart that a window of Size can't tell apart: E3 and G3, with C4.
func TestLongChord(t *testing.T) {
	const rate = 12000
	voices := []float64{164.81, 196.00, 261.63} // equal temperament, A 440
	x := make([]float64, LongSize)
	for i, hz := range voices {
		tone(x, rate, hz, 0.1-0.01*float64(i), timbres["reed"])
	}
	d := NewLong(rate, 125, 3400)
	beside := func(float64) []float64 { return append([]float64{130.81, 329.63, 392.00, 523.25}, voices...) }
	est := d.Analyse(x, 0, beside)
	for _, want := range voices {
		found := false
		for _, got := range []float64{est.F0, est.Others[0].F0, est.Others[1].F0} {
			found = found || got > 0 && math.Abs(1200*math.Log2(got/want)) < 5
		}
		if !found {
			t.Errorf("%.1f Hz is missed: heard %.1f with %.1f and %.1f", want, est.F0, est.Others[0].F0, est.Others[1].F0)
		}
	}
}

// One reed's lines stay locked whatever its pitch does; an octave half a cent out of tune unlocks the even ones.
func TestLocks(t *testing.T) {
	const rate, later = 12000, 1200 // samples: 0.1 s
	d := NewLong(rate, 125, 3400)
	drift := func(octave float64, glide float64) (even, odd float64) {
		x := make([]float64, LongSize+later)
		for n := range x {
			s := float64(n) / rate
			phase := 2 * math.Pi * (262*s + glide*s*s/2)
			for k, a := range timbres["reed"] {
				x[n] += 0.1 * a * math.Sin(float64(k+1)*phase)
				if octave > 0 && k < 5 {
					x[n] += 0.08 * a * math.Sin(float64(k+1)*2*math.Pi*octave*s+1)
				}
			}
		}
		first := d.Analyse(x[:LongSize], 0, nil).Locks
		second := d.Analyse(x[later:], 0, nil).Locks
		even, odd, odds := second.Drift(&first)
		if odds < 2 {
			t.Fatalf("octave %g Hz: %d odd locks, want 2 at least", octave, odds)
		}
		return even, odd
	}
	for _, glide := range []float64{0, 20} { // Hz/s: 13 cents in 0.1 s
		if even, odd := drift(0, glide); !(even >= 0 && even < 0.03) || odd > 0.06 {
			t.Errorf("one reed, glide %g Hz/s: lines drift by %.3f and %.3f rad", glide, even, odd)
		}
	}
	if even, odd := drift(2*262*math.Exp2(0.5/1200), 0); !(even > 0.1) || odd > 0.05 {
		t.Errorf("an octave half a cent high: even lines drift by %.3f rad, odd ones by %.3f", even, odd)
	}
	if even, odd := drift(2*262*math.Exp2(8.0/1200), 0); !(even > 0.3) || odd > 0.06 {
		t.Errorf("an octave 8 cents high: even lines drift by %.3f rad, odd ones by %.3f", even, odd)
	}
}

// The even lines of one reed have the pitch of the odd ones, also while it glides; an octave 11 cents wide pulls
// theirs off by more than any reed's are, in most windows.
func TestApart(t *testing.T) {
	const rate, hz, windows = 12000, 440.0, 20
	d := NewLong(rate, 125, 3400)
	off := func(octave, glide float64) (most float64, over int) {
		x := make([]float64, LongSize+windows*60)
		for n := range x {
			s := float64(n) / rate
			phase := 2 * math.Pi * (hz*s + glide*s*s/2)
			for k, a := range timbres["reed"] {
				x[n] += 0.1 * a * math.Sin(float64(k+1)*phase)
				if octave > 0 && k < 5 {
					x[n] += 0.08 * a * math.Sin(float64(k+1)*2*math.Pi*octave*s+1)
				}
			}
		}
		for i := range windows {
			a := math.Abs(d.Analyse(x[i*60:i*60+LongSize], 0, nil).Locks.Apart)
			most = math.Max(most, a)
			if a > 4 {
				over++
			}
		}
		return most, over
	}
	for _, glide := range []float64{0, 30} { // Hz/s: 12 cents in 0.1 s
		if most, _ := off(0, glide); most > 0.5 {
			t.Errorf("one reed, glide %g Hz/s: %.2f cents apart, want 0.5 at most", glide, most)
		}
	}
	if _, over := off(2*hz*math.Exp2(11.0/1200), 0); over < windows/2 {
		t.Errorf("an octave 11 cents wide: over 4 cents apart in %d of %d windows, want half at least", over, windows)
	}
}
