package grade

import (
	"math"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/synth"
	"reedwell/levels/player"
)

// cutOff is x as a microphone gives it that is overdriven by so many dB at the loudest: its tops cut off, at full scale.
func cutOff(x []float32, over float64) []float32 {
	return audiotest.CutOff(x, audiotest.Peak(x)*float32(math.Pow(10, -over/20)))
}

// Whatever is played into a microphone that is overdriven, nobody is told of a fault that was not played, and no fault passes.
func TestOverdrivenMicrophone(t *testing.T) {
	if testing.Short() { // under node, where 150 takes are too many; natively it always runs
		t.Skip("long; it runs natively")
	}
	takes := []player.Faults{{Cents: 5, Scatter: 0.01, Seed: 2}, {Leak: 6}, {Leak: 15}}
	for _, id := range []string{"single-2", "turnaround-4", "warble-3", "scoop-2", "ladder-3d-3", "octaves-2", "octaves-5", "wah-4", "aim-2", "lick, glide"} {
		d := asked(t, id)
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			for _, f := range takes {
				alone := synth.Render(rate, d.Seconds, player.Notes(d, f), 2)
				right := gradeSound(t, d, cutOff(alone, 0))
				if right.Overdriven {
					t.Errorf("leak %g: overdriven just under full scale", f.Leak)
				}
				off := map[Quantity]bool{}
				for _, m := range right.Marks {
					off[m.Quantity] = off[m.Quantity] || m.Verdict != Good
				}
				for _, over := range []float64{1, 3, 6, 12} {
					r := gradeSound(t, d, cutOff(alone, over))
					for _, m := range r.Marks {
						if (m.Verdict == Off || m.Verdict == Missing) && !off[m.Quantity] {
							t.Errorf("leak %g, overdriven by %g dB: %s %s is %s, %.3g: %s", f.Leak, over, m.Tab, m.Quantity, m.Verdict, m.Heard, m.Advice)
						}
					}
					switch {
					case r.Passed && !right.Passed:
						t.Errorf("leak %g, overdriven by %g dB: passed with %.2f", f.Leak, over, r.Share)
					case right.Passed && !r.Passed && r.Problem != tooLoud:
						t.Errorf("leak %g, overdriven by %g dB: not passed, %q", f.Leak, over, r.Problem)
					case over >= 3 && !r.Overdriven:
						t.Errorf("leak %g, overdriven by %g dB: not noticed", f.Leak, over)
					case right.Passed && over == 1 && !r.Passed:
						t.Errorf("leak %g, overdriven by %g dB: not passed", f.Leak, over)
					}
				}
			}
		})
	}
}
