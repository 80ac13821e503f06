package listen

import (
	"math"
	"math/rand/v2"
	"testing"

	"reedwell/audio/audiotest"
)

// only hears x, which is one note.
func only(t *testing.T, x []float32) (Take, Note) {
	t.Helper()
	take := hear(t, Config{Rate: 48000}, faded(48000, x))
	if len(take.Notes) != 1 {
		t.Fatalf("%d notes, want 1:%s", len(take.Notes), take)
	}
	return take, take.Notes[0]
}

// Tones of known movement; limits are the goals: 3 % of a rate, 10 % of an extent, 5 cents, 15 ms.
func TestMeasuresOfOneNote(t *testing.T) {
	const rate = 48000
	flat := func(float64) float64 { return -20 }
	for _, f := range []float64{165, 294, 587, 1175} {
		for _, w := range []Wave{{3, 40}, {5, 20}, {6.5, 10}} {
			take, n := only(t, audiotest.Glide(rate, 1.6, func(t float64) float64 {
				return f * math.Exp2(w.Extent/1200*math.Min(1, math.Max(0, 8*t-1))*math.Sin(2*math.Pi*w.Rate*t))
			}, flat, audiotest.Reed()))
			got, ok := take.Vibrato(n)
			if !ok || math.Abs(got.Rate/w.Rate-1) > 0.03 || math.Abs(got.Extent/w.Extent-1) > 0.1 {
				t.Errorf("%g Hz: vibrato of %.1f Hz, %.0f cents is heard as %.2f Hz, %.1f cents", f, w.Rate, w.Extent, got.Rate, got.Extent)
			}
		}
		for _, w := range []Wave{{2.5, 14}, {4, 8}, {6, 6}} {
			take, n := only(t, audiotest.Glide(rate, 1.6, func(float64) float64 { return f },
				func(t float64) float64 { return -20 - w.Extent/2*(1-math.Cos(2*math.Pi*w.Rate*t)) }, audiotest.Reed()))
			got, ok := take.Wah(n)
			if !ok || math.Abs(got.Rate/w.Rate-1) > 0.03 || math.Abs(got.Extent/w.Extent-1) > 0.1 {
				t.Errorf("%g Hz: hand of %.1f Hz, %.0f dB is heard as %.2f Hz, %.1f dB", f, w.Rate, w.Extent, got.Rate, got.Extent)
			}
		}
		for _, depth := range []float64{30, 60, 150} {
			// Down for 80 ms, then up in 100.
			take, n := only(t, audiotest.Glide(rate, 0.7, func(t float64) float64 {
				return f * math.Exp2(-depth/1200*math.Min(1, math.Max(0, (0.18-t)/0.1)))
			}, flat, audiotest.Reed()))
			if got := take.Scoop(n); math.Abs(got-depth) > 5 {
				t.Errorf("%g Hz: scoop of %.0f cents is heard as %.1f", f, depth, got)
			}
			want := 0.18 - 0.1*10/depth
			if got := take.Settle(n, f, 10); math.Abs(got-want) > 0.015 {
				t.Errorf("%g Hz: scoop of %.0f cents settles after %.3f s, want %.3f", f, depth, got, want)
			}
		}
		// Up from the first moment on, for 150 ms: deepest where the measure begins.
		take, n := only(t, audiotest.Glide(rate, 0.7, func(t float64) float64 {
			return f * math.Exp2(-120.0/1200*math.Max(0, (0.15-t)/0.15))
		}, flat, audiotest.Reed()))
		if got := take.Scoop(n); math.Abs(got-80) > 5 {
			t.Errorf("%g Hz: a scoop that is 80 cents deep after 50 ms is heard as %.1f", f, got)
		}
		take, n = only(t, audiotest.Tone(rate, 0.7, f, -20, audiotest.Reed()))
		if got := take.Scoop(n); got > 2 {
			t.Errorf("%g Hz: a steady tone has a scoop of %.1f cents", f, got)
		}
		if w, ok := take.Vibrato(n); ok {
			t.Errorf("%g Hz: a steady tone has a vibrato of %v", f, w)
		}
		if w, ok := take.Wah(n); ok {
			t.Errorf("%g Hz: a steady tone has a hand of %v", f, w)
		}
	}
}

// Warbles of known times, each shifted as the ear shifts them: the goals of 1 % and 2 points.
func TestWarble(t *testing.T) {
	const rate = 48000
	rng := rand.New(rand.NewPCG(5, 1))
	for _, told := range []float64{0, 0.001, 0.004} { // seconds that the starts are told to err by
		err := startScatter
		if told > 0 {
			err = math.Hypot(errorLeast, errorTimes*told)
		}
		for _, w := range []Warble{{4, 0, 0.5}, {8, 0.08, 0.55}, {13, 0.05, 0.45}} {
			const count = 4000 // many, so that chance weighs nothing
			var notes []Note
			at := 1.0
			for i := range count {
				hz, gap := 440.0, 2*w.Share/w.Rate
				if i%2 == 1 {
					hz, gap = 523.25, 2*(1-w.Share)/w.Rate
				}
				heard := at + err*rng.NormFloat64()
				notes = append(notes, Note{Start: int64(rate * heard), F0: hz, Error: told * rate})
				at += gap + w.Evenness/w.Rate*rng.NormFloat64()
			}
			got, ok := Take{Rate: rate}.Warble(notes, 440, 523.25)
			if !ok || math.Abs(got.Rate/w.Rate-1) > 0.01 || math.Abs(got.Evenness-w.Evenness) > 0.02 || math.Abs(got.Share-w.Share) > 0.02 {
				t.Errorf("warble %.3v, starts off by %.1f ms, is heard as %.3v", w, 1000*err, got)
			}
		}
	}
	if _, ok := (Take{Rate: 48000}).Warble([]Note{{F0: 440}, {F0: 523}, {F0: 440}}, 440, 523); ok {
		t.Error("three notes are a warble")
	}
}
