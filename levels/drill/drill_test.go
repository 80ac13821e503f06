package drill

import (
	"errors"
	"math"
	"testing"

	"reedwell/levels/harp"
)

func build(t *testing.T, spec Spec) Drill {
	t.Helper()
	d, err := Build(spec)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Each drill can be had on every key, at the ends of the tempo, and is well made.
func TestEveryDrillOnEveryKey(t *testing.T) {
	for _, s := range List() {
		for _, key := range harp.Keys() {
			for _, tempo := range []float64{0, MinTempo, MaxTempo} {
				d := build(t, Spec{ID: s.ID, Key: key, Tempo: tempo})
				end := 0.0
				for i, target := range d.Targets {
					if target.Start < end-1e-9 || target.End <= target.Start || target.End > d.Seconds {
						t.Fatalf("%s: target %d from %.3f to %.3f s, after %.3f, in %.3f", s.ID, i, target.Start, target.End, end, d.Seconds)
					}
					if got := d.BeatAt(target.Start); math.Abs(got-target.Beat) > 1e-9 {
						t.Fatalf("%s: target %d on beat %g, starts on %g", s.ID, i, target.Beat, got)
					}
					touches := i > 0 && math.Abs(target.Start-end) < 1e-9
					end = target.End
					if target.Join == Tongued {
						continue
					}
					before := d.Targets[i-1].Note
					hole := target.Note.Hole - before.Hole
					if !touches || before.Breath != target.Note.Breath ||
						target.Join == Glide && hole != 0 || target.Join == Legato && hole*hole != 1 {
						t.Errorf("%s: target %d, %s to %s, cannot be %v", s.ID, i, before.Tab(), target.Note.Tab(), target.Join)
					}
				}
			}
		}
	}
}

func TestFamiliesHaveAtLeastFiveLevels(t *testing.T) {
	levels := map[string]int{}
	ids := map[string]bool{}
	for _, s := range List() {
		d := build(t, Spec{ID: s.ID})
		name := string(s.Family)
		if s.Family == Ladder {
			name += holeName(d.Targets[0].Note.Hole, d.Targets[0].Note.Breath)
		}
		levels[name]++
		if s.Level != levels[name] || ids[s.ID] || s.Title == "" || s.Words == "" {
			t.Errorf("%s: level %d after %d, or named twice, or without words", s.ID, s.Level, levels[name]-1)
		}
		ids[s.ID] = true
	}
	want := []string{"blue", "octaves", "vibrato", "wah", "aim", "answer", "single", "long", "repeats", "scoop", "warble", "turnaround", "ladder1d", "ladder2d", "ladder3d", "ladder4d", "ladder6d", "ladder8b", "ladder9b", "ladder10b"}
	for _, name := range want {
		if levels[name] < 5 {
			t.Errorf("%s has %d levels, want at least 5", name, levels[name])
		}
	}
	if len(levels) != len(want) {
		t.Errorf("families %v, want %v", levels, want)
	}
}

// A ladder uses all rungs that its hole has, and the light half step comes before the
// deeper ones.
func TestLaddersUseAllRungs(t *testing.T) {
	for _, s := range List() {
		if s.Family != Ladder || s.Level != 4 {
			continue
		}
		d := build(t, Spec{ID: s.ID})
		_, rungs := harp.Bends(d.Targets[0].Note.Hole)
		if len(d.Targets) != 2*rungs+1 {
			t.Fatalf("%s: %d targets, want down %d rungs and back", s.ID, len(d.Targets), rungs)
		}
		for i, target := range d.Targets {
			if want := min(i, 2*rungs-i); target.Note.Bend != want {
				t.Errorf("%s: target %d bends %d, want %d", s.ID, i, target.Note.Bend, want)
			}
		}
	}
}

// Turnarounds fill bars eleven and twelve and land on the root at the top; slow-blues
// changes I IV | I V (chord charts, common practice). On an A harp that is E A | E B.
func TestTurnaroundsLand(t *testing.T) {
	a, _ := harp.ParseKey("A")
	for _, s := range List() {
		if s.Family != Turnaround {
			continue
		}
		d := build(t, Spec{ID: s.ID, Key: a})
		last := d.Targets[len(d.Targets)-1]
		if math.Abs(last.Beat-8) > 1e-9 || last.Note.Tab() != "-2" || d.Bars != 3 {
			t.Errorf("%s: ends with %s on beat %g of %d bars, want -2 on beat 8 of 3", s.ID, last.Note.Tab(), last.Beat, d.Bars)
		}
		for i, want := range []string{"E7", "A7", "E7", "B7", "E7"} {
			if d.Chords[i].Name != want {
				t.Errorf("%s: chord %d is %s, want %s", s.ID, i, d.Chords[i].Name, want)
			}
		}
		if _, err := Build(Spec{ID: s.ID, Position: 3}); !errors.Is(err, ErrPosition) {
			t.Errorf("%s in third position: %v, want %v", s.ID, err, ErrPosition)
		}
	}
}

// A warble speeds up: no part is slower than the one before.
func TestWarblesSpeedUp(t *testing.T) {
	for _, s := range List() {
		if s.Family != Warble {
			continue
		}
		d := build(t, Spec{ID: s.ID})
		for i := 1; i < len(d.Targets); i++ {
			if d.Targets[i].Beats > d.Targets[i-1].Beats+1e-9 {
				t.Errorf("%s slows down at target %d", s.ID, i)
			}
			if d.Targets[i].Note == d.Targets[i-1].Note {
				t.Errorf("%s repeats a hole at target %d", s.ID, i)
			}
		}
		if d.Targets[0].Beats == d.Targets[len(d.Targets)-1].Beats {
			t.Errorf("%s does not speed up", s.ID)
		}
	}
}

func TestBuildRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spec Spec
		want error
	}{
		"unknown":  {Spec{ID: "single-0"}, ErrUnknown},
		"too slow": {Spec{ID: "single-1", Tempo: 29}, ErrTempo},
		"too fast": {Spec{ID: "single-1", Tempo: 241}, ErrTempo},
		"no tempo": {Spec{ID: "single-1", Tempo: math.NaN()}, ErrTempo},
		"A4":       {Spec{ID: "single-1", A4: 500}, nil},
		"position": {Spec{ID: "single-1", Position: 6}, nil},
	} {
		_, err := Build(c.spec)
		if err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// Windows get narrower from beginner to strong.
func TestWindowsNarrow(t *testing.T) {
	last := WindowsFor(Beginner)
	for _, g := range []Grade{Steady, Strong} {
		w := WindowsFor(g)
		if w.Start >= last.Start || w.Pitch >= last.Pitch || w.Spread >= last.Spread || w.Leak >= last.Leak ||
			w.Evenness >= last.Evenness || w.Clean <= last.Clean || w.LengthMin < last.LengthMin || w.Settle >= last.Settle ||
			w.Depth >= last.Depth || w.Release >= last.Release || w.Breath <= last.Breath || w.Attack >= last.Attack || w.Fade >= last.Fade {
			t.Errorf("%v is not narrower: %+v after %+v", g, w, last)
		}
		last = w
	}
	if WindowsFor(Strong).Start < 0.020 {
		t.Error("a window under 20 ms means nothing on a free reed")
	}
}

func TestStepsRefuseWhatIsNoNote(t *testing.T) {
	for _, text := range []string{"-4", "-4:x", "-4:0", "4:1", "-4'':1", "~-4:1/0", "-4:1/"} {
		if got, err := steps(text); err == nil {
			t.Errorf("steps(%q) = %v, want an error", text, got)
		}
	}
}

// A scoop starts where the reed can be bent to: a rung lies under the note, as deep as is asked.
func TestScoopsCanBePlayed(t *testing.T) {
	found := 0
	for _, s := range List() {
		for _, target := range build(t, Spec{ID: s.ID}).Targets {
			if target.Scoop == 0 {
				continue
			}
			found++
			breath, rungs := harp.Bends(target.Note.Hole)
			if s.Family != Scoop || breath != target.Note.Breath || 100*float64(rungs-target.Note.Bend) < target.Scoop {
				t.Errorf("%s: %s cannot start %.0f cents lower", s.ID, target.Note.Tab(), target.Scoop)
			}
		}
	}
	if found == 0 {
		t.Error("nothing is scooped")
	}
}
