package grade

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// What is done on the way to an octave is what is reported of it. Tolerances: 30 ms for the gap, the
// end of one reed and the start of another, whose ends are heard to 20; 10 ms for a start.
func TestOctavesClosedLoops(t *testing.T) {
	closed(t, []loop{
		{"at once", "octaves-1", player.Faults{}, Land, nil, 0, 0.03},
		{"at once, high", "octaves-4", player.Faults{}, Land, nil, 0, 0.05}, // the end of 10 blow is heard early
		{"after 100 ms", "octaves-1", player.Faults{Hunt: 0.1}, Land, nil, 0.1, 0.03},
		{"after 250 ms", "octaves-5", player.Faults{Hunt: 0.25}, Land, nil, 0.25, 0.03},
		{"after 500 ms", "octaves-2", player.Faults{Hunt: 0.5}, Land, nil, 0.5, 0.03},
		{"let go early, a tenth", "octaves-3", player.Faults{Short: 0.1}, Land, nil, 0.2, 0.03},
		{"let go early, a quarter", "octaves-1", player.Faults{Short: 0.25}, Land, nil, 0.5, 0.03},
		{"nothing touched", "octaves-2", player.Faults{}, Touched, nil, 0, 0},
		{"nothing touched, quickly", "octaves-6", player.Faults{}, Touched, nil, 0, 0},
		{"one hole for 60 ms", "octaves-1", player.Faults{Graze: 0.06}, Touched, nil, 1, 0},
		{"one hole for 120 ms", "octaves-2", player.Faults{Graze: 0.12}, Touched, nil, 1, 0},
		{"one hole for 200 ms", "octaves-5", player.Faults{Graze: 0.2}, Touched, nil, 1, 0},
		{"found after 150 ms and 100 on another", "octaves-3", player.Faults{Hunt: 0.15, Graze: 0.1}, Land, nil, 0.25, 0.04},
		{"80 ms late", "octaves-1", player.Faults{Late: 0.08}, Start, nil, 0.08, 0.010},
		{"60 ms early", "octaves-4", player.Faults{Late: -0.06}, Start, nil, -0.06, 0.010},
		{"20 flat", "octaves-3", player.Faults{Cents: -20}, Pitch, nil, -20, 2},
		{"30 sharp, high", "octaves-4", player.Faults{Cents: 30}, Pitch, nil, 30, 2},
		{"leak 9 dB under", "octaves-1", player.Faults{Leak: 9}, Leak, nil, -9, 3},
		{"leak 14 dB under", "octaves-2", player.Faults{Leak: 14}, Leak, nil, -14, 3},
	})
}

// A second hole only while landing is heard as one, and not while the rest is clean only.
func TestOctaveLandsOnTwoHoles(t *testing.T) {
	d := build(t, "octaves-1", "C", 0)
	notes := player.Notes(d, player.Faults{})
	for i, target := range d.Targets {
		hz, err := d.Harp.Hz(harp.Note{Hole: target.Note.Hole + 1})
		if err != nil {
			t.Fatal(err)
		}
		notes[i].Leaks = []synth.Leak{{Hz: hz, Level: 5, Start: target.Start, End: target.Start + 0.3}}
	}
	r := gradeSound(t, d, synth.Render(rate, d.Seconds, notes, 0))
	for _, v := range values(d, r, Leak, nil) {
		if math.Abs(v+5) > 3 {
			t.Errorf("landed on two holes: %.1f dB, want -5", v)
		}
	}
	if r.Passed {
		t.Error("landing on two holes passes")
	}
}

// swapped plays every landing an octave off: the note it was come from once more.
func swapped(d drill.Drill) []synth.Note {
	notes := player.Notes(d, player.Faults{})
	for i := 1; i < len(d.Targets); i += 2 {
		notes[i].Hz = synth.Steady(d.Targets[i].Hz / 2)
		notes[i-1].End -= 0.05
	}
	return notes
}

func TestOctavesWrongPlaying(t *testing.T) {
	wrong(t, []string{"octaves-2", "octaves-5"}, []fault{
		{"flat", player.Faults{Cents: -60}, "sinks"},
		{"sharp", player.Faults{Cents: 60}, ""},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"late", player.Faults{Late: 0.17}, "late throughout"},
		{"early", player.Faults{Late: -0.17}, "early throughout"},
		{"slow to land", player.Faults{Hunt: 0.55}, ""},
		{"missing", player.Faults{Drop: 3}, ""},
		{"extra", player.Faults{Add: 2}, ""},
		{"clipped short", player.Faults{Short: 0.75}, ""},
	})
	wrong(t, []string{"octaves-5", "octaves-6"}, []fault{
		{"over another hole", player.Faults{Graze: 0.1}, ""},
		{"uneven", player.Faults{Scatter: 0.12, Seed: 4}, "scatter"},
	})
	d := build(t, "octaves-4", "C", 0)
	r := gradePlayed(t, d, player.Faults{Graze: 0.03})
	if r.Passed || !strings.Contains(strings.Join(r.Summary, " "), "another hole sounds") {
		t.Errorf("grazing for 30 ms: passed %v, %q", r.Passed, r.Summary)
	}
	r = gradeSound(t, d, synth.Render(rate, d.Seconds, swapped(d), 0))
	if r.Passed || r.Share > 0.6 {
		t.Errorf("no jumps: passed %v with %.2f, %q", r.Passed, r.Share, r.Summary)
	}
	nothing(t, []string{"octaves-1", "octaves-3"})
}
