package device

import (
	"errors"
	"strings"
	"testing"
)

func TestFaults(t *testing.T) {
	seen := map[string]Fault{}
	for f := Other; f <= NoCapture; f++ {
		words := f.Error()
		if other, ok := seen[words]; ok {
			t.Errorf("faults %d and %d say the same: %q", f, other, words)
		}
		seen[words] = f
		// What happened and what to do are two sentences.
		if strings.Count(words, ". ") < 1 || !strings.HasSuffix(words, ".") {
			t.Errorf("fault %d says %q, want what happened and what to do", f, words)
		}
		err := because(f, "the platform's own words")
		if !errors.Is(err, f) || FaultOf(err) != f || !strings.Contains(err.Error(), "platform's own") {
			t.Errorf("because(%d) = %v, does not hold fault and detail", f, err)
		}
	}
	if f := FaultOf(errors.New("of somebody else")); f != Other {
		t.Errorf("FaultOf(a foreign error) = %v, want Other", f)
	}
	if errors.Is(because(Busy, ""), Missing) {
		t.Error("Busy is Missing")
	}
}

func TestWireless(t *testing.T) {
	for _, c := range []struct {
		name        string
		label       string
		rate, input int
		latency     float64
		want        bool
	}{
		{"built in", "Built-in Audio Analog Stereo", 48000, 48000, 0.03, false},
		{"unknown", "", 44100, 0, 0, false},
		{"by name", "Anna's AirPods", 48000, 48000, 0, true},
		{"call profile by name", "Hands-Free HF Audio", 48000, 48000, 0, true},
		// Rates of the Hands-Free Profile: 8 kHz, 16 kHz with mSBC, 24 or 32 kHz with LC3.
		{"call profile by rate", "Microphone", 48000, 16000, 0, true},
		{"whole context at 16 kHz", "Microphone", 16000, 0, 0, true},
		{"slow output", "Microphone", 48000, 48000, 0.18, true},
	} {
		if got := wireless(c.label, c.rate, c.input, c.latency); got != c.want {
			t.Errorf("%s: wireless = %v, want %v", c.name, got, c.want)
		}
	}
}

func TestInfoKey(t *testing.T) {
	a := Info{Rate: 48000, InputID: "x", InputLabel: "Mic", InputRate: 48000}
	base := a.finish(Options{}).Key
	for name, other := range map[string]string{
		"rate":      Info{Rate: 44100, InputID: "x", InputLabel: "Mic", InputRate: 48000}.finish(Options{}).Key,
		"device":    Info{Rate: 48000, InputID: "y", InputLabel: "Mic", InputRate: 48000}.finish(Options{}).Key,
		"buffering": a.finish(Options{Spare: 0.1}).Key,
	} {
		if other == base {
			t.Errorf("another %s has the same key %q", name, base)
		}
	}
	a.OutputLatency = 0.02 // moves by itself; the key must not
	if k := a.finish(Options{}).Key; k != base {
		t.Errorf("key with another latency = %q, want %q", k, base)
	}
}

func TestWatch(t *testing.T) {
	type poll struct {
		at       float64
		expected bool
		frame    int64
	}
	regular := func(from, to float64, expected bool, frame int64) (p []poll) {
		for at := from; at < to; at += 0.016 {
			p = append(p, poll{at, expected, frame})
		}
		return p
	}
	join := func(runs ...[]poll) (all []poll) {
		for _, r := range runs {
			all = append(all, r...)
		}
		return all
	}
	moving := []poll{{0, true, 1}, {0.016, true, 2}}
	for _, c := range []struct {
		name  string
		polls []poll
		want  bool
	}{
		{"moving", join(moving, regular(0.02, 1.4, true, 2), []poll{{1.41, true, 3}}, regular(1.42, 2.8, true, 3)), false},
		{"stands still for a second and a half", join(moving, regular(0.02, 1.6, true, 2)), true},
		{"suspended for long", join(moving, regular(0.02, 9, false, 2)), false},
		{"the program itself slept", join(moving, []poll{{30, true, 2}, {30.016, true, 2}, {30.03, true, 900}}), false},
		{"slow to open", regular(0, 4, true, 0), false},
		{"never opens", regular(0, 5.2, true, 0), true},
		{"starts late in the caller's time", []poll{{1e6, true, 0}, {1e6 + 0.016, true, 0}}, false},
		{"time runs backwards", join(moving, []poll{{-50, true, 2}, {0, true, 2}, {-50, true, 2}}), false},
	} {
		var w watch
		got := false
		for _, p := range c.polls {
			got = got || w.stalled(p.at, p.expected, p.frame)
		}
		if got != c.want {
			t.Errorf("%s: stalled = %v, want %v", c.name, got, c.want)
		}
	}
}

func TestStateNames(t *testing.T) {
	if got := []string{Opening.String(), Running.String(), Suspended.String(), Failed.String(), Closed.String(), State(9).String()}; strings.Join(got, " ") != "opening running suspended failed closed State(9)" {
		t.Errorf("names = %v", got)
	}
}

func TestJumps(t *testing.T) {
	const rate = 48000
	for _, c := range []struct {
		name  string
		ahead func(frame int) float64 // of the wall clock, in frames
		want  int64
	}{
		{"steady", func(int) float64 { return 700 }, 0},
		// 50 ppm between two crystals over 30 s is 72 frames.
		{"creeping", func(f int) float64 { return float64(f) * 50e-6 }, 0},
		{"ran dry for 45 ms", func(f int) float64 {
			if f > 10*rate {
				return 2160
			}
			return 0
		}, 2160},
		{"ran dry while the device settled", func(f int) float64 {
			if f > rate/2 {
				return 2160
			}
			return 0
		}, 0},
		// The page was busy for 0.9 s: every block of it came in at the end.
		{"late messages", func(f int) float64 {
			if f > 10*rate && f < 10*rate+43000 {
				return float64(10*rate + 43000 - f)
			}
			return 0
		}, 0},
	} {
		var j jumps
		for f := 0; f < 30*rate; f += 1024 {
			jitter := float64(f/1024*37%11) * 30 // 0 to 6 ms of delivery
			j.add(int64(c.ahead(f)+jitter), 1024, rate)
		}
		if d := j.total - c.want; d < -100 || d > 100 {
			t.Errorf("%s: jumps = %d frames, want %d +-100 (2 ms)", c.name, j.total, c.want)
		}
	}
}

// An output may take two seconds of sound at once, and is given up after three.
func TestPatienceWithAnOutput(t *testing.T) {
	for _, c := range []struct {
		still float64
		want  bool
	}{{2.5, false}, {3.1, true}} {
		w, got := watch{patience: soundPatience}, false
		for at := 0.0; at < c.still; at += 0.016 {
			frame := int64(2)
			if at < 0.02 {
				frame = int64(at * 100)
			}
			got = got || w.stalled(at, true, frame)
		}
		if got != c.want {
			t.Errorf("still for %g s: given up is %v, want %v", c.still, got, c.want)
		}
	}
}
