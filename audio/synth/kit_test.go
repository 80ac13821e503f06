package synth_test

import (
	"math"
	"slices"
	"testing"

	. "reedwell/audio/synth"
)

func TestKit(t *testing.T) {
	for _, rate := range []int{16000, 44100, 48000} {
		for name, x := range map[string][]float32{
			"accent": Click(rate, true),
			"plain":  Click(rate, false),
			"bass":   Bass(rate, 55, 0.8),
			"comp":   Comp(rate, 220, 0.5),
			"brush":  Brush(rate, 0.15, 1),
			"ride":   Ride(rate, 0.15, 1),
			"kick":   Kick(rate),
		} {
			// 0.01 dB: float32 has to hold the figure.
			if p := Peak(x); math.Abs(p-KitPeak) > 0.01 {
				t.Errorf("rate %d, %s peaks at %.2f dBFS, want %g", rate, name, p, KitPeak)
			}
			// No step at either end: a hundredth of the peak.
			if a, b := x[0], x[len(x)-1]; math.Abs(float64(a)) > 0.005 || math.Abs(float64(b)) > 0.005 {
				t.Errorf("rate %d, %s begins with %g and ends with %g, want silence", rate, name, a, b)
			}
		}
	}
}

func TestKitPitches(t *testing.T) {
	// E1 = 41.20 Hz to C4 = 261.63 Hz: equal temperament at ISO 16's A4 = 440 Hz.
	for _, hz := range []float64{41.203, 55, 97.999, 130.81} {
		x := Bass(rate, hz, 1.2)
		if d := cents(hzNear(x, rate, hz, 0.35, 0.4, 0.2), hz); math.Abs(d) > 1 {
			t.Errorf("bass of %g Hz: %+.2f cents off", hz, d)
		}
	}
	for _, hz := range []float64{164.81, 261.63} {
		x := Comp(rate, hz, 1)
		if d := cents(hzNear(x, rate, hz, 0.3, 0.3, 0.2), hz); math.Abs(d) > 1 {
			t.Errorf("comp of %g Hz: %+.2f cents off", hz, d)
		}
	}
	for _, accent := range []bool{true, false} {
		want, other := AccentHz, PlainHz
		if !accent {
			want, other = PlainHz, AccentHz
		}
		x := Click(rate, accent)
		a, _ := probe(x, rate, want, 0.006, 0.012)
		b, _ := probe(x, rate, other, 0.006, 0.012)
		if a < 3*b {
			t.Errorf("click, accent %v: %.1f dB at its own pitch over the other's", accent, db(a/b))
		}
	}
}

// A ride leaves the harmonica's fundamentals free, up to the highest reed of a high G harp at
// 3136 Hz (equal temperament, ISO 16), and a kick sounds under its lowest at 131 Hz: the rest of
// either lies 20 dB under it.
func TestDrumsLeaveTheRegister(t *testing.T) {
	under := func(x []float32, low, high float64) float64 {
		sum := 0.0
		for hz := low; hz < high; hz += 10 {
			m, _ := probe(x, rate, hz, 0.05, 0.1)
			sum += m * m
		}
		return sum
	}
	ride, kick := Ride(rate, 0.15, 1), Kick(rate)
	if d := 10 * math.Log10(under(ride, 131, 3136)/under(ride, 3136, 20000)); d > -20 {
		t.Errorf("ride: in the register %.1f dB", d)
	}
	if d := 10 * math.Log10(under(kick, 200, 3136)/under(kick, 20, 200)); d > -20 {
		t.Errorf("kick: in the register %.1f dB", d)
	}
}

func TestClickIsAtItsPlace(t *testing.T) {
	for _, accent := range []bool{true, false} {
		x := Click(rate, accent)
		at := slices.IndexFunc(x, func(v float32) bool { return math.Abs(float64(v)) > 0.25 })
		// Half the peak within 1 ms: finer than any take is graded.
		if at > rate/1000 {
			t.Errorf("click, accent %v: half its peak after %.2f ms", accent, 1000*float64(at)/rate)
		}
	}
}

