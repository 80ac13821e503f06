package lesson

import (
	"math"
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// The chord charts are those of several chord-chart pages (common practice): degrees by
// bar, "1 4" for two chords in a bar.
func TestForms(t *testing.T) {
	want := map[string]string{
		"slow change":  "1|1|1|1|4|4|1|1|5|4|1 4|1 5|",
		"quick change": "1|4|1|1|4|4|1|1|5|4|1 4|1 5|",
		"eight-bar":    "1|5|4|4|1|5|1 4|1 5|",
		"minor":        "1|1|1|1|4|4|1|1|b6|5|1|1 5|",
	}
	degree := map[int]string{0: "1", 5: "4", 7: "5", 8: "b6"}
	for _, f := range Forms() {
		got := ""
		for _, bar := range f.Bars {
			var whole Ticks
			for i, c := range bar {
				if i > 0 {
					got += " "
				}
				got += degree[c.Degree]
				whole += c.Length
			}
			if whole != Bar {
				t.Errorf("%s: a bar of %d ticks", f.Name, whole)
			}
			got += "|"
		}
		if got != want[f.Name] {
			t.Errorf("%s: %s, want %s", f.Name, got, want[f.Name])
		}
	}
	slow := Forms()[0]
	for place, want := range map[Ticks]int{0: 0, 4 * Bar: 5, 8 * Bar: 7, 10*Bar + Bar/2: 5, 12*Bar - 1: 7, 12 * Bar: 0, -1: 7} {
		if got := slow.Chord(place); got.Degree != want {
			t.Errorf("chord at %d: %d, want %d", place, got.Degree, want)
		}
	}
}

func TestFeel(t *testing.T) {
	for _, c := range []struct {
		feel  Feel
		place Ticks
		want  float64
	}{
		{Feel{}, Beat / 2, 0.5},
		{Feel{Kind: Shuffle, Ratio: 2}, Beat / 2, 2.0 / 3},
		{Feel{Kind: Shuffle, Ratio: 3}, 3*Beat + Beat/2, 3.75},
		{Feel{Kind: Shuffle, Ratio: 2}, Beat / 4, 1.0 / 3},
		{Feel{Kind: Shuffle, Ratio: 2}, 3 * Beat / 4, 5.0 / 6},
		{Feel{Kind: Shuffle, Ratio: 2}, Beat / 3, 1.0 / 3}, // a written triplet stays
		{Feel{Kind: Shuffle, Ratio: 2}, -Beat / 2, -1.0 / 3},
		{Feel{Kind: Triplet}, 2 * Beat / 3, 2.0 / 3},
		{Feel{Kind: Shuffle, Ratio: 2}, 2 * Beat, 2},
	} {
		if got := c.feel.Beat(c.place); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v: %d sounds on beat %g, want %g", c.feel, c.place, got, c.want)
		}
	}
}

// A lick in bars 11 and 12 of a slow change for a C harp in second position has the chords
// G7 C7 | G7 D7 (second-position chord table).
func TestDrill(t *testing.T) {
	key, err := harp.ParseKey("C")
	if err != nil {
		t.Fatal(err)
	}
	l := Lesson{Title: "t", Key: key, Position: 2, Tempo: 60, Form: Forms()[0], Feel: Feel{Kind: Shuffle, Ratio: 2}, Licks: []Lick{{
		Title: "end", Bar: 11, Bars: 2, Pickup: Beat / 2, Notes: []Note{
			{Start: -Beat / 2, Length: Beat / 2, Holes: []harp.Note{{Hole: 3, Breath: harp.Draw}}},
			{Start: 0, Length: 2 * Beat, Holes: []harp.Note{{Hole: 4, Breath: harp.Draw}}, Warble: harp.Note{Hole: 5, Breath: harp.Draw}, Rate: 4},
			{Start: 2 * Beat, Length: 2 * Beat, Holes: []harp.Note{{Hole: 1, Breath: harp.Draw}, {Hole: 2, Breath: harp.Draw}}},
		}}}}
	d, err := l.Drill(0, Play{})
	if err != nil {
		t.Fatal(err)
	}
	names := ""
	for _, c := range d.Chords {
		names += c.Name + " "
	}
	if names != "G7 C7 G7 D7 " {
		t.Errorf("chords %s", names)
	}
	if len(d.Targets) != 1+8+1 {
		t.Fatalf("%d targets, want 10", len(d.Targets))
	}
	if got := d.Targets[0].Start; math.Abs(got-(4-1.0/3)) > 1e-9 {
		t.Errorf("pickup at %g s: a swung off-beat lies a third before the bar", got)
	}
	if w := d.Targets[2]; w.Note.Hole != 5 || w.Join != drill.Legato || math.Abs(w.Beats-0.25) > 1e-9 {
		t.Errorf("second note of the warble: %+v", w)
	}
	if c := d.Targets[9]; len(c.Also) != 1 || c.Also[0].Hole != 2 {
		t.Errorf("chord: %+v", c)
	}
	whole, err := l.Chorus(Play{Tempo: 120})
	if err != nil {
		t.Fatal(err)
	}
	if whole.Bars != 12 || math.Abs(whole.Targets[1].Beat-40) > 1e-9 {
		t.Errorf("chorus of %d bars, lick at beat %g", whole.Bars, whole.Targets[1].Beat)
	}
}
