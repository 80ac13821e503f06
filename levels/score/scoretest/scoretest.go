// Package scoretest holds lessons for the tests of the notation formats, and compares what
// comes back. The licks are our own and chosen for what is hard to carry, not for beauty.
package scoretest

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// Lessons are lessons of all feels, with everything a note can be.
func Lessons(t testing.TB) []lesson.Lesson {
	t.Helper()
	forms := lesson.Forms()
	own := lesson.Form{Name: "own", Bars: [][]lesson.Chord{
		{{Degree: 0, Quality: lesson.MinorSeventh, Length: lesson.Bar}},
		{{Degree: 0, Quality: lesson.Minor, Length: lesson.Beat}, {Degree: 10, Quality: lesson.Major, Length: 3 * lesson.Beat}},
	}}
	plain := build(t, `
		lick 1 2 pickup=480 level=1
		-480 480 -3'
		0 480 -3 glide
		480 480 +4
		960 960 -4 hold
		1920 320 -4'
		2240 320 -4 glide
		2560 320 -5 slur
		2880 240 +6
		3120 240 +6
		3360 480 -5
		3840 960 -3''
		4800 1440 -2 scoop
		6240 1440 +3
		lick 5 2
		0 1920 -4 warble=-5*4
		1920 960 +1+2+3
		2880 480 -2'' vibrato wah=2.5
		3360 480 -2' glide
		3840 480 -2 glide
		4320 2400 -1-2-3-4 hold
		lick 11 2 pickup=320 level=2
		-320 320 -1'
		0 640 -1 glide
		640 320 -2
		960 60 -3
		1020 900 +4
		1920 1920 +10'' scoop
		3840 720 +6o
		4560 240 -6
		4800 160 -6'
		4960 320 -6 glide
		5280 480 -7o
		5760 1600 -2''
	`)
	plain.Title, plain.Words = "Rope & <Bucket> 100% é\u2192\U0001F3B5", "Slowly first.\nThen \"as it goes\"; tab: -4' {x}"
	plain.Key, plain.Position, plain.Tempo, plain.Form = key(t, "A"), 2, 92.5, forms[0]
	plain.Feel, plain.Unit = lesson.Feel{Kind: lesson.Shuffle, Ratio: 2}, lesson.Beat/2
	plain.Licks[0].Title, plain.Licks[0].Words = "Climb; \\ down % |", "Let the half step sing."
	plain.Licks[1].Title, plain.Licks[2].Title = "Shake", "Home"
	plain.A4, plain.Tuning = 442, harp.Compromise

	straight := build(t, `
		lick 1 2
		0 720 -4
		720 240 -3''
		960 480 +4 slur
		1440 960 -2
		2400 1440 -3'
		4080 80 +5
		4160 80 +6
		4240 80 +5
		4320 480 -5
		4800 1280 +4
		6080 640 -4
		6720 960 -1
	`)
	straight.Title, straight.Key, straight.Position, straight.Tempo = "Third rail", key(t, "low D"), 3, 117.3
	straight.Form, straight.Unit = own, lesson.Beat
	twelve := build(t, `
		lick 2 3 pickup=640
		-640 320 +6
		-320 320 -6
		0 960 +7
		960 640 -8
		1600 320 +8'
		1920 480 +8
		2400 480 +9'
		2880 960 +9 glide
		3840 2880 -9
		6720 320 -8 slur
		7040 64 -7
		7104 256 +7
		7680 3840 +6
	`)
	twelve.Title, twelve.Key, twelve.Position, twelve.Tempo = "Twelve eighths", key(t, "Eb"), 1, 61
	twelve.Feel, twelve.Form, twelve.Unit = lesson.Feel{Kind: lesson.Triplet}, forms[2], lesson.Beat/3
	minor := build(t, `
		lick 1 1
		0 480 -4
		480 480 -5
		960 480 +6
		1440 480 -6
		1920 1920 -8
	`)
	minor.Title, minor.Key, minor.Position, minor.Tempo = "Minor", key(t, "C"), 3, 140
	minor.Feel, minor.Form = lesson.Feel{Kind: lesson.Shuffle, Ratio: 1.5}, forms[3]
	return []lesson.Lesson{plain, straight, twelve, minor}
}

