package write

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"reedwell/audio/listen"
	"reedwell/levels/harp"
	"reedwell/levels/lesson"
)

// told reads what an ear tells, in a short hand: notes as harp.Note.Tab has them with their length in
// milliseconds behind a colon, one behind the other; * before a note: tongued; ? not heard clearly; ( a turn for which no
// note is told and which the frames name; & before holes that sound along 4 dB softer; _ sound without a pitch; r silence; and x3 behind a group in braces repeats it.
func told(t testing.TB, text string) listen.Take {
	t.Helper()
	const hop = rate / 200
	h := harp.New(keyOf(t, "C"))
	take := listen.Take{Rate: rate}
	silence := func(n int) {
		for range n {
			take.Frames = append(take.Frames, listen.Frame{At: int64(len(take.Frames)) * hop, Level: listen.Floor})
		}
	}
	silence(20)
	dip := 90.0
	for _, f := range strings.Fields(repeated(t, text)) {
		what, ms, _ := strings.Cut(f, ":")
		n, err := strconv.Atoi(ms)
		if err != nil || n%5 != 0 {
			t.Fatalf("%q: a frame lasts 5 ms", f)
		}
		n /= 5
		if what == "r" {
			silence(n)
			dip = 90
			continue
		}
		frame := listen.Frame{Level: -25, Confidence: 1, Brightness: 900}
		tell := true
		for ; strings.ContainsAny(what[:1], "*?("); what = what[1:] {
			switch what[0] {
			case '*':
				dip = 24
			case '?':
				frame.Confidence = 0.3
			case '(':
				frame.Confidence, tell = 0.5, false
			}
		}
		if what == "_" {
			tell = false
		} else {
			for i, tab := range strings.Split(what, "&") {
				note, err := harp.ParseNote(tab)
				if err != nil {
					t.Fatal(err)
				}
				hz, err := h.Hz(note)
				if err != nil {
					t.Fatal(err)
				}
				if i == 0 {
					frame.F0 = hz
				} else {
					frame.Others[i-1] = listen.Voice{F0: hz, Level: -4}
				}
			}
		}
		first := len(take.Frames)
		for range n {
			frame.At = int64(len(take.Frames)) * hop
			take.Frames = append(take.Frames, frame)
		}
		if tell {
			take.Notes = append(take.Notes, listen.Note{Start: int64(first) * hop, End: int64(first+n) * hop, F0: frame.F0, Dip: dip, First: first, Last: first + n})
		}
		dip = 5
	}
	silence(40)
	return take
}

// repeated writes out the groups in braces.
func repeated(t testing.TB, text string) string {
	t.Helper()
	for {
		a, rest, ok := strings.Cut(text, "{")
		if !ok {
			return text
		}
		group, rest, _ := strings.Cut(rest, "}x")
		times, rest, _ := strings.Cut(rest, " ")
		n, err := strconv.Atoi(times)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		text = a + strings.Repeat(group+" ", n) + rest
	}
}

// found are the pieces of a take: a warble with its turns, and of them those that were not told and of
// those the ones nobody named.
func found(t testing.TB, take listen.Take) string {
	t.Helper()
	pieces, err := newEar(take, harp.New(keyOf(t, "C"))).pieces()
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, p := range pieces {
		s := ""
		for i, n := range chordOf(p, p.note) {
			s += strings.Repeat("&", min(i, 1)) + n.Tab()
		}
		if p.warbles() {
			s += fmt.Sprintf("~%s*%d", p.warble.Tab(), p.turns)
			if p.lostTurns > 0 {
				s += fmt.Sprintf("?%d", p.lostTurns)
			}
			if p.guessed > 0 {
				s += fmt.Sprintf("!%d", p.guessed)
			}
		}
		all = append(all, s)
	}
	return strings.Join(all, " ")
}