func TestMix(t *testing.T) {
	src := []float32{1, 2, 3}
	for _, test := range []struct {
		at   int
		want []float32
	}{
		{0, []float32{1, 2, 3, 0}},
		{2, []float32{0, 0, 1, 2}},
		{3, []float32{0, 0, 0, 1}},
		{4, []float32{0, 0, 0, 0}},
		{900, []float32{0, 0, 0, 0}},
		{-1, []float32{2, 3, 0, 0}},
		{-3, []float32{0, 0, 0, 0}},
		{-900, []float32{0, 0, 0, 0}},
	} {
		dst := make([]float32, 4)
		Mix(dst, src, test.at, 0)
		if !slices.Equal(dst, test.want) {
			t.Errorf("at %d: %v, want %v", test.at, dst, test.want)
		}
	}
	dst := []float32{0.5}
	Mix(dst, []float32{1}, 0, -20)
	if math.Abs(float64(dst[0])-0.6) > 1e-6 {
		t.Errorf("0.5 and 1 at -20 dB make %g, want 0.6", dst[0])
	}
}

func TestNormalise(t *testing.T) {
	x := []float32{0.1, -0.2}
	Normalise(x, -6.0206) // half
	if math.Abs(float64(x[1])+0.5) > 1e-5 || math.Abs(float64(x[0])-0.25) > 1e-5 {
		t.Errorf("normalised to %v, want 0.25 -0.5", x)
	}
	z := []float32{0, 0}
	Normalise(z, -6)
	if z[0] != 0 || Peak(z) != math.Inf(-1) {
		t.Errorf("silence became %v, peak %g", z, Peak(z))
	}
}

func TestLimit(t *testing.T) {
	tone := func(peak func(t float64) float64) []float32 {
		x := make([]float32, rate)
		for i := range x {
			at := float64(i) / rate
			x[i] = float32(peak(at) * math.Sin(2*math.Pi*440*at))
		}
		return x
	}
	// Under the ceiling nothing changes.
	x := tone(func(float64) float64 { return 0.7 })
	y := slices.Clone(x)
	if down := Limit(rate, y, -3); down != 0 || !slices.Equal(x, y) {
		t.Errorf("a tone under the ceiling was pulled down by %g dB", down)
	}
	// A loud second: nothing over the ceiling, far places untouched, no click.
	x = tone(func(at float64) float64 {
		if at > 0.4 && at < 0.6 {
			return 2
		}
		return 0.5
	})
	y = slices.Clone(x)
	down := Limit(rate, y, -3)
	if math.Abs(down-(6.0206+3)) > 0.1 {
		t.Errorf("a peak of +6 dBFS under a ceiling of -3: pulled down by %.2f dB, want 9", down)
	}
	if p := Peak(y); p > -3+1e-4 || p < -3.2 {
		t.Errorf("limited to %.3f dBFS, want -3", p)
	}
	for i := range y {
		if at := float64(i) / rate; (at < 0.38 || at > 0.62) && math.Abs(float64(x[i]-y[i])) > 1e-6 {
			t.Fatalf("sample %d, 20 ms from the loud part, changed from %g to %g", i, x[i], y[i])
		}
	}
	// The ends of a sound that is loud all along.
	z := tone(func(float64) float64 { return 4 })
	Limit(rate, z, 0)
	if p := Peak(z); p > 1e-4 {
		t.Errorf("limited to %.4f dBFS, want 0", p)
	}
	if s, want := biggestStep(z), 2*math.Pi*440/rate; s > 1.6*want {
		t.Errorf("limited tone steps by %g, a whole one by %g", s, want)
	}
	short := []float32{3, -2}
	if Limit(rate, short, 0); Peak(short) > 1e-4 {
		t.Errorf("two samples limited to %v", short)
	}
}
