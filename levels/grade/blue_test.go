package grade

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

func isZone(t drill.Target) bool    { return t.Zone > 0 }
func isPlain(t drill.Target) bool   { return t.Zone == 0 && t.Note.Bend == 0 }
func fromAbove(t drill.Target) bool { return t.Zone > 0 && t.Join == drill.Glide }
func direct(t drill.Target) bool    { return t.Zone > 0 && t.Join == drill.Tongued }

// What is done to a blue third is what is reported of it, over the root: in the middle of its zone
// 340 cents. Tolerances as for any bend: 2 cents, 50 ms.
func TestBlueClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"in the middle", "blue-1", player.Faults{}, Third, isZone, 340, 2},
		{"in the middle, straight in", "blue-5", player.Faults{}, Third, isZone, 340, 2},
		{"15 deeper", "blue-1", player.Faults{Deep: 15}, Third, isZone, 325, 2},
		{"28 deeper, straight in", "blue-2", player.Faults{Deep: 28}, Third, isZone, 312, 2},
		{"40 deeper is the half step", "blue-4", player.Faults{Deep: 40}, Third, isZone, 300, 2},
		{"15 higher", "blue-2", player.Faults{Deep: -15}, Third, isZone, 355, 2},
		{"28 higher, from above", "blue-1", player.Faults{Deep: -28}, Third, isZone, 368, 2},
		{"50 higher", "blue-5", player.Faults{Deep: -50}, Third, isZone, 390, 2},
		{"the natural reed as it is", "blue-1", player.Faults{Deep: -28}, Pitch, isPlain, 0, 2},
		{"all in it", "blue-4", player.Faults{}, Inside, isZone, 1, 0},
		{"all in it near its edge", "blue-1", player.Faults{Deep: -25}, Inside, isZone, 1, 0.02},
		// 60 cents in 120 ms: the upper edge, 30 cents off the middle, is passed half way.
		{"there at half of a glide", "blue-1", player.Faults{}, Settle, fromAbove, 0.06, 0.05},
		{"there at half of a slow glide", "blue-1", player.Faults{Glide: 0.6}, Settle, fromAbove, 0.30, 0.06},
		{"at once", "blue-2", player.Faults{}, Settle, direct, 0.01, 0.03},
		{"300 ms late", "blue-2", player.Faults{Late: 0.3}, Find, direct, 0.3, 0.010},
		{"leak 10 dB under", "blue-1", player.Faults{Leak: 10}, Leak, isZone, -10, 3},
		{"half of the length", "blue-2", player.Faults{Short: 0.5}, Length, direct, 0.5, 0.04},
	})
}

// wander sounds a drill with each blue third leaving its zone for so much of its time, at its end.
func wander(d drill.Drill, share, cents float64) []synth.Note {
	notes := player.Notes(d, player.Faults{})
	for i, target := range d.Targets {
		if target.Zone == 0 {
			continue
		}
		out := target.End - share*(target.End-target.Start)
		n := &notes[i]
		low := target.Hz * math.Exp2(cents/1200)
		n.Hz = append(n.Hz, synth.Point{At: out, Value: target.Hz}, synth.Point{At: out + 0.01, Value: low})
	}
	return notes
}

// What leaves the zone is reported as its share, whichever way it leaves, and whatever stays inside
// is right wherever it goes: 20 cents of wandering inside change nothing.
func TestBlueThirdStays(t *testing.T) {
	d := build(t, "blue-2", "C", 0)
	for _, c := range []struct{ share, cents, want float64 }{
		{0.2, 60, 0.8}, {0.2, -60, 0.8}, {0.5, -50, 0.5}, {0.4, 50, 0.6}, {0.5, 20, 1}, {0.5, -20, 1},
	} {
		r := gradeSound(t, d, synth.Render(rate, d.Seconds, wander(d, c.share, c.cents), 0))
		for _, v := range values(d, r, Inside, isZone) {
			if math.Abs(v-c.want) > 0.03 {
				t.Errorf("leaves by %.0f cents for %.0f %%: %.3f inside, want %.2f", c.cents, 100*c.share, v, c.want)
			}
		}
		if want := c.want == 1; r.Passed != want && c.want != 0.8 {
			t.Errorf("leaves by %.0f cents for %.0f %%: passed %v, want %v", c.cents, 100*c.share, r.Passed, want)
		}
	}
}

// A zone is no point: what lies in it anywhere passes with the same share, and what lies as far
// outside on either side fails.
func TestBlueThirdIsAZone(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"blue-1", "blue-2", "blue-6"} {
		d := build(t, id, "A", 0)
		half := 0.0
		for _, target := range d.Targets {
			half = math.Max(half, target.Zone)
		}
		for _, deep := range []float64{-half - 6, -half + 4, 0, half - 4, half + 6} {
			r := gradePlayed(t, d, player.Faults{Deep: deep})
			for i, target := range d.Targets {
				if target.Zone > 0 && r.Notes[i].Good != (math.Abs(deep) < half) {
					t.Errorf("%s, %g cents from the middle: note %d good is %v", id, deep, i, r.Notes[i].Good)
				}
			}
			if r.Passed != (math.Abs(deep) < half) {
				t.Errorf("%s, %g cents from the middle of a zone of %g: passed %v with %.2f, %q", id, deep, half, r.Passed, r.Share, r.Summary)
			}
		}
	}
}

func TestBlueWrongPlaying(t *testing.T) {
	t.Parallel()
	wrong(t, []string{"blue-1", "blue-2", "blue-6"}, []fault{
		{"flat", player.Faults{Cents: -60}, ""},
		{"sharp", player.Faults{Cents: 60}, ""},
		{"on the half step", player.Faults{Deep: 40}, "half step, lean on it less"},
		{"hardly leant on", player.Faults{Deep: -50}, "lean on it a little more"},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"much too late", player.Faults{Late: 1}, ""},
		{"missing", player.Faults{Drop: 2}, ""},
		{"out of breath", player.Faults{Short: 0.7}, ""},
		{"wavering out of it", player.Faults{Waver: 45}, ""},
	})
	// A zone that is only passed through is not landed on.
	d := build(t, "blue-1", "C", 0)
	r := gradeSound(t, d, synth.Render(rate, d.Seconds, wander(d, 0.9, -60), 0))
	if r.Passed || !strings.Contains(strings.Join(r.Summary, " "), "lean on it less") {
		t.Errorf("passed through: %v, %q", r.Passed, r.Summary)
	}
	nothing(t, []string{"blue-1", "blue-2"})
}
