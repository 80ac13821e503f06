package harp

import (
	"math"
	"slices"
	"testing"
)

// must reads a note that is known to be right.
func must(t testing.TB, tab string) Note {
	t.Helper()
	n, err := ParseNote(tab)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func mustKey(t testing.TB, name string) Key {
	t.Helper()
	k, err := ParseKey(name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// Semitones above 1 blow, blow and draw of each hole: OEIS A291810.
func TestLayoutIsOEIS(t *testing.T) {
	for i, want := range []int{0, 2, 4, 7, 7, 11, 12, 14, 16, 17, 19, 21, 24, 23, 28, 26, 31, 29, 36, 33} {
		n := Note{Hole: i/2 + 1, Breath: Breath(i % 2)}
		if got := n.Semitones(); got != want {
			t.Errorf("%s lies %d semitones over 1 blow, want %d", n.Tab(), got, want)
		}
	}
}

// The octaves and chords that the Richter layout is built for: blow sounds the tonic
// triad throughout, draw 1-4 the dominant triad, 2-5 its seventh chord, 4-5-6 and
// 8-9-10 the minor chord on the second degree, 7-8-9 the diminished one on the seventh.
// Common practice, no source; it is a second look at the layout from the music's side.
func TestChordsOfTheLayout(t *testing.T) {
	for _, c := range []struct {
		name        string
		breath      Breath
		first, last int
		classes     []int // semitones above 1 blow within the octave
	}{
		{"tonic triad", Blow, 1, 10, []int{0, 4, 7}},
		{"dominant triad", Draw, 1, 4, []int{2, 7, 11}},
		{"dominant seventh", Draw, 2, 5, []int{2, 5, 7, 11}},
		{"second degree minor", Draw, 4, 6, []int{2, 5, 9}},
		{"second degree minor, high", Draw, 8, 10, []int{2, 5, 9}},
		{"seventh degree diminished", Draw, 7, 9, []int{2, 5, 11}},
	} {
		var got []int
		for hole := c.first; hole <= c.last; hole++ {
			got = append(got, Note{Hole: hole, Breath: c.breath}.Semitones()%12)
		}
		slices.Sort(got)
		if got = slices.Compact(got); !slices.Equal(got, c.classes) {
			t.Errorf("%s: %v %d-%d sound %v, want %v", c.name, c.breath, c.first, c.last, got, c.classes)
		}
	}
}

// Every bend of the instrument with its distance from 1 blow: players' tables (common
// practice, no source), each strictly between the two reeds of its hole (Bahnson,
// Antaki and Beery 1998).
func TestBends(t *testing.T) {
	want := map[string]int{
		"-1'": 1, "-2'": 6, "-2''": 5, "-3'": 10, "-3''": 9, "-3'''": 8, "-4'": 13, "-6'": 20,
		"+8'": 27, "+9'": 30, "+10'": 35, "+10''": 34,
	}
	got := map[string]int{}
	for _, n := range Notes() {
		if n.Bend == 0 {
			continue
		}
		got[n.Tab()] = n.Semitones()
		blow, draw := Note{Hole: n.Hole, Breath: Blow}.Semitones(), Note{Hole: n.Hole, Breath: Draw}.Semitones()
		if s := n.Semitones(); s <= min(blow, draw) || s >= max(blow, draw) {
			t.Errorf("%s lies at %d, not between the reeds at %d and %d", n.Tab(), s, blow, draw)
		}
	}
	for tab, s := range want {
		if at, ok := got[tab]; !ok || at != s {
			t.Errorf("%s lies at %d (%v), want %d", tab, at, ok, s)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d bends %v, want %d", len(got), got, len(want))
	}
	for hole, rungs := range map[int]int{0: 0, 5: 0, 7: 0, 11: 0} {
		if _, got := Bends(hole); got != rungs {
			t.Errorf("Bends(%d) = %d rungs, want %d", hole, got, rungs)
		}
	}
	if b, rungs := Bends(3); b != Draw || rungs != 3 {
		t.Errorf("Bends(3) = %v, %d, want draw, 3", b, rungs)
	}
}

// Naturals and bends leave six gaps in three octaves, which overbends fill, one way
// each; 10 overdraw is the one note above. Counted here from the OEIS layout.
func TestEachPitchHasOneWayButTwoDrawThreeBlow(t *testing.T) {
	plain, all := map[int][]string{}, map[int][]string{}
	for _, n := range Notes() {
		all[n.Semitones()] = append(all[n.Semitones()], n.Tab())
		if !n.Over {
			plain[n.Semitones()] = append(plain[n.Semitones()], n.Tab())
		}
	}
	fill := map[int]string{3: "+1o", 15: "+4o", 18: "+5o", 22: "+6o", 25: "-7o", 32: "-9o"}
	for s := 0; s <= 36; s++ {
		over, gap := fill[s]
		if gap != (len(plain[s]) == 0) {
			t.Errorf("%d semitones over 1 blow: %v without overbends, gap %v", s, plain[s], gap)
		}
		if gap && !slices.Equal(all[s], []string{over}) {
			t.Errorf("%d semitones over 1 blow: %v, want %s", s, all[s], over)
		}
		if s == 7 {
			if !slices.Equal(all[s], []string{"-2", "+3"}) {
				t.Errorf("7 semitones over 1 blow: %v, want 2 draw and 3 blow", all[s])
			}
		} else if len(all[s]) != 1 {
			t.Errorf("%d semitones over 1 blow: %v, want one way", s, all[s])
		}
	}
	if !slices.Equal(all[37], []string{"-10o"}) {
		t.Errorf("37 semitones over 1 blow: %v, want 10 overdraw", all[37])
	}
	if len(all) != 38 {
		t.Errorf("%d pitches, want 38", len(all))
	}
}

// The overbends on 2, 3 and 8 exist but only repeat a pitch: valid, not listed.
func TestOverbendsThatRepeatAPitch(t *testing.T) {
	for tab, want := range map[string]int{"+2o": 8, "+3o": 12, "-8o": 29} {
		n := must(t, tab)
		if got := n.Semitones(); got != want {
			t.Errorf("%s lies %d semitones over 1 blow, want %d", tab, got, want)
		}
		if slices.Contains(Notes(), n) {
			t.Errorf("Notes lists %s", tab)
		}
	}
}

// Octaves across the comb, where a doubled or halved frequency would be taken for
// another hole: from the layout.
func TestOctavesAcrossTheComb(t *testing.T) {
	h := New(mustKey(t, "A"))
	for _, tabs := range [][]string{
		{"+1", "+4", "+7", "+10"}, {"+2", "+5", "+8"}, {"+3", "+6", "+9"},
		{"-1", "-4", "-8"}, {"-3", "-7"}, {"-5", "-9"}, {"-6", "-10"},
	} {
		for i := 1; i < len(tabs); i++ {
			low, high := h.hz(must(t, tabs[i-1])), h.hz(must(t, tabs[i]))
			if math.Abs(high/low-2) > 1e-12 { // rounding of Exp2
				t.Errorf("%s to %s: ratio %.6f, want 2", tabs[i-1], tabs[i], high/low)
			}
		}
	}
}
