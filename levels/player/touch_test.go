package player

import (
	"testing"

	"reedwell/audio/synth"
	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// touched is a drill of 4 draw, its half step in the same breath, a chord of 4 and 5 draw after a
// rest, and a warble of four notes.
func touched(t *testing.T) drill.Drill {
	t.Helper()
	d := build(t, "single-1")
	d.Family, d.Targets = drill.Lick, nil
	add := func(start, end float64, n harp.Note, join drill.Join) *drill.Target {
		hz, err := d.Harp.Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		d.Targets = append(d.Targets, drill.Target{Start: start, End: end, Beat: start, Beats: end - start, Note: n, Hz: hz, Join: join})
		return &d.Targets[len(d.Targets)-1]
	}
	four, five := harp.Note{Hole: 4, Breath: harp.Draw}, harp.Note{Hole: 5, Breath: harp.Draw}
	add(1, 2, four, drill.Tongued)
	add(2, 3, harp.Note{Hole: 4, Breath: harp.Draw, Bend: 1}, drill.Glide)
	add(4, 5, four, drill.Tongued).Also = []harp.Note{five}
	for i := range 4 {
		n, join := four, drill.Legato
		if i%2 == 1 {
			n = five
		}
		if i == 0 {
			join = drill.Tongued
		}
		add(6+0.125*float64(i), 6.125+0.125*float64(i), n, join).Warble = true
	}
	return d
}

func TestTouches(t *testing.T) {
	d := touched(t)
	plain := Notes(d, Faults{})
	touches := make([]Touch, len(d.Targets))
	touches[0] = Touch{Scoop: true, Wah: 2}
	touches[1] = Touch{Scoop: true, Vibrato: true}
	touches[2] = Touch{Hold: true}
	notes := Perform(d, touches, Faults{})
	if len(plain) != len(d.Targets) || len(notes) != len(d.Targets) {
		t.Fatalf("%d and %d notes for %d targets", len(plain), len(notes), len(d.Targets))
	}
	if n := notes[0]; n.Scoop.Cents != 100 || n.Wah.Rate != 2 || n.Wah.Depth <= 0 || n.Vibrato.Rate != 0 {
		t.Errorf("scoop and wah: %+v", n)
	}
	if n := notes[1]; n.Scoop != (synth.Scoop{}) || n.Vibrato.Rate != 5.5 || !n.Legato {
		t.Errorf("a glide has no scoop of its own: %+v", n)
	}
	// 5 draw lies over 4 draw: it is on top, and 4 draw sounds with it.
	if n := notes[2]; len(n.Leaks) != 1 || n.Leaks[0].Hz != d.Targets[2].Hz || n.Hz[0].Value <= n.Leaks[0].Hz {
		t.Errorf("chord: %+v", n)
	}
	for i, want := range map[int]float64{1: 2.96, 2: 5, 6: 6.5 - 0.06*0.125} { // before a rest 40 ms or 6 %, unless held
		if got := notes[i].End; got < want-1e-9 || got > want+1e-9 {
			t.Errorf("note %d ends at %.4f, want %.4f", i, got, want)
		}
	}
	for i, n := range plain {
		if n.Scoop != (synth.Scoop{}) || n.Wah != (synth.Wah{}) || n.Vibrato != (synth.Vibrato{}) || n.LevelCurve != nil || n.End != d.Targets[i].End {
			t.Errorf("without touches note %d is %+v", i, n)
		}
	}
}

// In a lick a note with its glides, a chord and a warble are one note each, and a warble is late
// as a whole.
func TestLickIsCountedInNotes(t *testing.T) {
	d := touched(t)
	for drop, want := range map[int]int{1: 0, 2: 6, 3: 3} {
		if got := len(Notes(d, Faults{Drop: drop})); got != want {
			t.Errorf("every %d. note left out: %d are sounded, want %d", drop, got, want)
		}
	}
	notes := Notes(d, Faults{Scatter: 0.05, Seed: 3})
	for i := 4; i < 7; i++ {
		if gap := notes[i].Start - notes[i-1].Start; gap < 0.125-1e-9 || gap > 0.125+1e-9 {
			t.Errorf("scatter moved note %d of the warble by itself: gap %.4f", i-3, gap)
		}
	}
}
