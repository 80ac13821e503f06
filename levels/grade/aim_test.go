package grade

import (
	"math"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/band"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// What is done on the way to a tone is what is reported of it, on a rung or between two. Tolerances as
// for any bend: 2 cents, 50 ms.
func TestAimClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"met", "aim-2", player.Faults{}, Pitch, nil, 0, 2},
		{"met between the rungs", "aim-4", player.Faults{}, Pitch, nil, 0, 2},
		{"12 too deep", "aim-4", player.Faults{Deep: 12}, Pitch, bent, -12, 2},
		{"30 too deep", "aim-2", player.Faults{Deep: 30}, Pitch, bent, -30, 2},
		{"20 too high", "aim-3", player.Faults{Deep: -20}, Pitch, bent, 20, 2},
		{"45 too high", "aim-5", player.Faults{Deep: -45}, Pitch, bent, 45, 2},
		{"the natural reed as it is", "aim-2", player.Faults{Deep: 30}, Pitch, natural, 0, 2},
		{"10 sharp, blow bends too", "aim-6", player.Faults{Cents: 10}, Pitch, nil, 10, 2},
		{"at once", "aim-4", player.Faults{}, Settle, nil, 0.02, 0.05},
		// The last 15 of 100 cents count as there.
		{"after half a second", "aim-1", player.Faults{Search: 0.6}, Settle, bent, 0.51, 0.05},
		{"after 1.3 s", "aim-1", player.Faults{Search: 1.5}, Settle, bent, 1.28, 0.06},
		{"and met all the same", "aim-1", player.Faults{Search: 1.5}, Pitch, bent, 0, 3},
		{"half a second late", "aim-2", player.Faults{Late: 0.5}, Find, nil, 0.5, 0.010},
		{"300 ms early", "aim-2", player.Faults{Late: -0.3}, Find, nil, -0.3, 0.010},
		{"wavers by 10", "aim-3", player.Faults{Waver: 10}, Spread, nil, 10, 1.5},
		{"half of the length", "aim-2", player.Faults{Short: 0.5}, Length, nil, 0.5, 0.02},
		{"leak 10 dB under", "aim-1", player.Faults{Leak: 10}, Leak, nil, -10, 3},
	})
}

func TestAimWrongPlaying(t *testing.T) {
	t.Parallel()
	wrong(t, []string{"aim-1", "aim-4"}, []fault{
		{"too deep", player.Faults{Deep: 47}, "too deep: hum it first"},
		{"too high", player.Faults{Deep: -47}, "too high: hum it first"},
		{"flat", player.Faults{Cents: -60}, "too deep"},
		{"sharp", player.Faults{Cents: 60}, ""},
		{"found too late", player.Faults{Search: 2.2}, "to settle"},
		{"much too late", player.Faults{Late: 1}, ""},
		{"wavering", player.Faults{Waver: 30}, "wavers"},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"missing", player.Faults{Drop: 2}, "not played"},
		{"extra", player.Faults{Add: 1}, ""},
		{"out of breath", player.Faults{Short: 0.7}, "of its time"},
	})
	// The natural reed in place of every tone.
	d := build(t, "aim-2", "C", 0)
	notes := player.Notes(d, player.Faults{})
	for i, target := range d.Targets {
		natural := target.Note
		natural.Bend = 0
		hz, err := d.Harp.Hz(natural)
		if err != nil {
			t.Fatal(err)
		}
		notes[i].Hz = synth.Steady(hz)
	}
	if r := gradeSound(t, d, synth.Render(rate, d.Seconds, notes, 0)); r.Passed || r.Share > 0.3 {
		t.Errorf("not bent at all: passed %v with %.2f", r.Passed, r.Share)
	}
	nothing(t, []string{"aim-1", "aim-2", "aim-6"})
}

// over mixes the backing, with the calls in it, into what is played, so many dB under its own level.
func over(d drill.Drill, played []float32, gain float64) []float32 {
	out := append([]float32(nil), played...)
	synth.Mix(out, band.Render(d, rate), 0, gain)
	synth.Limit(rate, out, -1)
	return out
}

// A call that comes back over a loudspeaker, softer than the player or louder, is not taken for the
// answer, and the answer after it is graded as it would be without; nor is it enough to sound with it.
func TestCallsAreNotAnswers(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("long; it runs natively")
	}
	for _, id := range []string{"aim-2", "aim-4", "answer-2", "answer-3", "answer-5", "answer-6"} {
		d := build(t, id, "A", 0)
		played := synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 0)
		for _, gain := range []float64{-24, -12, 0} {
			if r := gradeSound(t, d, over(d, played, gain)); !r.Passed || r.Share < 0.95 {
				t.Errorf("%s with the calls at %g dB: passed %v with %.2f, %v", id, gain, r.Passed, r.Share, r.Summary)
			}
		}
		// Along with the call, and silent after it.
		along := d
		along.Targets = d.Calls
		r := gradeSound(t, d, synth.Render(rate, d.Seconds, player.Notes(along, player.Faults{}), 0))
		if r.Passed || r.Share > 0.2 {
			t.Errorf("%s played along with the call: passed %v with %.2f", id, r.Passed, r.Share)
		}
	}
}

// What is sounded is what is asked after it, to the cent, and nothing sounds over the answer but the
// click: the backing alone has the pitches of the targets, one phrase earlier.
func TestCallSoundsTheTarget(t *testing.T) {
	for _, id := range []string{"aim-4", "answer-4"} {
		d := build(t, id, "low D", 0)
		asked := d
		asked.Targets, asked.Calls = d.Calls, nil
		for i, c := range d.Calls {
			if c.Hz != d.Targets[i].Hz || math.Abs(c.Beats-d.Targets[i].Beats) > 1e-9 {
				t.Fatalf("%s: call %d is not its target", id, i)
			}
		}
		r := gradeSound(t, asked, band.Render(d, rate))
		for i := range asked.Targets {
			if r.Notes[i].Heard == "" {
				t.Errorf("%s: call %d is not heard", id, i)
			}
		}
		for _, v := range values(asked, r, Pitch, nil) {
			if math.Abs(v) > 2 {
				t.Errorf("%s: a call is %.1f cents off", id, v)
			}
		}
	}
}
