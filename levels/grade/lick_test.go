package grade

import (
	"math"
	"strings"
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
	"reedwell/levels/player"
)

// lickOf is the drill of one lick on a C harp, at 60 in a straight feel, so that beats are seconds
// and bar 1 begins at 4 s.
func lickOf(t *testing.T, level lesson.Level, notes ...lesson.Note) drill.Drill {
	t.Helper()
	bars := 1
	for _, n := range notes {
		bars = max(bars, int((n.End()+lesson.Bar-1)/lesson.Bar))
	}
	l := lesson.Lesson{Title: "t", Position: 2, Tempo: 60, Form: lesson.Forms()[0],
		Licks: []lesson.Lick{{Title: "t", Bar: 1, Bars: bars, Level: level, Notes: notes}}}
	d, err := l.Drill(0, lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

const beat = lesson.Beat

func on(breath harp.Breath, holes ...int) []harp.Note {
	var all []harp.Note
	for _, h := range holes {
		all = append(all, harp.Note{Hole: h, Breath: breath})
	}
	return all
}

func bend(hole, rungs int) []harp.Note {
	return []harp.Note{{Hole: hole, Breath: harp.Draw, Bend: rungs}}
}

// line is notes of a beat each, tongued, with a bend that is held and a repeat.
func line() []lesson.Note {
	return []lesson.Note{
		{Start: 0, Length: beat, Holes: on(harp.Draw, 4)},
		{Start: beat, Length: beat, Holes: on(harp.Draw, 4)},
		{Start: 2 * beat, Length: 2 * beat, Holes: bend(3, 1)},
		{Start: 4 * beat, Length: beat, Holes: on(harp.Blow, 4)},
		{Start: 5 * beat, Length: beat, Holes: on(harp.Draw, 2)},
	}
}

func glided() []lesson.Note {
	return []lesson.Note{
		{Start: 0, Length: 2 * beat, Holes: on(harp.Draw, 4)},
		{Start: 2 * beat, Length: 2 * beat, Holes: bend(4, 1), Join: lesson.Glide},
		{Start: 4 * beat, Length: 2 * beat, Holes: on(harp.Draw, 4), Join: lesson.Glide},
	}
}

func shake() []lesson.Note {
	return []lesson.Note{{Length: 4 * beat, Holes: on(harp.Draw, 4), Warble: on(harp.Draw, 5)[0], Rate: 6}}
}

// What is sounded in a lick is what is reported: tolerances as in TestClosedLoops.
func TestLickClosedLoops(t *testing.T) {
	for _, c := range []struct {
		name      string
		notes     []lesson.Note
		faults    player.Faults
		quantity  Quantity
		at        func(drill.Target) bool
		want, tol float64
	}{
		{"bends 20 too deep", line(), player.Faults{Deep: 20}, Pitch, bent, -20, 2},
		{"bends 35 too high", line(), player.Faults{Deep: -35}, Pitch, bent, 35, 2},
		{"a glide 30 too deep", glided(), player.Faults{Deep: 30}, Pitch, bent, -30, 2},
		{"naturals as they are", glided(), player.Faults{Deep: 60}, Pitch, natural, 0, 2},
		{"60 past the rung", glided(), player.Faults{Overshoot: 60}, Overshoot, bent, 60, 8},
		{"80 ms late", line(), player.Faults{Late: 0.080}, Start, nil, 0.080, 0.010},
		{"60 ms early", line(), player.Faults{Late: -0.060}, Start, nil, -0.060, 0.010},
		{"half of the length", line(), player.Faults{Short: 0.5}, Length, nil, 0.5, 0.04},
		{"leak 14 dB under", line(), player.Faults{Leak: 14}, Leak, nil, -14, 3},
		// A glide of 100 cents is within arriveBand, 30 cents, after seven tenths of its time.
		{"glides of 120 ms", glided(), player.Faults{}, Arrival, nil, 0.084, 0.015},
		{"glides of 400 ms", glided(), player.Faults{Glide: 0.4}, Arrival, nil, 0.28, 0.02},
		{"warble at its rate", shake(), player.Faults{}, Rate, nil, 6, 0.1},
		{"even warble", shake(), player.Faults{}, Evenness, nil, 0, 0.03},
		{"first hole 65 %", shake(), player.Faults{Duty: 0.65}, Balance, nil, 0.65, 0.02},
	} {
		d := lickOf(t, lesson.Beginner, c.notes...)
		got := values(d, gradePlayed(t, d, c.faults), c.quantity, c.at)
		if len(got) == 0 {
			t.Errorf("%s: no mark for %s", c.name, c.quantity)
		}
		for _, v := range got {
			if math.Abs(v-c.want) > c.tol {
				t.Errorf("%s: %s = %.4g, want %.4g within %.2g", c.name, c.quantity, v, c.want, c.tol)
			}
		}
	}
}

// A warble in a lick is as uneven as it was made, on the mean of several takes, and at the rate
// it was played.
func TestLickWarble(t *testing.T) {
	d := lickOf(t, lesson.Beginner, shake()...)
	for _, jitter := range []float64{0.08, 0.15, 0.25} {
		sum, n := 0.0, 0.0
		for seed := range uint64(6) {
			for _, v := range values(d, gradePlayed(t, d, player.Faults{Jitter: jitter, Seed: seed + 1}), Evenness, nil) {
				sum, n = sum+v, n+1
			}
		}
		if got := sum / n; math.Abs(got-jitter) > 0.15*jitter+0.01 {
			t.Errorf("jitter %.2f: evenness %.3f", jitter, got)
		}
	}
	for _, rate := range []int{4, 8} {
		other := shake()
		other[0].Rate = rate
		r := gradeSound(t, d, soundOf(lickOf(t, lesson.Beginner, other...)))
		got := values(d, r, Rate, nil)
		if len(got) != 1 || math.Abs(got[0]-float64(rate)) > 0.15 || r.Passed || r.Extra > 0 {
			t.Errorf("%d notes a second where 6 were asked: rate %v, passed %v, %d extra", rate, got, r.Passed, r.Extra)
		}
		if len(r.Summary) == 0 || !strings.HasPrefix(r.Summary[0], "Bar 1, beat 1: ") || !strings.Contains(r.Summary[0], "where 6.0 were asked") {
			t.Errorf("%d notes a second: %q", rate, r.Summary)
		}
	}
	// None at all: the first note held instead.
	held := lickOf(t, lesson.Beginner, lesson.Note{Length: 4 * beat, Holes: on(harp.Draw, 4)})
	if r := gradeSound(t, d, soundOf(held)); r.Passed || r.Share > 0 || !strings.Contains(strings.Join(r.Summary, " "), "warble of 4 draw and 5 draw was not played") {
		t.Errorf("a warble held: passed %v with %g, %q", r.Passed, r.Share, r.Summary)
	}
}

// A glide that is not made, and one that comes a beat late or a beat early.
func TestLickGlides(t *testing.T) {
	d := lickOf(t, lesson.Steady, glided()...)
	moved := func(by lesson.Ticks) drill.Drill {
		notes := glided()
		notes[0].Length += by
		notes[1].Start, notes[1].Length = notes[1].Start+by, notes[1].Length-by
		return lickOf(t, lesson.Steady, notes...)
	}
	for _, c := range []struct {
		name   string
		played drill.Drill
		says   string
	}{
		{"not made", lickOf(t, lesson.Steady, lesson.Note{Length: 6 * beat, Holes: on(harp.Draw, 4)}), "too high"},
		{"late", moved(beat / 2), "reached"},
		{"early", moved(-beat / 2), "too early"},
	} {
		r := gradeSound(t, d, soundOf(c.played))
		if r.Share == 1 || len(r.Summary) == 0 || !strings.Contains(r.Summary[0], c.says) || !strings.HasPrefix(r.Summary[0], "Bar 1, beat 3: ") {
			t.Errorf("%s: %g, %q, want %q", c.name, r.Share, r.Summary, c.says)
		}
	}
}

// A note on the wrong hole is named, with its place.
func TestLickWrongHole(t *testing.T) {
	d := lickOf(t, lesson.Steady, line()...)
	wrong := line()
	wrong[4].Holes = on(harp.Draw, 6)
	r := gradeSound(t, d, soundOf(lickOf(t, lesson.Steady, wrong...)))
	if len(r.Summary) == 0 || r.Summary[0] != "Bar 2, beat 2: That was 6 draw; 2 draw was asked." {
		t.Errorf("summary %q", r.Summary)
	}
}

// soundOf is a drill played as asked.
func soundOf(d drill.Drill) []float32 {
	return synth.Render(rate, d.Seconds, player.Notes(d, player.Faults{}), 0)
}

func TestWhere(t *testing.T) {
	d := drill.Drill{Family: drill.Lick, BeatsPerBar: 4}
	for beat, want := range map[float64]string{
		0: "Bar 1, beat 1", 5: "Bar 2, beat 2", 6.5: "Bar 2, after beat 3", 7 + 2.0/3: "Bar 2, after beat 4",
		-1: "Pickup, beat 4", -1.0 / 3: "Pickup, after beat 4", 3 * (1 + 1.0/3): "Bar 2, beat 1", 46.9999: "Bar 12, beat 4",
	} {
		if got := where(d, beat); got != want {
			t.Errorf("beat %g is %q, want %q", beat, got, want)
		}
	}
}

// A warble is one item, and two that touch are two.
func TestParted(t *testing.T) {
	four, five, three := on(harp.Draw, 4), on(harp.Draw, 5), on(harp.Draw, 3)
	d := lickOf(t, lesson.Steady,
		lesson.Note{Length: beat, Holes: four},
		lesson.Note{Start: beat, Length: beat, Holes: four, Warble: five[0], Rate: 4, Join: lesson.Slurred},
		lesson.Note{Start: 2 * beat, Length: beat, Holes: three, Warble: four[0], Rate: 4, Join: lesson.Slurred},
		lesson.Note{Start: 3 * beat, Length: beat, Holes: three, Warble: four[0], Rate: 6, Join: lesson.Slurred},
		lesson.Note{Start: 4 * beat, Length: beat, Holes: three, Warble: four[0], Rate: 6, Join: lesson.Tongued},
		lesson.Note{Start: 5 * beat, Length: beat, Holes: bend(3, 1), Join: lesson.Glide},
	)
	var sizes []int
	for _, item := range parted(d, headsOf(d)) {
		sizes = append(sizes, item.last-item.first)
	}
	want := []int{1, 4, 4, 6, 6}
	if len(sizes) != len(want) {
		t.Fatalf("items of %v heads, want %v", sizes, want)
	}
	for i := range want {
		if sizes[i] != want[i] {
			t.Fatalf("items of %v heads, want %v", sizes, want)
		}
	}
}

// Of two holes an octave apart one can be told: 1 and 4 blow are C4 and C5, 2 and 3 blow E4 and G4
// (Richter layout, OEIS A291810; equal temperament table, ISO 16).
func TestApartHoles(t *testing.T) {
	for _, c := range []struct {
		hz   []float64
		want int
	}{
		{[]float64{261.63, 523.25}, 1},
		{[]float64{329.63, 392.00}, 2},
		{[]float64{261.63, 329.63, 392.00, 523.25}, 3},
	} {
		if got := apartHoles(c.hz); got != c.want {
			t.Errorf("%v: %d, want %d", c.hz, got, c.want)
		}
	}
}
