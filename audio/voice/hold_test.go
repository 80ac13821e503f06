package voice_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/voice"
)

const rate = 48000

// vowel are the amplitudes of the harmonics of a pitch sung on ah: a source that falls by 12 dB an octave through formants near 700,
// 1100 and 2500 Hz (Peterson & Barney 1952, from memory).
func vowel(hz float64) []float64 {
	var all []float64
	for k := 1; float64(k)*hz < 5000; k++ {
		f, a := float64(k)*hz, 0.02
		for i, formant := range []float64{700, 1100, 2500} {
			d := (f - formant) / 120
			a += 1 / float64(i+1) / (1 + d*d)
		}
		all = append(all, a/float64(k))
	}
	return all
}

// sung is somebody who waits, sings for seconds and stops: with a vibrato of so many cents to either side, a pitch that wanders
// by some cents, and a level that shimmers.
func sung(hz, seconds, vibrato float64, seed uint64) []float32 {
	random := rand.New(rand.NewPCG(seed, 7))
	var drift, shimmer []float64
	for range int(seconds*20) + 2 {
		drift, shimmer = append(drift, random.NormFloat64()*5), append(shimmer, random.NormFloat64())
	}
	at := func(of []float64, t float64) float64 {
		i := int(t * 20)
		u := t*20 - float64(i)
		return of[i]*(1-u) + of[i+1]*u
	}
	note := audiotest.Glide(rate, seconds, func(t float64) float64 {
		return hz * math.Exp2((vibrato*math.Sin(2*math.Pi*5.5*t)+at(drift, t))/1200)
	}, func(t float64) float64 {
		edge := math.Min(1, math.Min(t, seconds-t)/0.06)
		return -20 + at(shimmer, t) + 40*(edge-1)
	}, vowel(hz))
	return after(note)
}

// after is a sound after a quiet lead, in a quiet room.
func after(sound []float32) []float32 {
	lead := make([]float32, int((voice.Lead+0.2)*rate))
	x := append(lead, sound...)
	x = append(x, make([]float32, rate/2)...)
	return audiotest.Sum(x, audiotest.Pink(rate, float64(len(x))/rate, -65, 3))
}

func measure(x []float32) (voice.Held, error) {
	h := voice.NewHold(rate)
	for len(x) > 0 { // as it comes from a device
		n := min(len(x), 1000)
		h.Process(x[:n])
		x = x[n:]
	}
	return h.Held()
}

func cents(a, b float64) float64 { return 1200 * math.Log2(a/b) }

// What is sung is what is measured, still and with vibrato, from a bass to a soprano.
func TestSungIsMeasured(t *testing.T) {
	for _, hz := range []float64{80, 110, 147, 196, 262, 330, 440, 587, 784, 1000} {
		for _, vibrato := range []float64{0, 50, 80} {
			got, err := measure(sung(hz, 2.5, vibrato, 1))
			if err != nil {
				t.Errorf("%g Hz, vibrato %g: %v", hz, vibrato, err)
				continue
			}
			if off := cents(got.Hz, hz); math.Abs(off) > 5 {
				t.Errorf("%g Hz, vibrato %g: %.2f cents off", hz, vibrato, off)
			}
			if got.Seconds < 2 || got.Spread < 0.7*vibrato || got.Spread > vibrato+15 {
				t.Errorf("%g Hz, vibrato %g: %.2f s, spread %.1f", hz, vibrato, got.Seconds, got.Spread)
			}
		}
	}
}

// A whistle is nearly a sine.
func TestWhistleIsMeasured(t *testing.T) {
	for _, hz := range []float64{620, 1040, 1661, 2200} {
		got, err := measure(after(audiotest.Tone(rate, 2, hz, -25, []float64{1, 0.03})))
		if err != nil {
			t.Errorf("%g Hz: %v", hz, err)
			continue
		}
		if off := cents(got.Hz, hz); math.Abs(off) > 2 {
			t.Errorf("%g Hz: %.2f cents off", hz, off)
		}
	}
}

// Rates of devices.
func TestEveryRate(t *testing.T) {
	for _, rate := range []int{8000, 16000, 44100, 48000, 96000} {
		h := voice.NewHold(rate)
		h.Process(make([]float32, rate))
		h.Process(audiotest.Tone(rate, 2, 220, -20, vowel(220)[:10]))
		got, err := h.Held()
		if err != nil || math.Abs(cents(got.Hz, 220)) > 3 {
			t.Errorf("%d Hz: %.2f Hz, %v", rate, got.Hz, err)
		}
	}
}

// What holds no note says so.
func TestNothingHeld(t *testing.T) {
	slide := audiotest.Glide(rate, 3, func(t float64) float64 { return 200 * math.Exp2(t/4) }, func(float64) float64 { return -20 }, vowel(200))
	short := sung(220, 0.7, 20, 1)
	for _, c := range []struct {
		name string
		x    []float32
		want []error
	}{
		{"silence", make([]float32, 4*rate), []error{voice.ErrQuiet}},
		{"an empty room", audiotest.Pink(rate, 4, -50, 1), []error{voice.ErrQuiet}},
		{"a fan", audiotest.Fan(rate, 4, -35, 2), []error{voice.ErrQuiet, voice.ErrRoom}},
		{"mains hum", audiotest.Hum(rate, 4, 50, -30), []error{voice.ErrQuiet, voice.ErrRoom}},
		{"hum of 60 Hz", audiotest.Hum(rate, 4, 60, -30), []error{voice.ErrQuiet, voice.ErrRoom}},
		{"breath", after(audiotest.Pink(rate, 2.5, -25, 5)), []error{voice.ErrNoPitch}},
		{"a slide", after(slide), []error{voice.ErrSlides}},
		{"a short note", short, []error{voice.ErrShort}},
		{"sung at once", sung(220, 3, 20, 1)[int((voice.Lead+0.2)*rate):], []error{voice.ErrRoom}},
	} {
		got, err := measure(c.x)
		ok := false
		for _, w := range c.want {
			ok = ok || errors.Is(err, w)
		}
		if !ok {
			t.Errorf("%s: %+v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

// Nobody who talks has held a note.
func TestSpeechHoldsNothing(t *testing.T) {
	for seed := range uint64(40) {
		if got, err := measure(after(audiotest.Babble(rate, 5, -20, seed))); err == nil {
			t.Errorf("seed %d: %+v", seed, got)
		}
	}
}

// With a fan or talk 15 dB under the voice the note is right or not there.
func TestBesideNoise(t *testing.T) {
	for _, hz := range []float64{110, 196, 330} {
		x := sung(hz, 2.5, 30, 2)
		seconds := float64(len(x)) / rate
		for name, noise := range map[string][]float32{
			"a fan": audiotest.Fan(rate, seconds, -40, 5), "talk": audiotest.Babble(rate, seconds, -40, 4), "hum": audiotest.Hum(rate, seconds, 50, -40),
		} {
			got, err := measure(audiotest.Sum(x, noise))
			if err == nil && math.Abs(cents(got.Hz, hz)) > 8 {
				t.Errorf("%g Hz beside %s: %.1f cents off", hz, name, cents(got.Hz, hz))
			}
		}
	}
}

func BenchmarkProcess(b *testing.B) {
	x := sung(220, 3, 30, 1)
	b.SetBytes(int64(4 * len(x)))
	for b.Loop() {
		h := voice.NewHold(rate)
		h.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Seconds())/float64(b.N)/(float64(len(x))/rate), "s/s")
}
