package audiotest

import (
	"math"
	"testing"
)

func TestLevels(t *testing.T) {
	const rate = 48000
	for name, x := range map[string][]float32{
		"tone":   Tone(rate, 1, 440, -20, Reed()),
		"white":  White(rate, 1, -20, 1),
		"pink":   Pink(rate, 1, -20, 1),
		"hum":    Hum(rate, 1, 50, -20),
		"fan":    Fan(rate, 1, -20, 1),
		"babble": Babble(rate, 1, -20, 1),
	} {
		if got := Level(x); math.Abs(got+20) > 0.1 {
			t.Errorf("%s: level %.2f dBFS, want -20", name, got)
		}
	}
}

// 3 dB an octave: the power between f and 2f is the same in each octave.
func TestPinkFallsByThreeDecibels(t *testing.T) {
	const rate = 48000
	x := Pink(rate, 20, 0, 1)
	var last float64
	for i, f := range []float64{200, 800, 3200} {
		// Difference of two one-pole low-passes as a band about f.
		band := func(hz float64) float64 {
			a := 1 - math.Exp(-2*math.Pi*hz/rate)
			var lo, hi, b, sum float64
			c := 1 - math.Exp(-2*math.Pi*hz*2/rate)
			for _, v := range x {
				lo += a * (float64(v) - lo)
				hi += c * (float64(v) - hi)
				b = hi - lo
				sum += b * b
			}
			return 10 * math.Log10(sum)
		}
		got := band(f)
		if i > 0 && math.Abs(got-last) > 1 {
			t.Errorf("octave at %g Hz is %.1f dB from the one two octaves lower, want 0", f, got-last)
		}
		last = got
	}
}

func TestPeriodOfAKnownTone(t *testing.T) {
	for _, hz := range []float64{131.3, 440, 1234.5, 3140.7} {
		x := Tone(48000, 0.6, hz, -20, Reed())
		got := Period(x, 48000, hz*1.02)
		// 0.1 cents: what the tests that use it want to see.
		if c := 1200 * math.Log2(got/hz); math.Abs(c) > 0.1 {
			t.Errorf("Period of %.1f Hz is %.3f cents off", hz, c)
		}
	}
}

// Many stretches and one give what the definition gives.
func TestAddConvolved(t *testing.T) {
	x := White(48000, 0.05, -10, 1)
	for _, taps := range []int{1, 5, 700} {
		h := make([]float64, taps)
		for i := range h {
			h[i] = math.Cos(float64(i * i))
		}
		got, want := make([]float32, len(x)+taps), make([]float64, len(x)+taps)
		for i, v := range x {
			got[i] = v
			want[i] += float64(v)
			for j, w := range h {
				want[i+j] += float64(v) * w
			}
		}
		addConvolved(got, x, h)
		for i, w := range want {
			if math.Abs(float64(got[i])-w) > 1e-5 { // rounding of float32 near 10
				t.Fatalf("%d taps: sample %d is %g, want %g", taps, i, got[i], w)
			}
		}
	}
}

func TestRoomDecays(t *testing.T) {
	x := Room(48000, Tone(48000, 0.5, 440, -20, Reed()), 0.5, -8, 1)
	at := func(ms int) float64 { return Level(x[48*ms : 48*(ms+50)]) }
	// 60 dB in 0.5 s; a tail of noise, so 6 dB of scatter.
	if d := at(520) - at(720); math.Abs(d-24) > 6 {
		t.Errorf("level falls by %.1f dB in 0.2 s, want about 24", d)
	}
}