// Turns that the ear lost are put back into their warble, and what is no warble stays notes.
func TestBridges(t *testing.T) {
	for _, c := range []struct{ name, told, want string }{
		{"every turn told", "{-4:70 -5:70}x5", "-4~-5*10"},
		// Lost and named by the frames.
		{"one turn named", "{-4:70 -5:70}x3 (-4:70 {-5:70 -4:70}x2", "-4~-5*11?1"},
		{"every turn of a hole but two named", "-4:70 -5:70 {(-4:70 -5:70}x4 -4:70 -5:70", "-4~-5*12?4"},
		{"the first turn named", "(-4:70 {-5:70 -4:70}x4", "-4~-5*9?1"},
		{"the last turn named", "{-5:70 -4:70}x4 (-5:70", "-5~-4*9?1"},
		{"three in a row named", "{-4:70 -5:70}x2 (-4:70 (-5:70 (-4:70 {-5:70 -4:70}x2", "-4~-5*11?3"},
		// Lost without a name.
		{"one turn lost", "-4:70 -5:70 -4:70 -5:70 _:70 -5:70 -4:70 -5:70", "-4~-5*8?1!1"},
		{"two turns lost", "-4:70 -5:70 -4:70 -5:70 _:140 -4:70 -5:70 -4:70", "-4~-5*9?2!2"},
		{"in pieces of three", "{-4:70 -5:70 -4:70 _:70}x4 -4:70", "-4~-5*17?4!4"},
		{"uneven, one lost", "-4:60 -5:85 -4:55 -5:80 _:75 -5:60 -4:80 -5:65", "-4~-5*8?1!1"},
		{"a turn that lasts three, its neighbours lost", "{-4:70 -5:70}x2 -4:210 {-5:70 -4:70}x2", "-4~-5*11?2!2"},
		{"a long one that is not clear", "{-4:70 -5:70}x3 ?-4:350 {-5:70 -4:70}x3", "-4~-5*17?4!4"},
		{"quicker and quicker", "-4:150 -5:140 -4:130 -5:115 -4:100 -5:90 -4:80 -5:75 -4:70", "-4~-5*9"},
		// Honest notes.
		{"a slow alternation", "{-4:250 -5:250}x4", "-4 -5 -4 -5 -4 -5 -4 -5"},
		{"a slow alternation with a turn named", "-4:250 -5:250 (-4:250 -5:250 -4:250 -5:250 -4:250", "-4 -5 -5 -4 -5 -4"},
		{"slow, then a warble", "{-4:250 -5:250}x2 {-4:70 -5:70}x4", "-4 -5 -4 -5 -4~-5*8"},
		{"a warble, then slow", "{-4:70 -5:70}x4 {-4:250 -5:250}x2", "-4~-5*8 -4 -5 -4 -5"},
		{"a warble, then one of its notes held", "{-4:70 -5:70}x4 -4:400", "-4~-5*8 -4"},
		{"a note held, then a warble", "-5:400 {-4:70 -5:70}x4", "-5 -4~-5*8"},
		{"a note held within", "{-4:70 -5:70}x4 -4:500 {-5:70 -4:70}x4", "-4~-5*8 -4 -5~-4*8"},
		{"a warble, then its last note tongued", "{-4:70 -5:70}x4 r:30 *-5:70", "-4~-5*8 -5"},
		{"two warbles on other holes, a rest between", "{-4:70 -5:70}x4 r:210 {-3:70 -4:70}x4", "-4~-5*8 -3~-4*8"},
		{"two warbles on other holes in one breath", "{-4:70 -5:70}x4 {-3:70 -2:70}x4", "-4~-5*8 -3~-2*8"},
		{"two of the same with a rest of three turns", "{-4:70 -5:70}x4 r:210 {-4:70 -5:70}x4", "-4~-5*8 -4~-5*8"},
		{"two short ones with a rest of a turn", "-4:70 -5:70 -4:70 r:70 *-4:70 -5:70 -4:70", "-4 -5 -4 -4 -5 -4"},
		{"one hole tongued", "{*-4:70 r:25}x8", "-4 -4 -4 -4 -4 -4 -4 -4"},
		{"one hole tongued, ringing on", "{*-4:70 (-4:70}x6", "-4 -4 -4 -4 -4 -4"},
		{"two holes tongued in turn", "{*-4:70 *-5:70}x4", "-4 -5 -4 -5 -4 -5 -4 -5"},
		{"five turns", "-4:70 -5:70 -4:70 -5:70 -4:70", "-4 -5 -4 -5 -4"},
		{"five turns and one that is named", "{-4:70 -5:70}x2 (-4:70 -5:70", "-4~-5*6?1"},
		{"more turns lost than told", "-4:70 {(-5:70 (-4:70}x3 -5:70 r:70 -4:800", "-4 -5 -4"},
		{"a hole of one turn and a half", "-4:70 -5:70 -4:70 -5:70 _:105 -5:70 -4:70 -5:70", "-4 -5 -4 -5 -5 -4 -5"},
		{"one hole in turn with nothing heard", "{-4:70 _:70}x7", "-4 -4 -4 -4 -4 -4 -4"},
		{"a turn lost of another hole", "-4:70 -5:70 -4:70 -5:70 (-6:70 -5:70 -4:70 -5:70", "-4 -5 -4 -5 -5 -4 -5"},
		{"a run over three holes", "-4:70 -5:70 -6:70 -5:70 -4:70 -5:70 -6:70 -5:70", "-4 -5 -6 -5 -4 -5 -6 -5"},
		{"holes in turn that are no neighbours", "{-4:70 -6:70}x4", "-4 -6 -4 -6 -4 -6 -4 -6"},
		{"another note named", "-4:70 -5:70 -4:70 -5:70 (-8:70 -5:70 -4:70 -5:70", "-4 -5 -4 -5 -5 -4 -5"},
		{"named too shortly to be a turn", "-4:70 -5:70 -4:70 -5:70 (-4:15 _:55 -5:70 -4:70 -5:70", "-4~-5*8?1!1"},
	} {
		if got := found(t, told(t, c.told)); got != c.want {
			t.Errorf("%s: %s\ngot  %s\nwant %s", c.name, c.told, got, c.want)
		}
	}
}

