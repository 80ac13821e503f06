package harp

import (
	"math"
	"testing"
)

// The layout in semitones above 1 blow, blow and draw of each hole: OEIS A291810.
func layoutOEIS() []int {
	return []int{0, 2, 4, 7, 7, 11, 12, 14, 16, 17, 19, 21, 24, 23, 28, 26, 31, 29, 36, 33}
}

func TestLayoutIsOEIS(t *testing.T) {
	for i, want := range layoutOEIS() {
		n := Note{Hole: i/2 + 1, Breath: Breath(i % 2)}
		if got := n.Semitones(); got != want {
			t.Errorf("%s lies %d semitones over 1 blow, want %d", n.Tab(), got, want)
		}
	}
}

// Equal temperament in Hz at A4 = 440 (ISO 16), the usual handbook table, from memory
// and checked against 440 * 2^((m-69)/12).
func TestEqualTemperamentTable(t *testing.T) {
	for _, c := range []struct {
		key, tab string
		hz       float64
	}{
		{"C", "+1", 261.63}, {"C", "-2", 392.00}, {"C", "+3", 392.00}, {"C", "-3'''", 415.30},
		{"C", "-4'", 554.37}, {"C", "+10", 2093.00}, {"C", "+10''", 1864.66}, {"C", "-10o", 2217.46},
		{"A", "-2''", 293.66}, {"A", "-4", 493.88}, {"G", "+1", 196.00}, {"low D", "+1", 146.83},
		{"low C", "+1", 130.81}, {"high G", "-10", 2637.02}, {"F#", "+1", 369.99},
	} {
		k, err := ParseKey(c.key)
		if err != nil {
			t.Fatal(err)
		}
		n, err := ParseNote(c.tab)
		if err != nil {
			t.Fatal(err)
		}
		got, err := New(k).Hz(n)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-c.hz) > 0.006 { // the table is rounded to a hundredth of a Hz
			t.Errorf("%s on %s = %.3f Hz, want %.2f", c.tab, c.key, got, c.hz)
		}
	}
}

// Deviations in cents per hole: O. Hansson, ji_hca scale files (2004).
func TestJustTunings(t *testing.T) {
	blow := []float64{0, -14, 2, 0, -14, 2, 0, -14, 2, 0}
	for tuning, draw := range map[Tuning][]float64{
		Just:            {4, 2, -12, 4, -2, -16, -12, 4, -2, -16},
		JustSecondThird: {4, 2, -12, 4, -2, 6, -12, 4, -2, 6},
		Just19:          {4, 2, -12, 4, 1, 6, -12, 4, 1, 6},
		Just7:           {4, 2, -12, 4, -29, 6, -12, 4, -29, 6},
		Just5:           {4, 2, -12, 4, 20, 6, -12, 4, 20, 6},
	} {
		h := Harp{Tuning: tuning, A4: 440}
		for hole := 1; hole <= Holes; hole++ {
			for b, want := range map[Breath]float64{Blow: blow[hole-1], Draw: draw[hole-1]} {
				n := Note{Hole: hole, Breath: b}
				got := Cents(h.hz(n), New(h.Key).hz(n))
				if math.Abs(got-want) > 1e-9 {
					t.Errorf("%v %s: %.3f cents over equal, want %g", tuning, n.Tab(), got, want)
				}
			}
		}
	}
}

func TestCompromiseLiesBetweenJustAndEqual(t *testing.T) {
	for hole := 1; hole <= Holes; hole++ {
		for _, b := range []Breath{Blow, Draw} {
			just, got := JustSecondThird.Deviation(hole, b), Compromise.Deviation(hole, b)
			if got < math.Min(just, 0) || got > math.Max(just, 0) {
				t.Errorf("%d %v: compromise %g is not between 0 and %g", hole, b, got, just)
			}
		}
	}
}

