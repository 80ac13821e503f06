//go:build !js

package corpus

import (
	"math"
	"slices"
	"testing"

	"reedwell/audio/audiotest"
)

func files(t *testing.T, half Half, p Pick) []File {
	t.Helper()
	fs, err := Files(half, p)
	if err != nil {
		t.Fatal(err)
	}
	if len(fs) == 0 {
		t.Fatalf("no files in %+v of %s", p, half)
	}
	return fs
}

func TestHalvesShareNoHarpOfAVoice(t *testing.T) {
	for _, voice := range []string{"FluidR3", "TimGM6mb", Reed, Weak} {
		a, b := plan(Tuning, voice), plan(Figures, voice)
		if len(a) == 0 || len(b) == 0 {
			t.Errorf("%s: %d harps to tune on, %d for figures", voice, len(a), len(b))
		}
		for _, k := range a {
			if slices.Contains(b, k) {
				t.Errorf("%s: harp %d is in both halves", voice, k)
			}
		}
	}
}

func TestSameCallSameSamples(t *testing.T) {
	for _, voice := range []string{Reed, Weak} {
		p := Pick{Voice: voice, Kinds: []Kind{Scoop, Pair}}
		a, b := files(t, Tuning, p)[0], files(t, Tuning, p)[0]
		for _, c := range Conditions() {
			if !slices.Equal(a.In(c), b.In(c)) {
				t.Errorf("%s, %s: two calls differ", voice, c)
			}
		}
	}
}

// What is overdriven is the sound itself up to full scale, which lies 3 dB under the peak of the sound in the middle.
func TestOverdrivenIsCutOff(t *testing.T) {
	f := files(t, Tuning, Pick{Voice: Reed, Kinds: []Kind{Natural, Pair}})[0]
	loud := f.In(Loud)
	quiet := slices.IndexFunc(loud, func(v float32) bool { return v > 0.1 && v < 0.5 })
	full := float64(f.Samples[quiet] / loud[quiet])
	for n, v := range f.Samples {
		if want := max(-1, min(1, float64(v)/full)); math.Abs(float64(loud[n])-want) > 1e-5 {
			t.Fatalf("sample %d: %g became %g, want %g", n, v, loud[n], want)
		}
	}
	var peaks []float64
	for _, s := range f.Sounds {
		x := f.Samples[at(s.Start):at(s.Off)]
		peaks = append(peaks, math.Max(float64(slices.Max(x)), -float64(slices.Min(x))))
	}
	slices.Sort(peaks)
	if over := 20 * math.Log10(peaks[len(peaks)/2]/full); math.Abs(over-3) > 0.01 {
		t.Errorf("the sound in the middle is overdriven by %.2f dB, want 3", over)
	}
}

// The pitch that refer finds against what our own voices were asked for: they do it.
func TestReferFindsWhatWasAsked(t *testing.T) {
	f := files(t, Figures, Pick{Voice: Weak})[0]
	for _, s := range f.Sounds {
		own := f.strays(s)
		for i := 5; i+5 < len(own); i++ {
			at := s.On + float64(i)/1000
			if at < s.Start+0.06 || at > s.Off-0.02 {
				continue
			}
			// The mean of 10 ms: of single values breath noise, 29 dB under the fundamental, moves some by 3 cents.
			c := 0.0
			for _, v := range own[i-5 : i+5] {
				c += v / 10
			}
			// Cents. A moving pitch moves the lines off the window's zeros.
			limit := 2.0
			if at < s.On+0.25 {
				limit = 5
			}
			if math.Abs(c) > limit {
				t.Errorf("key %d: %.1f cents from what was asked at %.3f s", s.Key, c, at)
				break
			}
		}
	}
}

// The true pitch of a sampled natural against its period, measured by autocorrelation of the
// whole.
func TestTruthOfSampledNaturals(t *testing.T) {
	audiotest.NeedFonts(t)
	f := files(t, Figures, Pick{Voice: "TimGM6mb", Harps: []int{60}, Kinds: []Kind{Natural}})[0]
	for _, s := range f.Sounds {
		from, to := s.Start+0.1, s.Off-0.02
		hz, n := 0.0, 0
		for at := from; at < to; at += 0.001 {
			hz += s.Hz(at)
			n++
		}
		hz /= float64(n)
		got := audiotest.Period(f.Samples[at(from):at(to)], Rate, audiotest.Hz(float64(s.Key)))
		// 0.5 cents: samples waver by that.
		if c := 1200 * math.Log2(got/hz); math.Abs(c) > 0.5 {
			t.Errorf("key %d: truth is %.2f Hz, period says %.2f", s.Key, hz, got)
		}
	}
}

// A room moves the level of the second hole, not by more than its own waves can.
func TestUnderInARoom(t *testing.T) {
	f := files(t, Tuning, Pick{Voice: Reed, Harps: []int{60}, Kinds: []Kind{Pair}})[0]
	for _, s := range f.Sounds {
		if got := f.Under(s, Clean); got != s.Under {
			t.Errorf("clean: %.1f dB under, want %.1f", got, s.Under)
		}
		if got := f.Under(s, Room); math.Abs(got-s.Under) > 10 {
			t.Errorf("room: %.1f dB under, %.1f without", got, s.Under)
		}
	}
}
