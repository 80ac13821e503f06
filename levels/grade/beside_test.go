package grade

import (
	"fmt"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
)

// besides are what may sound beside a player.
func besides(d drill.Drill) map[string][]float32 {
	return map[string][]float32{
		"a fan":          audiotest.Fan(rate, d.Seconds, -30, 5),
		"mains hum":      audiotest.Hum(rate, d.Seconds, 50, -30),
		"somebody talks": audiotest.Babble(rate, d.Seconds, -30, 4),
	}
}

// asked is a drill by its name, or one of three licks.
func asked(t *testing.T, id string) drill.Drill {
	t.Helper()
	switch id {
	case "lick, line":
		return lickOf(t, lesson.Beginner, line()...)
	case "lick, glide":
		return lickOf(t, lesson.Beginner, glided()...)
	case "lick, warble":
		return lickOf(t, lesson.Beginner, shake()...)
	}
	return build(t, id, "C", 0)
}

// With a fan, mains hum or somebody talking, from far under the player to as loud, a good take is
// judged right or could not be heard; it is never told of a fault that was not played. Levels are
// RMS over the take.
func TestGoodTakeBesideNoise(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, id := range []string{"single-2", "long-3", "repeats-3", "turnaround-4", "turnaround-6", "warble-3", "scoop-2", "ladder-3d-3", "octaves-2", "octaves-5",
		"wah-2", "vibrato-2", "blue-2", "aim-2", "answer-2", "lick, line", "lick, glide", "lick, warble"} {
		d := asked(t, id)
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			alone := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{Cents: 5, Scatter: 0.01, Seed: 2}), 2)
			if r := gradeSound(t, d, alone); !r.Passed || r.Share < 1 || r.Extra > 0 {
				t.Fatalf("without noise: passed %v, share %.2f", r.Passed, r.Share)
			}
			for name, noise := range besides(d) {
				for _, under := range []float64{20, 10, 0} {
					r := gradeSound(t, d, audiotest.Beside(alone, noise, under))
					for _, m := range r.Marks {
						if r.Problem == "" && (m.Verdict == Off || m.Verdict == Missing) {
							t.Errorf("%s %g dB under: %s %s is %s, %.3g", name, under, m.Tab, m.Quantity, m.Verdict, m.Heard)
						}
					}
					if !r.Passed && r.Problem == "" || under == 20 && !r.Passed {
						t.Errorf("%s %g dB under: passed %v, %q", name, under, r.Passed, r.Problem)
					}
				}
			}
		})
	}
}

// A faulty take does not pass for what sounds beside it, and what is off by its pitch is still said
// where somebody talks.
func TestFaultyTakeBesideNoise(t *testing.T) {
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, c := range []struct {
		id     string
		faults player.Faults
	}{
		{"single-2", player.Faults{Leak: 6}},
		{"turnaround-4", player.Faults{Late: 0.17}},
		{"turnaround-4", player.Faults{Cents: -60}},
		{"turnaround-4", player.Faults{Drop: 3}},
		{"ladder-3d-3", player.Faults{Deep: 60}},
		{"repeats-3", player.Faults{Held: true}},
		{"octaves-5", player.Faults{Add: 2}},
		{"long-3", player.Faults{Short: 0.5}},
		{"lick, line", player.Faults{Deep: 60}},
		{"lick, glide", player.Faults{Overshoot: 90}},
		{"lick, warble", player.Faults{Duty: 0.75}},
	} {
		t.Run(fmt.Sprintf("%s %+v", c.id, c.faults), func(t *testing.T) {
			t.Parallel()
			d := asked(t, c.id)
			alone := synth.Render(rate, d.Seconds, player.Notes(d, c.faults), 2)
			if r := gradeSound(t, d, alone); r.Passed || r.Problem != "" {
				t.Fatalf("without noise: passed %v, %q", r.Passed, r.Problem)
			}
			for name, noise := range besides(d) {
				for _, under := range []float64{20, 10, 0} {
					r := gradeSound(t, d, audiotest.Beside(alone, noise, under))
					if r.Passed {
						t.Errorf("%s %g dB under: passed with %.2f", name, under, r.Share)
					}
					if under == 20 && r.Problem != "" {
						t.Errorf("%s %g dB under: not judged: %q", name, under, r.Problem)
					}
					if c.faults.Cents != 0 && under == 10 && r.Problem != "" {
						t.Errorf("%s %g dB under, 60 cents flat: not judged: %q", name, under, r.Problem)
					}
				}
			}
		})
	}
}
