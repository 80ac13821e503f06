package lesson_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// The first lick of the slow blues, worked out by hand: E4 = 329.63 Hz, G#4 = 415.30, B4 =
// 493.88, D5 = 587.33 (equal temperament at ISO 16 pitch), eighths of a third of a second,
// bar one after four clicks.
func TestTargetsByHand(t *testing.T) {
	l, _ := lesson.Parse(demos(t)["kettle.txt"])
	d, err := l.Drill(0, lesson.Play{})
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		tab              string
		start, beats, hz float64
	}{
		{"-2", 4 - 2.0/3, 1.0 / 3, 329.63},
		{"-3", 4 - 1.0/3, 1.0 / 3, 415.30},
		{"-4", 4, 1, 493.88},
		{"-4", 5, 2.0 / 3, 493.88},
		{"-5", 5 + 2.0/3, 1.0 / 3, 587.33},
		{"-4", 6, 1, 493.88},
		{"-3", 8, 2.0 / 3, 415.30},
		{"+4", 8 + 2.0/3, 1.0 / 3, 440},
		{"-2", 9, 2, 329.63},
	}
	if len(d.Targets) != len(want) {
		t.Fatalf("%d targets, want %d", len(d.Targets), len(want))
	}
	for i, w := range want {
		g := d.Targets[i]
		if g.Note.Tab() != w.tab || math.Abs(g.Start-w.start) > 1e-9 || math.Abs(g.Beats-w.beats) > 1e-9 || math.Abs(g.Hz-w.hz) > 0.005 {
			t.Errorf("target %d: %s at %.4f s for %.4f beats, %.2f Hz; want %+v", i, g.Note.Tab(), g.Start, g.Beats, g.Hz, w)
		}
	}
	if d.Chords[0].Name != "E7" || d.Chords[1].Name != "E7" || len(d.Chords) != 2 {
		t.Errorf("chords %v, want E7 twice", d.Chords)
	}

	// In the shuffle at 96 the off-beat eighth lies two thirds into the beat, and the bend
	// is let up in the same breath on the one.
	l, _ = lesson.Parse(demos(t)["shoes.txt"])
	if d, err = l.Drill(0, lesson.Play{}); err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		tab  string
		beat float64
		join drill.Join
	}{{"-2", -1, drill.Tongued}, {"-3'", -1.0 / 3, drill.Tongued}, {"-3", 0, drill.Glide}, {"-4", 1, drill.Tongued}, {"-4", 1 + 2.0/3, drill.Tongued}, {"-5", 2 + 2.0/3, drill.Tongued}} {
		if g := d.Targets[i]; g.Note.Tab() != want.tab || math.Abs(g.Beat-want.beat) > 1e-9 || g.Join != want.join {
			t.Errorf("target %d: %s at beat %.4f, %v; want %+v", i, g.Note.Tab(), g.Beat, g.Join, want)
		}
	}
}

// On another harp the tab stays, all pitches move by the same step, and the chords follow.
func TestTranspose(t *testing.T) {
	for name, text := range demos(t) {
		l, _ := lesson.Parse(text)
		from, err := l.Chorus(lesson.Play{})
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range harp.Keys() {
			other := lesson.Transpose(l, k)
			if problems := lesson.Check(other); len(problems) > 0 {
				t.Errorf("%s on %v: %v", name, k, problems)
			}
			to, err := other.Chorus(lesson.Play{})
			if err != nil {
				t.Fatal(err)
			}
			want := math.Exp2(float64(k.MIDI()-l.Key.MIDI()) / 12)
			for i := range from.Targets {
				a, b := from.Targets[i], to.Targets[i]
				if a.Note != b.Note || a.Beat != b.Beat || math.Abs(b.Hz/a.Hz-want) > 1e-9 {
					t.Fatalf("%s on %v: target %d is %s %g Hz, was %s %g Hz", name, k, i, b.Note.Tab(), b.Hz, a.Note.Tab(), a.Hz)
				}
			}
			for i := range from.Chords {
				if (to.Chords[i].Root-from.Chords[i].Root-k.MIDI()+l.Key.MIDI()+48)%12 != 0 {
					t.Fatalf("%s on %v: chord %s, was %s", name, k, to.Chords[i].Name, from.Chords[i].Name)
				}
			}
			if again, problems := lesson.Parse(lesson.Format(other)); len(problems) > 0 || !reflect.DeepEqual(placeless(again), placeless(other)) {
				t.Errorf("%s on %v formatted: %v", name, k, problems)
			}
		}
		if l.Key != from.Harp.Key {
			t.Errorf("%s: the lesson itself was changed", name)
		}
	}
}

func TestWithTempo(t *testing.T) {
	l, _ := lesson.Parse(demos(t)["kettle.txt"])
	if fast, err := lesson.WithTempo(l, 72.5); err != nil || fast.Tempo != 72.5 || l.Tempo != 60 {
		t.Errorf("tempo %g, %v; the lesson's own is %g", fast.Tempo, err, l.Tempo)
	}
	for _, tempo := range []float64{0, 29, 241, math.NaN(), math.Inf(1)} {
		if _, err := lesson.WithTempo(l, tempo); err == nil {
			t.Errorf("tempo %g was taken", tempo)
		}
	}
}

