package drill

import (
	"math"
	"testing"

	"reedwell/levels/harp"
)

// The blue third lies between 3 draw and its half step, clear of both, whatever the key, the tuning and
// the reeds; on a harp in equal temperament it is the zone of the windows over the root.
func TestBlueThirdLiesBetweenTwoRungs(t *testing.T) {
	check := func(name string, h harp.Harp, g Grade, exact bool) {
		t.Helper()
		w := WindowsFor(g)
		hz, half := blueThird(h, w)
		root, _ := h.Hz(harp.Note{Hole: 2, Breath: harp.Draw})
		natural, _ := h.Hz(blueReed(0))
		rung, _ := h.Hz(blueReed(1))
		low, high := harp.Cents(hz, root)-half, harp.Cents(hz, root)+half
		if over := harp.Cents(natural, root) - high; over < offRung-1e-6 {
			t.Errorf("%s, %v: %.1f cents under 3 draw", name, g, over)
		}
		if under := low - harp.Cents(rung, root); under < offRung-1e-6 || half < leastZone/2-1e-6 {
			t.Errorf("%s, %v: %.1f cents over the half step, %.1f to either side", name, g, under, half)
		}
		if exact && (math.Abs(low-w.ZoneLow) > 1e-6 || math.Abs(high-w.ZoneHigh) > 1e-6) {
			t.Errorf("%s, %v: from %.1f to %.1f cents, want %g to %g", name, g, low, high, w.ZoneLow, w.ZoneHigh)
		}
	}
	for _, g := range []Grade{Beginner, Steady, Strong} {
		for _, key := range harp.Keys() {
			check(key.String(), harp.New(key), g, true)
		}
		for _, tuning := range harp.Tunings() {
			check(tuning.String(), harp.Harp{Tuning: tuning}, g, false)
		}
		for _, c := range [][2]float64{{-60, 60}, {60, -60}, {20, 20}, {-35, 10}} {
			h := harp.New(harp.Key{})
			h.Profile.Draw[1], h.Profile.Draw[2] = c[0], c[1]
			check("own reeds", h, g, false)
		}
	}
}

// The zone holds the neutral third and, at its widest, comes near the cluster that was measured: 319.1
// cents over the tonic (Cutting, Empirical Musicology Review 13, abstract), and 350, half way.
func TestBlueZoneHoldsWhatWasMeasured(t *testing.T) {
	for _, g := range []Grade{Beginner, Steady, Strong} {
		w := WindowsFor(g)
		if w.ZoneHigh < 350 || w.ZoneLow > 319.1+1 || w.ZoneLow <= 300 || w.ZoneHigh >= 400 {
			t.Errorf("%v: %g to %g", g, w.ZoneLow, w.ZoneHigh)
		}
	}
}

// Each touching pair of an octave drill is the same note name, twelve half steps apart.
func TestOctavesAreOctaves(t *testing.T) {
	jumps := 0
	for _, s := range List() {
		if s.Family != Octaves {
			continue
		}
		d := build(t, Spec{ID: s.ID})
		for i := 1; i < len(d.Targets); i++ {
			a, b := d.Targets[i-1], d.Targets[i]
			if b.Start-a.End > 1e-9 {
				continue
			}
			switch step := b.Note.Semitones() - a.Note.Semitones(); step {
			case 12, -12:
				jumps++
			default:
				if a.Beats <= 1 || s.ID == "octaves-5" || s.ID == "octaves-6" {
					continue // a new pair begins
				}
				t.Errorf("%s: %s to %s is %d half steps", s.ID, a.Note.Tab(), b.Note.Tab(), step)
			}
		}
	}
	if jumps < 30 {
		t.Errorf("only %d octave jumps", jumps)
	}
}

