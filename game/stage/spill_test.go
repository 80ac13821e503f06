//go:build !js

package stage_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"reedwell/audio/audiotest"
	"reedwell/audio/listen"
	"reedwell/audio/spill"
	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/grade/gradetest"
	"reedwell/levels/player"
)

// A place is a loudspeaker in a room with a microphone.
type place struct {
	name  string
	low   float64 // Hz under which the loudspeaker gives nothing; 0 for a straight one
	high  float64 // Hz over which it gives nothing
	bend  float64 // harmonic distortion of a loud sine, as a factor
	decay float64 // seconds in which the room falls by 60 dB
	wet   float64 // dB of the room relative to the direct sound
	noise float64 // dBFS of the microphone's own noise
}

func places() []place {
	return []place{
		{"straight, dry", 0, 0, 0, 0.02, -40, -75},
		{"laptop on a table", 200, 7000, 0.01, 0.2, -6, -65},
		{"laptop in a living room", 200, 7000, 0.01, 0.4, -3, -60},
		{"small speaker in a bare room", 90, 12000, 0.01, 0.6, 0, -60},
	}
}

// hears is what the microphone picks up of what is played, for as many frames, of no
// particular level.
func (p place) hears(played []float32, rate int, seed uint64) []float32 {
	x := make([]float64, len(played))
	peak := 0.0
	for _, v := range played {
		peak = math.Max(peak, math.Abs(float64(v)))
	}
	for i, v := range played {
		u := float64(v) / peak
		x[i] = u + 2*p.bend*u*u + 4*p.bend*u*u*u // of cos: bend at the second and at the third harmonic
	}
	n := 1
	for n < len(x)+rate {
		n *= 2
	}
	rng := rand.New(rand.NewPCG(seed, 11))
	h := make([]float64, n)
	e := 0.0
	for i := int(0.003 * float64(rate)); i < int(p.decay*float64(rate)); i++ {
		h[i] = rng.NormFloat64() * math.Pow(10, -3*float64(i)/(p.decay*float64(rate)))
		e += h[i] * h[i]
	}
	for i := range h {
		h[i] *= math.Pow(10, p.wet/20) / math.Sqrt(e)
	}
	h[rate/1000]++ // 34 cm to the microphone
	f := fourier.NewFFT(n)
	xs := f.Coefficients(nil, append(x, make([]float64, n-len(x))...))
	for i, v := range f.Coefficients(nil, h) {
		xs[i] *= v
		hz := float64(i) * float64(rate) / float64(n)
		if p.low > 0 { // Butterworth, second order each way, with its phase
			s := complex(0, hz/p.low)
			xs[i] *= s * s / (1 + complex(math.Sqrt2, 0)*s + s*s)
			s = complex(0, hz/p.high)
			xs[i] *= 1 / (1 + complex(math.Sqrt2, 0)*s + s*s)
		}
	}
	out := make([]float32, len(played))
	for i, v := range f.Sequence(nil, xs)[:len(out)] {
		out[i] = float32(v)
	}
	return out
}

func marksOf(t *testing.T, d drill.Drill, rate int, sound []float32) grade.Result {
	t.Helper()
	heard, err := listen.Hear(grade.Ear(d, rate), sound)
	if err != nil {
		t.Fatal(err)
	}
	return grade.Take(d, heard)
}

