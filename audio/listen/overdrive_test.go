package listen

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

// cut is x with its tops cut off at a level, in 16 bits as a converter gives it, and then turned to gain.
func cut(x []float32, top, gain float64) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		y := max(-top, min(top, float64(v)))
		out[i] = float32(math.Round(y*32767) / 32767 * gain)
	}
	return out
}

// A sine that is cut off at 1/over of its amplitude stands at the limit for 1-2/pi*arcsin(1/over) of the time (trigonometry), whether at full scale
// or turned down behind that. What is only loud is not cut off.
func TestClippedShare(t *testing.T) {
	for _, rate := range []int{16000, 44100, 48000, 96000} {
		for _, hz := range []float64{125, 440, 1046} {
			sine := make([]float32, rate)
			for i := range sine {
				sine[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / float64(rate)))
			}
			for _, c := range []struct{ top, gain float64 }{{1, 0.97}, {1, 0.5}, {1, 0.1}, {1, 0.02}, {0.707, 1 / 0.707}, {0.5, 2}, {0.25, 4}, {0.5, 1}, {0.25, 1}} {
				t.Run(fmt.Sprintf("%d/%g/%g/%g", rate, hz, c.top, c.gain), func(t *testing.T) {
					take := hear(t, Config{Rate: rate}, cut(sine, c.top, c.gain))
					middle := take.Frames[20:180]
					want := 1 - 2/math.Pi*math.Asin(c.top)
					if got := Clipped(middle); math.Abs(got-want) > 0.1*want+0.004 {
						t.Errorf("%.4f of the samples stand at the limit, want %.4f", got, want)
					}
					for _, f := range middle {
						if want := c.top * c.gain; f.Peak > want+1e-3 || f.Peak < 0.9*want {
							t.Fatalf("peak %.3f, want %.3f", f.Peak, want)
						}
					}
				})
			}
		}
	}
}

// What a sound says of its own overdrive is what Gauge says of it, and that stays where something is taken out of it before it is heard.
func TestGauge(t *testing.T) {
	const rate = 48000
	raw := cut(audiotest.Sum(audiotest.Tone(rate, 1.003, 392, -3, audiotest.Reed()), audiotest.Pink(rate, 1.003, -12, 1)), 1, 1)
	own := hear(t, Config{Rate: rate}, raw)
	if !Overdriven(own.Frames[20:180]) {
		t.Fatalf("%.4f of the samples stand at the limit: this is to be overdriven", Clipped(own.Frames[20:180]))
	}
	treated := audiotest.Sum(audiotest.Scaled(slices.Clone(raw), -6), audiotest.White(rate, 1.003, -40, 2))
	heard := hear(t, Config{Rate: rate}, treated)
	if Overdriven(heard.Frames) {
		t.Errorf("%.4f of what is treated stands at a limit", Clipped(heard.Frames))
	}
	heard.Gauge(raw)
	for i, f := range heard.Frames {
		if f.Peak != own.Frames[i].Peak || f.Clipped != own.Frames[i].Clipped {
			t.Fatalf("frame %d: peak %g, clipped %g; want %g, %g", i, f.Peak, f.Clipped, own.Frames[i].Peak, own.Frames[i].Clipped)
		}
	}
	Take{Rate: rate}.Gauge(raw) // nothing was heard
}

// Single notes are heard as well as ever by an overdriven microphone.
func TestOverdrivenPitch(t *testing.T) {
	const rate = 48000
	for _, hz := range []float64{196, 392, 1046} {
		tone := audiotest.Tone(rate, 0.6, hz, -12, audiotest.Reed())
		take := hear(t, Config{Rate: rate, Spans: spans(60)}, cut(tone, 0.05, 1))
		for _, f := range take.Frames[30:100] {
			if math.Abs(cents(f.F0, hz)) > 1 || f.Others[0].F0 != 0 {
				t.Fatalf("%g Hz, cut off: %+v", hz, f)
			}
		}
	}
}
