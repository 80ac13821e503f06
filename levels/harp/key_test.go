package harp

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
)

// 1 blow of each key by MIDI note number. G is the lowest standard key and F# the
// highest, low keys an octave under the standard one and high G an octave over G: common
// practice, no source.
func TestKeys(t *testing.T) {
	want := []string{"low C", "low Db", "low D", "low Eb", "low E", "low F", "low F#", "G", "Ab", "A", "Bb", "B",
		"C", "Db", "D", "Eb", "E", "F", "F#", "high G"}
	keys := Keys()
	if len(keys) != len(want) {
		t.Fatalf("%d keys, want %d", len(keys), len(want))
	}
	for i, k := range keys {
		if k.String() != want[i] || k.MIDI() != 48+i {
			t.Errorf("key %d = %v at MIDI %d, want %s at %d", i, k, k.MIDI(), want[i], 48+i)
		}
		if back, err := ParseKey(k.String()); err != nil || back != k {
			t.Errorf("ParseKey(%q) = %v, %v", k, back, err)
		}
	}
}

// Whole harps by MIDI note number, reed by reed: written out from OEIS A291810 and the
// key's 1 blow.
func TestReedsByKey(t *testing.T) {
	for key, want := range map[string][2][]int{
		"low D":  {{50, 54, 57, 62, 66, 69, 74, 78, 81, 86}, {52, 57, 61, 64, 67, 71, 73, 76, 79, 83}},
		"G":      {{55, 59, 62, 67, 71, 74, 79, 83, 86, 91}, {57, 62, 66, 69, 72, 76, 78, 81, 84, 88}},
		"A":      {{57, 61, 64, 69, 73, 76, 81, 85, 88, 93}, {59, 64, 68, 71, 74, 78, 80, 83, 86, 90}},
		"C":      {{60, 64, 67, 72, 76, 79, 84, 88, 91, 96}, {62, 67, 71, 74, 77, 81, 83, 86, 89, 93}},
		"F#":     {{66, 70, 73, 78, 82, 85, 90, 94, 97, 102}, {68, 73, 77, 80, 83, 87, 89, 92, 95, 99}},
		"high G": {{67, 71, 74, 79, 83, 86, 91, 95, 98, 103}, {69, 74, 78, 81, 84, 88, 90, 93, 96, 100}},
	} {
		h := New(mustKey(t, key))
		for b := Blow; b <= Draw; b++ {
			var got []int
			for hole := 1; hole <= Holes; hole++ {
				got = append(got, h.MIDI(Note{Hole: hole, Breath: b}))
			}
			if !slices.Equal(got, want[b]) {
				t.Errorf("%s %v reeds: MIDI %v, want %v", key, b, got, want[b])
			}
		}
	}
}

func TestParseKey(t *testing.T) {
	for in, want := range map[string]string{
		"a": "A", " A ": "A", "B": "B", "b": "B", "bb": "Bb", "BB": "Bb", "A#": "Bb", "gb": "F#", "F♯": "F#", "G♯": "Ab",
		"A♭": "Ab", "C#": "Db", "D#": "Eb", "Cb": "B", "Fb": "E", "E#": "F", "B#": "C",
		"LD": "low D", "ld": "low D", "low-d": "low D", "lowD": "low D", "LOW D": "low D", "L-D": "low D",
		"low Gb": "low F#", "low D#": "low Eb", "LC#": "low Db", "HG": "high G", "high-g": "high G", "highG": "high G",
	} {
		if got, err := ParseKey(in); err != nil || got.String() != want {
			t.Errorf("ParseKey(%q) = %v, %v, want %s", in, got, err, want)
		}
	}
	for _, in := range []string{"", " ", "H", "L", "low", "low ", "low  D", "low--D", "low A", "low G", "low B", "high C", "high F#",
		"hh", "ll d", "Cbb", "C##", "C b", "A-", "-A", "X", "C4", "A\x00", strings.Repeat("low ", 1<<14)} {
		got, err := ParseKey(in)
		if !errors.Is(err, ErrKey) {
			t.Errorf("ParseKey(%.40q) = %v, %v, want %v", in, got, err, ErrKey)
		} else if len(err.Error()) > 300 {
			t.Errorf("ParseKey(%.40q): the error has %d bytes, want a short one", in, len(err.Error()))
		}
	}
}

