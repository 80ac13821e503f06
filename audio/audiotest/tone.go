package audiotest

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Tone sums sines at the multiples of hz with the given amplitudes and phases set by
// their number, so that no two line up. What would lie over 0.45 of the rate is left
// out. The result has the RMS level in dBFS.
func Tone(rate int, seconds, hz, level float64, amps []float64) []float32 {
	return Glide(rate, seconds, func(float64) float64 { return hz }, func(float64) float64 { return level }, amps)
}

// Glide is Tone with a pitch in Hz and a level in dBFS that are functions of the time
// in seconds.
func Glide(rate int, seconds float64, hz, level func(t float64) float64, amps []float64) []float32 {
	x := make([]float32, int(seconds*float64(rate)))
	square := 0.0
	for _, a := range amps {
		square += a * a / 2
	}
	norm := 1 / math.Sqrt(square)
	phase := 0.0
	for i := range x {
		t := float64(i) / float64(rate)
		f := hz(t)
		v := 0.0
		for k, a := range amps {
			if f*float64(k+1) < 0.45*float64(rate) {
				v += a * math.Sin(float64(k+1)*phase+0.7*float64(k*k+1))
			}
		}
		x[i] = float32(v * norm * math.Pow(10, level(t)/20))
		phase += 2 * math.Pi * f / float64(rate)
		if phase > 2*math.Pi {
			phase -= 2 * math.Pi
		}
	}
	return x
}

// Reed, WeakFirst and Dark are amplitudes of harmonics. Reed falls smoothly; WeakFirst
// has the fundamental 13 dB under a strong fifth, as low keys have; Dark is nearly a sine.
func Reed() []float64 {
	return []float64{1, 0.8, 0.6, 0.45, 0.35, 0.3, 0.22, 0.18, 0.14, 0.1, 0.08, 0.06}
}
func WeakFirst() []float64 {
	return []float64{0.22, 0.35, 0.5, 0.65, 1, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.1, 0.1}
}
func Dark() []float64 { return []float64{1, 0.05, 0.02} }

// White is Gaussian noise of the RMS level in dBFS.
func White(rate int, seconds, level float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, int(seconds*float64(rate)))
	a := math.Pow(10, level/20)
	for i := range x {
		x[i] = float32(a * rng.NormFloat64())
	}
	return x
}

// Pink is noise that falls by 3 dB an octave from 20 Hz to 0.45 of the rate: a sum of
// one-pole noises an octave apart, scaled to the RMS level in dBFS.
func Pink(rate int, seconds, level float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 2))
	n := int(seconds * float64(rate))
	y := make([]float64, n)
	for f := 20.0; f < 0.45*float64(rate); f *= 2 {
		pole := math.Exp(-2 * math.Pi * f / float64(rate))
		gain := math.Sqrt(1 - pole*pole)
		v := rng.NormFloat64()
		for i := range y {
			v = pole*v + gain*rng.NormFloat64()
			y[i] += v
		}
	}
	x := make([]float32, n)
	for i, v := range y {
		x[i] = float32(v)
	}
	return Scaled(x, level)
}

// Hum is mains hum: 50 or 60 Hz and its multiples, the even ones strong as a rectifier
// makes them, of the RMS level in dBFS.
func Hum(rate int, seconds, mains, level float64) []float32 {
	return Tone(rate, seconds, mains, level, []float64{1, 0.8, 0.4, 0.4, 0.2, 0.25, 0.1, 0.15, 0.05, 0.1, 0.05, 0.08})
}

// Fan is a fan: dull noise with a blade tone of 110 Hz that swells a little.
func Fan(rate int, seconds, level float64, seed uint64) []float32 {
	x := Pink(rate, seconds, 0, seed)
	low := float32(0)
	a := float32(1 - math.Exp(-2*math.Pi*500/float64(rate)))
	for i := range x {
		low += a * (x[i] - low)
		x[i] = low
	}
	x = Scaled(x, 0)
	blade := Glide(rate, seconds, func(float64) float64 { return 110 },
		func(t float64) float64 { return -8 + 2*math.Sin(2*math.Pi*0.7*t) }, []float64{1, 0.5, 0.2})
	return Scaled(Sum(x, blade), level)
}

