package listen

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

// followed is what Latest said all the time, beside what came of the sound.
func followed(t *testing.T, c Config, x []float32) (e *Ear, latest []Frame, take Take) {
	t.Helper()
	e, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	for piece := range slices.Chunk(x, e.Hop()) {
		e.Process(piece)
		latest = append(latest, e.Latest())
	}
	e.Flush()
	return e, latest, Take{Rate: c.Rate, Frames: e.Frames(nil), Notes: e.Notes(nil)}
}

// A note is known from the newest window within 25 ms of two periods after it has come up, the median of notes, and sooner than by a
// frame. Asking changes no frame.
func TestLatestIsSooner(t *testing.T) {
	const rate = 48000
	const rise, up = 0.010, 0.007 // seconds from -60 to -20 dBFS, and to 12 dB under that
	c := Config{Rate: rate, Spans: spans(60)}
	for name, noise := range map[string][]float32{
		"clean": nil, "in pink noise": audiotest.Pink(rate, 1, -30, 3), "in hum": audiotest.Hum(rate, 1, 50, -40),
	} {
		var late []float64
		for i, f := range []float64{466, 523, 587, 659, 880, 1047, 1175, 1568, 2093} {
			at := 0.3 + 0.0007*float64(i) // the windows lie another way each time
			level := func(t float64) float64 { return -20 - 40*max(0, 1-t/rise, (t-0.48)/0.02) }
			tone := audiotest.Glide(rate, 0.5, func(float64) float64 { return f }, level, audiotest.Reed())
			x := audiotest.Sum(slices.Concat(make([]float32, int(at*rate)), tone, make([]float32, rate/10)), noise)
			e, latest, take := followed(t, c, x)
			if alone := hear(t, c, x); !slices.Equal(alone.Frames, take.Frames) || !slices.Equal(alone.Notes, take.Notes) {
				t.Fatalf("%s, %g Hz: what is heard depends on whether Latest is asked", name, f)
			}
			first := func(frames []Frame, delay int) float64 {
				for _, g := range frames {
					if s := float64(g.At) / rate; s > at-0.03 && g.Confidence >= MinConfidence {
						if math.Abs(cents(g.F0, f)) > 50 {
							t.Errorf("%s, %g Hz: first %g Hz", name, f, g.F0)
						}
						return s + float64(delay)/rate - at - up - 2/f
					}
				}
				return math.Inf(1)
			}
			newest, frame := first(latest, e.LatestDelay()), first(take.Frames, e.Delay())
			if newest > frame-0.004 {
				t.Errorf("%s, %g Hz: known after %.0f ms, by a frame after %.0f; want it sooner", name, f, 1000*newest, 1000*frame)
			}
			late = append(late, newest)
		}
		if m := quantile(late, 0.5); m > 0.025 {
			t.Errorf("%s: known after %.0f ms at the median, want 25", name, 1000*m)
		} else {
			t.Logf("%s: known after %.0f ms at the median, %.0f at most", name, 1000*m, 1000*slices.Max(late))
		}
	}
}

// In a phrase low notes, which must stand still to be graded, are known from their beginning by how they come up: the median of notes within
// 35 ms of two periods.
func TestLatestInAPhrase(t *testing.T) {
	const rate = 48000
	const rise, up, apart = 0.010, 0.007, 0.4 // as above, and seconds from one note to the next
	c := Config{Rate: rate, Spans: spans(48)}
	for name, noise := range map[string][]float32{"clean": nil, "in pink noise": audiotest.Pink(rate, 4.5, -30, 3)} {
		played := []float64{587, 294, 247, 330, 262, 220, 277, 349, 311, 233}
		var x []float32
		for i, f := range played {
			level := func(t float64) float64 { return -20 - 40*max(0, 1-t/rise, (t-0.33)/0.02) }
			flat := func(t float64) float64 { return f * math.Exp2(-25*math.Exp(-t/0.03)/1200) } // 25 cents under it at first
			x = append(x, make([]float32, int(apart*rate*float64(i+1))-len(x))...)
			x = append(x, audiotest.Glide(rate, 0.35, flat, level, audiotest.Reed())...)
		}
		e, latest, _ := followed(t, c, audiotest.Sum(append(x, make([]float32, rate/10)...), noise))
		var late []float64
		for i, f := range played[1:] {
			at := apart * float64(i+2)
			for _, g := range latest {
				if s := float64(g.At) / rate; s > at-0.02 && g.Confidence >= MinConfidence {
					if math.Abs(cents(g.F0, f)) > 50 {
						t.Errorf("%s, %g Hz: first %g Hz", name, f, g.F0)
					}
					late = append(late, s+float64(e.LatestDelay())/rate-at-up-2/f)
					break
				}
			}
		}
		if m := quantile(late, 0.5); len(late) < len(played)-1 || m > 0.035 {
			t.Errorf("%s: %d of %d notes known, after %.0f ms at the median; want all, within 35", name, len(late), len(played)-1, 1000*m)
		} else {
			t.Logf("%s: known after %.0f ms at the median, %.0f at most", name, 1000*m, 1000*slices.Max(late))
		}
	}
}

// What holds no tone is not shown as one either.
func TestLatestHoldsNothing(t *testing.T) {
	const rate = 48000
	for name, x := range map[string][]float32{
		"silence": make([]float32, 2*rate), "white noise": audiotest.White(rate, 8, -30, 3), "pink noise": audiotest.Pink(rate, 8, -30, 3),
		"hum": audiotest.Hum(rate, 5, 50, -25), "fan": audiotest.Fan(rate, 8, -30, 3), "formant noise": audiotest.Babble(rate, 30, -20, 7),
	} {
		_, latest, _ := followed(t, Config{Rate: rate, Spans: spans(60)}, x)
		for _, f := range latest {
			if f.Confidence >= MinConfidence {
				t.Errorf("%s: %.1f Hz with confidence %.2f at %.2f s", name, f.F0, f.Confidence, float64(f.At)/rate)
				break
			}
		}
	}
}

// Before the first window there is nothing, and then what comes 20 ms later as a frame.
func TestLatestIsAFrameToCome(t *testing.T) {
	for _, rate := range []int{16000, 44100, 48000, 96000} {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			c := Config{Rate: rate}
			x := audiotest.Tone(rate, 1, 880, -20, audiotest.Reed())
			e, latest, take := followed(t, c, x)
			if e.Delay()-e.LatestDelay() != 4*e.Hop() {
				t.Errorf("delays of %d and %d samples, want them four hops of %d apart", e.Delay(), e.LatestDelay(), e.Hop())
			}
			if f := latest[0]; f.At != 0 || f.F0 != 0 || f.Confidence != 0 {
				t.Errorf("after 5 ms: %+v, want nothing", f)
			}
			for _, f := range latest[20:] {
				if n := int(f.At) / e.Hop(); f.Level != take.Frames[n].Level || math.Abs(cents(f.F0, take.Frames[n].F0)) > 1 {
					t.Fatalf("%+v, and later %+v", f, take.Frames[n])
				}
			}
			if got := int(latest[99].At) + e.LatestDelay(); got > 100*e.Hop() || got < 98*e.Hop() {
				t.Errorf("after %d samples what was known from %d on was given", 100*e.Hop(), got)
			}
		})
	}
}
