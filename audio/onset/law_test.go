package onset

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/internal/dsp"
)

// voice is a tone of six harmonics with a pitch and a level in dB that move, with the phase kept.
func voice(hz, db func(t float64) float64) func(t float64) float64 {
	phase := 0.0
	return func(t float64) float64 {
		phase += hz(t) / rate
		v := 0.0
		for k := 1.0; k <= 6 && k*hz(t) < 5000; k++ {
			v += math.Sin(2*math.Pi*phase*k+k*k) / k
		}
		return 0.1 * v * math.Pow(10, db(t)/20)
	}
}

// ramp goes from 0 to 1 while t goes from a to b.
func ramp(t, a, b float64) float64 { return math.Max(0, math.Min(1, (t-a)/(b-a))) }

// gate is the level in dB of a sound from a to b with edges of 10 ms; -90 without it.
func gate(t, a, b float64) float64 {
	g := math.Min(ramp(t, a-0.005, a+0.005), 1-ramp(t, b-0.005, b+0.005))
	return math.Max(-90, 20*math.Log10(g+1e-9))
}

// What is one note to a player is one note: bend, scoop, hand and vibrato start none. The
// hand is a raised cosine in dB.
func TestOneNote(t *testing.T) {
	for _, f := range []float64{165, 294, 494, 880, 1568} {
		steady := func(float64) float64 { return f }
		level := func(float64) float64 { return 0 }
		type laws struct {
			name   string
			hz, db func(t float64) float64
		}
		list := []laws{
			{"bend of three semitones in 80 ms and back", func(t float64) float64 {
				return f * math.Exp2(-3*(ramp(t, 0.5, 0.58)-ramp(t, 0.8, 0.88))/12)
			}, level},
			{"scoop of 100 cents in 80 ms", func(t float64) float64 { return f * math.Exp2(-(1-ramp(t, 0.2, 0.28))/12) }, level},
			{"vibrato of 40 cents and 4 dB at 6 Hz", func(t float64) float64 {
				return f * math.Exp2(0.4*math.Sin(2*math.Pi*6*t)/12)
			}, func(t float64) float64 { return 2 * math.Sin(2*math.Pi*6*t) }},
		}
		for _, hand := range []float64{2.5, 4, 5, 6.5} {
			for _, deep := range []float64{6, 10, 16} {
				list = append(list, laws{"hand", steady, func(t float64) float64 { return -deep * (0.5 - 0.5*math.Cos(2*math.Pi*hand*(t-0.2))) }})
			}
		}
		for _, c := range list {
			db := func(t float64) float64 { return c.db(t) + gate(t, 0.2, 1.6) }
			notes := play(1.8, voice(c.hz, db), func(t float64) float64 {
				if t < 0.19 || t > 1.61 {
					return 0
				}
				return c.hz(t)
			})
			if len(notes) != 1 {
				t.Errorf("%s at %g Hz: notes %v, want one", c.name, f, notes)
			}
		}
	}
}

// Gaps of 30, 45 and 60 ms are heard, and starts lie near the middle of the edge.
func TestGaps(t *testing.T) {
	for _, f := range []float64{165, 294, 494, 880, 1568} {
		for _, gap := range []float64{0.03, 0.045, 0.06} {
			db := func(t float64) float64 {
				return math.Max(gate(t, 0.2, 0.5-gap), math.Max(gate(t, 0.5, 0.7-gap), gate(t, 0.7, 1)))
			}
			notes := play(1.2, voice(func(float64) float64 { return f }, db), func(t float64) float64 {
				if t < 0.2 || t > 1 {
					return 0
				}
				return f
			})
			if len(notes) != 3 {
				t.Errorf("gap of %g s at %g Hz: notes %v, want 3", gap, f, notes)
				continue
			}
			for i, want := range []float64{0.2, 0.5, 0.7} {
				// Half a window of the smoothing, 10 ms, is what a low note's edge is spread by.
				if off := notes[i].Start/rate - want; math.Abs(off) > 0.010 {
					t.Errorf("gap of %g s at %g Hz: note %d starts %.1f ms late, want within 10", gap, f, i, 1000*off)
				}
			}
		}
	}
}

