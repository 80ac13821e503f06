package stage

import (
	"math"
	"testing"

	"reedwell/audio/synth"
	"reedwell/game/session"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// levels are the root mean square of a sound in dBFS (1 is full scale), peak its greatest sample, and
// between what four samples for each one reach.
func levels(x []float32) (level, peak, between float64) {
	sum, top := 0.0, 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
		top = math.Max(top, math.Abs(float64(v)))
	}
	db := func(a float64) float64 { return 20 * math.Log10(a) }
	over := top
	for i := reach; i < len(x)-reach; i++ {
		if math.Abs(float64(x[i])) < top/2 { // a peak between samples has one of half its height beside it
			continue
		}
		for k := 1; k < 4; k++ {
			over = math.Max(over, math.Abs(interpolated(x, i, float64(k)/4)))
		}
	}
	return db(math.Sqrt(sum / float64(len(x)))), db(top), db(over)
}

// reach is how many samples on either side make the value between two.
const reach = 16

// interpolated is the value of a sound at i plus a part of a sample, by a sine over its argument under a
// window of Hann: the fourfold oversampling of ITU-R BS.1770-4, annex 2, with more samples than its filter.
func interpolated(x []float32, i int, part float64) float64 {
	sum := 0.0
	for k := 1 - reach; k <= reach; k++ {
		d := part - float64(k)
		sum += float64(x[i+k]) * math.Sin(math.Pi*d) / (math.Pi * d) * (0.5 + 0.5*math.Cos(math.Pi*d/reach))
	}
	return sum
}

// What goes out at each volume: the band, a click alone, and a model over the band. Measured at 48 kHz over
// all turnarounds; -v shows what each comes to.
func TestVolume(t *testing.T) {
	const rate = 48000
	for _, s := range drill.List() {
		if s.Family != drill.Turnaround && s.ID != "single-1" || testing.Short() && s.ID != "turnaround-4" && s.ID != "single-1" {
			continue
		}
		d, err := drill.Build(drill.Spec{ID: s.ID})
		if err != nil {
			t.Fatal(err)
		}
		plain := band.Render(d, rate)
		model := sounded(plain, 0, rate)
		synth.Mix(model, synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), demoSeed), 0, 0)
		for _, what := range []struct {
			name  string
			sound []float32
			most  float64 // dB that limiting may take from its level
		}{{"band", plain, 0.1}, {"model", model, 2}} {
			normal, _, _ := levels(what.sound)
			for _, v := range []session.Volume{session.QuietVolume, session.NormalVolume, session.LoudVolume} {
				level, peak, between := levels(sounded(what.sound, v.Gain(), rate))
				t.Logf("%s %s %q: %.1f dBFS, peak %.2f, between samples %.2f", s.ID, what.name, v, level, peak, between)
				if peak > outCeiling+1e-4 || between > 0 {
					t.Errorf("%s, %s at %q: peak %.3f dBFS and %.3f between samples, want %g and 0 at most", s.ID, what.name, v, peak, between, outCeiling)
				}
				if off := level - normal - v.Gain(); off > 0.01 || off < -what.most {
					t.Errorf("%s, %s at %q: %.2f dBFS, want %g dB over %.2f", s.ID, what.name, v, level, v.Gain(), normal)
				}
			}
		}
	}
}

// Whatever comes in, at whatever volume, nothing passes the ceiling, and what came in is left as it was.
func TestSoundedNeverPassesTheCeiling(t *testing.T) {
	top := float32(math.Pow(10, outCeiling/20))
	for _, rate := range []int{16000, 48000, 96000} {
		for _, amp := range []float32{0, 0.01, 0.5, 1, 20} {
			x := make([]float32, rate/4)
			for i := range x {
				x[i] = amp * float32(math.Sin(2*math.Pi*440*float64(i)/float64(rate)))
				if i%3001 == 0 {
					x[i] = -amp
				}
			}
			first := x[3001]
			for _, gain := range []float64{-12, 0, 6} {
				out := sounded(x, gain, rate)
				for i, v := range out {
					if !(v <= top*1.00001 && v >= -top*1.00001) {
						t.Fatalf("%d Hz, amplitude %g, %g dB: sample %d is %g", rate, amp, gain, i, v)
					}
				}
			}
			if x[3001] != first {
				t.Error("what was given was changed")
			}
		}
	}
	if len(sounded(nil, 6, 48000)) != 0 {
		t.Error("nothing became something")
	}
}

// A louder band disturbs and spills sooner, by just as many dB.
func TestBalanceKnowsTheVolume(t *testing.T) {
	b := balance{1.2, -20, true} // at normal volume the band comes 1.6 dB over the player: see TestDisturbs
	if b.disturbs(0) || !b.disturbs(session.LoudVolume.Gain()) {
		t.Error("a band 6 dB louder is left out, and one at normal volume is not")
	}
	b = balance{0.06, -20, true} // 24.4 dB under the player
	if !b.spills(nil, true, 0) || b.spills(nil, true, session.QuietVolume.Gain()) || b.spills(nil, false, 0) || !(&balance{0.6, -20, true}).spills(nil, false, session.LoudVolume.Gain()) {
		t.Error("what is taken out of the take does not go by the volume")
	}
}