// Bends on 1-4 and 6 draw and 8-10 blow with their depths, and the six pitches of
// three octaves that naturals and bends leave out, filled by overbends: from the
// layout, and as players' tables give them (common practice, no source).
func TestBendsAndOverbends(t *testing.T) {
	want := [Holes]int{1, 2, 3, 1, 0, 1, 0, 1, 1, 2}
	for hole := 1; hole <= Holes; hole++ {
		b, rungs := Bends(hole)
		if rungs != want[hole-1] || (b == Draw) != (hole <= 6) {
			t.Errorf("hole %d bends on %v by %d, want %d", hole, b, rungs, want[hole-1])
		}
	}
	have := map[int][]string{}
	gaps := map[int]string{3: "+1o", 15: "+4o", 18: "+5o", 22: "+6o", 25: "-7o", 32: "-9o", 37: "-10o"}
	for _, n := range Notes() {
		have[n.Semitones()] = append(have[n.Semitones()], n.Tab())
		if n.Over && gaps[n.Semitones()] != n.Tab() {
			t.Errorf("overbend %s fills %d, want %q there", n.Tab(), n.Semitones(), gaps[n.Semitones()])
		}
	}
	for s := 0; s <= 37; s++ {
		n := 1
		if s == 7 { // 2 draw and 3 blow
			n = 2
		}
		if len(have[s]) != n {
			t.Errorf("%d semitones over 1 blow: %v, want %d ways", s, have[s], n)
		}
	}
}

func TestPositions(t *testing.T) { // circle of fifths; modes and keys as players teach them (common practice, no source)
	c, _ := ParseKey("C")
	for p, want := range map[Position]string{1: "C", 2: "G", 3: "D", 4: "A", 5: "E", 12: "F"} {
		if got := c.Song(p); got != want {
			t.Errorf("position %d on a C harp plays in %s, want %s", p, got, want)
		}
	}
	a, _ := ParseKey("A")
	if got := a.Song(2); got != "E" {
		t.Errorf("second position on an A harp plays in %s, want E", got)
	}
}

func TestKeys(t *testing.T) {
	want := []string{"low C", "low Db", "low D", "low Eb", "low E", "low F", "low F#", "G", "Ab", "A", "Bb", "B",
		"C", "Db", "D", "Eb", "E", "F", "F#", "high G"}
	for i, k := range Keys() {
		if k.String() != want[i] || k.MIDI() != 48+i {
			t.Errorf("key %d = %v at MIDI %d, want %s at %d", i, k, k.MIDI(), want[i], 48+i)
		}
	}
	for in, want := range map[string]string{"a": "A", "LD": "low D", "low-d": "low D", "lowD": "low D", "HG": "high G",
		"A#": "Bb", "gb": "F#", "G♯": "Ab", "C#": "Db", "B": "B", "bb": "Bb", "low Gb": "low F#"} {
		if got, err := ParseKey(in); err != nil || got.String() != want {
			t.Errorf("ParseKey(%q) = %v, %v, want %s", in, got, err, want)
		}
	}
	for _, in := range []string{"", "H", "low", "low A", "high C", "Cbb", "C##", "X", "low  "} {
		if got, err := ParseKey(in); err == nil {
			t.Errorf("ParseKey(%q) = %v, want an error", in, got)
		}
	}
}

func TestLocateFindsEveryNote(t *testing.T) {
	for _, k := range Keys() {
		for _, tuning := range Tunings() {
			for _, a4 := range []float64{430, 440, 443, 450} {
				h := Harp{Key: k, Tuning: tuning, A4: a4}
				h.Profile.Draw[3], h.Profile.Blow[7] = -11, 8
				for _, n := range Notes() {
					for _, off := range []float64{0, -20, 20} {
						hz := h.hz(n) * math.Exp2(off/1200)
						got, ok := h.Locate(hz, []Note{n})
						if !ok || got.Note != n || math.Abs(got.Cents-off) > 1e-6 {
							t.Fatalf("%v %v A4 %g: Locate(%s %+g) = %s %+.2f, %v", k, tuning, a4, n.Tab(), off, got.Note.Tab(), got.Cents, ok)
						}
					}
				}
			}
		}
	}
}