func key(t testing.TB, name string) harp.Key {
	k, err := harp.ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// build reads licks in a short hand: "lick BAR BARS ..." and "START LENGTH HOLES ...".
func build(t testing.TB, text string) lesson.Lesson {
	t.Helper()
	var l lesson.Lesson
	for _, row := range strings.Split(strings.TrimSpace(text), "\n") {
		words := strings.Fields(row)
		if words[0] == "lick" {
			var k lesson.Lick
			fmt.Sscan(words[1], &k.Bar)
			fmt.Sscan(words[2], &k.Bars)
			for _, w := range words[3:] {
				fmt.Sscanf(w, "pickup=%d", &k.Pickup)
				fmt.Sscanf(w, "level=%d", &k.Level)
			}
			l.Licks = append(l.Licks, k)
			continue
		}
		var n lesson.Note
		fmt.Sscan(words[0], &n.Start)
		fmt.Sscan(words[1], &n.Length)
		n.Holes = holes(t, words[2])
		for _, w := range words[3:] {
			switch {
			case w == "slur":
				n.Join = lesson.Slurred
			case w == "glide":
				n.Join = lesson.Glide
			case w == "scoop":
				n.Scoop = true
			case w == "hold":
				n.Hold = true
			case w == "vibrato":
				n.Vibrato = true
			case strings.HasPrefix(w, "wah="):
				fmt.Sscan(w[4:], &n.Wah)
			case strings.HasPrefix(w, "warble="):
				tab, rate, _ := strings.Cut(w[7:], "*")
				n.Warble = holes(t, tab)[0]
				fmt.Sscan(rate, &n.Rate)
			default:
				t.Fatalf("word %q", w)
			}
		}
		last := &l.Licks[len(l.Licks)-1]
		last.Notes = append(last.Notes, n)
	}
	return l
}

func holes(t testing.TB, text string) []harp.Note {
	t.Helper()
	var all []harp.Note
	for text != "" {
		end := len(text)
		if i := strings.IndexAny(text[1:], "+-"); i >= 0 {
			end = i + 1
		}
		n, err := harp.ParseNote(text[:end])
		if err != nil {
			t.Fatal(err)
		}
		all, text = append(all, n), text[end:]
	}
	return all
}

// Only is the lesson with one lick alone.
func Only(l lesson.Lesson, lick int) lesson.Lesson {
	l.Licks = []lesson.Lick{l.Licks[lick]}
	return l
}

// Bare is the lesson without what no file carries: the places in its text.
func Bare(l lesson.Lesson) lesson.Lesson {
	licks := append([]lesson.Lick(nil), l.Licks...)
	for i := range licks {
		notes := append([]lesson.Note(nil), licks[i].Notes...)
		for j := range notes {
			notes[j].At = lesson.Place{}
		}
		licks[i].Notes = notes
	}
	l.Licks = licks
	return l
}

// Same fails the test unless both lessons are the same but for places in a text.
func Same(t testing.TB, what string, got, want lesson.Lesson) {
	t.Helper()
	got, want = Bare(got), Bare(want)
	if len(got.Licks) != len(want.Licks) {
		t.Fatalf("%s: %d licks, want %d", what, len(got.Licks), len(want.Licks))
	}
	for i := range want.Licks {
		g, w := got.Licks[i].Notes, want.Licks[i].Notes
		if len(g) != len(w) {
			t.Errorf("%s, lick %d: %d notes, want %d", what, i+1, len(g), len(w))
		}
		for j := 0; j < min(len(g), len(w)); j++ {
			if !reflect.DeepEqual(g[j], w[j]) {
				t.Errorf("%s, lick %d, note %d:\n got %+v\nwant %+v", what, i+1, j+1, g[j], w[j])
			}
		}
		got.Licks[i].Notes, want.Licks[i].Notes = nil, nil
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s:\n got %+v\nwant %+v", what, got, want)
	}
}