// A tone read as its third or fourth harmonic for a while is one note; one that is left for a hole so far away is two.
func TestFarLeaps(t *testing.T) {
	for _, more := range []float64{3, 4} {
		for _, f := range []float64{165, 294, 494} {
			read := func(t float64) float64 {
				switch {
				case t < 0.2 || t > 1:
					return 0
				case t > 0.5 && t < 0.6:
					return more * f
				}
				return f
			}
			held := func(t float64) float64 { return gate(t, 0.2, 1) }
			if notes := play(1.2, voice(func(float64) float64 { return f }, held), read); len(notes) != 1 {
				t.Errorf("%g Hz, read %g times as high for 0.1 s: notes %v, want one", f, more, notes)
			}
			hz := func(t float64) float64 {
				switch {
				case t < 0.2 || t > 1:
					return 0
				case t > 0.6:
					return more * f
				}
				return f
			}
			left := func(t float64) float64 { return math.Max(gate(t, 0.2, 0.57), gate(t, 0.6, 1)) }
			if notes := play(1.2, voice(func(t float64) float64 { return max(f, hz(t)) }, left), hz); len(notes) != 2 {
				t.Errorf("from %g Hz to one %g times as high: notes %v, want two", f, more, notes)
			}
		}
	}
}

// When notes are asked for makes no difference, and a hop allocates nothing.
func TestAskingAndAllocations(t *testing.T) {
	run := func(every int) []Note {
		ring := dsp.NewRing(2048)
		s := NewSegmenter(rate, ring)
		sound := voice(func(t float64) float64 { return 494 * math.Exp2(math.Floor(t*7)*0.25) }, func(t float64) float64 { return -20 * math.Max(0, math.Sin(40*t)) })
		frames := 0
		var notes []Note
		for i := range 12000 {
			x := sound(float64(i) / rate)
			ring.Push(x)
			s.Push(x)
			if i+1 == frames*FrameHop+256 {
				s.Hop(494 * math.Exp2(math.Floor(float64(frames)*FrameHop/rate*7)*0.25))
				if frames >= Ahead {
					s.Judge(1, true)
				}
				frames++
			}
			if i%every == 0 {
				notes = s.Notes(notes)
			}
		}
		s.Flush(12000)
		return s.Notes(notes)
	}
	want := run(1)
	if len(want) < 4 {
		t.Fatalf("notes %v, want 4 and more", want)
	}
	for _, every := range []int{7, 480, 4096} {
		if got := run(every); !slices.Equal(got, want) {
			t.Errorf("asked every %d samples: notes %v, want %v", every, got, want)
		}
	}

	ring := dsp.NewRing(2048)
	s := NewSegmenter(rate, ring)
	notes := make([]Note, 0, 64)
	i, frames := 0, 0
	sound := voice(func(float64) float64 { return 494 }, func(t float64) float64 { return -30 * math.Max(0, math.Sin(30*t)) })
	hop := func() {
		for range FrameHop {
			x := sound(float64(i) / rate)
			ring.Push(x)
			s.Push(x)
			if i++; i == frames*FrameHop+256 {
				f := 494.0
				if frames%60 > 30 {
					f = 587
				}
				s.Hop(f)
				if frames >= Ahead {
					s.Judge(1, true)
				}
				frames++
			}
		}
		notes = s.Notes(notes[:0])
	}
	if n := testing.AllocsPerRun(400, hop); n != 0 {
		t.Errorf("a hop allocates %v times, want 0", n)
	}
}

// A dip of all harmonics is described as it was made.
func TestHarmonicsDip(t *testing.T) {
	const f, from, to = 494.0, 0.5, 0.54
	ring := dsp.NewRing(2048)
	h := newHarmonics(rate, ring)
	h.restart(80)
	sound := voice(func(float64) float64 { return f }, func(t float64) float64 { return -15 * math.Min(ramp(t, from, from+0.002), 1-ramp(t, to, to+0.002)) })
	for i := range int(0.62 * rate) {
		ring.Push(sound(float64(i) / rate))
		if i == h.to*FrameHop+longWindow/2 && i > 80*FrameHop {
			h.measure(f)
		}
	}
	d, ok := h.dipBefore(h.to-lineAhead, 0)
	// 1 dB: what a window of 12.5 ms leaves of the edges of a dip of 40 ms; two frames for its width.
	if !ok || math.Abs(d.depth-15) > 1 || math.Abs(float64(d.width)-9) > 2 || d.rise < 10 || d.side > 0.5 || !d.tongued() {
		t.Errorf("dip = %+v, %v; want 15 dB deep, 9 frames wide, quick", d, ok)
	}
}