// Laws: a key that is read is one of Keys, its name reads back to it, and upper or
// lower case makes no difference.
func FuzzParseKey(f *testing.F) {
	for _, s := range []string{"A", "low D", "HG", "bb", "l", "♭", "low-", "high g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, err := ParseKey(s)
		if err != nil {
			if k != (Key{}) {
				t.Errorf("ParseKey(%q) = %v with an error", s, k)
			}
			return
		}
		if !slices.Contains(Keys(), k) {
			t.Errorf("ParseKey(%q) = %v, no key of Keys", s, k)
		}
		for _, again := range []string{k.String(), strings.ToUpper(s), strings.ToLower(s)} {
			if got, err := ParseKey(again); err != nil || got != k {
				t.Errorf("ParseKey(%q) = %v, but ParseKey(%q) = %v, %v", s, k, again, got, err)
			}
		}
	})
}

// Song keys on a C harp, and the harp for a song in second position: circle of fifths
// as players' theory pages print it.
func TestPositions(t *testing.T) {
	c := mustKey(t, "C")
	for p, want := range map[Position]string{1: "C", 2: "G", 3: "D", 4: "A", 5: "E", 12: "F"} {
		if got := c.Song(p); got != want {
			t.Errorf("%s on a C harp plays in %s, want %s", p.Name(), got, want)
		}
	}
	songs := []string{"G", "Ab", "A", "Bb", "B", "C", "Db", "D", "Eb", "E", "F", "F#"}
	harps := []string{"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}
	for i := range songs {
		if got := mustKey(t, harps[i]).Song(2); got != songs[i] {
			t.Errorf("2nd position on %s plays in %s, want %s", harps[i], got, songs[i])
		}
	}
	if got := mustKey(t, "low D").Song(2); got != "A" {
		t.Errorf("2nd position on low D plays in %s, want A", got)
	}
}

// Where each position's home note lies: from the layout, as players' theory pages
// list it.
func TestPositionsHaveTheirRootOnTheHarp(t *testing.T) {
	for p, tabs := range map[Position][]string{
		1: {"+1", "+4", "+7", "+10"}, 2: {"-2", "+3", "+6", "+9"}, 3: {"-1", "-4", "-8"},
		4: {"-3''", "-6", "-10"}, 5: {"+2", "+5", "+8"}, 12: {"-2''", "-5", "-9"},
	} {
		var got []string
		for _, n := range Notes() {
			if n.Semitones()%12 == p.Root() {
				got = append(got, n.Tab())
			}
		}
		if !slices.Equal(got, tabs) {
			t.Errorf("%s is at home on %v, want %v", p.Name(), got, tabs)
		}
	}
}

func TestParsePosition(t *testing.T) {
	for in, want := range map[string]Position{"1": 1, "2nd": 2, "3rd position": 3, "12": 12, "12th": 12} {
		if got, err := ParsePosition(in); err != nil || got != want {
			t.Errorf("ParsePosition(%q) = %v, %v, want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"", "0", "6", "-1", "02", "2st", "13", "position", "2 position"} {
		if got, err := ParsePosition(in); !errors.Is(err, ErrPosition) {
			t.Errorf("ParsePosition(%q) = %v, %v, want %v", in, got, err, ErrPosition)
		}
	}
	if got := Position(2).Name(); got != "2nd position" {
		t.Errorf("Name = %q", got)
	}
}

// Laws: a position that is read is one of Positions, and reads back from its text,
// its short form and its name.
func FuzzParsePosition(f *testing.F) {
	for _, s := range []string{"1", "2nd", "3rd position", "11", "12th", " position"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePosition(s)
		if err != nil {
			return
		}
		text, err := p.MarshalText()
		if err != nil || !slices.Contains(Positions(), p) {
			t.Errorf("ParsePosition(%q) = %d, %v", s, int(p), err)
		}
		for _, again := range []string{string(text), p.String(), p.Name()} {
			if got, err := ParsePosition(again); err != nil || got != p {
				t.Errorf("ParsePosition(%q) = %v, but ParsePosition(%q) = %v, %v", s, p, again, got, err)
			}
		}
	})
}

// A harp survives JSON, as progress and settings keep it.
func TestHarpJSON(t *testing.T) {
	type kept struct {
		Harp     Harp
		Position Position
	}
	in := kept{Harp{Key: mustKey(t, "low Eb"), Tuning: Just19, A4: 442.5}, 2}
	in.Harp.Profile.Draw[4], in.Harp.Profile.Blow[0] = -7.25, 3
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"Harp":{"Key":"low Eb","Tuning":"just 19-limit","A4":442.5,` +
		`"Profile":{"blow":[3,0,0,0,0,0,0,0,0,0],"draw":[0,0,0,0,-7.25,0,0,0,0,0]}},"Position":"2"}`
	if string(text) != want {
		t.Errorf("as JSON:\n%s\nwant\n%s", text, want)
	}
	var out kept
	if err := json.Unmarshal(text, &out); err != nil || out != in {
		t.Errorf("read back %+v, %v, want %+v", out, err, in)
	}
	// No position chosen is no error: it means the drill's own.
	text, err = json.Marshal(kept{})
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &out); err != nil || out != (kept{}) {
		t.Errorf("nothing chosen, read back %+v, %v", out, err)
	}
	for in, want := range map[string]error{
		`{"Position":"7"}`:                                         ErrPosition,
		`{"Harp":{"Key":"low A"}}`:                                 ErrKey,
		`{"Harp":{"Tuning":"tight"}}`:                              ErrTuning,
		`{"Harp":{"Profile":{"blow":[1,2,3]}}}`:                    ErrProfile,
		`{"Harp":{"Profile":{"draw":[0,0,0,0,0,0,0,0,0,0,0]}}}`:    ErrProfile,
		`{"Harp":{"Profile":{"draw":[0,0,0,0,0,0,0,0,0,60.001]}}}`: ErrProfile,
	} {
		if err := json.Unmarshal([]byte(in), &out); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", in, err, want)
		}
	}
	if _, err := Position(7).MarshalText(); !errors.Is(err, ErrPosition) {
		t.Errorf("position 7 as text: %v, want %v", err, ErrPosition)
	}
}

// Laws: a profile that is read is valid and reads back the same; one that is refused
// leaves the old one alone.
func FuzzProfileJSON(f *testing.F) {
	for _, s := range []string{`{}`, `null`, `{"blow":[0,1,2,3,4,5,6,7,8,9]}`, `{"draw":[1e9,0,0,0,0,0,0,0,0,0]}`, `{"blow":[]}`, `[`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		before := Profile{Blow: [Holes]float64{1, 2, 3}}
		p := before
		if err := p.UnmarshalJSON([]byte(s)); err != nil {
			if p != before {
				t.Errorf("%q refused, but the profile changed to %v", s, p)
			}
			return
		}
		if err := p.Validate(); err != nil {
			t.Errorf("%q read: %v", s, err)
		}
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var again Profile
		if err := json.Unmarshal(text, &again); err != nil || again != p {
			t.Errorf("%q read as %v, then as %v, %v", s, p, again, err)
		}
	})
}

// Key signatures: A has F#, C#, G#; Eb has Bb, Eb, Ab; circle of fifths, any theory handbook (from memory).
func TestSpell(t *testing.T) {
	for key, want := range map[string]string{"A": "C# D E F# G# A B", "Eb": "C D Eb F G Ab Bb", "low F": "C D E F G A Bb",
		"F#": "C# D# F F# G# A# B", "Db": "C Db Eb F Gb Ab Bb", "C": "C D E F G A B"} {
		k, err := ParseKey(key)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for class := range 12 {
			if slices.Contains([]int{0, 2, 4, 5, 7, 9, 11}, ((class-k.MIDI())%12+12)%12) {
				got = append(got, k.Spell(class))
			}
		}
		if s := strings.Join(got, " "); s != want {
			t.Errorf("%s is spelled %s, want %s", key, s, want)
		}
	}
}
