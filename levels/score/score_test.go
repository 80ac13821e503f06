package score

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// line is a piece of eighths with the tab of a C harp as pitches alone.
func line(t *testing.T, tab string) Piece {
	t.Helper()
	p := Piece{Tonic: 7, Tempo: 90}
	for i, w := range strings.Fields(tab) {
		holes, err := ParseTab(w)
		if err != nil {
			t.Fatal(err)
		}
		var pitches []int
		for _, h := range holes {
			pitches = append(pitches, harp.New(harp.Key{}).MIDI(h))
		}
		p.Notes = append(p.Notes, Note{Start: lesson.Ticks(i) * 480, Length: 480, Pitches: pitches})
	}
	if err := p.Check(); err != nil {
		t.Fatal(err)
	}
	return p
}

// 2 draw or 3 blow by what stands around them; a chord on neighbours; natural notes before
// bends, bends before overbends.
func TestHoles(t *testing.T) {
	key := harp.Key{}
	for _, tab := range []string{
		"-1 -2 -3 -4", "+1 +2 +3 +4", "+4 +3 +4", "-1 -2", "-3 -2 -3'", "-2", "+2 +3 +2", "-4 -3 -2 -1",
		"+1+2+3 -2-3-4", "-2'' -2' -2", "+4o -4", "-4 -5 -4' -3''", "+8' +8 +9 +10''",
	} {
		l, remarks, err := line(t, tab).Lesson(Choice{Key: &key, Position: 2})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, n := range l.Licks[0].Notes {
			got = append(got, Tab(n.Holes))
		}
		if s := strings.Join(got, " "); s != tab {
			t.Errorf("%s: %s, %v", tab, s, remarks)
		}
	}
}

// A harp that lacks a note says so, with the place.
func TestMissing(t *testing.T) {
	key := harp.Key{}
	p := line(t, "-2 -3 -4 +5")
	p.Notes[2].Pitches = []int{58} // under 1 blow
	l, remarks, err := p.Lesson(Choice{Key: &key})
	if err != nil || len(l.Licks[0].Notes) != 3 {
		t.Fatalf("%v, %v", l, err)
	}
	if text := fmt.Sprint(remarks); !strings.Contains(text, "bar 1, beat 2: a C harp has no Bb3; the note is left out") {
		t.Errorf("remarks %s", text)
	}
}

// The harp for a song in E, G or Bb in second position is A, C or Eb (position table, two
// players' theory pages).
func TestSuggest(t *testing.T) {
	for tonic, want := range map[int]string{4: "A", 7: "C", 10: "Eb", 5: "Bb"} {
		p := line(t, "-2 -3' +4 -4' -4 -5 +6")
		for i := range p.Notes {
			p.Notes[i].Pitches[0] += (tonic-7+18)%12 - 6
		}
		p.Tonic = tonic
		if best := p.Suggest()[0]; best.Key.String() != want || best.Position != 2 || best.Missing != 0 || best.Bends != 2 || best.Over != 0 {
			t.Errorf("in %s: %+v", harp.PitchClass(tonic), best)
		}
	}
}

func TestValues(t *testing.T) {
	for _, c := range []struct {
		start, end lesson.Ticks
		twelve     bool
		want       string
	}{
		{0, 3840, false, "1"}, {0, 960, false, "4"}, {480, 960, false, "8"}, {0, 1440, false, "4."}, {480, 1440, false, "4"},
		{0, 320, false, "8t"}, {320, 960, false, "4t"}, {0, 640, false, "4t"}, {-320, 0, false, "8t"},
		{2880, 4800, false, "4 4"}, {0, 2400, false, "2 8"}, {640, 1920, false, "2t"}, {0, 192, false, "16(5:4)"},
		{0, 960, true, "4."}, {0, 320, true, "8"}, {320, 960, true, "4"}, {0, 3840, true, "1."}, {0, 480, true, "8."}, {640, 1280, true, "4"},
		{0, 7, false, "?"},
	} {
		var all []string
		at := c.start
		for _, v := range Values(c.start, c.end, c.twelve) {
			if v.Start != at {
				t.Errorf("%d to %d: a part at %d, want %d", c.start, c.end, v.Start, at)
			}
			at += v.Length
			s := fmt.Sprint(v.Base)
			if v.Dotted {
				s += "."
			}
			switch {
			case v.Base == 0:
				s = "?"
			case v.Actual == 3:
				s += "t"
			case v.Actual > 0:
				s += fmt.Sprintf("(%d:%d)", v.Actual, v.Normal)
			}
			all = append(all, s)
		}
		if got := strings.Join(all, " "); got != c.want || at != c.end {
			t.Errorf("%d to %d: %s up to %d, want %s", c.start, c.end, got, at, c.want)
		}
	}
}

