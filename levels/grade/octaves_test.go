package grade

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/audiotest"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/player"
)

// What is done on the way to an octave is what is reported of it. Tolerances: 30 ms for the gap, the
// end of one reed and the start of another, whose ends are heard to 20; 10 ms for a start.
func TestOctavesClosedLoops(t *testing.T) {
	t.Parallel()
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
	t.Parallel()
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

// In a living room the note that is left rings on under the one an octave over it and has all of its lines. Who is tidy passes all
// the same, and who lands late or on the wrong hole does not. Tolerances as in a quiet place, 10 ms for the start of a landing upwards and 30 ms for
// a gap; downwards, where the new note has lines of its own, single starts are heard up to 36 ms early in these rooms.
func TestOctavesInARoom(t *testing.T) {
	t.Parallel()
	type room struct {
		decay, wet float64 // as in audiotest.Room
		seed       uint64
	}
	living, other, loud := room{0.5, -8, 5}, room{0.5, -8, 6}, room{0.5, -4, 7}
	for _, c := range []struct {
		name, id string
		room     room
		faults   player.Faults
		swap     bool
		passes   bool
		quantity Quantity // what must be measured at its size, of every landing upwards
		want     float64
		tol      float64
	}{
		{name: "tidy", id: "octaves-1", room: living, passes: true, quantity: Start, tol: 0.010},
		{name: "tidy", id: "octaves-2", room: other, passes: true, quantity: Start, tol: 0.010},
		{name: "tidy", id: "octaves-3", room: loud, passes: true, quantity: Start, tol: 0.010},
		{name: "tidy", id: "octaves-4", room: living, passes: true, quantity: Start, tol: 0.010},
		{name: "tidy", id: "octaves-5", room: other, passes: true, quantity: Touched},
		{name: "tidy", id: "octaves-6", room: living, passes: true, quantity: Touched},
		{name: "tidy", id: "octaves-6", room: other, passes: true, quantity: Land, tol: 0.03},
		{name: "80 ms late", id: "octaves-1", room: living, faults: player.Faults{Late: 0.08}, passes: true, quantity: Start, want: 0.08, tol: 0.010},
		{name: "170 ms late", id: "octaves-5", room: other, faults: player.Faults{Late: 0.17}},
		{name: "found after 250 ms", id: "octaves-2", room: living, faults: player.Faults{Hunt: 0.25}, quantity: Land, want: 0.25, tol: 0.03},
		{name: "found after 500 ms", id: "octaves-2", room: other, faults: player.Faults{Hunt: 0.5}, quantity: Land, want: 0.5, tol: 0.03},
		{name: "over another hole", id: "octaves-4", room: living, faults: player.Faults{Graze: 0.1}, quantity: Touched, want: 1},
		{name: "the same octave again", id: "octaves-4", room: living, swap: true},
		{name: "the same octave again", id: "octaves-2", room: other, swap: true},
	} {
		d := build(t, c.id, "C", 0)
		notes := player.Notes(d, c.faults)
		if c.swap {
			notes = swapped(d)
		}
		r := gradeSound(t, d, audiotest.Room(rate, synth.Render(rate, d.Seconds, notes, 0), c.room.decay, c.room.wet, c.room.seed))
		if r.Passed != c.passes {
			t.Errorf("%s, %s in %v: passed %v with %.2f, %d extra, %q", c.name, c.id, c.room, r.Passed, r.Share, r.Extra, r.Summary)
		}
		if c.name == "tidy" && r.Share < 1 {
			t.Errorf("%s, %s in %v: %.0f %% right, want all: %q", c.name, c.id, c.room, 100*r.Share, r.Summary)
		}
		if c.quantity == "" {
			continue
		}
		var got []float64
		for _, m := range r.Marks {
			if i := m.Target; m.Quantity == c.quantity && touches(d, i) && d.Targets[i].Hz > d.Targets[i-1].Hz {
				got = append(got, m.Heard)
			}
		}
		t.Logf("%s, %s in %v: %s %.3f", c.name, c.id, c.room, c.quantity, got)
		if len(got) == 0 {
			t.Errorf("%s, %s: no mark for %s", c.name, c.id, c.quantity)
		}
		for _, v := range got {
			if math.Abs(v-c.want) > c.tol {
				t.Errorf("%s, %s in %v: %s = %.3f, want %.3f within %.3f", c.name, c.id, c.room, c.quantity, v, c.want, c.tol)
			}
		}
	}
}
