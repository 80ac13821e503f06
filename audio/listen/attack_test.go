package listen

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

// scooped is a low reed that comes up to hz from 60 cents under it, slowly, as sampled ones do.
func scooped(rate int, seconds, hz float64) []float32 {
	return audiotest.Glide(rate, seconds, func(t float64) float64 { return hz * math.Exp2(-60*math.Exp(-t/0.04)/1200) },
		func(t float64) float64 { return -20 - 40*math.Exp(-t/0.008) }, audiotest.Reed())
}

// firstSure is when, in seconds after at, a frame with confidence within 100 cents of hz is first given; infinite if never.
func firstSure(t *testing.T, rate int, x []float32, at, hz float64) float64 {
	t.Helper()
	e, err := New(Config{Rate: rate, Spans: spans(55)})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range hear(t, Config{Rate: rate, Spans: spans(55)}, x).Frames {
		s := float64(f.At) / float64(rate)
		if s > at-0.03 && f.Confidence >= MinConfidence && math.Abs(cents(f.F0, hz)) < 100 {
			return s + float64(e.Delay())/float64(rate) - at
		}
	}
	return math.Inf(1)
}

// A low reed that rises to its pitch is believed at once in a phrase, and not by itself nor long after one: so might a voice begin.
func TestLowReedInPhrase(t *testing.T) {
	const rate, low = 48000, 247.0
	steady := audiotest.Glide(rate, 0.4, func(float64) float64 { return 294 }, func(float64) float64 { return -20 }, audiotest.Reed())
	steady = faded(rate, steady)
	for _, c := range []struct {
		name  string
		rest  float64 // seconds
		alone bool
		quick bool
	}{
		{"after a rest of 0.2 s", 0.2, false, true},
		{"after a rest of 0.7 s", 0.7, false, true},
		{"after a rest of 1.5 s", 1.5, false, false},
		{"in one breath", 0, false, true},
		{"by itself", 0.5, true, false},
	} {
		before := steady
		if c.alone {
			before = nil
		}
		x := slices.Concat(make([]float32, rate/5), before, make([]float32, int(c.rest*rate)))
		at := float64(len(x)) / rate
		x = slices.Concat(x, scooped(rate, 0.5, low), make([]float32, rate/5))
		late := firstSure(t, rate, x, at, low)
		if quick := late < 0.060; quick != c.quick || math.IsInf(late, 1) {
			t.Errorf("%s: believed after %.0f ms; within 60: want %v", c.name, 1000*late, c.quick)
		}
	}
}
