package room

import (
	"math"
	"testing"

	"reedwell/levels/drill"
	"reedwell/levels/harp"
)

// Second-position chord tones by hole, as tables of the Richter layout give them; here a C harp: I is G7, IV C7, V D7.
func TestChordTonesByHole(t *testing.T) {
	chords := map[string]drill.Chord{"I": {Root: 7}, "IV": {Root: 0}, "V": {Root: 2}}
	h := harp.New(harp.Key{})
	for _, c := range []struct {
		chord string
		of    Relation
		tabs  []string
	}{
		{"I", Root, []string{"-2", "+3", "+6", "+9"}}, {"I", Third, []string{"-3", "-7", "+10'"}}, {"I", Fifth, []string{"-1", "-4", "-8"}}, {"I", Seventh, []string{"-2''", "-5", "-9"}},
		{"IV", Root, []string{"+1", "+4", "+7", "+10"}}, {"IV", Third, []string{"+2", "+5", "+8"}}, {"IV", Fifth, []string{"-2", "+3", "+6", "+9"}}, {"IV", Seventh, []string{"-3'", "+6o", "+10''"}},
		{"V", Root, []string{"-1", "-4", "-8"}}, {"V", Third, []string{"-2'", "+5o", "+9'"}}, {"V", Fifth, []string{"-3''", "-6", "-10"}}, {"V", Seventh, []string{"+1", "+4", "+7", "+10"}},
		// Of the blues scale in second position, G Bb C Db D F: what the chords have not.
		{"I", BlueThird, []string{"-3'", "+6o"}}, {"I", BlueFifth, []string{"-4'", "-1'", "-7o"}},
		{"V", BlueThird, []string{"-5", "-9"}}, // F over D7
		{"V", BlueThird, []string{"-3'"}},      // and the key's own
		{"IV", BlueFifth, []string{"-4'"}},     // the key's: Db over C7
		{"IV", BlueSeventh, []string{"-5"}},    // the key's: F over C7
		{"I", Outside, []string{"+2", "-6", "+4"}},
	} {
		ch := chords[c.chord]
		ch.Tones = []int{0, 4, 7, 10}
		for _, tab := range c.tabs {
			n, err := harp.ParseNote(tab)
			if err != nil {
				t.Fatal(err)
			}
			if got, _ := relate(100*float64(h.MIDI(n)), ch, 7, nil); got != c.of {
				t.Errorf("%s over %s: %v, want %v", tab, c.chord, got, c.of)
			}
		}
	}
}

// Over a minor chord its own third and seventh are not blue; its flat fifth is.
func TestMinorChords(t *testing.T) {
	minor := drill.Chord{Root: 9, Tones: []int{0, 3, 7}}
	own := []int{flatThird, flatSeventh}
	for _, c := range []struct {
		cents float64
		want  Relation
		over  float64
	}{{900, Root, 0}, {1200, Third, 0}, {1600, Fifth, 0}, {1900, Seventh, 0}, {1500, BlueFifth, 0}, {1560, BlueFifth, 60}, {1300, Outside, 0}, {1170, Third, 0}} {
		got, over := relate(c.cents, minor, 9, own)
		if got != c.want || math.Abs(over-c.over) > 1e-9 {
			t.Errorf("%g cents over Am: %v %g, want %v %g", c.cents, got, over, c.want, c.over)
		}
	}
}

// Law: octaves change nothing, and a blue note lies at most a quarter tone off the stretch from flat to natural.
func TestRelateOctaves(t *testing.T) {
	seventh := drill.Chord{Root: 4, Tones: []int{0, 4, 7, 10}}
	for x := 3000.0; x < 4200; x += 7 {
		a, over := relate(x, seventh, 4, nil)
		b, again := relate(x+2400, seventh, 4, nil)
		if a != b || math.Abs(over-again) > 1e-6 {
			t.Errorf("%g: %v %g, two octaves up %v %g", x, a, over, b, again)
		}
		if a.Blue() && (over < -50 || over > 100) {
			t.Errorf("%g: %v, %g cents over the flat one", x, a, over)
		}
	}
}