// What the ear cuts out of one chord is one chord, and what is played as several stays so.
func TestChords(t *testing.T) {
	for _, c := range []struct{ name, told, want string }{
		{"one chord", "-2&-3&-4:500", "-2&-3&-4"},
		{"one hole speaks first", "-2:55 -2&-3&-4:500", "-2&-3&-4"},
		{"one speaks first, then one too shortly for a note", "-2:55 -4:40 -2&-3&-4:500", "-2&-3&-4"},
		{"the lowest and the highest named in turn", "-4&-3:60 -2&-3:70 -4&-3:60 -2&-3:200", "-2&-3&-4"},
		{"cut where it wavers", "-4&-3&-2:400 -4&-3&-2:130", "-2&-3&-4"},
		{"tongued twice", "-4&-3:300 *-4&-3:300", "-3&-4 -3&-4"},
		{"tongued twice with a gap", "-4&-3&-2:300 r:30 *-4&-3&-2:300", "-2&-3&-4 -2&-3&-4"},
		{"a note tongued lightly", "-4:300 r:15 *-4:300", "-4 -4"},
		{"a grace note two holes away", "-4:90 -2:400", "-4 -2"},
		{"a slur over a hole", "-4:300 -2:300", "-4 -2"},
		{"quick notes two holes apart", "-4:90 -2:90 -4:90 -2:90", "-4 -2 -4 -2"},
	} {
		if got := found(t, told(t, c.told)); got != c.want {
			t.Errorf("%s: %s\ngot  %s\nwant %s", c.name, c.told, got, c.want)
		}
	}
}

// A turn that is named softly is another hole's leak or ring, not a turn.
func TestSoftTurn(t *testing.T) {
	take := told(t, "-4:70 -5:70 -4:70 -5:70 (-4:70 -5:70 -4:70 -5:70")
	for i := range take.Frames {
		if f := &take.Frames[i]; f.Confidence == 0.5 {
			f.Level -= 15
		}
	}
	// The hole that is left is as long as a turn, so it is bridged, but as one that nobody named.
	if got, want := found(t, take), "-4~-5*8?1!1"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// The warble that is written runs as quickly as it was played, however many turns were lost, and says so.
func TestBridgedRate(t *testing.T) {
	for _, c := range []struct {
		told  string
		doubt bool
	}{
		{"{-4:75 -5:75}x10", false},
		{"{-4:75 -5:75}x4 (-4:75 -5:75 {-4:75 -5:75}x5", false},
		{"{-4:75 -5:75}x2 {(-4:75 -5:75}x6 {-4:75 -5:75}x2", true},
		{"{-4:75 -5:75 -4:75 _:75}x4 {-4:75 -5:75}x2", true},
		{"{-4:75 -5:75}x4 -4:225 {-5:75 -4:75}x4 -5:75", true},
	} {
		take := told(t, c.told+" -3:600")
		k, doubts, _, err := Lick(take, Options{Harp: harp.New(keyOf(t, "C")), Position: 2, Tempo: 100, Beat0: 0.1, Feel: &lesson.Feel{}})
		if err != nil {
			t.Fatal(err)
		}
		// 20 turns of 75 ms at 100 to the minute: eight a beat, two beats and a half.
		if got, want := show(k.Notes), "0:-4~-5@8(5) 5:s-3(2) "; got != want {
			t.Errorf("%s:\ngot  %s\nwant %s", c.told, got, want)
		}
		said := false
		for _, d := range doubts {
			said = said || d.Note == 0 && d.About == Heard
		}
		if said != c.doubt {
			t.Errorf("%s: in doubt: %v, want %v: %v", c.told, said, c.doubt, doubts)
		}
	}
}

// Holes that are lost here and there out of a scattered warble never make more than one note of it, and its rate stays
// within a tenth: 200 warbles, the scatter of the turns an eighth of them, every eighth turn lost.
func TestManyBridges(t *testing.T) {
	state := uint64(1)
	random := func() float64 { // in [0, 1); a linear congruential generator, Knuth's MMIX
		state = state*6364136223846793005 + 1442695040888963407
		return float64(state>>11) / (1 << 53)
	}
	const turns, length = 24, 0.08
	for n := range 200 {
		var pieces []piece
		for i := range turns {
			note := harp.Note{Hole: 4 + i%2, Breath: harp.Draw}
			at := length * float64(i)
			if i > 0 {
				at += length / 8 * (random() + random() + random() + random() - 2) * math.Sqrt(3)
			}
			if i > 0 {
				pieces[i-1].end = at
			}
			pieces = append(pieces, piece{start: at, end: length * float64(i+1), note: note, dip: 5, sure: 1})
		}
		var kept []piece
		for i, p := range pieces {
			lost := i > 1 && i < turns-2 && random() < 1.0/8 && len(kept) > 0 && kept[len(kept)-1].end == p.start
			if !lost {
				kept = append(kept, p)
			}
		}
		all := warbles(kept, func(a, b piece) bool { return true })
		if len(all) != 1 || math.Abs(all[0].gap/length-1) > 0.1 {
			t.Errorf("warble %d: %d of %d turns told: %d pieces, %.3f s a turn, want 1 of %.3f", n, len(kept), turns, len(all), all[0].gap, length)
		}
	}
}
