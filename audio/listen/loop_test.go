package listen

import (
	"math"
	"testing"

	"reedwell/audio/synth"
)

// The project's own reed voice, whose starts are defined as -12 dB points, played
// apart, tongued and in one breath, at six pitches.
func TestOwnReedVoice(t *testing.T) {
	const rate = 48000
	for _, kind := range []string{"apart", "tongued", "one breath"} {
		for _, f := range []float64{150, 220, 330, 500, 900, 1600} {
			var notes []synth.Note
			var starts, ends []float64
			at := 0.3
			for i := range 12 {
				d := 0.15 + 0.05*float64(i%4)
				n := synth.Note{Start: at, End: at + d, Hz: synth.Steady(f)}
				switch kind {
				case "apart":
					n.End -= 0.05
					n.Hz = synth.Steady(f * math.Exp2(float64(i%3*3)/12))
				case "one breath":
					n.Hz = synth.Steady(f * math.Exp2(float64(i%2*4)/12))
					n.Legato = i > 0
				}
				notes = append(notes, n)
				starts, ends = append(starts, at), append(ends, n.End)
				at += d
			}
			take := hear(t, Config{Rate: rate, Spans: spans(60)}, synth.Render(rate, at+0.4, notes, 1))
			if len(take.Notes) != len(notes) {
				t.Errorf("%s at %g Hz: %d notes, want %d:%s", kind, f, len(take.Notes), len(notes), take)
				continue
			}
			for i, n := range take.Notes {
				// 12 ms: the goal is 20.
				if s := float64(n.Start) / rate; math.Abs(s-starts[i]) > 0.012 {
					t.Errorf("%s at %g Hz: note %d starts at %.3f s, want %.3f", kind, f, i, s, starts[i])
				}
				// 40 ms, the goal. The tongue closes before the next start, so a tongued
				// note ends earlier than where the next one starts.
				if e := float64(n.End) / rate; math.Abs(e-ends[i]) > 0.040 {
					t.Errorf("%s at %g Hz: note %d ends at %.3f s, want %.3f", kind, f, i, e, ends[i])
				}
				if want := notes[i].Hz[0].Value; math.Abs(cents(n.F0, want)) > 4 { // the voice itself wanders by up to 2
					t.Errorf("%s at %g Hz: note %d has %.2f Hz, want %.2f", kind, f, i, n.F0, want)
				}
			}
		}
	}
}

// A leak of known level beside a note, on a C harp: named, and its level within 1 dB; the
// ear's own limit is 3.
func TestOwnReedVoiceLeaks(t *testing.T) {
	const rate = 48000
	for _, under := range []float64{6, 12, 20, 24} {
		for _, pair := range [][2]float64{{60, 64}, {62, 67}, {67, 71}, {71, 74}, {72, 76}, {81, 77}, {79, 84}, {88, 91}} {
			x := synth.Render(rate, 0.8, []synth.Note{{Start: 0.2, End: 0.7, Hz: synth.Steady(hz(pair[0])),
				Leaks: []synth.Leak{{Hz: hz(pair[1]), Level: under}}}}, 3)
			var levels []float64
			frames := hear(t, Config{Rate: rate, Spans: spans(60)}, x).Frames[55:130]
			for _, f := range frames {
				o := f.Others[0]
				if math.Abs(cents(f.F0, hz(pair[0]))) < 10 && o.F0 > 0 && math.Abs(cents(o.F0, hz(pair[1]))) < 15 {
					levels = append(levels, o.Level)
				}
			}
			if len(levels) < len(frames) {
				t.Errorf("MIDI %g with %g %g dB under: named in %d of %d frames", pair[0], pair[1], under, len(levels), len(frames))
				continue
			}
			if l := quantile(levels, 0.5); math.Abs(l+under) > 1 {
				t.Errorf("MIDI %g with %g %g dB under: heard at %.1f dB", pair[0], pair[1], under, l)
			}
		}
	}
}
