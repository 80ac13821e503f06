//go:build !js

package corpus

import (
	"math"

	"reedwell/audio/audiotest"
)

// refer measures how the pitch of single notes strays from what is asked, on the clean sound, by a
// method the ear has nothing to do with: the sound is brought down by the phase of the pitch
// asked for and smoothed by a Hann window of a whole number of periods, at least two, whose zeros lie
// on all other harmonics; how far the phase that is left turns in one period, after which what other harmonics
// leave is the same again, is the pitch over what is asked.
//
// The weak voice needs none: it does what it is asked.
func (f *File) refer() {
	if f.Voice == Weak {
		return
	}
	for i := range f.Sounds {
		s := &f.Sounds[i]
		switch s.Kind {
		case Natural, Bend, Scoop, Vibrato:
			s.own = f.strays(*s)
		}
	}
}

// referSeconds is how long the window is, about: short against a scoop, long enough for the breath
// noise of our own voice to weigh under 0.1 cents. Our choice.
const referSeconds = 0.014

func (f *File) strays(s Sound) []float64 {
	const margin = Rate / 20
	first, last := max(0, at(s.On)-margin), min(len(f.Samples), at(s.Off)+margin)
	down := make([]complex128, last-first)
	phase, hz := 0.0, 0.0
	for i := range down {
		if i%16 == 0 {
			hz = s.asked(float64(first+i) / Rate)
		}
		sin, cos := math.Sincos(-2 * math.Pi * phase)
		x := float64(f.Samples[first+i])
		down[i] = complex(x*cos, x*sin)
		phase += hz / Rate
		phase -= math.Floor(phase)
	}
	var window []float64
	turn := func(t float64) complex128 {
		from := int(math.Round(t*Rate)) - first - len(window)/2
		z := complex(0, 0)
		for i, w := range window {
			if j := from + i; j >= 0 && j < len(down) {
				z += complex(w*real(down[j]), w*imag(down[j]))
			}
		}
		return z
	}
	n := int((s.Off - s.On) * 1000)
	own := make([]float64, n)
	for i := range own {
		t := s.On + float64(i)/1000
		hz := s.asked(t)
		if length := int(math.Max(2, math.Round(referSeconds*hz)) / hz * Rate); length != len(window) {
			window = make([]float64, length)
			for j := range window {
				window[j] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(j)+0.5)/float64(length))
			}
		}
		// Whole samples to either side, about half a period.
		half := math.Round(Rate / hz / 2)
		a, b := turn(t-half/Rate), turn(t+half/Rate)
		over := math.Atan2(imag(b)*real(a)-real(b)*imag(a), real(b)*real(a)+imag(b)*imag(a)) / (2 * math.Pi * 2 * half / Rate)
		// Before the tone is there it has no pitch of its own: what it starts with.
		if t >= s.Start-0.002 {
			own[i] = 1200 * math.Log2(math.Max(0.8, 1+over/hz))
		}
	}
	for i := range own {
		if s.On+float64(i)/1000 >= s.Start {
			for j := range i {
				own[j] = own[i]
			}
			break
		}
	}
	return own
}

// weak plays the score with a tone whose fundamental lies 13 dB under its fifth harmonic, as low keys
// have it, with a little breath; it comes up in 30 ms and dies in 20.
func (f *File) weak() {
	for i := range f.Sounds {
		s := &f.Sounds[i]
		s.Start, s.End = s.On+weakStart, s.Off+0.01
		s.Curve = f.scoop(*s)
		length := s.Off - s.On + 0.02
		tone := audiotest.Glide(Rate, length, func(t float64) float64 { return s.asked(s.On + t) }, func(t float64) float64 {
			return -20 + 20*math.Log10(1e-6+ramp(t/0.03)*ramp((length-t)/0.02))
		}, audiotest.WeakFirst())
		if n := at(s.On) + len(tone) + Rate/2; n > len(f.Samples) {
			f.Samples = append(f.Samples, make([]float32, n-len(f.Samples))...)
		}
		breath := audiotest.White(Rate, length, -62, f.Seed+uint64(i))
		for j, v := range tone {
			f.Samples[at(s.On)+j] += v + breath[j]
		}
	}
}

// weakStart is when a raised cosine of 30 ms passes -12 dB: a third of it.
const weakStart = 0.010

// ramp is the raised cosine from 0 to 1.
func ramp(u float64) float64 { return 0.5 - 0.5*math.Cos(math.Pi*min(max(u, 0), 1)) }