func TestTwoDrawOrThreeBlow(t *testing.T) {
	h := New(Key{})
	two, three := Note{Hole: 2, Breath: Draw}, Note{Hole: 3}
	for _, c := range []struct {
		expect []Note
		want   Note
	}{{nil, two}, {[]Note{three}, three}, {[]Note{two}, two}, {[]Note{{Hole: 4}, three}, three}} {
		if got, _ := h.Locate(392, c.expect); got.Note != c.want {
			t.Errorf("Locate(392, %v) = %s, want %s", c.expect, got.Note.Tab(), c.want.Tab())
		}
	}
}

func TestDepthIsMeasuredFromThePlayersReed(t *testing.T) {
	h := New(Key{})
	h.Profile.Draw[3] = -25
	natural := Note{Hole: 4, Breath: Draw}
	hz := h.hz(natural) * math.Exp2(-80.0/1200)
	got, ok := h.Locate(hz, nil)
	if !ok || got.Note.Tab() != "-4'" || math.Abs(got.Depth-80) > 1e-6 || math.Abs(got.Cents-20) > 1e-6 {
		t.Errorf("80 cents under a flat 4 draw: %s, depth %.1f, %+.1f cents from the rung, want -4', 80, +20", got.Note.Tab(), got.Depth, got.Cents)
	}
}

func TestLocateRefusesWhatTheHarpHasNot(t *testing.T) {
	h := New(Key{})
	for _, hz := range []float64{0, -1, math.NaN(), math.Inf(1), 100, 3000} {
		if got, ok := h.Locate(hz, nil); ok {
			t.Errorf("Locate(%g) = %s, want nothing", hz, got.Note.Tab())
		}
	}
}

func TestValidate(t *testing.T) {
	for _, h := range []Harp{{A4: 429}, {A4: 451}, {A4: math.NaN()}, {Tuning: 99}, {Profile: Profile{Blow: [Holes]float64{2: 61}}}} {
		if h.Validate() == nil {
			t.Errorf("Validate(%+v) = nil, want an error", h)
		}
	}
	if err := (Harp{A4: 443, Tuning: Compromise}).Validate(); err != nil {
		t.Error(err)
	}
}

// Neighbouring holes, semitones apart: blow 4,3,5,... and draw 5,4,3,..., from the layout.
func TestSpansNameTheNeighbours(t *testing.T) {
	h := New(Key{})
	spans := h.Spans()
	if len(spans) != 2*Holes {
		t.Fatalf("%d spans, want %d", len(spans), 2*Holes)
	}
	four := spans[2*3+int(Draw)]
	if len(four.Beside) != 2 || math.Abs(Cents(four.Beside[0], h.hz(Note{Hole: 3, Breath: Draw}))) > 1e-9 ||
		math.Abs(Cents(four.Beside[1], h.hz(Note{Hole: 5, Breath: Draw}))) > 1e-9 {
		t.Errorf("beside 4 draw: %v Hz, want 3 and 5 draw", four.Beside)
	}
	if d := Cents(four.High, four.Low); math.Abs(d-200) > 1e-9 {
		t.Errorf("4 draw spans %.0f cents, want 200: a half step and a quarter tone either side", d)
	}
}

func FuzzParseNote(f *testing.F) {
	for _, s := range []string{"+4", "-3'''", "+10''", "-7o", "-3''''", "4", "+04", "+11"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := ParseNote(s)
		if err != nil {
			return
		}
		if n.Valid() != nil || n.Tab() != s {
			t.Errorf("ParseNote(%q) = %+v, which writes %q", s, n, n.Tab())
		}
	})
}

func FuzzParseKey(f *testing.F) {
	for _, s := range []string{"A", "low D", "HG", "bb", "l", "♭"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, err := ParseKey(s)
		if err != nil {
			return
		}
		if again, err := ParseKey(k.String()); err != nil || again != k {
			t.Errorf("ParseKey(%q) = %v, read back %v, %v", s, k, again, err)
		}
	})
}
