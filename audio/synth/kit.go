package synth

import (
	"fmt"
	"math"
)

// The sounds of a backing. Each starts to sound with its first sample, ends in
// silence, and has its peak at KitPeak, so that Mix's gain alone sets its place.
// None is like a harmonica: they are struck or plucked and die away, and the
// pitched ones are nearly sines.

// KitPeak is the peak of every sound of the kit, in dBFS.
const KitPeak = -6.0

// Click pitches in Hz. Our choice: far from each other, and above the harmonica's
// strong partials so that they are heard through it.
const (
	AccentHz = 2400.0
	PlainHz  = 1600.0
)

// Click is a count-in click: a short dry knock of 30 ms, higher when accented. It
// is loudest within its first millisecond.
func Click(rate int, accent bool) []float32 {
	hz := PlainHz
	if accent {
		hz = AccentHz
	}
	const seconds = 0.030
	return kit(rate, seconds, func(t float64) float64 {
		return attack(t, 0.0005) * math.Exp2(-t/0.0040) *
			(math.Sin(2*math.Pi*hz*t) + 0.3*math.Sin(2*math.Pi*2.3*hz*t)*math.Exp2(-t/0.0015))
	})
}

// Bass is a plucked upright bass of pitch hz, damped at seconds.
func Bass(rate int, hz, seconds float64) []float32 {
	checkTone(hz, seconds)
	// A string plucked near its middle: partials fall off fast and each higher one
	// dies sooner. At most 350 Hz: the harmonica's register stays free.
	count := int(clamp(350/hz, 1, 5))
	return kit(rate, seconds, func(t float64) float64 {
		v := 0.0
		for k := 1; k <= count; k++ {
			f := float64(k)
			v += math.Sin(2*math.Pi*f*hz*t) / math.Sqrt(f*f*f) * math.Exp2(-t*(1.2+1.5*f))
		}
		return v * attack(t, 0.006) * damp(t, seconds)
	})
}

// Comp is one tone of a comping chord, struck softly, nearly a sine that dies
// away: the timbre of a felt-damped tine. Pitch hz, damped at seconds.
func Comp(rate int, hz, seconds float64) []float32 {
	checkTone(hz, seconds)
	return kit(rate, seconds, func(t float64) float64 {
		v := math.Sin(2*math.Pi*hz*t) * math.Exp2(-t*2.5)
		v += 0.15 * math.Sin(4*math.Pi*hz*t) * math.Exp2(-t*9)
		return v * attack(t, 0.010) * damp(t, seconds)
	})
}

// Brush is a brush on a drum: noise without pitch that dies away within seconds.
// The seed decides the noise.
func Brush(rate int, seconds float64, seed uint64) []float32 {
	checkTone(1, seconds)
	h := newHiss(seed, 0, float64(rate))
	return kit(rate, seconds, func(t float64) float64 {
		return h.next() * attack(t, 0.004) * math.Exp2(-6*t/seconds) * damp(t, seconds)
	})
}

// Ride is a stick on a ride cymbal: noise and a few tones that have nothing to do with each
// other, all over 4 kHz and so over the harmonica's fundamentals, dying away within seconds.
func Ride(rate int, seconds float64, seed uint64) []float32 {
	checkTone(1, seconds)
	h := newHiss(seed, 0, float64(rate))
	tones := [...]float64{4310, 5530, 7190, 8870} // Hz; our choice, no two in a simple ratio
	var before, second float64                    // two differences in a row take the lows out of the noise
	return kit(rate, seconds, func(t float64) float64 {
		x := h.next()
		first := x - before
		before = x
		v := first - second
		second = first
		v *= 0.5
		for i, hz := range tones {
			if hz < 0.45*float64(rate) {
				v += 0.10 * math.Sin(2*math.Pi*hz*t+float64(i))
			}
		}
		return v * attack(t, 0.001) * math.Exp2(-5*t/seconds) * damp(t, seconds)
	})
}

// Kick is a soft bass drum: a thump that falls from 110 to 50 Hz within a few hundredths of
// a second and is over after 0.16 s.
func Kick(rate int) []float32 {
	const seconds, low, fall, time = 0.16, 50.0, 60.0, 0.025
	return kit(rate, seconds, func(t float64) float64 {
		// The phase is the integral of low + fall*2^(-t/time).
		phase := low*t + fall*time/math.Ln2*(1-math.Exp2(-t/time))
		return math.Sin(2*math.Pi*phase) * attack(t, 0.004) * math.Exp2(-t/0.035) * damp(t, seconds)
	})
}

func checkTone(hz, seconds float64) {
	if !(hz > 0 && hz < 1e5) || !(seconds > 0 && seconds <= maxSeconds) {
		panic(fmt.Sprintf("synth: a tone of %g Hz for %g s cannot be sounded", hz, seconds))
	}
}

// kit samples f over seconds, fades the last 5 ms and brings the peak to KitPeak.
func kit(rate int, seconds float64, f func(t float64) float64) []float32 {
	if rate < 8000 || rate > 384000 {
		panic(fmt.Sprintf("synth: rate %d Hz is not within 8000 to 384000", rate))
	}
	out := make([]float32, int(math.Round(seconds*float64(rate))))
	for i := range out {
		t := float64(i) / float64(rate)
		out[i] = float32(f(t) * raised((seconds-t)/0.005))
	}
	Normalise(out, KitPeak)
	return out
}

// attack rises from 0 to 1 within length seconds.
func attack(t, length float64) float64 { return raised(t / length) }

// damp is the hand or felt that stops a tone within the last 40 ms.
func damp(t, seconds float64) float64 { return raised((seconds - t) / 0.040) }
