package drill_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"reedwell/audio/listen"
	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/player"
)

func whole(t *testing.T, id string) drill.Drill {
	t.Helper()
	d, err := drill.Build(drill.Spec{ID: id})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// All bars of a drill are the drill. The bars one by one hold each of its notes once, at the
// places it has in the drill.
func TestPartsOfEveryDrill(t *testing.T) {
	for _, e := range drill.List() {
		d := whole(t, e.ID)
		all, err := drill.Part(d, 1, d.Bars)
		if err != nil {
			t.Fatal(err)
		}
		if len(all.Targets) != len(d.Targets) || math.Abs(all.Seconds-d.Seconds) > 1e-9 || !reflect.DeepEqual(all.Chords, d.Chords) {
			t.Errorf("%s: all bars are another drill", e.ID)
		}
		k := 0
		for bar := 1; bar <= d.Bars; bar++ {
			p, err := drill.Part(d, bar, bar)
			if errors.Is(err, drill.ErrEmpty) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			if p.Bars != 1 || p.CountIn != d.CountIn || p.Tempo != d.Tempo {
				t.Errorf("%s, bar %d: %d bars, count-in %g", e.ID, bar, p.Bars, p.CountIn)
			}
			if p.Targets[0].Join != drill.Tongued {
				t.Errorf("%s, bar %d begins in the middle of a breath", e.ID, bar)
			}
			shift := float64((bar - 1) * d.BeatsPerBar)
			for _, g := range p.Targets {
				w := d.Targets[k]
				k++
				if g.Note != w.Note || math.Abs(g.Beat+shift-w.Beat) > 1e-9 || g.Beats > w.Beats+1e-9 {
					t.Errorf("%s, bar %d: %s on %g, in the drill %s on %g", e.ID, bar, g.Note.Tab(), g.Beat+shift, w.Note.Tab(), w.Beat)
				}
				if math.Abs(g.Start-p.Time(g.Beat)) > 1e-9 || math.Abs(g.End-p.Time(g.Beat+g.Beats)) > 1e-9 || g.End > p.Seconds {
					t.Errorf("%s, bar %d: %s from %g to %g s of %g", e.ID, bar, g.Note.Tab(), g.Start, g.End, p.Seconds)
				}
			}
			for i, c := range p.Chords {
				if c.Beat < 0 || i > 0 && math.Abs(c.Beat-p.Chords[i-1].Beat-p.Chords[i-1].Beats) > 1e-9 {
					t.Errorf("%s, bar %d: chord %s from %g", e.ID, bar, c.Name, c.Beat)
				}
			}
		}
		if k != len(d.Targets) {
			t.Errorf("%s: its bars hold %d notes, it has %d", e.ID, k, len(d.Targets))
		}
	}
}

// A part played as it asks is a good take of it, in every family; the whole drill played in
// place of a later part is not.
func TestPartIsPlayable(t *testing.T) {
	for _, id := range []string{"single-3", "ladder-4d-3", "warble-3", "turnaround-1"} {
		d := whole(t, id)
		for bar := 1; bar <= d.Bars; bar++ {
			p, err := drill.Part(d, bar, min(bar+1, d.Bars))
			if err != nil {
				continue
			}
			hear := func(played drill.Drill) grade.Result {
				heard, err := listen.Hear(grade.Ear(p, 48000), synth.Render(48000, p.Seconds, player.Notes(played, player.Faults{}), 3))
				if err != nil {
					t.Fatal(err)
				}
				return grade.Take(p, heard)
			}
			if r := hear(p); !r.Passed {
				t.Errorf("%s from bar %d: %.2f is right of what was played as asked: %v %s", id, bar, r.Share, r.Summary, r.Problem)
			}
		}
	}
	d := whole(t, "turnaround-1")
	p, err := drill.Part(d, 2, 2)
	if err != nil {
		t.Fatal(err)
	}
	heard, err := listen.Hear(grade.Ear(p, 48000), synth.Render(48000, p.Seconds, player.Notes(d, player.Faults{}), 3))
	if err != nil {
		t.Fatal(err)
	}
	if r := grade.Take(p, heard); r.Passed {
		t.Error("the first bar passes for the second")
	}
}

func TestPartRefuses(t *testing.T) {
	d := whole(t, "turnaround-1")
	for _, b := range [][2]int{{0, 1}, {2, 1}, {1, d.Bars + 1}, {-3, -2}, {d.Bars + 1, d.Bars + 1}} {
		if _, err := drill.Part(d, b[0], b[1]); !errors.Is(err, drill.ErrPart) {
			t.Errorf("bars %d to %d: %v", b[0], b[1], err)
		}
	}
	d.Targets = d.Targets[:1]
	d.Targets[0].Beat = 0
	if _, err := drill.Part(d, 2, 2); !errors.Is(err, drill.ErrEmpty) {
		t.Errorf("an empty bar: %v", err)
	}
}

// A note over a bar line is let go there, and belongs to the bar it starts in; a pickup belongs
// to the first bar only.
func TestPartAtTheBarLine(t *testing.T) {
	d := whole(t, "turnaround-1")
	d.Bars, d.Chords = 3, nil
	n := d.Targets[0]
	for i, at := range [][2]float64{{-0.5, 0.5}, {0, 4}, {3.5, 2}, {6, 1}, {8 - 1e-9, 4}} {
		n.Beat, n.Beats = at[0], at[1]
		n.Join = drill.Legato
		d.Targets = append(d.Targets[:i], n)
	}
	for _, c := range []struct {
		from, to int
		beats    [][2]float64
	}{
		{1, 1, [][2]float64{{-0.5, 0.5}, {0, 4}, {3.5, 0.5}}},
		{2, 2, [][2]float64{{2, 1}}},
		{1, 2, [][2]float64{{-0.5, 0.5}, {0, 4}, {3.5, 2}, {6, 1}}},
		{2, 3, [][2]float64{{2, 1}, {4 - 1e-9, 4}}},
		{3, 3, [][2]float64{{-1e-9, 4}}},
	} {
		p, err := drill.Part(d, c.from, c.to)
		if err != nil {
			t.Fatal(err)
		}
		var got [][2]float64
		for _, g := range p.Targets {
			got = append(got, [2]float64{g.Beat, g.Beats})
		}
		for i := range max(len(got), len(c.beats)) {
			if len(got) != len(c.beats) || math.Abs(got[i][0]-c.beats[i][0]) > 1e-9 || math.Abs(got[i][1]-c.beats[i][1]) > 1e-9 {
				t.Errorf("bars %d to %d: notes %v, want %v", c.from, c.to, got, c.beats)
				break
			}
		}
	}
}
