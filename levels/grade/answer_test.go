package grade

import (
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/player"
)

// What is done to an answer is what is reported of it.
func TestAnswerClosedLoops(t *testing.T) {
	t.Parallel()
	closed(t, []loop{
		{"in time", "answer-2", player.Faults{}, Start, nil, 0, 0.010},
		{"80 ms late", "answer-1", player.Faults{Late: 0.080}, Start, nil, 0.080, 0.010},
		{"60 ms early", "answer-4", player.Faults{Late: -0.060}, Start, nil, -0.060, 0.010},
		{"30 ms late, triplets", "answer-5", player.Faults{Late: 0.030}, Start, nil, 0.030, 0.010},
		{"20 flat", "answer-1", player.Faults{Cents: -20}, Pitch, nil, -20, 2},
		{"30 sharp", "answer-4", player.Faults{Cents: 30}, Pitch, nil, 30, 3},
		{"bends 20 too deep", "answer-5", player.Faults{Deep: 20}, Pitch, bent, -20, 3},
		{"bends 30 too high", "answer-5", player.Faults{Deep: -30}, Pitch, bent, 30, 3},
		{"half of the length", "answer-2", player.Faults{Short: 0.5}, Length, nil, 0.5, 0.05},
		{"leak 10 dB under", "answer-1", player.Faults{Leak: 10}, Leak, nil, -10, 3},
	})
}

// turned plays the answers with the notes of each phrase in reverse order, in the rhythm that is asked.
func turned(d drill.Drill) []synth.Note {
	notes := player.Notes(d, player.Faults{})
	called := d.Called()
	for k := range called {
		var phrase []int
		for i, target := range d.Targets {
			if target.Beat > called[k].From && (k+1 == len(called) || target.Beat < called[k+1].From) {
				phrase = append(phrase, i)
			}
		}
		for j := range phrase {
			notes[phrase[j]].Hz = synth.Steady(d.Targets[phrase[len(phrase)-1-j]].Hz)
		}
	}
	return notes
}

func TestAnswerWrongPlaying(t *testing.T) {
	t.Parallel()
	wrong(t, []string{"answer-2", "answer-4"}, []fault{
		{"flat", player.Faults{Cents: -60}, "sinks"},
		{"sharp", player.Faults{Cents: 60}, ""},
		{"two holes", player.Faults{Leak: 6}, "second hole"},
		{"late", player.Faults{Late: 0.17}, "late throughout"},
		{"far too late", player.Faults{Late: 0.45}, ""},
		{"early", player.Faults{Late: -0.17}, "early throughout"},
		{"uneven", player.Faults{Scatter: 0.15, Seed: 4}, "scatter"},
		{"missing", player.Faults{Drop: 3}, "not played"},
		{"extra", player.Faults{Add: 2}, "more than asked"},
		{"clipped short", player.Faults{Short: 0.75}, "of its time"},
	})
	wrong(t, []string{"answer-3"}, []fault{{"held through", player.Faults{Held: true}, "held through"}})
	wrong(t, []string{"answer-5"}, []fault{{"the bends too deep", player.Faults{Deep: 60}, ""}, {"not bent", player.Faults{Deep: -100}, ""}})
	for _, id := range []string{"answer-2", "answer-4"} {
		d := build(t, id, "C", 0)
		if r := gradeSound(t, d, synth.Render(rate, d.Seconds, turned(d), 0)); r.Passed || r.Share > 0.6 {
			t.Errorf("%s, phrases turned about: passed %v with %.2f", id, r.Passed, r.Share)
		}
	}
	// The rhythm of another phrase on the right notes: every second note half a beat late.
	d := build(t, "answer-3", "C", 0)
	notes := player.Notes(d, player.Faults{})
	for i := 1; i < len(notes); i += 2 {
		notes[i].Start += 0.5 * (notes[i].End - notes[i].Start)
	}
	if r := gradeSound(t, d, synth.Render(rate, d.Seconds, notes, 0)); r.Passed {
		t.Errorf("another rhythm: passed with %.2f", r.Share)
	}
	nothing(t, []string{"answer-1", "answer-2", "answer-3"})
}