// Babble is sound shaped like speech: syllables four to six a second, most of them
// voiced by a gliding buzz of 90 to 260 Hz through three formants that move, the
// rest hissed. Formants after the ranges in Peterson & Barney 1952 (from memory).
func Babble(rate int, seconds, level float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 3))
	n := int(seconds * float64(rate))
	x := make([]float32, n)
	base := 95 + 120*rng.Float64()
	for at := 0; at < n; {
		length := int((0.12 + 0.13*rng.Float64()) * float64(rate))
		gap := 0
		if rng.Float64() < 0.25 {
			gap = int((0.05 + 0.2*rng.Float64()) * float64(rate))
		}
		voiced := rng.Float64() < 0.8
		f0, f1 := base*(0.8+0.5*rng.Float64()), base*(0.75+0.45*rng.Float64())
		var from, to [3]float64
		for i, r := range [3][2]float64{{270, 730}, {840, 2300}, {2200, 3000}} {
			from[i] = r[0] + (r[1]-r[0])*rng.Float64()
			to[i] = r[0] + (r[1]-r[0])*rng.Float64()
		}
		var y1, y2 [3]float64
		phase := 0.0
		for i := 0; i < length && at+i < n; i++ {
			u := float64(i) / float64(length)
			f := f0 + (f1-f0)*u
			phase += f / float64(rate)
			drive := 0.02 * rng.NormFloat64()
			if voiced {
				if phase >= 1 {
					phase -= 1
					drive += 1 + 0.1*rng.NormFloat64()
				}
			} else {
				drive = 0.3 * rng.NormFloat64()
			}
			v := 0.0
			for j := range from {
				c := from[j] + (to[j]-from[j])*u
				r := math.Exp(-math.Pi * 90 / float64(rate))
				y := drive + 2*r*math.Cos(2*math.Pi*c/float64(rate))*y1[j] - r*r*y2[j]
				y1[j], y2[j] = y, y1[j]
				v += y / float64(j+1)
			}
			x[at+i] = float32(v * math.Sin(math.Pi*u))
		}
		at += length + gap
	}
	return Scaled(x, level)
}

// Room adds a room to x: early echoes and a tail of noise that falls by 60 dB in
// decay seconds, together wet dB relative to the sound itself. The result is as long as x plus the tail.
func Room(rate int, x []float32, decay, wet float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 4))
	n := int(decay * float64(rate))
	h := make([]float64, n)
	start := int(0.007 * float64(rate)) // the first wall, 1.2 m away
	sum := 0.0
	for i := start; i < n; i++ {
		// Two echoes a millisecond are dense enough.
		if rng.Float64() < 2000/float64(rate) {
			h[i] = rng.NormFloat64() * math.Pow(10, -3*float64(i)/float64(n))
		}
		sum += h[i] * h[i]
	}
	g := math.Pow(10, wet/20) / math.Sqrt(sum)
	for i := range h {
		h[i] *= g
	}
	out := make([]float32, len(x)+n)
	copy(out, x)
	addConvolved(out, x, h)
	return out
}

// addConvolved adds x convolved with h to out, which must hold both lengths, by overlap-add.
func addConvolved(out, x []float32, h []float64) {
	n := 1
	for n < 2*len(h) {
		n *= 2
	}
	fft := fourier.NewFFT(n)
	part := make([]float64, n)
	copy(part, h)
	response := fft.Coefficients(nil, part)
	bins := make([]complex128, len(response))
	stretch := n - len(h)
	for from := 0; from < len(x); from += stretch {
		clear(part)
		for i, v := range x[from:min(from+stretch, len(x))] {
			part[i] = float64(v)
		}
		fft.Coefficients(bins, part)
		for k, v := range response {
			bins[k] *= v
		}
		fft.Sequence(part, bins)
		for i, v := range part[:min(n, len(out)-from)] {
			out[from+i] += float32(v / float64(n))
		}
	}
}

// Level is the RMS level of x in dBFS.
func Level(x []float32) float64 {
	s := 0.0
	for _, v := range x {
		s += float64(v) * float64(v)
	}
	return 10 * math.Log10(s/float64(len(x))+1e-30)
}

// Scaled is x at the RMS level in dBFS, in place.
func Scaled(x []float32, level float64) []float32 {
	g := float32(math.Pow(10, (level-Level(x))/20))
	for i := range x {
		x[i] *= g
	}
	return x
}

// Peak is the largest amplitude of x.
func Peak(x []float32) float32 {
	peak := float32(0)
	for _, v := range x {
		peak = max(peak, v, -v)
	}
	return peak
}

// CutOff is x as a microphone gives it whose full scale lies at an amplitude: what goes over it is cut off.
func CutOff(x []float32, full float32) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = max(-full, min(full, v)) / full
	}
	return out
}

// Sum adds sounds; the result is as long as the longest.
func Sum(sounds ...[]float32) []float32 {
	n := 0
	for _, s := range sounds {
		n = max(n, len(s))
	}
	out := make([]float32, n)
	for _, s := range sounds {
		for i, v := range s {
			out[i] += v
		}
	}
	return out
}

// Beside mixes other under main so that other's RMS lies under by the given dB, and
// returns the mix.
func Beside(main, other []float32, under float64) []float32 {
	o := append([]float32(nil), other...)
	return Sum(main, Scaled(o, Level(main)-under))
}