// Keys and blue notes as theory books spell them.
func TestSpell(t *testing.T) {
	for _, c := range []struct {
		tonic int
		minor bool
		name  string
		sharp int
		notes string // flat third, flat fifth, flat seventh
	}{
		{4, false, "E", 4, "G Bb D"}, {7, false, "G", 1, "Bb Db F"}, {5, false, "F", -1, "Ab Cb Eb"}, {10, false, "Bb", -2, "Db Fb Ab"},
		{6, false, "F#", 6, "A C E"}, {0, true, "C", -3, "Eb Gb Bb"}, {1, true, "C#", 4, "E G B"},
	} {
		k := NewKey(c.tonic, c.minor)
		var got []string
		for _, over := range []int{3, 6, 10} {
			s := k.Spell(60 + c.tonic + over)
			if s.MIDI() != 60+c.tonic+over {
				t.Errorf("%s: %v is %d", c.name, s, s.MIDI())
			}
			got = append(got, s.Name())
		}
		if k.Tonic.Name() != c.name || k.Fifths != c.sharp || strings.Join(got, " ") != c.notes || ByFifths(k.Fifths, c.minor) != c.tonic {
			t.Errorf("%s: %s, %d, %v", c.name, k.Tonic.Name(), k.Fifths, got)
		}
	}
}

func TestUnfold(t *testing.T) {
	for _, c := range []struct {
		bars []Bar
		want []int
	}{
		{make([]Bar, 3), []int{0, 1, 2}},
		{[]Bar{{}, {Start: true}, {Times: 2}, {}}, []int{0, 1, 2, 1, 2, 3}},
		{[]Bar{{}, {Times: 2}}, []int{0, 1, 0, 1}},
		{[]Bar{{Start: true}, {Times: 2, Endings: []int{1}}, {Endings: []int{2}}, {}}, []int{0, 1, 0, 2, 3}},
		{[]Bar{{Start: true, Times: 3}}, []int{0, 0, 0}},
	} {
		if got, err := Unfold(c.bars); err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%+v: %v, %v, want %v", c.bars, got, err, c.want)
		}
	}
}

// A mark that is read is written the same.
func FuzzMark(f *testing.F) {
	for _, s := range []string{"-4' glide", "-4 warble=-5*4 lick=2", "+1+2+3 hold vibrato wah=2.5", "~", "-2 at=-480 len=960 slur scoop"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ParseMark(s)
		if err != nil {
			return
		}
		if !m.Placed { // half a place is none
			m.Start, m.Length = 0, 0
		}
		again, err := ParseMark(m.String())
		if err != nil || !reflect.DeepEqual(again, m) {
			t.Errorf("%q: %+v, then %+v, %v", s, m, again, err)
		}
	})
}

// A head that is read is written the same.
func FuzzHead(f *testing.F) {
	f.Add(Head{Lesson: lesson.Lesson{Title: "T%", Position: 2, Tempo: 90, Form: lesson.Forms()[0]}}.String())
	f.Fuzz(func(t *testing.T, s string) {
		h, err := ParseHead(s)
		if err != nil {
			return
		}
		text := h.String()
		again, err := ParseHead(text)
		if err != nil || again.String() != text {
			t.Errorf("%q: %v", text, err)
		}
		if strings.ContainsAny(text, "%<>&\n") {
			t.Errorf("%q would not pass through every format", text)
		}
	})
}