// At every tempo each wave has a speed that a throat or a hand can have and the ear can hear, and long
// enough to show three of them.
func TestWavesCanBeSwung(t *testing.T) {
	for _, s := range List() {
		if s.Family != Vibrato && s.Family != Wah {
			continue
		}
		want := Throat
		if s.Family == Wah {
			want = Hand
		}
		for _, tempo := range []float64{MinTempo, 47, s.Tempo, 133, 190, MaxTempo} {
			for i, target := range build(t, Spec{ID: s.ID, Tempo: tempo}).Targets {
				rate := target.Wave.Rate(tempo)
				if target.Wave.By != want || rate != 0 && (rate < slowestWave || rate > quickest) || rate > 0 && rate*(target.End-target.Start) < 3 {
					t.Errorf("%s at %g, target %d: %+v, %.2f a second for %.2f s", s.ID, tempo, i, target.Wave, rate, target.End-target.Start)
				}
			}
		}
	}
}

// What is called is what is asked, a phrase later, and the player has a rest before it. Nothing is
// asked while a call sounds.
func TestCallsComeBeforeTheirAnswers(t *testing.T) {
	for _, s := range List() {
		if s.Family != Aim && s.Family != Answer {
			continue
		}
		d := build(t, Spec{ID: s.ID})
		if !d.ByEar || d.Unseen != (s.Family == Aim) || len(d.Calls) != len(d.Targets) || len(d.Called()) < 3 {
			t.Fatalf("%s: by ear %v, unseen %v, %d calls for %d targets in %d phrases", s.ID, d.ByEar, d.Unseen, len(d.Calls), len(d.Targets), len(d.Called()))
		}
		apart := d.Targets[0].Beat - d.Calls[0].Beat
		for i, c := range d.Calls {
			target := d.Targets[i]
			if c.Note != target.Note || c.Hz != target.Hz || math.Abs(target.Beat-c.Beat-apart) > 1e-6 || math.Abs(c.Beats-target.Beats) > 1e-9 {
				t.Errorf("%s: call %d %+v, target %+v", s.ID, i, c, target)
			}
			if d.Calling(target.Start) || d.Calling(target.Start-0.2) || !d.Calling(c.Start) || !d.Calling(c.End-0.01) {
				t.Errorf("%s: note %d is taken for a call, or its call is not", s.ID, i)
			}
		}
	}
	if d := build(t, Spec{ID: "single-1"}); d.ByEar || d.Calling(5) {
		t.Error("single notes have a call")
	}
}

// A part of a drill keeps the calls of its bars.
func TestPartKeepsItsCalls(t *testing.T) {
	d := build(t, Spec{ID: "answer-2"})
	p, err := Part(d, 3, 4)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Calls) != len(p.Targets) || p.Calls[0].Beat != 0 || math.Abs(p.Calls[0].Start-p.Time(0)) > 1e-9 {
		t.Errorf("calls %+v of targets %+v", p.Calls, p.Targets)
	}
}

func TestEchoRefuses(t *testing.T) {
	for _, text := range []string{"-4:2 r:1", "-4:4", "r:4", "-4:3 r:2", "-4:2 r:2 | -4:2"} {
		line, err := steps(text)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := echo(line, 4); err == nil {
			t.Errorf("echo(%q) = %v, want an error", text, got)
		}
	}
	for _, text := range []string{"-4:2v0", "-4:2w99", "-4:2vx", "-4@200:1", "-4@x:1", "b4:1"} {
		if got, err := steps(text); err == nil {
			t.Errorf("steps(%q) = %v, want an error", text, got)
		}
	}
}

// The windows of these families get narrower too.
func TestNewWindowsNarrow(t *testing.T) {
	last := WindowsFor(Beginner)
	for _, g := range []Grade{Steady, Strong} {
		w := WindowsFor(g)
		if w.ZoneLow <= last.ZoneLow || w.ZoneHigh >= last.ZoneHigh || w.Inside <= last.Inside || w.Land >= last.Land || w.Touched > last.Touched ||
			w.Swing <= last.Swing || w.Cup <= last.Cup || w.Seek >= last.Seek {
			t.Errorf("%v is not narrower: %+v after %+v", g, w, last)
		}
		last = w
	}
}