// Chords by name are chords of the key: E7 in E is I7, whatever the harp is later.
func TestOwnChords(t *testing.T) {
	const tail = "\nlick: a\nbars: 1\n-2:8 |\n"
	byName, problems := lesson.Parse("title: t\nharp: A\ntempo: 60\nform: E7 | A7 Am7 | C#m | D | B7 B7 E7 F#m7 | G | Bb7 |" + tail)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	byNumber, problems := lesson.Parse("title: t\nharp: A\ntempo: 60\nform: | I7 | IV7 iv7 | vi |\nform: bVII | V7 V7 I7 ii7 | bIII | bV7" + tail)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if !reflect.DeepEqual(byName.Form, byNumber.Form) {
		t.Errorf("%+v by name, %+v by number", byName.Form, byNumber.Form)
	}
	names := ""
	for _, bar := range lesson.Transpose(byName, mustKey(t, "C")).Form.Bars {
		for _, c := range bar {
			names += lesson.Transpose(byName, mustKey(t, "C")).ChordName(c) + " "
		}
		names += "| "
	}
	// On a C harp the song is in G.
	if want := "G7 | C7 Cm7 | Em | F | D7 G7 Am7 | A# | C#7 | "; names != want {
		t.Errorf("%s, want %s", names, want)
	}
	if again, problems := lesson.Parse(lesson.Format(byName)); len(problems) > 0 || !reflect.DeepEqual(placeless(again), placeless(byName)) {
		t.Errorf("%v\n%s", problems, lesson.Format(byName))
	}
}

func mustKey(t *testing.T, name string) harp.Key {
	t.Helper()
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// Law: a lesson that was made and not read, and has no error, is written and read back,
// whatever its notes.
func TestFormatOfAnyLesson(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	keys, positions, tunings, notes := harp.Keys(), harp.Positions(), harp.Tunings(), harp.Notes()
	lengths := []lesson.Ticks{80, 120, 160, 240, 320, 360, 480, 640, 720, 960, 1440, 1920, 2880, 3840, 5000, 7}
	for range 500 {
		l := lesson.Lesson{Title: "t", Words: "one\n\ntwo", Key: keys[r.IntN(len(keys))], Position: positions[r.IntN(len(positions))], Tempo: 30 + 210*r.Float64(),
			Tuning: tunings[r.IntN(len(tunings))], Form: lesson.Forms()[r.IntN(4)], A4: []float64{0, 440, 442.5}[r.IntN(3)],
			Feel: []lesson.Feel{{}, {Kind: lesson.Shuffle, Ratio: 2}, {Kind: lesson.Shuffle, Ratio: 1.2 + r.Float64()}, {Kind: lesson.Triplet}}[r.IntN(4)]}
		l.Unit = []lesson.Ticks{960, 480, 240}[r.IntN(3)]
		if l.Feel.Kind == lesson.Triplet {
			l.Unit = l.Unit * 2 / 3
		}
		if r.IntN(4) == 0 {
			l.Form = lesson.Form{Name: lesson.OwnForm, Bars: [][]lesson.Chord{
				{{Degree: r.IntN(12), Quality: lesson.Quality(r.IntN(4)), Length: lesson.Beat}, {Degree: 12 - 1 - r.IntN(2), Length: 3 * lesson.Beat}}, {{Length: lesson.Bar}}}}
			if l.Form.Bars[0][0].Degree == l.Form.Bars[0][1].Degree {
				continue
			}
		}
		k := lesson.Lick{Title: "a", Words: "w", Bar: 1 + r.IntN(20), Bars: 1 + r.IntN(3), Level: lesson.Level(r.IntN(3))}
		at := -lengths[r.IntN(13)]
		for at < lesson.Ticks(k.Bars)*lesson.Bar {
			n := lesson.Note{Start: at, Length: min(lengths[r.IntN(len(lengths))], lesson.Ticks(k.Bars)*lesson.Bar-at), Holes: []harp.Note{notes[r.IntN(len(notes))]},
				Vibrato: r.IntN(5) == 0, Hold: r.IntN(5) == 0}
			switch r.IntN(8) {
			case 0:
				n.Holes = []harp.Note{{Hole: 2, Breath: harp.Draw}, {Hole: 3, Breath: harp.Draw}}
			case 1:
				n.Wah = 0.25 + 7*r.Float64()
			case 2:
				n.Holes, n.Warble, n.Rate = []harp.Note{{Hole: 4, Breath: harp.Draw, Bend: 1}}, harp.Note{Hole: 3, Breath: harp.Draw, Bend: r.IntN(3)}, 2+r.IntN(10)
				if n.Length.Beats()*float64(n.Rate) < 2 {
					n.Warble, n.Rate = harp.Note{}, 0
				}
			case 3:
				n.Holes, n.Scoop = []harp.Note{{Hole: 3, Breath: harp.Draw, Bend: 1}}, true
			case 4:
				if i := len(k.Notes) - 1; i >= 0 && k.Notes[i].End() == at && k.Notes[i].Holes[0].Breath == n.Holes[0].Breath && !reflect.DeepEqual(k.Notes[i].Holes, n.Holes) {
					n.Join = lesson.Slurred
					if len(k.Notes[i].Holes) == 1 && k.Notes[i].Holes[0].Hole == n.Holes[0].Hole {
						n.Join = lesson.Glide
					}
				}
			}
			k.Notes = append(k.Notes, n)
			at = n.End()
			if r.IntN(3) == 0 {
				at += lengths[r.IntN(len(lengths))]
			}
		}
		k.Pickup = max(0, -k.Notes[0].Start)
		if k.Pickup >= lesson.Bar {
			continue
		}
		l.Licks = []lesson.Lick{k}
		if problems := lesson.Check(l); lesson.Failed(problems) {
			t.Fatalf("%v in %+v", problems, l)
		}
		again, problems := lesson.Parse(lesson.Format(l))
		if lesson.Failed(problems) || !reflect.DeepEqual(placeless(again), l) {
			t.Fatalf("%v\n%s\n%+v, want\n%+v", problems, lesson.Format(l), again, l)
		}
	}
}