// With the loudspeaker so loud that a band reaches the microphone at the player's own level, what
// was played is taken out and marks are those without it: 5 cents, 10 ms, the same verdicts. Each
// family that is played in time in one place at least; more combinations are in
// audio/spill/FIGURES.md.
func TestSpillMarks(t *testing.T) {
	const rate = 48000
	at := places()
	for _, c := range []struct {
		id    string
		place int
	}{
		{"turnaround-4", 1}, {"turnaround-6", 2}, {"turnaround-2", 3}, {"repeats-6", 2},
		{"warble-3", 2}, {"scoop-3", 3}, {"single-4", 3}, {"ladder-3d-3", 1}, {"long-6", 1},
	} {
		if testing.Short() && c.id != "turnaround-4" { // the rest is a minute of work
			continue
		}
		d, err := drill.Build(drill.Spec{ID: c.id})
		if err != nil {
			t.Fatal(err)
		}
		p := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Cents: 5, Scatter: 0.015, Seed: 1}), 1)
		b := band.Render(d, rate)
		noise := audiotest.White(rate, d.Seconds+1, at[c.place].noise, uint64(c.place))[:len(p)]
		alone := audiotest.Sum(p, noise)
		const bandLevel = -20 // dBFS of a band over all drills, see loud.go; a click is as much softer here as there
		leaked := audiotest.Scaled(at[c.place].hears(b, rate, uint64(c.place)), audiotest.Level(p)+audiotest.Level(b)-bandLevel)
		rest, report := spill.Remove(audiotest.Sum(alone, leaked), b, rate, spill.Options{})
		got := gradetest.Between(marksOf(t, d, rate, alone), marksOf(t, d, rate, rest))
		t.Logf("%s, %s: %v", c.id, at[c.place].name, got)
		if !report.Confident || !got.Near() {
			t.Errorf("%s, %s: %v; want 5 cents and 10 ms at most, the same verdicts: %+v", c.id, at[c.place].name, got, report)
		}
	}
}

// The band alone earns no note, and what is played to headphones is left untouched.
func TestSpillWithoutPlayerOrLoudspeaker(t *testing.T) {
	const rate = 48000
	d, err := drill.Build(drill.Spec{ID: "turnaround-4"})
	if err != nil {
		t.Fatal(err)
	}
	b := band.Render(d, rate)
	noise := audiotest.White(rate, d.Seconds+1, -65, 1)[:len(b)]
	leaked := audiotest.Scaled(places()[1].hears(b, rate, 1), -21)
	rest, _ := spill.Remove(audiotest.Sum(leaked, noise), b, rate, spill.Options{})
	r := marksOf(t, d, rate, rest)
	for _, n := range r.Notes {
		if n.Heard != "" {
			t.Logf("the band alone: note %d was heard as %s, good %v", n.Target, n.Heard, n.Good)
		}
		if n.Good {
			t.Errorf("the band alone: note %d is good", n.Target)
		}
	}
	if r.Passed {
		t.Error("the band alone has passed")
	}
	alone := audiotest.Sum(synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 1), noise)
	if rest, report := spill.Remove(alone, b, rate, spill.Options{}); report.Confident || !slices.Equal(rest, alone) {
		t.Errorf("headphones: %+v, want the take untouched", report)
	}
}

// Over a loudspeaker as loud as the player the band sounds, and the take that is kept has the
// marks of one with headphones. It is heard again in pieces, and the player is told how far that
// has come.
func TestBandAtThePlayersLevel(t *testing.T) {
	for _, id := range []string{"turnaround-4", "turnaround-6"} {
		d, err := drill.Build(drill.Spec{ID: id})
		if err != nil {
			t.Fatal(err)
		}
		r := speaker(t, 1, d.ID)
		r.perform = func(d drill.Drill) []float32 {
			p := well(player.Faults{Cents: 5, Scatter: 0.015, Seed: 1})(d)
			return audiotest.Sum(p, audiotest.White(48000, d.Seconds+1, -70, 1)[:len(p)]) // and the microphone's own noise
		}
		told := map[string]bool{}
		listened := func(press string) (polls int) {
			r.press(press)
			r.wait(1)
			if press == "again" {
				r.never("only the click sounds")
			}
			for all := 0; r.screen.Name != "result"; all++ {
				if all > 3000 {
					t.Fatal("the take does not come to an end")
				}
				r.wait(0.04)
				if i, ok := r.item("count"); ok && strings.HasPrefix(i.Label, "Listening to your take") {
					told[i.Label] = true
					polls++
				}
			}
			return polls
		}
		first := listened("play") // the player is not known yet
		clear(told)
		next := listened("again")
		if len(told) < 10 {
			t.Errorf("%s: of listening to the take the player is told %v, want it in small steps", id, told)
		}
		dry := marksOf(t, d, 48000, r.perform(d))
		if got := gradetest.Between(dry, r.saved()); !got.Near() {
			t.Errorf("%s: with the band as loud as the player marks moved by %v; want 5 cents and 10 ms at most", id, got)
		}
		// What the first take told of the loudspeaker, the next is spared to look for.
		if next > first/2 {
			t.Errorf("%s: the next take was listened to for %d pictures, want half of the first's %d at most", id, next, first)
		}
	}
}
